package plane

import (
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/cores"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

const (
	// One edge point every so many pixels along a border: neighbours then share little of
	// the pixels' noise. At least minPoints, at most maxPoints.
	pointEveryPx         = 2.5
	minPoints, maxPoints = 20, 80
	// Errors of the print, the paper's grain and the lens are alike along a border, so a
	// whole border counts as this many independent points.
	ringFreedom = 6.0
	// The least step of linear light that is an edge: half a level of a middle grey.
	leastStep = 0.002
	// A step weaker than this fraction of the card's median one is glare, a shadow's border or dirt.
	weakStep = 0.3
	// Half width of a profile: half the ring's line of 0.9 mm, a little less.
	firstHalfMM = 0.42
	// Later rounds start close, so a shorter profile keeps clear of neighbouring print.
	laterHalfPx = 9.0
)

// border is one printed border of a target: its radius at no gain, and which way the gain
// moves it.
type border struct {
	radiusMM float64
	gain     float64 // +1: ink grows outward
	rising   float64 // +1: brighter outward
}

func borders(full bool) []border {
	b := []border{{card.RingOuterRadiusMM, 1, 1}, {card.RingInnerRadiusMM, -1, -1}}
	if full {
		b = append(b, border{card.DotRadiusMM, 1, 1})
	}
	return b
}

// edge is what one profile across a border shows.
type edge struct {
	offset   float64 // px along the normal from the profile's middle
	dark     float64 // linear light
	bright   float64
	spreadPx float64 // standard deviation of the edge spread
}

// profiler samples profiles; it keeps its memory.
type profiler struct {
	g    *raster.Grey
	vals [96]float64
}

// edge finds the border on the profile through (u, v) along the unit normal (nu, nv), half
// pixels to either side, brighter outward for rising = 1. It is placed at the half level
// between the two plateaus, in linear light.
func (pr *profiler) edge(u, v, nu, nv, half, rising float64) (edge, bool) {
	g := pr.g
	n := min(max(int(math.Ceil(4*half))+1, 17), len(pr.vals))
	step := 2 * half / float64(n-1)
	if a, b := u-half*nu, u+half*nu; math.Min(a, b) < 0 || math.Max(a, b) > float64(g.W-1) {
		return edge{}, false
	}
	if a, b := v-half*nv, v+half*nv; math.Min(a, b) < 0 || math.Max(a, b) > float64(g.H-1) {
		return edge{}, false
	}
	vals := pr.vals[:n]
	if rising < 0 {
		nu, nv = -nu, -nv
	}
	linear, w := &raster.Linear64, g.W
	for k := range vals {
		d := float64(k)*step - half
		x, y := u+d*nu, v+d*nv
		ix, iy := int(x), int(y)
		if !(x >= 0 && y >= 0 && ix < w-1 && iy < g.H-1) { // on the border or, by rounding, beyond it
			vals[k] = g.SampleLinear(x, y)
			continue
		}
		fx, fy := x-float64(ix), y-float64(iy)
		at := iy*w + ix
		p, q := g.Pix[at:at+2:at+2], g.Pix[at+w:at+w+2:at+w+2]
		vals[k] = raster.Bilinear(linear[p[0]], linear[p[1]], linear[q[0]], linear[q[1]], fx, fy)
	}
	q := n / 5
	var e edge
	for k := 0; k < q; k++ {
		e.dark += vals[k] / float64(q)
		e.bright += vals[n-1-k] / float64(q)
	}
	c := e.bright - e.dark
	if !(c > leastStep) {
		return e, false
	}
	at, ok := crossing(vals, e.dark+0.5*c)
	if !ok {
		return e, false
	}
	lo, ok1 := crossingFrom(vals, at, -1, e.dark+0.25*c)
	hi, ok2 := crossingFrom(vals, at, 1, e.dark+0.75*c)
	if !ok1 || !ok2 {
		return e, false
	}
	e.offset = rising * (at*step - half)
	// From the quarter to the three quarter level a normal step takes 2 · 0.6745 sigma.
	e.spreadPx = (hi - lo) * step / 1.349
	return e, true
}

// crossing gives the place, in samples, where vals rises through level, the one nearest the
// middle; false where it never does.
func crossing(vals []float64, level float64) (float64, bool) {
	mid := float64(len(vals)-1) / 2
	best, bestD := 0.0, math.Inf(1)
	for k := 1; k < len(vals); k++ {
		a, b := vals[k-1], vals[k]
		if a < level && b >= level {
			at := float64(k-1) + (level-a)/(b-a)
			if d := math.Abs(at - mid); d < bestD {
				best, bestD = at, d
			}
		}
	}
	return best, bestD < mid
}

// crossingFrom walks from at down (dir -1) or up (dir 1) to where vals passes level.
func crossingFrom(vals []float64, at float64, dir int, level float64) (float64, bool) {
	if dir > 0 {
		for k := int(math.Floor(at)) + 1; k < len(vals); k++ {
			if vals[k] >= level {
				a, b := vals[k-1], vals[k]
				if b <= a {
					return float64(k), true
				}
				return math.Max(at, float64(k-1)+(level-a)/(b-a)), true
			}
		}
		return 0, false
	}
	for k := int(math.Floor(at)); k >= 0; k-- {
		if vals[k] <= level {
			a, b := vals[k], vals[k+1]
			if b <= a {
				return float64(k), true
			}
			return math.Min(at, float64(k)+(level-a)/(b-a)), true
		}
	}
	return 0, false
}

// borderLook is one printed border of one target, and what is seen of it.
type borderLook struct {
	border
	target, index int
	points        int // looked for
	obs           []obs
	edges         []edge
}

// lookOut lists the borders of the used targets in s.borders.
func (s *solver) lookOut() {
	n := 0
	for ti, t := range s.layout.Targets {
		if !s.use[ti] {
			continue
		}
		for bi, b := range borders(t.Full) {
			if len(s.borders) <= n {
				s.borders = append(s.borders, borderLook{obs: make([]obs, 0, maxPoints), edges: make([]edge, 0, maxPoints)})
			}
			l := &s.borders[n]
			l.border, l.target, l.index = b, ti, bi
			n++
		}
	}
	s.borders = s.borders[:n]
}

// look finds the edge points of one border from the view v.
func (s *solver) look(v *view, pr *profiler, b *borderLook, half func(pxPerMM float64) float64) {
	b.obs, b.edges = b.obs[:0], b.edges[:0]
	var p projection
	o := &s.options
	t := &s.layout.Targets[b.target]
	b.points = s.points(v, t.At, b.radiusMM)
	for k := range b.points {
		sn, cs := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(b.points))
		ob := obs{
			x: o.PrintScaleX * (t.At.X + b.radiusMM*cs), y: -o.PrintScaleY * (t.At.Y + b.radiusMM*sn), z: o.ThicknessMM,
			gx: o.PrintScaleX * b.gain * cs, gy: -o.PrintScaleY * b.gain * sn,
			target: b.target, border: b.index,
		}
		if !v.project(ob.x+ob.gx*v.gain, ob.y+ob.gy*v.gain, ob.z, &p, true) {
			continue
		}
		// Tangent in the picture, and the normal that points out of the ring.
		rx, ry := o.PrintScaleX*cs, -o.PrintScaleY*sn
		tx, ty := -o.PrintScaleX*sn, -o.PrintScaleY*cs
		tu, tv := p.du[0]*tx+p.du[1]*ty, p.dv[0]*tx+p.dv[1]*ty
		ru, rv := p.du[0]*rx+p.du[1]*ry, p.dv[0]*rx+p.dv[1]*ry
		l := math.Hypot(tu, tv)
		nu, nv := tv/l, -tu/l
		scale := nu*ru + nv*rv // px per mm of radius along the normal
		if scale < 0 {
			nu, nv, scale = -nu, -nv, -scale
		}
		e, ok := pr.edge(p.u, p.v, nu, nv, half(scale), b.rising)
		if !ok {
			continue
		}
		ob.nu, ob.nv = nu, nv
		ob.u, ob.v = p.u+e.offset*nu, p.v+e.offset*nv
		ob.weight = ringFreedom / float64(b.points)
		b.obs, b.edges = append(b.obs, ob), append(b.edges, e)
	}
}

