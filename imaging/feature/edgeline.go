package feature

import (
	"math"

	"bucktail/imaging/geom"
)

const (
	minSupportMM = 5   // shorter lines are text, scratches, corners
	reachAlongMM = 120 // how far along the line from the seed's middle it is followed
	faintEdgeZ   = 5.0 // fainter lines are not even a doubt
	minEdgeZ     = 7.0 // chance lines reach 6 to 7 in brushed metal, true joints start there
)

// settle follows a seed on the full picture and places it, or refuses it.
func (f *edgeFinder) settle(g *strip, s seed) (Edge, bool) {
	mid, dir := s.a.Add(s.b).Scale(0.5), s.direction()
	out := f.outward(mid, dir)
	half := s.b.Sub(s.a).Norm() / 2
	from, to := f.clip(mid, dir)
	// First look: the seed's own stretch and a bit more, over small turns and shifts.
	f.straightenFrom(f.middle, g, mid, dir, out, max(from, -half-3), min(to, half+3))
	l, ok := g.bestLine(0.4, 0.018, f.opt.Fasteners)
	if !ok {
		return Edge{}, false
	}
	// Second look, along the whole line, straightened on what was found.
	mid, dir, out = l.move(mid, dir, out)
	from, to = f.clip(mid, dir)
	f.straightenFrom(f.middle, g, mid, dir, out, from, to)
	l, ok = g.bestLine(0.25, 0.006, f.opt.Fasteners)
	if !ok && s.tapped {
		// Short and faint: alone the stretch that the user pointed at shows it.
		f.straightenFrom(f.middle, g, mid, dir, out, max(from, -half-3), min(to, half+3))
		l, ok = g.bestLine(0.25, 0.006, f.opt.Fasteners)
	}
	if !ok {
		return Edge{}, false
	}
	return f.place(g, l, s)
}

// move gives the frame whose n = 0 is the line l of the frame (mid, dir, out).
func (l stripLine) move(mid, dir, out geom.SheetPoint) (m, d, o geom.SheetPoint) {
	return mid.Add(out.Scale(l.n)), swing(dir, out, l.slope), swing(out, dir, -l.slope)
}

// swing gives the unit vector a turned toward b by the small angle whose tangent is t.
func swing(a, b geom.SheetPoint, t float64) geom.SheetPoint {
	c := a.Add(b.Scale(t))
	return c.Scale(1 / c.Norm())
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

// clip gives the stretch of the line that lies in the view.
func (f *edgeFinder) clip(mid, dir geom.SheetPoint) (from, to float64) {
	v := f.view
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

// stripLine is a line in a strip: at s it lies at n + slope s.
type stripLine struct {
	n, slope float64
	z        float64 // strength over chance
	kind     int     // of the response: 0 step, 1 ridge
	sign     float64 // of the response
}

// sample gives the line's sample at chunk c.
func (g *strip) sample(l *stripLine, c int) int {
	return int(math.Round((l.n + l.slope*g.s(c) - g.n0) / g.h))
}

// bestLine finds the line within maxN mm of n = 0 and maxSlope of its direction that has
// the greatest sum of softened responses.
func (g *strip) bestLine(maxN, maxSlope float64, fasteners []Round) (stripLine, bool) {
	g.seen = 0
	for _, h := range g.hidden {
		if !h {
			g.seen++
		}
	}
	if g.seen == 0 {
		return stripLine{}, false
	}
	g.respond(fasteners)
	for kind := range g.resp {
		sigma := g.sigma(g.resp[kind])
		if sigma == 0 {
			clear(g.resp[kind])
			continue
		}
		g.soften(g.resp[kind], sigma)
	}
	g.pack()
	g.alongFace()
	l := g.search(stripLine{}, maxN, maxSlope, 0, g.chunks-1)
	return l, l.z > 3.5
}

// search finds the strongest line within maxN mm and maxSlope of l over chunks c0 to c1.
func (g *strip) search(l stripLine, maxN, maxSlope float64, c0, c1 int) stripLine {
	best := stripLine{}
	mid := (g.s(c0) + g.s(c1)) / 2
	// from turn to turn the ends move by less than a sample
	turns := min(max(int(maxSlope*(g.s(c1)-mid)/(0.7*g.h)), 4), 24)
	var norm [2]float64
	for kind := range norm {
		norm[kind] = 1 / (g.unit * math.Sqrt(float64(max(g.seen, 1))) * g.chance[kind])
	}
	for t := -turns; t <= turns; t++ {
		slope := l.slope + maxSlope*float64(t)/float64(turns)
		at := l.n + (l.slope-slope)*mid // so that the middle of the chunks stays
		i0, i1 := int((at-maxN-g.n0)/g.h), int((at+maxN-g.n0)/g.h)
		for i, w := range g.sums(slope, i0, i1, c0, c1) {
			for kind, s := range w.lanes() {
				if z := float64(s.plain+max(s.signed, -s.signed)) * norm[kind]; z > best.z {
					best = stripLine{n: g.n(i0 + i), slope: slope, z: z, kind: kind, sign: 1}
					if s.signed < 0 {
						best.sign = -1
					}
				}
			}
		}
	}
	return best
}

// alongCard tells whether most of the seen stretch lies beside the card's border: its edge
// or its shadow.
func (f *edgeFinder) alongCard(g *strip, l *stripLine, c0, c1 int) bool {
	near, n := 0, 0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] {
			continue
		}
		n++
		s := g.s(c)
		if f.opt.OnCard(g.o.Add(g.dir.Scale(s)).Add(g.out.Scale(l.n+l.slope*s)), 1.3) {
			near++
		}
	}
	return 10*near > 6*n
}
