package feature

import (
	"math"
	"runtime"
	"slices"
	"sort"

	"bucktail/imaging/cores"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// FastenerOptions say what to look for.
type FastenerOptions struct {
	Kind     qc.Kind
	NominalD float64                    // shank diameter, mm
	OnCard   func(geom.SheetPoint) bool // the printed card: nothing is looked for there
	Around   Box                        // where on the sheet to look, mm
	Taps     []geom.SheetPoint          // places that the builder pointed at
	Only     bool                       // look at the taps alone
	First    int                        // places looked at in any case besides the taps; 0: 8, enough where the card is left out
}

// Fastener is one fastener found: its outline, and how sure the finding is.
type Fastener struct {
	Outline
	HeightMM    float64       // as fitted or assumed
	Probability float64       // that a fastener of the wanted kind stands there
	Clear       float64       // 0 to 1: how far each direction shows one contour only
	Support     float64       // share of the directions that agree with the outline
	RMS         float64       // of the agreeing sightings, in units of their u
	Change      float64       // mm: how far two looks from different centres disagree in diameter
	Cov         [5][5]float64 // of Centre X, Y, RMM, A2, B2, mm²
	Slope       float64       // tangent of the view angle
	PxPerMM     float64
	Tapped      bool              // the builder pointed at it
	Placed      bool              // the builder placed its outline
	Contour     []geom.SheetPoint // the silhouette as seen on the sheet's plane
}

// FindFasteners finds the fasteners of one kind and size without a tap, and looks where the
// builder tapped. The picture is not changed; the result is sorted by place.
func FindFasteners(pic *raster.Picture, cam *geom.Camera, opt FastenerOptions) []Fastener {
	prof := ProfileOf(opt.Kind)
	D := opt.NominalD
	var places []peak
	for _, t := range opt.Taps {
		places = append(places, peak{t, math.Inf(1)})
	}
	found := theFound(lookAtAll(pic, cam, places, opt))
	if !opt.Only {
		first := opt.First
		if first == 0 {
			first = 8
		}
		v := NewView(pic, cam, SeenBox(pic, cam, opt.Around, 0), 0.06*D)
		ps := votePeaks(v, prof.MinD*D/2, prof.MaxD*D/2, opt.OnCard, mostPlaces)
		head := ps[:min(first, len(ps))]
		some := theFound(lookAtAll(pic, cam, head, opt))
		found = append(found, some...)
		if least, ok := worthLooking(head, some); ok {
			rest := ps[len(head):]
			n := 0
			for n < len(rest) && rest[n].votes >= least {
				n++
			}
			rest = rest[:n]
			for missed := 0; len(rest) > 0 && missed < patience; {
				// All of these are looked at whatever is found among them: none of the cores
				// need wait for the others in between.
				sure := rest[:min(patience-missed, len(rest))]
				for few := range slices.Chunk(lookAtAll(pic, cam, sure, opt), fewPlaces) {
					more := theFound(few)
					found = append(found, more...)
					if missed += len(few); len(more) > 0 {
						missed = 0
					}
				}
				rest = rest[len(sure):]
			}
		}
	}
	return thin(found)
}

// mostPlaces bounds the work on a photo full of round things.
const mostPlaces = 80

// patience is how many places in a row, the strongest first, are looked at without finding a
// fastener before the fainter ones are given up. On the 20 rendered example photos nothing was
// found behind the seventh place after the first ones, and 24 more photos gave the same with it
// as without.
const patience = 24

// fewPlaces is how many places are looked at before patience is held against them.
const fewPlaces = 8

// worthLooking gives the votes below which no more fasteners like those found are to be
// expected: three tenths of their median. Fasteners in one photo vary less than that
// (tuned on the rendered photos, where the faintest has 0.41 of it). ok is false where none
// of the strongest was one.
func worthLooking(tried []peak, found []Fastener) (votes float64, ok bool) {
	var vs []float64
	for _, f := range found {
		near := math.Inf(1)
		var v float64
		for _, p := range tried {
			if d := p.at.Sub(f.Centre).Norm(); d < near {
				near, v = d, p.votes
			}
		}
		vs = append(vs, v)
	}
	if len(vs) == 0 {
		return 0, false
	}
	return 0.3 * fit.Median(vs), true
}

// lookAtAll looks at every place, on as many cores as there are. It gives what stands at each, nil
// for nothing, whatever core was faster.
func lookAtAll(pic *raster.Picture, cam *geom.Camera, places []peak, opt FastenerOptions) []*Fastener {
	all := make([]*Fastener, len(places))
	cores.Each(len(places), runtime.GOMAXPROCS(0), func(_, i int) {
		if f, ok := measureRound(pic, cam, places[i].at, opt, math.IsInf(places[i].votes, 1)); ok {
			all[i] = &f
		}
	})
	return all
}

// theFound gives those of all that are there, in their order.
func theFound(all []*Fastener) (found []Fastener) {
	for _, f := range all {
		if f != nil {
			found = append(found, *f)
		}
	}
	return found
}

// thin keeps the likelier of two that overlap, tapped ones first.
func thin(rs []Fastener) []Fastener {
	sort.SliceStable(rs, func(a, b int) bool {
		if rs[a].Tapped != rs[b].Tapped {
			return rs[a].Tapped
		}
		return rs[a].Probability*rs[a].Support > rs[b].Probability*rs[b].Support
	})
	var out []Fastener
next:
	for _, r := range rs {
		for _, o := range out {
			if r.Centre.Sub(o.Centre).Norm() < max(o.RMM, r.RMM) {
				continue next
			}
		}
		out = append(out, r)
	}
	sort.SliceStable(out, func(a, b int) bool {
		if out[a].Centre.X != out[b].Centre.X {
			return out[a].Centre.X < out[b].Centre.X
		}
		return out[a].Centre.Y < out[b].Centre.Y
	})
	return out
}

// A vote may lie a third of a radius off the fastener, pulled by its shadow, where the
// network rightly doubts: the first look asks little and moves to the outline's middle; the
// second, from there, decides at even odds.
const (
	firstLogit = -6
	lastLogit  = 0
	// Share of the usual radius that a look may start off the middle and see as well: less
	// than the starts that the networks were trained on.
	nearEnough = 0.1
	// What any sighting from afar may err by at least, in nominal diameters, and half of that
	// the finer ones of a closer look.
	floorD, closeFloorD = 0.004, 0.002
)

func measureRound(pic *raster.Picture, cam *geom.Camera, at geom.SheetPoint, opt FastenerOptions, tapped bool) (Fastener, bool) {
	prof := ProfileOf(opt.Kind)
	D := opt.NominalD
	rNom := prof.TypicalD * D / 2
	d := cam.ViewSlope(at)
	prior := priorOf(opt.Kind, D)
	least := [2]float64{firstLogit, lastLogit}
	if tapped {
		least = [2]float64{math.Inf(-1), math.Inf(-1)}
	}
	// Three looks: from the place given, then from the outline's middle, and there by the
	// second network in a mirror. The last two together make the outline, a head's then by a
	// closer look along it; how far each alone disagrees with the others tells a doubtful contour.
	var alone [3]outlineFit
	var both []sighting
	clear, logit := 0.0, 0.0
	centre := at
	for round := 0; round < 3; round++ {
		by := first
		if round == 2 {
			by = second
		}
		view, ok := lookAround(pic, cam, centre, rNom, opt.Kind, by, least[min(round, 1)])
		if !ok {
			return Fastener{}, false
		}
		fitted, ok := fitFromCircle(view.sightings, cam, d, prior, floorD*D)
		if !ok {
			return Fastener{}, false
		}
		alone[round] = fitted
		if round == 0 {
			centre = fitted.Centre.Add(d.Scale(0.45 * fitted.heightMM))
			moved := centre.Sub(at).Norm()
			if moved > 0.6*rNom {
				return Fastener{}, false
			}
			if moved > nearEnough*rNom || view.logit < lastLogit {
				continue
			}
			// The vote was right: the first look is as good as a second would be.
			alone[1] = fitted
			round = 1
		}
		both = append(both, view.sightings...)
		clear += view.clear / 2
		logit += view.logit / 2
	}
	last, ok := fitFromCircle(both, cam, d, prior, floorD*D)
	if !ok {
		return Fastener{}, false
	}
	// A hole's edge is seen from afar as well as from near, on photos that nothing was trained on.
	looks := 2
	if opt.Kind != qc.Hole {
		// The head is found; along its rectified contour the network sees finer than in the
		// neighbourhood as a whole. A band shows a part of a driven head's flat only.
		near := lookAlong(pic, cam, &last.Outline, &prof, last.heightMM, rNom, opt.Kind)
		if f, ok := fitOutline(append(near.sightings, flatsOf(both)...), cam, last.Outline, prior, closeFloorD*D); ok {
			last, clear, looks = f, min(clear, near.clear), 1
		} else {
			clear = 0 // to be asked about
		}
	}
	// Another size is another thing: a hole drilled for something else, a washer. The room
	// of 4 % is what the worst readings err by.
	if dia := last.MeanD() / D; !tapped && (dia < 0.96*prof.MinD || dia > 1.04*prof.MaxD) {
		return Fastener{}, false
	}
	out := Fastener{Outline: last.Outline, HeightMM: last.heightMM, Tapped: tapped,
		Probability: 1 / (1 + fit.Exp(-logit)), Clear: clear,
		Support: float64(last.used) / float64(looks*netPhi), RMS: last.rms, Change: spread(alone),
		Cov: last.cov, Slope: d.Norm(), PxPerMM: cam.PxPerMM(last.Centre, 0)}
	out.Contour = last.Outline.Contour(&prof, last.heightMM, cam, 64)
	return out, true
}

// flatsOf gives the sightings of the flat's rim among pts.
func flatsOf(pts []sighting) (flats []sighting) {
	for _, s := range pts {
		if s.flat {
			flats = append(flats, s)
		}
	}
	return flats
}

// spread is the greatest difference in mean diameter between the looks.
func spread(fs [3]outlineFit) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range fs {
		lo, hi = min(lo, fs[i].MeanD()), max(hi, fs[i].MeanD())
	}
	return hi - lo
}
