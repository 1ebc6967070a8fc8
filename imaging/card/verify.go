package card

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// verdict is a hypothesis held against the full picture.
type verdict struct {
	m                  *Match
	ring               []int // per target, as in hypothesis
	seen, other, blank int
	evidence           float64
	spread             bool // the seen targets fix the plane in both directions
	residualOK         bool
}

// What a placement must show. A seen ring is one piece of evidence; a ring of the other kind
// speaks strongly against a placement, bare paper nearly as strongly, as a printed card has
// a ring at each of its places. TestTroubleNeverMisreads and TestSixRingsNameOnePlacement would
// notice.
const (
	minSeen         = 6    // any six rings name one placement
	otherCosts      = 3.0  // seen rings that one of the other kind outweighs
	blankCosts      = 1.0  // and bare paper
	minMargin       = 1.5  // evidence over the second-best reading of the same rings: two more rings
	maxTargetMM     = 0.60 // largest residual of one target: a curled card shows 0.3
	maxRMSMM        = 0.35 // and of all of them together
	maxSizeMisfit   = 0.15 // ring size against pitch, natural logarithm of diameter
	minShortMM      = 3.0  // spread of the seen targets: the strip's two rows have 4.5
	minLongFraction = 0.45 // and fraction of the layout's own long extent
	minFraction     = 0.60 // of a ring's turn
	clearFraction   = 0.85 // and that of one whose middle surely is not covered too
	minContrast     = 0.4  // of a ring, of the usual one
	fullDot         = 0.65 // darkness of a middle, 0 white to 1 ink, that is full
	openDot         = 0.35 // and one that is open
	blankFraction   = 0.15 // of a ring's turn: less is none
	blankFlat       = 0.25 // spread of bare paper, of the rings' usual contrast
	blankLevel      = 0.75 // and its level, of the paper beside the nearest ring
	levelSlack      = 0.3  // pixels of a level by which the threshold moves a small ring's border
)

// verify holds a placement against the full picture g.
func (h *hypothesis) verify(rings []ring, g *raster.Grey) (verdict, bool) {
	hf, err := h.homography(rings)
	if err != nil {
		return verdict{}, false
	}
	if h.adopt(rings, &hf.H) {
		if hf, err = h.homography(rings); err != nil {
			return verdict{}, false
		}
	}
	for h.dropWorst(rings, &hf.H) {
		if hf, err = h.homography(rings); err != nil {
			return verdict{}, false
		}
	}
	H := hf.H
	v := verdict{m: &Match{Layout: h.layout, H: H}, ring: h.ring}
	m := v.m
	// No target may lie behind the camera, and the card may not be mirrored.
	for _, t := range h.layout.Targets {
		if H.Denominator(fit.Point(t.At)) <= 0 {
			return v, false
		}
		if ux, uy, vx, vy := H.Jacobian(fit.Point(t.At)); ux*vy-uy*vx <= 0 {
			return v, false
		}
	}
	looks := make([]look, len(h.layout.Targets))
	var contrast []float64
	for i, t := range h.layout.Targets {
		looks[i] = lookAt(&H, t.At, g)
		if h.ring[i] >= 0 && looks[i].inside {
			contrast = append(contrast, looks[i].contrast)
		}
	}
	usual := fit.Median(contrast)
	var size []float64
	worst, sum, coarsest := 0.0, 0.0, 1
	for i, t := range h.layout.Targets {
		l := &looks[i]
		tm := TargetMatch{Index: i, CentrePx: m.ToPx(t.At)}
		switch {
		case !l.inside:
			tm.Sight = OutOfFrame
		case l.fraction >= minFraction && l.contrast > minContrast*usual:
			tm.Sight = Hidden
			switch {
			case l.dot > fullDot && t.Full, l.dot < openDot && !t.Full:
				tm.Sight = Seen
			case (l.dot > fullDot || l.dot < openDot) && l.fraction >= clearFraction:
				tm.Sight = OtherKind
			}
		case l.fraction < blankFraction && l.flat < blankFlat*usual && l.level > blankLevel*paperNear(looks, i, h):
			tm.Sight = Blank
		}
		switch tm.Sight {
		case Seen:
			v.seen++
		case OtherKind:
			v.other++
		case Blank:
			v.blank++
		}
		if r := h.ring[i]; r >= 0 && tm.Sight == Seen {
			tm.CentrePx = geom.PxPoint{U: rings[r].x, V: rings[r].y}
			d := tm.CentrePx.Sub(m.ToPx(t.At)).Norm()
			ux, uy, vx, vy := H.Jacobian(fit.Point(t.At))
			det := ux*vy - uy*vx
			coarsest = max(coarsest, rings[r].factor)
			mm := d / math.Sqrt(det)
			worst = math.Max(worst, mm)
			sum += mm * mm
			area := 4 * math.Sqrt(rings[r].xx*rings[r].yy-rings[r].xy*rings[r].xy)
			size = append(size, 0.5*math.Log(area/(RingOuterRadiusMM*RingOuterRadiusMM*det)))
		}
		m.Targets = append(m.Targets, tm)
	}
	if len(size) == 0 {
		return v, false
	}
	m.RMSMM = math.Sqrt(sum / float64(len(size)))
	ux, uy, vx, vy := H.Jacobian(fit.Point(h.layout.Targets[0].At))
	slack := levelSlack * float64(coarsest) / (RingOuterRadiusMM * math.Sqrt(ux*vy-uy*vx))
	v.residualOK = worst < maxTargetMM && m.RMSMM < maxRMSMM && math.Abs(fit.Median(size)) < maxSizeMisfit+slack
	v.spread = spreadOK(m)
	v.evidence = float64(v.seen) - otherCosts*float64(v.other) - blankCosts*float64(v.blank)
	return v, true
}

