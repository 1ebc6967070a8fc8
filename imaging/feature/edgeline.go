package feature

import (
	"math"

	"bucktail/imaging/geom"
)

const (
	minSupportMM = 5   // shorter lines are text, scratches, corners
	minTappedMM  = 3   // of a line that the user pointed at
	reachAlongMM = 120 // how far along the line from the seed's middle it is followed
	faintEdgeZ   = 5.0 // fainter lines are not even a doubt
	minEdgeZ     = 7.0 // chance lines reach 6 to 7 in brushed metal, true joints start there
)

// seed is a line to be followed.
type seed struct {
	segment
	tapped bool // the user pointed at it
}

// settle follows a seed on the full picture and places it, or refuses it.
func (f *edgeFinder) settle(g *strip, s seed) (Edge, bool) {
	mid, dir := s.a.Add(s.b).Scale(0.5), s.direction()
	at := stripFrame{mid, dir, f.outward(mid, dir)}
	half := s.b.Sub(s.a).Norm() / 2
	from, to := f.clip(at)
	// First look: the seed's own stretch and a bit more, over small turns and shifts.
	f.lay(g, f.middle, at, max(from, -half-3), min(to, half+3))
	l, ok := g.bestLine(0.4, 0.018)
	if !ok {
		return Edge{}, false
	}
	// Second look, along the whole line, in the frame of what was found.
	at = at.on(l)
	from, to = f.clip(at)
	f.lay(g, f.middle, at, from, to)
	l, ok = g.bestLine(0.25, 0.006)
	if !ok && s.tapped {
		// Short and faint: alone the stretch that the user pointed at shows it.
		f.lay(g, f.middle, at, max(from, -half-3), min(to, half+3))
		l, ok = g.bestLine(0.25, 0.006)
	}
	if !ok {
		return Edge{}, false
	}
	return f.place(g, l, s)
}

// segment gives the stretch of the frame's line halfMM to both sides of s = 0, as a line of
// strength z.
func (f stripFrame) segment(halfMM, z float64) segment {
	return segment{a: f.o.Sub(f.dir.Scale(halfMM)), b: f.o.Add(f.dir.Scale(halfMM)), z: z}
}

// lay samples a level of the photo into g.
func (f *edgeFinder) lay(g *strip, level photoLevel, at stripFrame, from, to float64) {
	g.lay(level, f.cam, f.cover, at, from, to)
}

// outward gives the unit normal of the line that points away from the nearest fastener.
func (f *edgeFinder) outward(mid, dir geom.SheetPoint) geom.SheetPoint {
	n := geom.SheetPoint{X: -dir.Y, Y: dir.X}
	best, side := math.Inf(1), 0.0
	for _, r := range f.opt.Fasteners {
		q := r.Centre.Sub(mid)
		// far along the line counts for less than across it
		d := math.Hypot(q.Dot(n), 0.5*max(0, math.Abs(q.Dot(dir))-8))
		if d < best {
			best, side = d, q.Dot(n)
		}
	}
	if side > 0 {
		return n.Scale(-1)
	}
	return n
}

// clip gives the stretch of the frame's line that lies in the view.
func (f *edgeFinder) clip(at stripFrame) (from, to float64) {
	v, mid, dir := f.view, at.o, at.dir
	x1, y1 := v.X0+float64(v.W-1)*v.StepMM, v.Y0+float64(v.H-1)*v.StepMM
	from, to = -reachAlongMM, reachAlongMM
	cut := func(p, d, lo, hi float64) {
		if math.Abs(d) < 1e-9 {
			return
		}
		a, b := (lo-p)/d, (hi-p)/d
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	cut(mid.X, dir.X, v.X0, x1)
	cut(mid.Y, dir.Y, v.Y0, y1)
	return from, to
}

// reachable tells whether some fastener could have its edge distance to the line, and none
// stands on it.
func (f *edgeFinder) reachable(s segment) bool {
	ok := len(f.opt.Fasteners) == 0
	mid := s.a.Add(s.b).Scale(0.5)
	for _, r := range f.opt.Fasteners {
		d := s.distance(r.Centre)
		if d < 0.55*r.RadiusMM && mid.Sub(r.Centre).Norm() < 20 {
			return false
		}
		ok = ok || d > 0.9*r.RadiusMM && d < reachD*f.opt.NominalDMM+0.5
	}
	return ok
}
