package synth

import "math"

// lamp is a light ready for tracing.
type lamp struct {
	c, u, v, n vec
	uu, vv     float64 // squared half lengths
	area       float64
	le         rgb     // radiance
	fraction   float64 // chance to be chosen
}

func fromArray(a [3]float64) vec { return vec{a[0], a[1], a[2]} }

func (w *world) makeLights() {
	total := 0.0
	for _, l := range w.s.Lights {
		a := lamp{c: fromArray(l.AtMM), u: fromArray(l.UMM), v: fromArray(l.VMM)}
		cr := a.u.cross(a.v)
		a.area, a.n = 4*cr.norm(), cr.unit()
		a.uu, a.vv = a.u.dot(a.u), a.v.dot(a.v)
		// Irradiance E = L A cos / d² at the origin, facing the light.
		d2 := a.c.dot(a.c)
		cos := math.Abs(a.n.dot(a.c)) / math.Sqrt(d2)
		a.le = rgb(l.Irradiance).scale(d2 / (a.area * cos))
		w.lights = append(w.lights, a)
		total += rgb(l.Irradiance).luma()
		w.power = append(w.power, total)
	}
	last := 0.0
	for i := range w.power {
		w.power[i] /= total
		w.lights[i].fraction, last = w.power[i]-last, w.power[i]
	}
}

// surroundings is the light from a direction in which nothing of the scene stands. density
// is how likely (per solid angle) a mirrored path took this direction: lamps then count by
// their part of the two ways to find them (E. Veach, 1997, balance heuristic). With density
// 0 lamps are left out: a matt surface has them from direct alone.
func (w *world) surroundings(o, d vec, density float64) rgb {
	if density > 0 {
		best, part := math.Inf(1), 0.0
		var le rgb
		for i := range w.lights {
			l := &w.lights[i]
			cos := l.n.dot(d)
			t := l.n.dot(l.c.sub(o)) / cos
			if !(t > 0) || t >= best {
				continue
			}
			q := o.at(d, t).sub(l.c)
			if math.Abs(q.dot(l.u)) <= l.uu && math.Abs(q.dot(l.v)) <= l.vv {
				other := l.fraction * t * t / (l.area * math.Abs(cos))
				best, le, part = t, l.le, density/(density+other)
			}
		}
		if w.s.PhoneShadow {
			if t, ok := w.meetsPhone(o, d); ok && t < best {
				return w.amb.scale(0.02)
			}
		}
		if w.workshop != nil {
			return w.workshop.seen(w.amb, o, d, best, le.scale(part))
		}
		if best < math.Inf(1) {
			return le.scale(part)
		}
	}
	if w.workshop != nil {
		return w.workshop.seen(w.amb, o, d, math.Inf(1), rgb{})
	}
	// A room: bright ceiling, darker walls, uneven.
	up := max(0, d.z)
	k := 0.45 + 0.75*up
	if b := w.s.CeilingBands; b > 0 && d.z > 0 {
		s := 1 / (0.25 + d.z)
		k *= math.Exp(b * (0.8*w.noise[0].at(d.x*s*1.7+20, d.y*s*1.7) + 0.5*w.noise[1].at(d.x*s*4.3, d.y*s*4.3+9)))
	}
	return w.amb.scale(k / math.Pi)
}

// meetsPhone tells whether a ray runs into the phone that takes the picture.
func (w *world) meetsPhone(o, d vec) (t float64, ok bool) {
	n := w.axes[2]
	den := n.dot(d)
	if den == 0 {
		return
	}
	c := w.eye.at(w.axes[2], -1)
	t = n.dot(c.sub(o)) / den
	if t <= 0 {
		return
	}
	q := o.at(d, t).sub(c)
	x, y := q.dot(w.axes[0]), q.dot(w.axes[1])
	if w.s.Width < w.s.Height {
		x, y = y, x
	}
	// The lens sits near one end of a body of 150 by 72 mm; fingers widen it.
	return t, x > -25 && x < 128 && y > -22 && y < 52
}