// levels are the card's medians over all edge points.
type levels struct{ dark, bright, spreadPx float64 }

// sample finds the edge points of all used targets from the view x of frame fr. half gives
// the profile's half width in px for a scale in px per mm along the normal.
func (s *solver) sample(fr *frame, x []float64, half func(pxPerMM float64) float64) ([]obs, levels) {
	v := fr.view(x)
	s.lookOut()
	cores.Stretches(len(s.borders), 4, func(i0, i1 int) {
		pr := profiler{g: s.pic.Y}
		for i := i0; i < i1; i++ {
			s.look(&v, &pr, &s.borders[i], half)
		}
	})
	out := s.obs[:0]
	darks, brights, spreads := s.darks[:0], s.brights[:0], s.spreads[:0]
	clear(s.tried)
	for i := range s.borders {
		b := &s.borders[i]
		s.tried[b.target] += b.points
		// A border seen by less than a third says more of what covers it.
		if len(b.obs) < b.points/3 {
			continue
		}
		out = append(out, b.obs...)
		for _, e := range b.edges {
			darks, brights, spreads = append(darks, e.dark), append(brights, e.bright), append(spreads, e.spreadPx)
		}
	}
	contrast := s.contrast[:0]
	for i := range out {
		contrast = append(contrast, brights[i]-darks[i])
	}
	s.contrast = contrast
	all := append(s.scratch[:0], contrast...)
	limit := weakStep * fit.Median(all)
	kept := 0
	for i := range out {
		if contrast[i] >= limit {
			out[kept] = out[i]
			darks[kept], brights[kept], spreads[kept] = darks[i], brights[i], spreads[i]
			kept++
		}
	}
	out = out[:kept]
	s.obs, s.darks, s.brights, s.spreads, s.scratch = out, darks, brights, spreads, all
	lv := levels{math.NaN(), math.NaN(), math.NaN()}
	if kept > 0 {
		lv = levels{fit.Median(darks[:kept]), fit.Median(brights[:kept]), fit.Median(spreads[:kept])}
	}
	return out, lv
}

// points gives the number of edge points for a border of radius r about the target at p.
func (s *solver) points(v *view, p geom.CardPoint, r float64) int {
	at := toSheet(&s.options, p)
	var q projection
	if !v.project(at.X, at.Y, s.options.ThicknessMM, &q, true) {
		return minPoints
	}
	scale := math.Sqrt(math.Abs(q.du[0]*q.dv[1] - q.du[1]*q.dv[0]))
	return min(max(int(2*math.Pi*r*scale/pointEveryPx), minPoints), maxPoints)
}

// toSheet is the place of a printed point under options o.
func toSheet(o *Options, p geom.CardPoint) geom.SheetPoint {
	return geom.SheetPoint{X: o.PrintScaleX * p.X, Y: -o.PrintScaleY * p.Y}
}
