package synth

import "math"

// rod is a round bar from a to b; blunt ends are flat (face 1), others half balls.
type rod struct {
	a, b  vec
	r     float64
	blunt bool
}

func (c *rod) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	ba, oa := c.b.sub(c.a), o.sub(c.a)
	baba, bard, baoa := ba.dot(ba), ba.dot(d), ba.dot(oa)
	rdrd, rdoa, oaoa := d.dot(d), d.dot(oa), oa.dot(oa)
	if k := math.Sqrt(baba) + c.r; oaoa-rdoa*rdoa/rdrd > k*k {
		return
	}
	t = tMax
	try := func(tt float64, nn vec, f int) {
		if tt > tMin && tt < t {
			t, n, face, ok = tt, nn, f, true
		}
	}
	A, B, C := baba*rdrd-bard*bard, baba*rdoa-baoa*bard, baba*oaoa-baoa*baoa-c.r*c.r*baba
	if h := B*B - A*C; h >= 0 && A > 1e-12 {
		tt := (-B - math.Sqrt(h)) / A
		if y := baoa + tt*bard; y > 0 && y < baba {
			try(tt, oa.at(d, tt).sub(ba.mul(y/baba)).mul(1/c.r), 0)
		}
	}
	for k, e := range [2]vec{c.a, c.b} {
		if c.blunt {
			if math.Abs(bard) < 1e-12 {
				continue
			}
			tt := e.sub(o).dot(ba) / bard
			if q := o.at(d, tt).sub(e); q.dot(q) < c.r*c.r {
				try(tt, ba.mul(float64(2*k-1)/math.Sqrt(baba)), 1)
			}
			continue
		}
		oc := o.sub(e)
		b := d.dot(oc)
		if h := b*b - rdrd*(oc.dot(oc)-c.r*c.r); h > 0 {
			tt := (-b - math.Sqrt(h)) / rdrd
			try(tt, oc.at(d, tt).mul(1/c.r), 0)
		}
	}
	return
}

// disc is a flat ring square to z.
type disc struct{ x, y, z, r0, r1 float64 }

func (c *disc) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	if d.z == 0 {
		return
	}
	t = (c.z - o.z) / d.z
	if t <= tMin || t >= tMax {
		return
	}
	r := math.Hypot(o.x+t*d.x-c.x, o.y+t*d.y-c.y)
	return t, vec{0, 0, 1}, 0, r >= c.r0 && r < c.r1
}

// posed is a shape given in a frame of its own.
type posed struct {
	shape
	at, ex, ey, ez vec
}

// upright poses a shape at a place, turned about z.
func upright(s shape, at vec, angle float64) *posed {
	sn, cs := math.Sincos(angle)
	return &posed{s, at, vec{cs, sn, 0}, vec{-sn, cs, 0}, vec{0, 0, 1}}
}

func (p *posed) local(v vec) vec { return vec{v.dot(p.ex), v.dot(p.ey), v.dot(p.ez)} }

func (p *posed) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	t, m, face, ok := p.shape.hit(p.local(o.sub(p.at)), p.local(d), tMin, tMax)
	return t, p.ex.mul(m.x).add(p.ey.mul(m.y)).add(p.ez.mul(m.z)), face, ok
}

// flange is an angle's standing leg as a shape.
type flange struct{ leg }

func (f *flange) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	t, n, ok = f.leg.hit(o, d, tMin, tMax)
	return
}

// folded is a sheet's edge bent down: from y = 0 at z = 0 it follows a quarter cylinder of
// radius r outward and goes on straight down to z = -h.
type folded struct{ x0, x1, r, h float64 }

func (b *folded) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	t = tMax
	try := func(tt float64, nn vec) {
		if tt > tMin && tt < t {
			t, n, ok = tt, nn, true
		}
	}
	oz := o.z + b.r
	if A := d.y*d.y + d.z*d.z; A > 0 {
		B := o.y*d.y + oz*d.z
		if h := B*B - A*(o.y*o.y+oz*oz-b.r*b.r); h > 0 {
			tt := (-B - math.Sqrt(h)) / A
			if q := o.at(d, tt); q.y >= 0 && q.z >= -b.r && q.x > b.x0 && q.x < b.x1 {
				try(tt, vec{0, q.y, q.z + b.r}.mul(1/b.r))
			}
		}
	}
	if d.y < 0 {
		tt := (b.r - o.y) / d.y
		if q := o.at(d, tt); q.z < -b.r && q.z > -b.h && q.x > b.x0 && q.x < b.x1 {
			try(tt, vec{0, 1, 0})
		}
	}
	return
}

// squareTube is a tube as a shape; face 1 is the dark inside behind a hole.
type squareTube struct{ tube }

func (s *squareTube) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face int, ok bool) {
	t, n, pit, ok := s.tube.hit(o, d, tMin, tMax)
	if pit {
		face = 1
	}
	return t, n, face, ok
}