// ok tells whether the placement alone is convincing.
func (v *verdict) ok() bool {
	return v.seen >= minSeen && v.spread && v.residualOK && v.other == 0 && v.evidence >= minSeen-3
}

// spreadOK tells whether the seen targets fix the plane in both directions.
func spreadOK(m *Match) bool {
	var all, seen moments2
	for _, t := range m.Targets {
		at := m.Layout.Targets[t.Index].At
		all.add(at.X, at.Y)
		if t.Sight == Seen {
			seen.add(at.X, at.Y)
		}
	}
	long, _ := all.extents()
	l, s := seen.extents()
	return s >= minShortMM && l >= minLongFraction*long
}

type moments2 struct{ n, x, y, xx, xy, yy float64 }

func (m *moments2) add(x, y float64) {
	m.n++
	m.x, m.y, m.xx, m.xy, m.yy = m.x+x, m.y+y, m.xx+x*x, m.xy+x*y, m.yy+y*y
}

// extents gives the standard deviations along the long and the short direction.
func (m *moments2) extents() (long, short float64) {
	if m.n == 0 {
		return 0, 0
	}
	x, y := m.x/m.n, m.y/m.n
	xx, xy, yy := m.xx/m.n-x*x, m.xy/m.n-x*y, m.yy/m.n-y*y
	mid, d := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	return math.Sqrt(mid + d), math.Sqrt(math.Max(0, mid-d))
}

// look is what the picture shows at one predicted target, in grey levels.
type look struct {
	inside   bool
	fraction float64 // of the turn where the ring is darker than both its sides
	contrast float64 // median over the turn of white less ink
	dot      float64 // darkness of the middle: 0 white, 1 ink
	flat     float64 // spread of all samples
	level    float64 // their mean
	white    float64 // mean of the ring's white surrounds
}

// lookTurns is the number of directions sampled; at 24 a ring of 2.5 mm radius is sampled
// every 0.65 mm, less than its line's width of 0.9.
const lookTurns = 24

// lookAt samples the picture at the target p. Radii in printed millimetres: the middle, the
// white between dot and ring, the ring's ink, the white outside. Each lies half way between
// printed borders, so up to 0.4 mm of error or ink gain does no harm.
func lookAt(h *fit.H, p geom.CardPoint, g *raster.Grey) look {
	const outsideMM = 3.1 // the strip's paper ends 4.5 mm from a target's middle
	inMM := (RingInnerRadiusMM + DotRadiusMM) / 2
	inkMM := (RingInnerRadiusMM + RingOuterRadiusMM) / 2
	at := func(x, y float64) (float64, bool) {
		q := h.Apply(fit.Point{X: x, Y: y})
		ok := q.X >= 0 && q.Y >= 0 && q.X <= float64(g.W-1) && q.Y <= float64(g.H-1)
		if !ok {
			return 0, false
		}
		return g.Sample(q.X, q.Y), true
	}
	l := look{inside: true}
	var in, ink, out [lookTurns]float64
	var contrast [lookTurns]float64
	var n, sum, sum2 float64
	count := func(v float64) { n++; sum += v; sum2 += v * v }
	for k := 0; k < lookTurns; k++ {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / lookTurns)
		var ok [3]bool
		in[k], ok[0] = at(p.X+inMM*cs, p.Y+inMM*sn)
		ink[k], ok[1] = at(p.X+inkMM*cs, p.Y+inkMM*sn)
		out[k], ok[2] = at(p.X+outsideMM*cs, p.Y+outsideMM*sn)
		if !ok[0] || !ok[1] || !ok[2] {
			return look{}
		}
		count(in[k])
		count(ink[k])
		count(out[k])
		contrast[k] = math.Min(in[k], out[k]) - ink[k]
		l.white += (in[k] + out[k]) / (2 * lookTurns)
	}
	l.level = sum / n
	l.flat = math.Sqrt(math.Max(0, sum2/n-l.level*l.level))
	sorted := contrast
	l.contrast = fit.Median(sorted[:])
	good := 0
	var inSum, inkSum float64
	for k := range contrast {
		// A fifth of the white level: shade leaves the ratio as it is.
		if contrast[k] > 0.5*l.contrast && contrast[k] > 0.2*math.Min(in[k], out[k]) {
			good++
			inSum += in[k]
			inkSum += ink[k]
		}
	}
	l.fraction = float64(good) / lookTurns
	if good == 0 {
		return l
	}
	inSum, inkSum = inSum/float64(good), inkSum/float64(good)
	mid := 0.0
	for k := 0; k < 8; k++ {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / 8)
		v, _ := at(p.X+0.3*cs, p.Y+0.3*sn)
		mid += v / 9
	}
	v, _ := at(p.X, p.Y)
	mid += v / 9
	l.dot = (inSum - mid) / (inSum - inkSum)
	return l
}

// paperNear gives the paper's grey level at the nearest target with a ring found.
func paperNear(looks []look, i int, h *hypothesis) float64 {
	best, bestD := 0.0, math.Inf(1)
	p := h.layout.Targets[i].At
	for k, t := range h.layout.Targets {
		if h.ring[k] >= 0 && looks[k].inside {
			if d := math.Hypot(t.At.X-p.X, t.At.Y-p.Y); d < bestD {
				best, bestD = looks[k].white, d
			}
		}
	}
	return best
}
