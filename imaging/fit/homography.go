package fit

import "math"

// H is a plane projective map, row by row, with H[8] = 1.
type H [9]float64

// Apply maps p. A point on the line at infinity gives NaN.
func (h *H) Apply(p Point) Point {
	w := h[6]*p.X + h[7]*p.Y + h[8]
	if w == 0 {
		return Point{math.NaN(), math.NaN()}
	}
	return Point{(h[0]*p.X + h[1]*p.Y + h[2]) / w, (h[3]*p.X + h[4]*p.Y + h[5]) / w}
}

// Denominator gives the map's third coordinate at p; it keeps its sign over all points
// that lie before the camera.
func (h *H) Denominator(p Point) float64 { return h[6]*p.X + h[7]*p.Y + h[8] }

// Jacobian gives the derivative of the map at p: (∂u/∂x, ∂u/∂y, ∂v/∂x, ∂v/∂y).
func (h *H) Jacobian(p Point) (ux, uy, vx, vy float64) {
	w := h.Denominator(p)
	q := h.Apply(p)
	return (h[0] - q.X*h[6]) / w, (h[1] - q.X*h[7]) / w, (h[3] - q.Y*h[6]) / w, (h[4] - q.Y*h[7]) / w
}

// Inverse gives the opposite map, or false where there is none.
func (h *H) Inverse() (H, bool) {
	a, b, c, d, e, f, g, i, j := h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]
	r := H{
		e*j - f*i, c*i - b*j, b*f - c*e,
		f*g - d*j, a*j - c*g, c*d - a*f,
		d*i - e*g, b*g - a*i, a*e - b*d,
	}
	if r[8] == 0 || math.IsNaN(r[8]) {
		return H{}, false
	}
	s := 1 / r[8]
	for k := range r {
		r[k] *= s
	}
	return r, true
}

// mul gives a b, not scaled.
func mul(a, b *H) (c H) {
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			for k := 0; k < 3; k++ {
				c[i*3+j] += a[i*3+k] * b[k*3+j]
			}
		}
	}
	return c
}

// HomographyFit is a projective map fitted to pairs of points.
type HomographyFit struct {
	H H
	// Residuals, one pair of distances a point in the frame of the second points.
	Residuals []Point
	RMS       float64 // root of the mean squared distance
	N         int
}

// Homography fits the map from the points p to the points q (same length, at least 4, not
// all but one on a line): normalised DLT, then least squares of the distances in the frame of q.
//
// Source: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2003, alg. 4.2 and 4.3.
func Homography(p, q []Point) (HomographyFit, error) {
	n := len(p)
	if n < 4 || len(q) != n {
		return HomographyFit{}, ErrFewPoints
	}
	h, err := dlt(p, q)
	if err != nil {
		return HomographyFit{}, err
	}
	// Refine in normalised coordinates, where the eight unknowns are of like size.
	cp, kp := centreScale(p)
	cq, kq := centreScale(q)
	tp := H{kp, 0, -kp * cp.X, 0, kp, -kp * cp.Y, 0, 0, 1}
	tpInv := H{1 / kp, 0, cp.X, 0, 1 / kp, cp.Y, 0, 0, 1}
	tq := H{kq, 0, -kq * cq.X, 0, kq, -kq * cq.Y, 0, 0, 1}
	tqInv := H{1 / kq, 0, cq.X, 0, 1 / kq, cq.Y, 0, 0, 1}
	t := mul(&tq, &h)
	m := mul(&t, &tpInv)
	if n > 4 && m[8] != 0 {
		x := make([]float64, 8)
		for i := range x {
			x[i] = m[i] / m[8]
		}
		var j [8]float64
		sys := NewNormal(8)
		LevenbergMarquardt(x, sys, 20, 1e-9, func(x []float64, s *Normal) bool {
			for i := range p {
				a := Point{kp * (p[i].X - cp.X), kp * (p[i].Y - cp.Y)}
				b := Point{kq * (q[i].X - cq.X), kq * (q[i].Y - cq.Y)}
				w := x[6]*a.X + x[7]*a.Y + 1
				if !(w > 0) {
					return false
				}
				u, v := (x[0]*a.X+x[1]*a.Y+x[2])/w, (x[3]*a.X+x[4]*a.Y+x[5])/w
				j = [8]float64{a.X / w, a.Y / w, 1 / w, 0, 0, 0, -u * a.X / w, -u * a.Y / w}
				s.Add(u-b.X, 1, Loss{}, j[:])
				j = [8]float64{0, 0, 0, a.X / w, a.Y / w, 1 / w, -v * a.X / w, -v * a.Y / w}
				s.Add(v-b.Y, 1, Loss{}, j[:])
			}
			return true
		})
		copy(m[:], x)
		m[8] = 1
		t = mul(&tqInv, &m)
		h = mul(&t, &tp)
	}
	if h[8] == 0 || math.IsNaN(h[8]) {
		return HomographyFit{}, ErrRank
	}
	s := 1 / h[8]
	for i := range h {
		h[i] *= s
	}
	f := HomographyFit{H: h, Residuals: make([]Point, n), N: n}
	for i := range p {
		a := h.Apply(p[i])
		f.Residuals[i] = Point{a.X - q[i].X, a.Y - q[i].Y}
		f.RMS += (f.Residuals[i].X*f.Residuals[i].X + f.Residuals[i].Y*f.Residuals[i].Y) / float64(n)
	}
	f.RMS = math.Sqrt(f.RMS)
	if math.IsNaN(f.RMS) || math.IsInf(f.RMS, 0) {
		return HomographyFit{}, ErrRank
	}
	return f, nil
}

// dlt gives the normalised direct linear transform, not scaled to H[8] = 1.
func dlt(p, q []Point) (H, error) {
	cp, kp := centreScale(p)
	cq, kq := centreScale(q)
	if kp == 0 || kq == 0 {
		return H{}, ErrNoSpread
	}
	var a [81]float64
	row := func(r *[9]float64) {
		for i := 0; i < 9; i++ {
			if r[i] != 0 {
				for j := 0; j < 9; j++ {
					a[i*9+j] += r[i] * r[j]
				}
			}
		}
	}
	for i := range p {
		x, y := kp*(p[i].X-cp.X), kp*(p[i].Y-cp.Y)
		u, v := kq*(q[i].X-cq.X), kq*(q[i].Y-cq.Y)
		row(&[9]float64{x, y, 1, 0, 0, 0, -u * x, -u * y, -u})
		row(&[9]float64{0, 0, 0, x, y, 1, -v * x, -v * y, -v})
	}
	w, v := EigenSym(a[:], 9)
	// A second vanishing eigenvalue: more than one map fits (points on a line).
	if !(w[1] > 1e-12*w[8]) {
		return H{}, ErrRank
	}
	var h H
	for i := range h {
		h[i] = v[i*9]
	}
	tqInv := H{1 / kq, 0, cq.X, 0, 1 / kq, cq.Y, 0, 0, 1}
	tp := H{kp, 0, -kp * cp.X, 0, kp, -kp * cp.Y, 0, 0, 1}
	t := mul(&tqInv, &h)
	return mul(&t, &tp), nil
}