// direct is the light that one lamp, chosen by its fraction of all power, sends from p off a surface.
func (w *world) direct(p vec, gn vec, s *surface, view vec, u [2]float64, r *random) rgb {
	if len(w.lights) == 0 {
		return rgb{}
	}
	pick, i := r.unit(), 0
	for pick > w.power[i] && i < len(w.power)-1 {
		i++
	}
	l := &w.lights[i]
	q := l.c.at(l.u, 2*u[0]-1).at(l.v, 2*u[1]-1)
	d := q.sub(p)
	d2 := d.dot(d)
	dist := math.Sqrt(d2)
	d = d.mul(1 / dist)
	nl := s.n.dot(d)
	if nl <= 0 || gn.dot(d) <= 0 {
		return rgb{}
	}
	density := l.fraction * d2 / (math.Abs(l.n.dot(d)) * l.area)
	f := s.diff.scale(1 / math.Pi)
	if s.pd < 1 {
		g, mirrored := s.glossy(view, d)
		f = f.add(g.scale(density / (density + mirrored*(1-s.pd))))
	}
	f = f.scale(nl / density)
	if f.luma()*l.le.luma() < 1e-4*w.white || w.meet(p, d, 1e-4, dist-1e-3).on != onNothing {
		return rgb{}
	}
	if w.workshop != nil && w.workshop.shaded(p, q) {
		return rgb{}
	}
	return l.le.mul(f)
}

// glossy is the GGX reflectance function (Walter et al., Eurographics Symposium on
// Rendering 2007), roughness differing along and across, and how likely mirror draws l.
func (s *surface) glossy(v, l vec) (f rgb, density float64) {
	nv, nl := s.n.dot(v), s.n.dot(l)
	if nv <= 0 || nl <= 0 {
		return rgb{}, 0
	}
	h := v.add(l).unit()
	t, b := frame(s.n, s.tan)
	ht, hb, hn := h.dot(t)/s.ax, h.dot(b)/s.ay, h.dot(s.n)
	e := ht*ht + hb*hb + hn*hn
	d := 1 / (math.Pi * s.ax * s.ay * e * e)
	vh := h.dot(v)
	return s.fresnel(vh).scale(d * s.shadowing(v, t, b) * s.shadowing(l, t, b) / (4 * nv * nl)), d * hn / (4 * vh)
}

// fresnel is Schlick's approximation.
func (s *surface) fresnel(c float64) rgb {
	k := 1 - max(0, min(1, c))
	k *= k * k * k * k
	return rgb{s.spec[0] + (1-s.spec[0])*k, s.spec[1] + (1-s.spec[1])*k, s.spec[2] + (1-s.spec[2])*k}
}

// shadowing is Smith's term for one direction.
func (s *surface) shadowing(v, t, b vec) float64 {
	vt, vb, vn := v.dot(t)*s.ax, v.dot(b)*s.ay, v.dot(s.n)
	if vn <= 0 {
		return 0
	}
	return 2 / (1 + math.Sqrt(1+(vt*vt+vb*vb)/(vn*vn)))
}

// mirror draws a direction for the bright part; weight is what it carries, density how
// likely it was drawn.
func (s *surface) mirror(view vec, u [2]float64) (d vec, weight rgb, density float64) {
	t, b := frame(s.n, s.tan)
	// A normal of the facets, after Walter et al., equations 35 and 36.
	k := math.Sqrt(u[0] / (1 - u[0]))
	si, co := math.Sincos(2 * math.Pi * u[1])
	h := t.mul(s.ax * k * co).add(b.mul(s.ay * k * si)).add(s.n).unit()
	vh := view.dot(h)
	if vh <= 0 {
		return vec{}, rgb{}, 0
	}
	d = h.mul(2 * vh).sub(view)
	nl, nv := s.n.dot(d), s.n.dot(view)
	if nl <= 0 || nv <= 0 {
		return vec{}, rgb{}, 0
	}
	w := s.shadowing(view, t, b) * s.shadowing(d, t, b) * vh / (nv * s.n.dot(h))
	hn := s.n.dot(h)
	ht, hb := h.dot(t)/s.ax, h.dot(b)/s.ay
	e := ht*ht + hb*hb + hn*hn
	return d, s.fresnel(vh).scale(min(w, 3)), hn / (math.Pi * s.ax * s.ay * e * e * 4 * vh)
}
