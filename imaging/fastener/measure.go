package fastener

import (
	"math"

	"bucktail/imaging/fastener/contour"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// A vote may lie a third of a radius off the fastener, pulled by its shadow, where the
// network is rightly unsure: the first look asks little and moves to the outline's middle; the
// second, from there, decides at even odds.
const (
	firstLogit = -6
	lastLogit  = 0
	// Fraction of the usual radius that a look may start off the middle and see as well: less
	// than the starts that the networks were trained on.
	nearEnough = 0.1
	// And what the first look may find the middle off by: farther off it is another thing.
	farthestMove = 0.6
	// A diameter outside of the kind's range by more than this is another thing: a hole drilled
	// for something else, a washer. It is what the worst readings err by.
	sizeRoom = 0.04
	// What any observation from afar may err by at least, in nominal diameters, and half of that
	// the finer ones of a closer look.
	floorD, closeFloorD = 0.004, 0.002
)

// measureRound looks for a fastener at a place and measures its outline; false where none of the
// wanted kind and size stands there. Where a person tapped, one is taken to stand.
func measureRound(pic *raster.Picture, cam *geom.Camera, at geom.SheetPoint, opt Options, tapped bool) (Fastener, bool) {
	prof := outline.ProfileOf(opt.Kind)
	D := opt.NominalMM
	rNom := prof.TypicalD * D / 2
	d := cam.ViewSlope(at)
	prior := outline.PriorOf(opt.Kind, D)
	least := [2]float64{firstLogit, lastLogit}
	if tapped {
		least = [2]float64{math.Inf(-1), math.Inf(-1)}
	}
	// Three looks: from the place given, then from the outline's middle, and there by the
	// second network in a mirror. The last two together make the outline, a head's then by a
	// closer look along it; how far each alone disagrees with the others tells an uncertain contour.
	var alone [3]outline.Fitted
	var both []outline.Observation
	clear, logit := 0.0, 0.0
	centre := at
	for round := 0; round < 3; round++ {
		by := contour.First
		if round == 2 {
			by = contour.Second
		}
		view, ok := contour.Around(pic, cam, centre, rNom, opt.Kind, by, least[min(round, 1)])
		if !ok {
			return Fastener{}, false
		}
		fitted, ok := outline.FitFromCircle(view.Observations, cam, d, prior, floorD*D)
		if !ok {
			return Fastener{}, false
		}
		alone[round] = fitted
		if round == 0 {
			centre = fitted.Centre.Add(d.Scale(outline.SeenHeight * fitted.HeightMM))
			moved := centre.Sub(at).Norm()
			if moved > farthestMove*rNom {
				return Fastener{}, false
			}
			if moved > nearEnough*rNom || view.Logit < lastLogit {
				continue
			}
			// The vote was right: the first look is as good as a second would be.
			alone[1] = fitted
			round = 1
		}
		both = append(both, view.Observations...)
		clear += view.Clear / 2
		logit += view.Logit / 2
	}
	last, ok := outline.FitFromCircle(both, cam, d, prior, floorD*D)
	if !ok {
		return Fastener{}, false
	}
	// A hole's edge is seen from afar as well as from near, on photos that nothing was trained on.
	looks := 2
	if opt.Kind != qc.Hole {
		// The head is found; along its rectified contour the network sees finer than in the
		// neighbourhood as a whole. A band shows a part of a driven head's flat only.
		near := contour.Along(pic, cam, &last.Outline, &prof, last.HeightMM, rNom, opt.Kind)
		if f, ok := outline.Fit(append(near.Observations, flatsOf(both)...), cam, last.Outline, prior, closeFloorD*D); ok {
			last, clear, looks = f, min(clear, near.Clear), 1
		} else {
			clear = 0 // to be asked about
		}
	}
	if dia := last.MeanD() / D; !tapped && (dia < (1-sizeRoom)*prof.MinD || dia > (1+sizeRoom)*prof.MaxD) {
		return Fastener{}, false
	}
	out := Fastener{Outline: last.Outline, HeightMM: last.HeightMM, Tapped: tapped,
		Probability: 1 / (1 + fit.Exp(-logit)), Clear: clear,
		Support: float64(last.Used) / float64(looks*contour.Directions), RMS: last.RMS, Change: spread(alone),
		Cov: last.Cov, Slope: d.Norm(), PxPerMM: cam.PxPerMM(last.Centre, 0)}
	out.Contour = last.Outline.Contour(&prof, last.HeightMM, cam, 64)
	return out, true
}

// flatsOf gives the observations of the flat's rim among pts.
func flatsOf(pts []outline.Observation) (flats []outline.Observation) {
	for _, s := range pts {
		if s.Flat {
			flats = append(flats, s)
		}
	}
	return flats
}

// spread is the greatest difference in mean diameter between the looks.
func spread(fs [3]outline.Fitted) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range fs {
		lo, hi = min(lo, fs[i].MeanD()), max(hi, fs[i].MeanD())
	}
	return hi - lo
}
