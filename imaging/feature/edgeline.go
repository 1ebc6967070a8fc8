package feature

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
)

const (
	minSupportMM = 5   // shorter lines are text, scratches, corners
	reachAlongMM = 120 // how far along the line from the seed's middle it is followed
	minEdgeZ     = 7.0 // chance lines reach 6 to 7 in brushed metal, true joints start there
)

// settle follows a seed on the full picture and places it, or refuses it.
func (f *edgeFinder) settle(s seed) (Edge, bool) {
	mid, dir := s.a.Add(s.b).Scale(0.5), s.direction()
	out := f.outward(mid, dir)
	half := s.b.Sub(s.a).Norm() / 2
	from, to := f.clip(mid, dir)
	// First look: the seed's own stretch and a bit more, over small turns and shifts.
	g := f.straighten(mid, dir, out, max(from, -half-3), min(to, half+3))
	l, ok := g.bestLine(0.4, 0.018)
	if !ok {
		return Edge{}, false
	}
	// Second look, along the whole line, straightened on what was found.
	mid, dir, out = l.move(mid, dir, out)
	from, to = f.clip(mid, dir)
	g = f.straighten(mid, dir, out, from, to)
	l, ok = g.bestLine(0.25, 0.006)
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
	ridge    bool
	sign     float64   // of the response
	resp     []float64 // the strip's responses of that kind
	sigma    float64   // their usual size
}

// sample gives the line's sample at chunk c.
func (g *strip) sample(l *stripLine, c int) int {
	return int(math.Round((l.n + l.slope*g.s(c) - g.n0) / g.h))
}

// bestLine finds the line within maxN mm of n = 0 and maxSlope of its direction that has
// the greatest sum of softened responses.
func (g *strip) bestLine(maxN, maxSlope float64) (stripLine, bool) {
	step, ridge := g.responses()
	best := stripLine{}
	used := 0
	for _, h := range g.hidden {
		if !h {
			used++
		}
	}
	if used == 0 {
		return best, false
	}
	for kind, resp := range [2][]float64{step, ridge} {
		sigma := g.sigma(resp)
		if sigma == 0 {
			continue
		}
		g.soften(resp, sigma)
		norm := 1 / (math.Sqrt(float64(used)) * g.chance(resp, used))
		const turns = 8
		for t := -turns; t <= turns; t++ {
			l := stripLine{slope: maxSlope * float64(t) / turns, ridge: kind == 1, resp: resp, sigma: sigma}
			for i := int((-maxN - g.n0) / g.h); i <= int((maxN-g.n0)/g.h); i++ {
				l.n = g.n(i)
				plus, minus := g.sum(&l)
				if z := max(plus, minus) * norm; z > best.z {
					best, best.z, best.sign = l, z, 1
					if minus > plus {
						best.sign = -1
					}
				}
			}
		}
	}
	return best, best.z > 3.5
}

// A softened response beyond this is hardly chance, so its sign is free: what lies outside
// of an edge may be darker here and brighter there.
const plainResponse = 2.4

// signed gives how much a softened response says for a line of that sign.
func signed(y, sign float64) float64 {
	if math.Abs(y) > plainResponse {
		return math.Abs(y)
	}
	return sign * y
}

// sum adds the responses along l, for a line of either sign.
func (g *strip) sum(l *stripLine) (plus, minus float64) {
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		if j := g.sample(l, c); j >= 0 && j < g.k {
			y := l.resp[c*g.k+j]
			plus += signed(y, 1)
			minus += signed(y, -1)
		}
	}
	return plus, minus
}

// soften turns responses into multiples of sigma of which one chunk counts at most 5: the
// order is kept, one bright speck can't carry a line. A response beside a stronger one
// counts less, so that the flanks of a strong line don't blur its place.
func (g *strip) soften(resp []float64, sigma float64) {
	near := max(1, int(0.35/g.h))
	mag := make([]float64, g.k)
	for c := range g.chunks {
		row := resp[c*g.k : (c+1)*g.k]
		for i, x := range row {
			mag[i] = math.Abs(x) / sigma
		}
		for i, x := range row {
			top := 3.0
			for _, m := range mag[max(0, i-near):min(g.k, i+near+1)] {
				top = max(top, m)
			}
			m := mag[i]
			y := m / (1 + m/5)
			if top > 3 {
				y *= m / top
			}
			row[i] = math.Copysign(y, x)
		}
	}
}

// chance gives how much greater than for independent chunks the sums of softened
// responses are along the lines of the sheet's own face: brushing runs along lines too.
func (g *strip) chance(resp []float64, used int) float64 {
	var zs []float64
	for t := -2; t <= 2; t++ {
		l := stripLine{slope: 0.006 * float64(t), resp: resp}
		for i := 0; g.n(i) < -0.5; i += 2 {
			l.n = g.n(i)
			plus, minus := g.sum(&l)
			zs = append(zs, max(plus, minus))
		}
	}
	if len(zs) == 0 {
		return 1
	}
	slices.Sort(zs)
	return max(1, zs[len(zs)/2]/0.6745/math.Sqrt(float64(used)))
}

// sigma gives the usual size of a chunk's response, from the inner side, where the
// sheet's own face lies.
func (g *strip) sigma(resp []float64) float64 {
	var xs []float64
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		for i := 0; i < g.k; i += 2 {
			if x := resp[c*g.k+i]; x != 0 && g.n(i) < -0.3 {
				xs = append(xs, math.Abs(x))
			}
		}
	}
	if len(xs) < 20 {
		return 0
	}
	slices.Sort(xs)
	return max(xs[len(xs)/2]/0.6745, 0.004)
}

// evidence gives for each chunk how well it shows the line l: the softened response of
// l's sign, less than nothing where a stronger one lies close beside it (then the line
// only grazes another).
func (g *strip) evidence(l *stripLine) []float64 {
	ev := make([]float64, g.chunks)
	near := int(math.Ceil(0.35 / g.h))
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		j := g.sample(l, c)
		if j < 1 || j >= g.k-1 {
			continue
		}
		row := l.resp[c*g.k : (c+1)*g.k]
		play := max(1, int(0.08/g.h))
		at, beside := -5.0, -5.0
		for i := max(0, j-near); i <= min(g.k-1, j+near); i++ {
			x := signed(row[i], l.sign)
			if abs(i-j) <= play {
				at = max(at, x)
			} else {
				beside = max(beside, x)
			}
		}
		if beside > at+1 {
			at = min(at, 0) - 1
		}
		ev[c] = at
	}
	return ev
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

// longestRun gives the stretch with the greatest sum of evidence less a threshold, hidden
// chunks counting nothing, and how many seen chunks it has.
func longestRun(evidence []float64, hidden []bool) (c0, c1, seen int) {
	const less = 0.7
	best, sum, start := 0.0, 0.0, -1
	c0, c1 = 0, -1
	for c, e := range evidence {
		if hidden[c] {
			continue
		}
		if start < 0 || sum <= 0 {
			sum, start = 0, c
		}
		sum += e - less
		if sum > best {
			best, c0, c1 = sum, start, c
		}
	}
	for c := c0; c <= c1; c++ {
		if !hidden[c] {
			seen++
		}
	}
	return c0, c1, seen
}
