package synth

import "math"

// shape is a thing that rays can meet: hit finds the first meeting of o + t d beyond tMin
// and before tMax, its outward normal and which face of the shape it is.
type shape interface {
	hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool)
}

// lobe is a wave of a round thing's rim: amp of the radius, n waves a turn.
type lobe struct {
	n          int
	amp, phase float64
}

// lobedRadius is the radius in a direction (radians from the greatest width) as a fraction of
// the mean one.
func lobedRadius(lobes []lobe, angle float64) float64 {
	k := 1.0
	for _, l := range lobes {
		k += l.amp * math.Cos(float64(l.n)*angle+l.phase)
	}
	return k
}

// lobed is a solid of revolution whose rim waves. The meeting is found by going to and fro
// between direction and radius, which is exact for rays along the axis.
type lobed struct {
	*revolved
	lobes []lobe
	most  float64
}

func newLobed(h *revolved, lobes []lobe) shape {
	if len(lobes) == 0 {
		return h
	}
	l := &lobed{h, lobes, 1}
	for _, k := range lobes {
		l.most += math.Abs(k.amp)
	}
	h.ballR2 *= l.most * l.most
	return l
}

func (l *lobed) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	wider := l.most
	for range 3 {
		if t, n, face, ok = l.hitWidened(o, d, tMin, tMax, wider); !ok {
			return
		}
		q := o.at(d, t).sub(l.foot)
		wider = lobedRadius(l.lobes, math.Atan2(q.dot(l.ey)/l.sy, q.dot(l.ex)/l.sx))
	}
	return
}

// face3 is one of a convex solid's faces: n.p <= d within.
type face3 struct {
	n vec
	d float64
}

// poly is a convex solid.
type poly struct {
	faces  []face3
	ballAt vec
	ballR2 float64
}

// span gives where a ray enters and leaves the solid, and through which faces.
func (p *poly) span(o, d vec) (in, out float64, fin, fout int) {
	in, out, fin, fout = math.Inf(-1), math.Inf(1), -1, -1
	for i := range p.faces {
		f := &p.faces[i]
		den, gap := f.n.dot(d), f.d-f.n.dot(o)
		switch {
		case den < -1e-12:
			if t := gap / den; t > in {
				in, fin = t, i
			}
		case den > 1e-12:
			if t := gap / den; t < out {
				out, fout = t, i
			}
		case gap < 0:
			return 1, 0, -1, -1
		}
	}
	return
}

func (p *poly) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	if !meetsBall(o, d, p.ballAt, p.ballR2) {
		return
	}
	in, out, fin, _ := p.span(o, d)
	if in >= out || in <= tMin || in >= tMax || fin < 0 {
		return
	}
	return in, p.faces[fin].n, fin, true
}

func (p *poly) contains(q vec) bool {
	for i := range p.faces {
		if p.faces[i].n.dot(q) > p.faces[i].d {
			return false
		}
	}
	return true
}

func meetsBall(o, d, at vec, r2 float64) bool {
	c := at.sub(o)
	b := c.dot(d)
	return c.dot(c)-b*b/d.dot(d) <= r2
}

// newPrism is an upright prism over a regular polygon with n sides, apothem mm from its
// middle to each, from z0 to z1 above foot along ez. Faces 0 to n-1 are its sides, n the
// top, n+1 the bottom, the rest a chamfer of 30 degrees that leaves a flat of radius flat.
func newPrism(foot, ez, ex vec, n int, apothem, z0, z1, flat float64) *poly {
	tx, ty := frame(ez, ex)
	p := &poly{}
	put := func(nn vec, through vec) { p.faces = append(p.faces, face3{nn, nn.dot(through)}) }
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		u := tx.mul(c).add(ty.mul(s))
		put(u, foot.at(u, apothem))
	}
	top := foot.at(ez, z1)
	put(ez, top)
	put(ez.mul(-1), foot.at(ez, z0))
	round := apothem / math.Cos(math.Pi/float64(n))
	if flat > 0 && flat < round {
		const facets = 24
		for k := range facets {
			s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / facets)
			u := tx.mul(c).add(ty.mul(s))
			put(u.mul(0.5).add(ez.mul(math.Sqrt(3)/2)), top.at(u, flat))
		}
	}
	p.ballAt = foot.at(ez, (z0+z1)/2)
	p.ballR2 = round*round + (z1-z0)*(z1-z0)/4 + 1e-6
	return p
}

// newBox is a box about its middle with half lengths along three directions square to each
// other. Face 0 is its top along c.
func newBox(middle, a, b, c vec, la, lb, lc float64) *poly {
	p := &poly{ballAt: middle, ballR2: la*la + lb*lb + lc*lc + 1e-6}
	for _, s := range [2]float64{1, -1} {
		for _, f := range []struct {
			n vec
			l float64
		}{{c, lc}, {b, lb}, {a, la}} {
			n := f.n.mul(s)
			p.faces = append(p.faces, face3{n, n.dot(middle) + f.l})
		}
	}
	return p
}

// pocketed is a shape with recesses cut into it: a socket, a slot, a cross. Rays that enter
// a recess go on to its wall or floor, which have the given face number.
type pocketed struct {
	shape
	cuts   []*poly
	face   int
	up     vec     // out of the recesses
	mouth  float64 // where along up their mouths are
	within float64 // squared radius about ballAt beyond which no recess reaches
	ballAt vec
}

func (p *pocketed) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	for range 3 {
		t, n, face, ok = p.shape.hit(o, d, tMin, tMax)
		if !ok {
			return
		}
		q := o.at(d, t+1e-4)
		if v := q.sub(p.ballAt); v.dot(v) > p.within {
			return
		}
		in := false
		for range len(p.cuts) {
			cut := p.cutAt(q)
			if cut == nil {
				break
			}
			_, out, _, f := cut.span(o, d)
			t, n, face, in = out, cut.faces[f].n.mul(-1), p.face, true
			q = o.at(d, t+1e-5)
		}
		if !in || q.dot(p.up) < p.mouth {
			return t, n, face, t < tMax
		}
		tMin = t // out by the mouth: the ray may meet the shape again
	}
	return 0, vec{}, 0, false
}

func (p *pocketed) cutAt(q vec) *poly {
	for _, c := range p.cuts {
		if c.contains(q) {
			return c
		}
	}
	return nil
}
