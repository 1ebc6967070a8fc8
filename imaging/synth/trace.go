package synth

import (
	"math"

	"bucktail/imaging/geom"
)

const farMM = 1e5

func sheetPoint(p vec) geom.SheetPoint { return geom.SheetPoint{X: p.x, Y: p.y} }

// light follows one path: the light that reaches o along the ray. density tells how likely
// the ray took this direction (see surroundings).
func (w *world) light(o, d vec, depth int, density float64, u [4]float64, r *random) rgb {
	m := w.meet(o, d, 1e-5, farMM)
	if m.on == onNothing {
		return w.surroundings(o, d, density)
	}
	return w.leaving(&m, d, depth, nil, u, r)
}

// seen is what is kept of a path's first meeting: the spot's own colour (its matt
// reflectance, or 1 where it shines; in workshop scenes what it shines with), and a guide.
type seen struct {
	tone  rgb
	guide guide
}

// leaving is the light that leaves a met spot back along the ray d. When first is not nil,
// it gets what the spot is like.
func (w *world) leaving(m *meeting, d vec, depth int, first *seen, u [4]float64, r *random) rgb {
	view := d.mul(-1)
	if m.n.dot(view) < 0 {
		m.n = m.n.mul(-1)
	}
	s := w.surfaceAt(m, depth)
	if nv := s.n.dot(view); nv < 0.02 { // a bump may not turn away from the eye
		s.n = s.n.at(view, 0.05-nv).unit()
	}
	p := m.p.at(m.n, 2e-4)
	if first != nil {
		if s.pd >= 0.8 {
			first.tone = s.diff
		} else if w.workshop != nil {
			first.tone = s.spec
		}
		for i := range first.tone {
			if w.workshop != nil {
				first.tone[i] = max(first.tone[i], 0.004)
			}
		}
		first.guide = guide{float32(s.n.x), float32(s.n.y), float32(s.ax)}
	}
	out := w.direct(p, m.n, &s, view, [2]float64{u[2], u[3]}, r).add(s.glow)
	if s.pd < 1 && (s.pd == 0 || r.unit() >= s.pd) {
		k := 1 / (1 - s.pd)
		nd, weight, density := s.mirror(view, [2]float64{u[0], u[1]})
		if weight[1] == 0 || nd.dot(m.n) <= 0 || depth >= w.mirrors {
			return out.add(s.spec.mul(w.amb).scale(0.3 * k / math.Pi))
		}
		in := w.light(p, nd, depth+1, density*(1-s.pd), fresh(r), r)
		if s.pd >= 0.8 {
			in = tame(in, 1.5*w.white) // a coat's rare mirrored path
		}
		return out.add(weight.mul(in).scale(k))
	}
	k := 1.0
	if s.pd > 0 {
		k = 1 / s.pd
	}
	if depth >= w.bounces {
		return out.add(s.diff.mul(w.amb).scale(0.5 * k / math.Pi))
	}
	t, b := frame(s.n, vec{1, 0, 0})
	rad := math.Sqrt(u[0])
	si, co := math.Sincos(2 * math.Pi * u[1])
	nd := t.mul(rad * co).add(b.mul(rad * si)).add(s.n.mul(math.Sqrt(max(0, 1-u[0]))))
	if nd.dot(m.n) <= 1e-4 {
		return out
	}
	in := tame(w.light(p, nd, depth+1, 0, fresh(r), r), 1.5*w.white)
	return out.add(s.diff.mul(in).scale(k))
}

func fresh(r *random) [4]float64 { return [4]float64{r.unit(), r.unit(), r.unit(), r.unit()} }

// tame limits a path's light: one that finds a lamp in a facet must not outshine all others.
func tame(c rgb, limit float64) rgb {
	for k := range c {
		c[k] = min(c[k], limit)
	}
	return c
}

// taken is what a pixel's paths brought: sums of the light, of its brightness squared and
// of the colour of what was met first.
type taken struct {
	light, tone rgb
	square      float64
	// Of workshop scenes.
	guide guide
	parts []part
}

// pixel follows n paths through a square of span by span pixels, (i, j) its first. Their first coordinates are spread evenly (an
// additive recurrence with the root of x^9 = x + 1, after Kronecker and Korobov).
func (w *world) pixel(i, j int, span float64, n int, r *random) (sum taken) {
	var shift [8]float64
	for k := range shift {
		shift[k] = r.unit()
	}
	for range n {
		for k := range shift {
			shift[k] += recurrence[k]
			if shift[k] >= 1 {
				shift[k]--
			}
		}
		o, d := w.through(float64(i)-0.5+span*shift[0], float64(j)-0.5+span*shift[1], shift[2], shift[3])
		m := w.meet(o, d, 1e-5, farMM)
		var c rgb
		first := seen{tone: rgb{1, 1, 1}}
		if m.on == onNothing {
			c = w.surroundings(o, d, 0)
		} else {
			c = w.leaving(&m, d, 0, &first, [4]float64{shift[4], shift[5], shift[6], shift[7]}, r)
		}
		tone := first.tone
		sum.guide.nx, sum.guide.ny, sum.guide.rough = sum.guide.nx+first.guide.nx, sum.guide.ny+first.guide.ny, sum.guide.rough+first.guide.rough
		c = tame(c, w.most)
		sum.light, sum.tone = sum.light.add(c), sum.tone.add(tone)
		if w.workshop != nil {
			sum.parts = addPart(sum.parts, part{w.markOf(&m), 1, c})
		}
		y := c.luma() / tone.luma()
		sum.square += y * y
	}
	return sum
}

var recurrence = func() (a [8]float64) {
	g := 1.0850702454914509 // the real root of x^9 = x + 1
	for k := range a {
		a[k] = math.Mod(math.Pow(1/g, float64(k+1)), 1)
	}
	return a
}()

// through gives the ray of a pixel position and a place on the lens.
func (w *world) through(u, v, l0, l1 float64) (o, d vec) {
	x, y := w.ray(u, v)
	a := w.s.Lens.ApertureMM
	if a == 0 {
		return w.eye, w.axes[0].mul(x).add(w.axes[1].mul(y)).add(w.axes[2]).unit()
	}
	rad := a * math.Sqrt(l0)
	s, c := math.Sincos(2 * math.Pi * l1)
	lx, ly := rad*c, rad*s
	f := w.s.Lens.FocusMM
	o = w.eye.add(w.axes[0].mul(lx)).add(w.axes[1].mul(ly))
	d = w.axes[0].mul(x*f - lx).add(w.axes[1].mul(y*f - ly)).add(w.axes[2].mul(f)).unit()
	return o, d
}

// first tells what the middle of a pixel shows, as a number that differs between things.
func (w *world) first(i, j int) uint16 {
	x, y := w.ray(float64(i), float64(j))
	m := w.meet(w.eye, w.axes[0].mul(x).add(w.axes[1].mul(y)).add(w.axes[2]), 1e-5, farMM)
	return w.markOf(&m)
}

// markOf is a number that differs between things, their parts, and paper and print.
func (w *world) markOf(m *meeting) uint16 {
	id := uint16(m.on) | uint16(m.head*int(zones)+int(m.zone))<<4
	if m.on == onFace && w.paper.ink(w.paper.onCard(m.p)) > 0.5 {
		id |= 1 << 12
	}
	return id
}
