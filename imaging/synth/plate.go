package synth

import "math"

// bore is a hole through a plate, square to it: round, or drawn out by long on either side.
type bore struct {
	x, y, r float64
	chamfer float64 // 45 degree chamfer at the top, mm deep
	lx, ly  float64 // half of the elongation, as a vector
	floor   float64 // height of the bottom of a blind hole; -Inf for a through hole
	ragged  float64 // amplitude of the rim's raggedness (burr), mm
	reach   float64

	slope   float64 // countersinks: the chamfer's run out over its depth; 0 is 45 degrees
	chatter float64 // amplitude of the chamfer's waves, mm, and how many there are
	teeth   float64
}

// plate is a flat sheet from zTop-thick to zTop with a rounded rim and holes.
type plate struct {
	out         *outline
	zTop, thick float64
	bevel       float64
	bores       []bore
	noise       *tile
	cells       *grid // finds the bores where there are many; nil looks at all
}

func (p *plate) addBore(b bore) {
	b.reach = b.r + b.chamfer*max(1, b.slope) + math.Hypot(b.lx, b.ly) + b.ragged*3 + b.chatter
	p.bores = append(p.bores, b)
}

// void is the signed distance (a lower bound) to the hole's space, negative within.
func (b *bore) void(x, y, z, zTop float64, noise *tile) float64 {
	dx, dy := x-b.x, y-b.y
	if l2 := b.lx*b.lx + b.ly*b.ly; l2 > 0 {
		s := max(-1, min(1, (dx*b.lx+dy*b.ly)/l2))
		dx, dy = dx-s*b.lx, dy-s*b.ly
	}
	r := math.Hypot(dx, dy)
	v := r - b.r
	if b.chamfer > 0 {
		c := b.chamfer
		if b.ragged > 0 {
			a := math.Atan2(dy, dx)
			c += b.ragged * noise.at(9*a+40, 3*z/b.chamfer)
		}
		if b.chatter > 0 {
			c += b.chatter * math.Cos(b.teeth*math.Atan2(dy, dx))
		}
		if b.slope > 0 {
			v = min(v, (r-(b.r+b.slope*(c+z-zTop)))/math.Sqrt(1+b.slope*b.slope))
		} else {
			v = min(v, (r-(b.r+c+z-zTop))*math.Sqrt2/2)
		}
	}
	if b.floor > math.Inf(-1) {
		v = max(v, b.floor-z)
	}
	return v
}

// sdf is the signed distance (a lower bound) to the plate's metal, negative inside.
func (p *plate) sdf(v vec) float64 {
	half := p.thick / 2
	d2 := p.out.dist(v.x, v.y) + p.bevel
	dz := math.Abs(v.z-p.zTop+half) - half + p.bevel
	d := min(max(d2, dz), 0) + math.Hypot(max(d2, 0), max(dz, 0)) - p.bevel
	cut := func(b *bore) {
		if far := math.Hypot(v.x-b.x, v.y-b.y) - b.reach; far > 1 {
			return // cannot be nearer than 1 mm; steps are capped below
		}
		d = max(d, -b.void(v.x, v.y, v.z, p.zTop, p.noise))
	}
	if p.cells != nil {
		for _, i := range p.cells.at(v.x, v.y) {
			cut(&p.bores[i])
		}
		return d
	}
	for i := range p.bores {
		cut(&p.bores[i])
	}
	return d
}

// sortBores makes ready to find bores quickly.
func (p *plate) sortBores() {
	var boxes [][4]float64
	for _, b := range p.bores {
		k := b.reach + 1.01
		boxes = append(boxes, [4]float64{b.x - k, b.y - k, b.x + k, b.y + k})
	}
	p.cells = newGrid(boxes, 4)
}

// flatAt tells whether the top or bottom face is plain metal at (x, y).
func (p *plate) flatAt(x, y float64) (metal, plain bool) {
	d := p.out.dist(x, y)
	if d > 0 {
		return false, d > 0.5
	}
	plain = d < -p.bevel
	if p.cells != nil {
		for _, i := range p.cells.at(x, y) {
			b := &p.bores[i]
			if math.Abs(x-b.x) < b.reach && math.Abs(y-b.y) < b.reach {
				return true, false
			}
		}
		return true, plain
	}
	for i := range p.bores {
		b := &p.bores[i]
		if math.Abs(x-b.x) < b.reach && math.Abs(y-b.y) < b.reach {
			return true, false
		}
	}
	return true, plain
}

// hit finds the first meeting with the plate beyond tMin and before tMax.
func (p *plate) hit(o, d vec, tMin, tMax float64) (t float64, n vec, ok bool) {
	zb := p.zTop - p.thick
	lo, hi := tMin, tMax
	entered := 0 // -1 through the top, 1 through the bottom
	if d.z != 0 {
		a, b := (p.zTop-o.z)/d.z, (zb-o.z)/d.z
		e := -1
		if a > b {
			a, b, e = b, a, 1
		}
		if a > lo {
			lo, entered = a, e
		}
		hi = min(hi, b)
	} else if o.z > p.zTop || o.z < zb {
		return
	}
	if lo >= hi {
		return
	}
	if entered != 0 {
		q := o.at(d, lo)
		if metal, plain := p.flatAt(q.x, q.y); metal && plain {
			return lo, vec{0, 0, float64(-entered)}, true
		}
	}
	// Narrow to the bounds in x and y, then walk by the distance function.
	for _, ax := range [2][4]float64{{o.x, d.x, p.out.x0, p.out.x1}, {o.y, d.y, p.out.y0, p.out.y1}} {
		if math.Abs(ax[1]) < 1e-12 {
			if ax[0] < ax[2] || ax[0] > ax[3] {
				return
			}
			continue
		}
		a, b := (ax[2]-ax[0])/ax[1], (ax[3]-ax[0])/ax[1]
		if a > b {
			a, b = b, a
		}
		lo, hi = max(lo, a), min(hi, b)
	}
	t = lo
	for range 160 {
		if t >= hi {
			return
		}
		q := o.at(d, t)
		s := p.sdf(q)
		if s < 2e-4 {
			return t, p.normal(q), true
		}
		t += min(max(s, 1e-4), 0.8)
	}
	return
}

