package fastener

import (
	"math"
	"slices"

	"bucktail/imaging/fastener/contour"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fastener/places"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// A place from afar may lie a third of a radius off the fastener, pulled by its shadow, where the
// networks are rightly unsure: the first look asks little and moves to the outline's middle; the
// second, from there, decides.
const (
	firstLogit = -6
	lastLogit  = leastLogit
	// What is less likely is not worth a question.
	leastProbability = 0.08
	// Fraction of the radius that a look may start off the middle, or be too large or small, and
	// see as well: less than the starts that the networks were trained on.
	nearEnough = 0.1
	// And what the first look may find the middle off by: farther off it is another thing.
	farthestMove = 0.6
	// What any observation from afar may err by at least, in nominal diameters, and half of that
	// the finer ones of a closer look.
	floorD, closeFloorD = 0.004, 0.002
)

// looks is what the looks at one place gave.
type looks struct {
	pts       []outline.Observation // of the last two looks from afar
	logit     float64               // that a fastener of the kind stands there: the mean of two opinions
	alone     [3]outline.Fitted     // by each look from afar
	afar      outline.Fitted        // by the last two together
	near      outline.Fitted        // by a band along that
	seen      []outline.Observation // what near was fitted to
	ways      [][]contour.Way       // of a hole: what each of the last two looks from afar, and along it, saw
	clearAfar float64
	clearNear float64 // 0: no outline could be fitted near by
	spreadMM  float64 // of the contour's place in a direction, as the first network along it sees it
	differMM  float64 // between the diameters by the two networks along it, where they agree
	agreed    bool    // the two networks along it see one contour
	opinions  int     // how many of them near was fitted to
	centre    geom.SheetPoint
	rMM       float64
	within    float64 // mm: how near afar the closer looks look; 0: as far as they see
}

// lookAt takes three looks: from the place given, then from the outline's middle, and there by the
// second network in a mirror. The last two together make an outline; how far each alone
// disagrees with the others tells an uncertain contour. ok is false where the logit of
// the first look is below least[0], or of a later one below least[1].
func lookAt(pic *raster.Picture, cam *geom.Camera, from *start, k qc.Kind, nominalMM float64, least [2]float64) (l looks, ok bool) {
	d := cam.ViewSlope(from.at)
	prior := outline.PriorOf(k, nominalMM)
	l.centre, l.rMM = from.at, from.rMM
	for round := 0; round < 3; round++ {
		by := contour.First
		if round == 2 {
			by = contour.Second
		}
		view, ok := contour.Around(pic, cam, l.centre, l.rMM, k, by, least[min(round, 1)])
		if !ok {
			return l, false
		}
		fitted, ok := outline.FitFromCircle(view.Observations, cam, d, prior, floorD*nominalMM)
		if !ok {
			return l, false
		}
		l.alone[round] = fitted
		if round == 0 {
			l.centre = fitted.Centre.Add(d.Scale(outline.SeenHeight * fitted.HeightMM))
			moved, grown := l.centre.Sub(from.at).Norm()/from.rMM, math.Abs(math.Log(fitted.RMM/from.rMM))
			if moved > farthestMove {
				return l, false
			}
			l.rMM = fitted.RMM
			if max(moved, grown) > nearEnough || view.Logit < least[1] {
				continue
			}
			// The place was right: the first look is as good as a second would be.
			l.alone[1] = fitted
			round = 1
		}
		l.pts, l.ways = append(l.pts, view.Observations...), append(l.ways, view.Ways)
		l.clearAfar += view.Clear / 2
		l.logit += view.Logit / 2
	}
	l.afar, ok = outline.FitFromCircle(l.pts, cam, d, prior, floorD*nominalMM)
	return l, ok
}

// closer looks along the outline that the looks from afar found: rectified, the networks
// see it finer than in the neighbourhood as a whole. The first network has seen all that a workshop
// shows; the second was trained on clean ones alone. Where both see one contour of a head, what they
// saw is fitted together: they err differently.
func (l *looks) closer(pic *raster.Picture, cam *geom.Camera, k qc.Kind, nominalMM float64) {
	prof, prior := outline.ProfileOf(k), outline.PriorOf(k, nominalMM)
	l.near, l.seen, l.opinions = l.afar, l.pts, 1 // and asked about, as it stays unclear
	flats := flatsOf(l.pts)                       // a band shows a part of a driven head's flat only
	fit := func(pts []outline.Observation) (outline.Fitted, bool) {
		return outline.Fit(pts, cam, l.near.Outline, prior, closeFloorD*nominalMM)
	}
	along := func(by contour.Opinion) (v contour.Look, f outline.Fitted, ok bool) {
		v = contour.Along(pic, cam, &l.near.Outline, &prof, l.near.HeightMM, l.rMM, k, by, l.within)
		l.ways = append(l.ways, v.Ways)
		f, ok = fit(slices.Concat(v.Observations, flats))
		return v, f, ok
	}
	first, f, ok := along(contour.FirstBand)
	if !ok {
		return
	}
	l.near, l.seen, l.clearNear, l.spreadMM = f, slices.Concat(first.Observations, flats), first.Clear, first.SpreadMM
	second, g, ok := along(contour.SecondBand)
	if !ok || !agree(k, &f.Outline, &g.Outline) {
		return
	}
	l.agreed, l.clearNear, l.differMM = true, min(first.Clear, second.Clear), math.Abs(g.MeanD()-f.MeanD())
	if k == qc.Hole { // the second network sees bores too large: testdata/training/README.md
		return
	}
	seen := slices.Concat(first.Observations, second.Observations, flats)
	if both, ok := fit(seen); ok {
		l.near, l.seen, l.opinions = both, seen, 2
	}
}

// agree tells whether the two bands' outlines are of one contour. A shadow's or a burnished ring's
// lies farther off than 2 % of the diameter; of a driven head, the first band may follow the
// flat's rim for a part.
func agree(k qc.Kind, first, second *outline.Outline) bool {
	most := 0.02
	if k == qc.ShopHead {
		most = 0.045
	}
	return math.Abs(second.MeanD()-first.MeanD()) < most*first.MeanD()
}

// measureRound looks for a fastener at a place and measures its outline, of whatever size it is;
// false where none of the wanted kind stands there. Where a person tapped, one is taken to stand.
func measureRound(pic *raster.Picture, cam *geom.Camera, from *start, opt Options) (Fastener, bool) {
	least := [2]float64{firstLogit, lastLogit}
	if from.tapped {
		least = [2]float64{math.Inf(-1), math.Inf(-1)}
	}
	D := opt.NominalMM
	if offSize(opt.Kind, D, 2*from.rMM) > otherSize { // of what size it would be of this kind
		D = 2 * from.rMM / outline.ProfileOf(opt.Kind).TypicalD
	}
	l, ok := lookAt(pic, cam, from, opt.Kind, D, least)
	if !ok {
		return Fastener{}, false
	}
	own := places.ClassOf(opt.Kind)
	e := l.evidence(pic, cam, from, opt)
	p := e.posterior()
	if p[own] < leastProbability && !from.tapped {
		return Fastener{}, false
	}
	l.closer(pic, cam, opt.Kind, D)
	out := l.fastener(cam, opt.Kind)
	out.Tapped, out.Probability, out.Clear, out.Change = from.tapped, p[own], min(l.clearAfar, l.clearNear), spread(l.alone)
	out.Slope = cam.ViewSlope(from.at).Norm()
	if opt.Kind == qc.Hole {
		out.Outside, out.OnwardDeg = l.outside(), contour.OnwardDeg(pic, cam, &l.near.Outline)
	}
	return out, true
}

// A hole that was drilled out, or twice, shows a second contour outside of the round one that its
// other half fits, as far out as few chamfers and along no less than a tenth of its rim. Where it
// looks like a wall in shadow, the networks take the round one, but not all of them are as sure.
const (
	outsideD          = 0.04 // of the diameter
	outsideDirections = 3    // next to each other, of contour.Directions
)

// outside is by how much likelier, to all looks together, a hole reaches beyond its outline on some
// side than in the median of all directions: a chamfer goes all round.
func (l *looks) outside() (most float64) {
	p := make([]float64, contour.Directions)
	for _, ways := range l.ways {
		for _, w := range ways {
			k := len(w.Logits)
			for k > 0 && offMM(&l.near.Outline, w.From.Add(w.Step.Scale(float64(k-1)))) > outsideD*l.near.MeanD() {
				k--
			}
			p[w.Direction] += fit.Beyond(w.Logits, k) / float64(len(l.ways))
		}
	}
	for i := range p {
		least := p[i]
		for j := range outsideDirections {
			least = min(least, p[(i+j)%len(p)])
		}
		most = max(most, least)
	}
	return most - fit.UpperMedian(p)
}

// offMM is how far p lies outside of an outline without height.
func offMM(o *outline.Outline, p geom.SheetPoint) float64 {
	d := p.Sub(o.Centre)
	phi := math.Atan2(d.Y, d.X)
	return d.Norm() - o.RMM - o.A2*math.Cos(2*phi) - o.B2*math.Sin(2*phi)
}

// evidence asks the closer looks for each of lookalikes.
func (l *looks) evidence(pic *raster.Picture, cam *geom.Camera, from *start, opt Options) evidence {
	e := evidence{afar: from.p, diameterD: l.afar.MeanD() / opt.NominalMM}
	own := places.ClassOf(opt.Kind)
	for i, k := range lookalikes {
		e.logits[i] = l.logit
		if i != int(own) {
			other, _ := contour.Around(pic, cam, l.centre, l.rMM, k, contour.First, leastLogit)
			e.logits[i] = other.Logit
		}
	}
	return e
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
