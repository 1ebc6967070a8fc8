package synth

import "math"

// profilePoint is a point of a head's half section: radius and height in mm.
type profilePoint struct{ r, z float64 }

// revolved is a solid of revolution given by a polyline in its half section, stretched to
// an ellipse across its axis. The polyline runs from the foot outward and up to the axis.
type revolved struct {
	pts        []profilePoint
	n0, n1     []profilePoint // normals (r, z) at both ends of each segment
	foot       vec            // where the axis meets the sheet
	ex, ey, ez vec            // axes: greatest width, least width, axis
	sx, sy     float64        // stretch along ex, ey
	rMax       float64        // greatest radius of the section before stretching
	zMin, zMax float64
	ballAt     vec // bounding ball
	ballR2     float64
	flatFrom   int // segments from this one on belong to the flat or the stem
	stemFrom   int // segments from this one on belong to a broken stem
}

func newRevolved(pts []profilePoint, foot, axis, wide vec, sx, sy float64) *revolved {
	h := &revolved{pts: pts, foot: foot, ez: axis.unit(), sx: sx, sy: sy, zMin: math.Inf(1), zMax: math.Inf(-1)}
	h.ex, h.ey = frame(h.ez, wide)
	for _, p := range pts {
		h.rMax = max(h.rMax, p.r)
		h.zMin, h.zMax = min(h.zMin, p.z), max(h.zMax, p.z)
	}
	h.ballAt = foot.at(h.ez, (h.zMin+h.zMax)/2)
	h.ballR2 = math.Pow(h.rMax*max(sx, sy), 2) + math.Pow((h.zMax-h.zMin)/2, 2) + 1e-6
	m := len(pts) - 1
	flat := make([]profilePoint, m)
	for i := range m {
		dr, dz := pts[i+1].r-pts[i].r, pts[i+1].z-pts[i].z
		l := math.Hypot(dr, dz)
		flat[i] = profilePoint{dz / l, -dr / l} // outward when the polyline runs up and in
	}
	h.n0, h.n1 = append([]profilePoint(nil), flat...), append([]profilePoint(nil), flat...)
	for i := 1; i < m; i++ {
		a, b := flat[i-1], flat[i]
		if a.r*b.r+a.z*b.z > 0.75 { // below 41 degrees the corner is a rounding in steps
			s := profilePoint{a.r + b.r, a.z + b.z}
			l := math.Hypot(s.r, s.z)
			s.r, s.z = s.r/l, s.z/l
			h.n1[i-1], h.n0[i] = s, s
		}
	}
	h.flatFrom, h.stemFrom = m, m
	return h
}

// hit finds the first crossing of o + t d beyond tMin and before tMax.
func (h *revolved) hit(o, d vec, tMin, tMax float64) (t float64, n vec, seg int, ok bool) {
	return h.hitWidened(o, d, tMin, tMax, 1)
}

// hitWidened is hit of the solid made wider by a factor across its axis.
func (h *revolved) hitWidened(o, d vec, tMin, tMax, wider float64) (t float64, n vec, seg int, ok bool) {
	c := h.ballAt.sub(o)
	dd := d.dot(d)
	b := c.dot(d)
	if c.dot(c)-b*b/dd > h.ballR2 {
		return
	}
	q := o.sub(h.foot)
	sx, sy := h.sx*wider, h.sy*wider
	ox, oy, oz := q.dot(h.ex)/sx, q.dot(h.ey)/sy, q.dot(h.ez)
	dx, dy, dz := d.dot(h.ex)/sx, d.dot(h.ey)/sy, d.dot(h.ez)
	lo, hi := tMin, tMax
	if math.Abs(dz) > 1e-12 {
		a, e := (h.zMin-1e-6-oz)/dz, (h.zMax+1e-6-oz)/dz
		if a > e {
			a, e = e, a
		}
		lo, hi = max(lo, a-1e-6), min(hi, e+1e-6)
		if lo > hi {
			return
		}
	} else if oz < h.zMin || oz > h.zMax {
		return
	}
	qa, qb, qc := dx*dx+dy*dy, ox*dx+oy*dy, ox*ox+oy*oy
	if qb*qb-qa*(qc-h.rMax*h.rMax) < 0 {
		return
	}
	best, bi, bs := hi, -1, 0.0
	for i := range h.pts[:len(h.pts)-1] {
		p0, p1 := h.pts[i], h.pts[i+1]
		hz := p1.z - p0.z
		if math.Abs(hz) < 1e-9 {
			if math.Abs(dz) < 1e-12 {
				continue
			}
			tt := (p0.z - oz) / dz
			if tt <= lo || tt >= best {
				continue
			}
			r := math.Sqrt(qc + 2*tt*qb + tt*tt*qa)
			if s := (r - p0.r) / (p1.r - p0.r); s >= 0 && s <= 1 {
				best, bi, bs = tt, i, s
			}
			continue
		}
		k := (p1.r - p0.r) / hz
		r0 := p0.r + k*(oz-p0.z) // radius along the ray is r0 + k dz t
		A := qa - k*k*dz*dz
		B := qb - r0*k*dz
		C := qc - r0*r0
		disc := B*B - A*C
		if disc < 0 {
			continue
		}
		sq := math.Sqrt(disc)
		for _, num := range [2]float64{-B - sq, -B + sq} {
			tt := num / A
			if math.Abs(A) < 1e-14 {
				tt = -C / (2 * B)
			}
			if !(tt > lo && tt < best) {
				continue
			}
			s := (oz + tt*dz - p0.z) / hz
			if s < 0 || s > 1 || r0+k*dz*tt < -1e-9 {
				continue
			}
			best, bi, bs = tt, i, s
		}
	}
	if bi < 0 {
		return
	}
	nr := h.n0[bi].r + (h.n1[bi].r-h.n0[bi].r)*bs
	nz := h.n0[bi].z + (h.n1[bi].z-h.n0[bi].z)*bs
	x, y := ox+best*dx, oy+best*dy
	r := math.Hypot(x, y)
	if r < 1e-9 {
		x, y, r = 1, 0, 1
	}
	n = h.ex.mul(nr * x / r / sx).add(h.ey.mul(nr * y / r / sy)).add(h.ez.mul(nz)).unit()
	return best, n, bi, true
}
