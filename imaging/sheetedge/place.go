package sheetedge

import (
	"math"

	"bucktail/imaging/sheetedge/face"
	"bucktail/imaging/sheetedge/strip"
	"bucktail/qc"
)

// What a look along a line says of it, as a logit: that the sheet ends there.
const (
	// What is less likely than 3 to 1 may be the side of a shadow, and stays unsure.
	leastFaceLogit = 1
	// Where the look at all of the sheet sees its border run, too, 20 to 1 will do: TestSecondLookMakesAnEdge.
	borderFaceLogit = 3
	// A line too faint for an edge is one all the same where that is 400 to 1.
	sureFaceLogit = 6
)

// placeAll gives edges and faint lines their final places, and lets the looks along them decide which
// of them are edges. A tapped one is.
func (f *finder) placeAll(edges, faint []Edge) (placed, left []Edge) {
	n := len(edges)
	all := append(edges, faint...)
	f.each(len(all), func(g *strip.Strip, i int) {
		if i < n || all[i].P1.Sub(all[i].P0).Norm() >= faintLongMM {
			f.finish(g, &all[i])
		}
	})
	for i, e := range all {
		if e.endsSheet(i < n, f.borderAlong(&e)) {
			placed = append(placed, e)
		} else {
			left = append(left, e)
		}
	}
	return placed, left
}

// endsSheet tells, after a look along e, whether it is an edge; strong: it showed as one before;
// bordered: by the look at all of the sheet it is one.
func (e *Edge) endsSheet(strong, bordered bool) bool {
	return e.Tapped || strong && e.logit >= leastFaceLogit || bordered && e.logit > borderFaceLogit || e.logit > sureFaceLogit
}

// finish gives e its final place, at the sheet's face, and its uncertainty.
func (f *finder) finish(g *strip.Strip, e *Edge) {
	mid, d := e.P0.Add(e.P1).Scale(0.5), e.P1.Sub(e.P0)
	half := d.Norm() / 2
	f.lay(g, f.full, f.along(mid, d.Scale(0.5/half)), -half, half)
	l, ok := g.BestLine(0.2, 0.004)
	if !ok {
		l = strip.Line{}
	}
	g.Settle(&l)
	at := f.look(g.On(l), half)
	l.N += at.n
	l.Slope += at.slope
	e.logit = at.logit
	// A faint line is found where chance strengthens it most: its place is uncertain by a
	// fraction of the response's width that falls with its strength.
	faint := strip.ResponseMM / max(e.Strength, 1)
	e.contributions = append(at.contributions, qc.Contribution{Label: "edge: low contrast", UMM: faint})
	e.uAngleRad = math.Hypot(at.uSlope, faint*math.Sqrt(12)/(2*half))
	if c, needed := tapContribution(e); needed {
		e.contributions = append(e.contributions, c)
	}
	e.uMidMM = 0
	for _, c := range e.contributions {
		e.uMidMM = math.Hypot(e.uMidMM, c.UMM)
	}
	f.setEnds(e, g, &l, -half, half)
}

// placement is where looks along a line put the sheet's vertical face.
type placement struct {
	n, slope      float64           // in the line's frame: at s it lies at n + slope s, mm
	uSlope        float64           // standard uncertainty of slope
	logit         float64           // that the sheet ends there, the mean of all looks
	contributions []qc.Contribution // to the uncertainty of n
}

// Standard uncertainties, mm. Set on rendered photos, of scenes that no network was trained on.
const (
	unseenU      = 0.1   // of a line of which too little is seen
	unseenUSlope = 0.003 // and of its direction
	fewFixes     = 4     // so many places are too little
	commonPart   = 0.3   // of a place's uncertainty that all places of a line share, as they look alike
	wrongLineU   = 0.06  // of places that took something beside the face for it
	rimU         = 0.03  // what the form of the rim, and where on it the face counts, add: a square cut is read 0.05 inside
	placeTolMM   = 0.05  // within this a place agrees with the others
)

// look looks along the frame's line, halfMM to both sides of its middle, as often as one look is too
// short for it.
func (f *finder) look(at strip.Frame, halfMM float64) (p placement) {
	length := min(2*halfMM, face.LongestMM)
	looks := int(math.Ceil(2*halfMM/face.LongestMM - 0.01))
	var fixes []strip.Fix
	seen := 0.0
	for i := range looks {
		mid := (2*halfMM - length) * (float64(i)/float64(max(looks-1, 1)) - 0.5)
		if looks == 1 {
			mid = 0
		}
		part := strip.Frame{O: at.At(mid, 0), Dir: at.Dir, Out: at.Out}
		v, ok := face.Along(f.pic, f.cam, f.cover.Hides, part, length)
		if !ok {
			continue
		}
		seen++
		p.logit += v.Logit
		for _, q := range v.Fixes {
			q.S += mid
			fixes = append(fixes, q)
		}
	}
	p.logit /= max(seen, 1)
	if len(fixes) < fewFixes {
		p.uSlope, p.contributions = unseenUSlope, []qc.Contribution{{Label: "edge: line fit", UMM: unseenU}}
		return p
	}
	q, u := strip.LineThrough(fixes, placeTolMM), 0.0
	for _, x := range fixes {
		u += x.U / float64(len(fixes))
	}
	p.n, p.slope, p.uSlope = q.N, q.Slope, q.USlope
	p.contributions = []qc.Contribution{
		{Label: "edge: line fit", UMM: math.Hypot(commonPart*u, wrongLineU*(1-q.Agree))},
		{Label: "edge: rounding of the rim", UMM: rimU},
		{Label: "edge: noise", UMM: q.UMid},
	}
	return p
}

// setEnds lays e on the line l between s = sa and sb.
func (f *finder) setEnds(e *Edge, g *strip.Strip, l *strip.Line, sa, sb float64) {
	e.P0, e.P1 = g.At(sa, l.N+l.Slope*sa), g.At(sb, l.N+l.Slope*sb)
	e.P0Px, e.P1Px = f.cam.Project(e.P0, 0), f.cam.Project(e.P1, 0)
}

// tapContribution is what a line carries that only the user's tap vouches for.
func tapContribution(e *Edge) (c qc.Contribution, needed bool) {
	if !e.Tapped || e.Strength >= minEdgeZ && e.P1.Sub(e.P0).Norm() >= minSupportMM {
		return c, false
	}
	// Which of the lines within a rim's and a shadow's width it is: rectangular over 0.28 mm.
	return qc.Contribution{Label: "edge: selected by hand", UMM: 0.08}, true
}