func (p *plate) normal(q vec) vec {
	const e = 1e-3
	return vec{
		p.sdf(vec{q.x + e, q.y, q.z}) - p.sdf(vec{q.x - e, q.y, q.z}),
		p.sdf(vec{q.x, q.y + e, q.z}) - p.sdf(vec{q.x, q.y - e, q.z}),
		p.sdf(vec{q.x, q.y, q.z + e}) - p.sdf(vec{q.x, q.y, q.z - e}),
	}.unit()
}

// leg is an angle's standing flange: its inner face is at y, a fillet of radius r joins it.
type leg struct{ y, x0, x1, r, h, thick float64 }

func (l *leg) hit(o, d vec, tMin, tMax float64) (t float64, n vec, ok bool) {
	t = tMax
	try := func(tt float64, nn vec) {
		if tt > tMin && tt < t {
			t, n, ok = tt, nn, true
		}
	}
	in := func(v, a, b float64) bool { return v >= a && v <= b }
	y1 := l.y + l.thick
	if d.y != 0 {
		for _, f := range [2][3]float64{{l.y, -1, l.r}, {y1, 1, -l.thick}} {
			tt := (f[0] - o.y) / d.y
			if q := o.at(d, tt); in(q.x, l.x0, l.x1) && in(q.z, f[2], l.h) {
				try(tt, vec{0, f[1], 0})
			}
		}
	}
	if d.z != 0 {
		tt := (l.h - o.z) / d.z
		if q := o.at(d, tt); in(q.x, l.x0, l.x1) && in(q.y, l.y, y1) {
			try(tt, vec{0, 0, 1})
		}
	}
	if d.x != 0 {
		for _, f := range [2][2]float64{{l.x0, -1}, {l.x1, 1}} {
			tt := (f[0] - o.x) / d.x
			q := o.at(d, tt)
			inside := in(q.y, l.y, y1) && in(q.z, -l.thick, l.h) ||
				in(q.y, l.y-l.r, l.y) && in(q.z, 0, l.r) && math.Hypot(q.y-l.y+l.r, q.z-l.r) > l.r
			if inside {
				try(tt, vec{f[1], 0, 0})
			}
		}
	}
	// Fillet: the hollow quarter cylinder about (y - r, r).
	oy, oz := o.y-(l.y-l.r), o.z-l.r
	A := d.y*d.y + d.z*d.z
	B := oy*d.y + oz*d.z
	if disc := B*B - A*(oy*oy+oz*oz-l.r*l.r); disc > 0 && A > 0 {
		for _, s := range [2]float64{-1, 1} {
			tt := (-B + s*math.Sqrt(disc)) / A
			q := o.at(d, tt)
			if in(q.x, l.x0, l.x1) && q.y >= l.y-l.r && q.z <= l.r && q.z >= 0 {
				try(tt, vec{0, l.y - l.r - q.y, l.r - q.z}.mul(1/l.r))
			}
		}
	}
	return
}

// tube is a square tube with rounded edges that runs along dir through (x, y).
type tube struct {
	x, y, zTop, width, round float64
	dx, dy                   float64
	bores                    []bore
}

func (b *tube) hit(o, d vec, tMin, tMax float64) (t float64, n vec, inside, ok bool) {
	// Work in the section: v across the tube, w up from its middle.
	half := b.width / 2
	vx, vy := -b.dy, b.dx
	ov, ow := (o.x-b.x)*vx+(o.y-b.y)*vy, o.z-b.zTop+half
	dv, dw := d.x*vx+d.y*vy, d.z
	lo, hi := tMin, tMax
	for _, ax := range [2][2]float64{{ov, dv}, {ow, dw}} {
		if math.Abs(ax[1]) < 1e-12 {
			if math.Abs(ax[0]) > half {
				return
			}
			continue
		}
		a, e := (-half-ax[0])/ax[1], (half-ax[0])/ax[1]
		if a > e {
			a, e = e, a
		}
		lo, hi = max(lo, a), min(hi, e)
	}
	speed := math.Hypot(dv, dw)
	for t = lo; t < hi; {
		v, w := ov+t*dv, ow+t*dw
		qv, qw := math.Abs(v)-half+b.round, math.Abs(w)-half+b.round
		s := min(max(qv, qw), 0) + math.Hypot(max(qv, 0), max(qw, 0)) - b.round
		if s < 2e-4 {
			nv, nw := max(qv, 0)*sign(v), max(qw, 0)*sign(w)
			if nv == 0 && nw == 0 {
				nw = 1
			}
			n = vec{vx * nv, vy * nv, nw}.unit()
			q := o.at(d, t)
			for i := range b.bores {
				if h := &b.bores[i]; n.z > 0.9 && math.Hypot(q.x-h.x, q.y-h.y) < h.r {
					return t, n, true, true
				}
			}
			return t, n, false, true
		}
		t += max(s, 1e-3) / speed
	}
	return
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}
