package feature

import (
	"math"

	"bucktail/qc"
)

// place takes a strip and the line l in it and gives the edge, its place not yet final.
func (f *edgeFinder) place(g *strip, l stripLine, s seed) (Edge, bool) {
	least := minSupportMM
	if s.tapped {
		least = minTappedMM
	}
	r, ok := g.follow(&l, least/chunkMM)
	if !ok || (r.z < faintEdgeZ || r.besideCard) && !s.tapped {
		return Edge{}, false
	}
	e := Edge{Strength: r.z, Tapped: s.tapped, ext0MM: r.hiddenMM[0], ext1MM: r.hiddenMM[1], open0: r.open[0], open1: r.open[1]}
	f.setEnds(&e, g, &l, r.from, r.to)
	if f.belongsToFastener(&e) && !s.tapped {
		return Edge{}, false
	}
	return e, true
}

// setEnds lays e on the line l between s = sa and sb.
func (f *edgeFinder) setEnds(e *Edge, g *strip, l *stripLine, sa, sb float64) {
	e.P0, e.P1 = g.at(sa, l.n+l.slope*sa), g.at(sb, l.n+l.slope*sb)
	e.P0Px, e.P1Px = f.cam.Project(e.P0, 0), f.cam.Project(e.P1, 0)
}

// finish gives e its final place, on the rim, and its doubt.
func (f *edgeFinder) finish(g *strip, e *Edge) {
	mid, d := e.P0.Add(e.P1).Scale(0.5), e.P1.Sub(e.P0)
	half := d.Norm() / 2
	dir := d.Scale(0.5 / half)
	f.lay(g, f.full, stripFrame{mid, dir, f.outward(mid, dir)}, -half, half)
	l, ok := g.bestLine(0.2, 0.004)
	if !ok {
		l = stripLine{}
	}
	slope := f.cam.ViewSlope(mid).Dot(g.out)
	if slope < faceSlope {
		g.innerFlank(&l, -slope, minEdgeZ)
	}
	profiles := g.profiles(&l, rimHalfMM)
	rim := placeByRim(profiles, rimView{f.opt.RingBlurPx, 1 / f.cam.PxPerMM(mid, 0), slope, f.opt.SheetThicknessMM})
	l.n += rim.n
	l.slope += rim.slope
	// A faint line is found where chance strengthens it most: its place is doubtful by a
	// share of the response's width (0.25 mm) that falls with its strength.
	faint := 0.25 / max(e.Strength, 1)
	e.uMidMM = math.Hypot(rim.u, faint)
	e.uAngleRad = math.Hypot(rim.uSlope, faint*math.Sqrt(12)/(2*half))
	e.contributions = append(rim.parts, qc.Contribution{Label: "edge faintness", UMM: faint})
	if c, needed := tapContribution(e); needed {
		e.uMidMM = math.Hypot(e.uMidMM, c.UMM)
		e.contributions = append(e.contributions, c)
	}
	f.setEnds(e, g, &l, -half, half)
}

// belongsToFastener tells whether e is a layout line, which runs through a fastener, or the
// side of a fastener's shadow or mirror image, which starts from it as a tangent.
func (f *edgeFinder) belongsToFastener(e *Edge) bool {
	dir, _ := e.axes()
	length := e.P1.Sub(e.P0).Norm()
	for _, r := range f.opt.Fasteners {
		d, _ := e.At(r.Centre)
		s := r.Centre.Sub(e.P0).Dot(dir)
		if d < 0.55*r.RadiusMM && s > -4 && s < length+4 {
			return true
		}
		if d < 1.3*r.RadiusMM {
			near := r.RadiusMM + 2
			if s > -near && s < near && length < 4*near || s < length+near && s > length-near && length < 4*near {
				return true
			}
		}
	}
	return false
}
