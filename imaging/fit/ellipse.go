package fit

import "math"

// EllipseFit is an ellipse fitted to points. Its points are centre + M u for unit vectors
// u, with the symmetric M = Mean I + (E1, E2; E2, -E1): the half axes are Mean ± √(E1² + E2²).
// Unlike axes and an angle, these five stay determined when the ellipse is a circle.
type EllipseFit struct {
	X, Y         float64
	Mean, E1, E2 float64
	// Cov is the covariance of (X, Y, Mean, E1, E2), row by row, for independent point errors
	// of one size taken from the residuals; zero after [EllipseDirect].
	Cov       [25]float64
	Residuals []float64 // signed distances, positive outside
	RMS       float64
	N         int     // points within 3 standard deviations
	ArcRad    float64 // as in CircleFit
}

// A gives the greater half axis.
func (e *EllipseFit) A() float64 { return e.Mean + math.Hypot(e.E1, e.E2) }

// B gives the smaller half axis.
func (e *EllipseFit) B() float64 { return e.Mean - math.Hypot(e.E1, e.E2) }

// AngleRad gives the direction of the greater axis from x toward y, in (-π/2, π/2].
func (e *EllipseFit) AngleRad() float64 { return math.Atan2(e.E2, e.E1) / 2 }

// setAxes fills Mean, E1, E2.
func (e *EllipseFit) setAxes(a, b, angle float64) {
	s, c := math.Sincos(2 * angle)
	e.Mean, e.E1, e.E2 = (a+b)/2, (a-b)/2*c, (a-b)/2*s
}

// EllipseDirect fits an ellipse without iteration, by algebraic distance under the
// constraint that makes the conic an ellipse. It needs 5 points. It is drawn toward smaller
// ellipses where the points cover only a part: use it as a start.
//
// Source: A. Fitzgibbon, M. Pilu, R. B. Fisher, IEEE PAMI 21 (1999) 476-480, in the
// numerically stable form of R. Halíř, J. Flusser, Proc. WSCG 1998, 125-132.
func EllipseDirect(pts []Point) (EllipseFit, error) {
	n := len(pts)
	if n < 5 {
		return EllipseFit{}, ErrFewPoints
	}
	c, k := centreScale(pts)
	if k == 0 {
		return EllipseFit{}, ErrNoSpread
	}
	var s1, s2, s3 [9]float64
	for _, p := range pts {
		x, y := (p.X-c.X)*k, (p.Y-c.Y)*k
		q := [3]float64{x * x, x * y, y * y}
		l := [3]float64{x, y, 1}
		for i := 0; i < 3; i++ {
			for j := 0; j < 3; j++ {
				s1[i*3+j] += q[i] * q[j]
				s2[i*3+j] += q[i] * l[j]
				s3[i*3+j] += l[i] * l[j]
			}
		}
	}
	inv, ok := Invert(s3[:], 3)
	if !ok {
		return EllipseFit{}, ErrNoSpread
	}
	// t = -S3⁻¹ S2ᵀ ; M = C1⁻¹ (S1 + S2 t) with C1 = (0 0 2; 0 -1 0; 2 0 0).
	var t, m, r [9]float64
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			for q := 0; q < 3; q++ {
				t[i*3+j] -= inv[i*3+q] * s2[j*3+q]
			}
		}
	}
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			m[i*3+j] = s1[i*3+j]
			for q := 0; q < 3; q++ {
				m[i*3+j] += s2[i*3+q] * t[q*3+j]
			}
		}
	}
	for j := 0; j < 3; j++ {
		r[j], r[3+j], r[6+j] = m[6+j]/2, -m[3+j], m[j]/2
	}
	v, ok := ellipseVector(&r)
	if !ok {
		return EllipseFit{}, ErrNoFit
	}
	var w [3]float64
	for i := 0; i < 3; i++ {
		w[i] = t[i*3]*v[0] + t[i*3+1]*v[1] + t[i*3+2]*v[2]
	}
	e, ok := conicToEllipse(v[0], v[1], v[2], w[0], w[1], w[2])
	if !ok {
		return EllipseFit{}, ErrNoFit
	}
	e.X, e.Y = c.X+e.X/k, c.Y+e.Y/k
	e.Mean, e.E1, e.E2 = e.Mean/k, e.E1/k, e.E2/k
	e.measure(pts)
	return e, nil
}

// ellipseVector gives the real eigenvector of r that is an ellipse: 4 v0 v2 - v1² > 0.
func ellipseVector(r *[9]float64) (v [3]float64, ok bool) {
	// Characteristic polynomial λ³ - p λ² + q λ - d, solved by Cardano for real roots.
	p := r[0] + r[4] + r[8]
	q := r[0]*r[4] - r[1]*r[3] + r[0]*r[8] - r[2]*r[6] + r[4]*r[8] - r[5]*r[7]
	d := r[0]*(r[4]*r[8]-r[5]*r[7]) - r[1]*(r[3]*r[8]-r[5]*r[6]) + r[2]*(r[3]*r[7]-r[4]*r[6])
	// Of the three vectors one is an ellipse; it is the candidate that r maps most nearly on
	// a multiple of itself, as a root that rounding has pushed off the real line is none.
	worst := math.Inf(1)
	for _, l := range cubicRoots(-p, q, -d) {
		a := [9]float64{r[0] - l, r[1], r[2], r[3], r[4] - l, r[5], r[6], r[7], r[8] - l}
		// The null vector is the largest cross product of two rows.
		var c [3]float64
		n := 0.0
		for _, ij := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			x, y := a[ij[0]*3:ij[0]*3+3], a[ij[1]*3:ij[1]*3+3]
			k := [3]float64{x[1]*y[2] - x[2]*y[1], x[2]*y[0] - x[0]*y[2], x[0]*y[1] - x[1]*y[0]}
			if m := math.Sqrt(k[0]*k[0] + k[1]*k[1] + k[2]*k[2]); m > n {
				n, c = m, k
			}
		}
		if n == 0 || !(4*c[0]*c[2]-c[1]*c[1] > 0) {
			continue
		}
		e := 0.0
		for i := 0; i < 3; i++ {
			e = math.Max(e, math.Abs(a[i*3]*c[0]+a[i*3+1]*c[1]+a[i*3+2]*c[2])/n)
		}
		if e < worst {
			worst, v, ok = e, [3]float64{c[0] / n, c[1] / n, c[2] / n}, true
		}
	}
	return v, ok
}

// cubicRoots gives the real roots of x³ + a x² + b x + c.
func cubicRoots(a, b, c float64) []float64 {
	q := (a*a - 3*b) / 9
	r := (2*a*a*a - 9*a*b + 27*c) / 54
	polish := func(x float64) float64 {
		for range 3 {
			if d := (3*x+2*a)*x + b; d != 0 {
				x -= (((x+a)*x+b)*x + c) / d
			}
		}
		return x
	}
	if r*r < q*q*q {
		t := math.Acos(r / math.Sqrt(q*q*q))
		s := -2 * math.Sqrt(q)
		return []float64{
			polish(s*math.Cos(t/3) - a/3),
			polish(s*math.Cos((t+2*math.Pi)/3) - a/3),
			polish(s*math.Cos((t-2*math.Pi)/3) - a/3),
		}
	}
	s := -math.Copysign(math.Cbrt(math.Abs(r)+math.Sqrt(r*r-q*q*q)), r)
	t := 0.0
	if s != 0 {
		t = q / s
	}
	// A double root of the middle comes out of rounding as a pair just off the real line.
	return []float64{polish(s + t - a/3), polish(-(s+t)/2 - a/3)}
}

// conicToEllipse turns a x² + b xy + c y² + d x + e y + f = 0 into centre and axes.
func conicToEllipse(a, b, c, d, e, f float64) (EllipseFit, bool) {
	den := 4*a*c - b*b
	if !(den > 0) {
		return EllipseFit{}, false
	}
	x, y := (b*e-2*c*d)/den, (b*d-2*a*e)/den
	g := f + (d*x+e*y)/2
	mid, h := (a+c)/2, math.Hypot((a-c)/2, b/2)
	if mid < 0 {
		mid, g, a, b, c = -mid, -g, -a, -b, -c
	}
	p, q := -g/(mid-h), -g/(mid+h)
	if !(p > 0) || !(q > 0) || math.IsInf(p, 0) {
		return EllipseFit{}, false
	}
	el := EllipseFit{X: x, Y: y}
	// The greater axis lies along the smaller eigenvalue.
	el.setAxes(math.Sqrt(p), math.Sqrt(q), math.Atan2(-b, c-a)/2)
	return el, true
}

// EllipseGeometric fits an ellipse by least distances, or their robust loss in units of the
// residuals' own spread, from start (of [EllipseDirect], or a circle). It needs 6 points over
// a quarter turn, else it returns [ErrFewPoints] or [ErrShortArc].
//
// Source: S. J. Ahn, W. Rauh, H.-J. Warnecke, Pattern Recognition 34 (2001) 2283-2303:
// distances to the nearest point; at it, the distance changes with the ellipse as the point
// does along the normal.
func EllipseGeometric(pts []Point, start EllipseFit, loss Loss) (EllipseFit, error) {
	if len(pts) < 6 {
		return EllipseFit{}, ErrFewPoints
	}
	e := start
	e.measure(pts)
	sigma, rounds := 1.0, 1
	if loss != (Loss{}) {
		rounds = 6
	}
	x := []float64{e.X, e.Y, e.Mean, e.E1, e.E2}
	sys := NewNormal(5)
	for range rounds {
		if loss != (Loss{}) {
			if sigma = SpreadMAD(e.Residuals); sigma == 0 {
				break
			}
		}
		res := LevenbergMarquardt(x, sys, 200, 1e-10, func(x []float64, s *Normal) bool {
			return ellipseRows(pts, x, sigma, loss, s)
		})
		if math.IsNaN(res.Cost) || math.IsInf(res.Cost, 0) {
			return e, ErrNoFit
		}
		e.X, e.Y, e.Mean, e.E1, e.E2 = x[0], x[1], x[2], x[3], x[4]
		e.measure(pts)
	}
	spread := SpreadMAD(e.Residuals)
	e.N = 0
	sum, weights := 0.0, 0.0
	for _, r := range e.Residuals {
		w := 1.0
		if loss != (Loss{}) && spread > 0 {
			w = loss.Weight(r / spread)
		}
		sum += w * r * r
		weights += w
		if spread == 0 || math.Abs(r) <= 3*spread {
			e.N++
		}
	}
	e.RMS = math.Sqrt(sum / weights)
	if e.ArcRad < minArcRad {
		return e, ErrShortArc
	}
	sys.Reset()
	sys.WantJ = true
	ellipseRows(pts, x, sigma, loss, sys)
	sys.Mirror()
	cov, err := Covariance(sys)
	if err != nil {
		return e, err
	}
	s2 := 0.0
	if n := float64(len(pts)); n > 5 {
		s2 = sum / weights * n / (n - 5)
	}
	for i := range e.Cov {
		e.Cov[i] = cov[i] * s2 / (sigma * sigma)
	}
	return e, nil
}

// ellipseRows adds the distances of all points to the equations.
func ellipseRows(pts []Point, x []float64, sigma float64, loss Loss, s *Normal) bool {
	e := EllipseFit{X: x[0], Y: x[1], Mean: x[2], E1: x[3], E2: x[4]}
	if !(e.B() > 0) {
		return false
	}
	var j [5]float64
	for _, p := range pts {
		d, u, n := e.nearest(p)
		j = [5]float64{-n.X / sigma, -n.Y / sigma, -(n.X*u.X + n.Y*u.Y) / sigma, -(n.X*u.X - n.Y*u.Y) / sigma, -(n.X*u.Y + n.Y*u.X) / sigma}
		s.Add(d/sigma, 1, loss, j[:])
	}
	return true
}

// measure fills residuals, arc and RMS.
func (e *EllipseFit) measure(pts []Point) {
	e.Residuals = e.Residuals[:0]
	angles := make([]float64, len(pts))
	sum := 0.0
	for i, p := range pts {
		d, u, _ := e.nearest(p)
		e.Residuals = append(e.Residuals, d)
		angles[i] = math.Atan2(u.Y, u.X)
		sum += d * d
	}
	e.ArcRad = arc(angles)
	e.N = len(pts)
	e.RMS = math.Sqrt(sum / float64(len(pts)))
}

// nearest gives the signed distance of p from the ellipse (positive outside), the unit
// vector u whose image M u is the nearest point, and the outward normal there.
//
// Source: the robust bisection of D. Eberly, Distance from a Point to an Ellipse, an
// Ellipsoid, or a Hyperellipsoid, Geometric Tools 2013, section 2.
func (e *EllipseFit) nearest(p Point) (d float64, u, n Point) {
	a, b := e.A(), e.B()
	sn, cs := math.Sincos(e.AngleRad())
	dx, dy := p.X-e.X, p.Y-e.Y
	x, y := cs*dx+sn*dy, -sn*dx+cs*dy
	sx, sy := math.Copysign(1, x), math.Copysign(1, y)
	x, y = math.Abs(x), math.Abs(y)
	var fx, fy float64 // nearest point in the axes' frame, first quadrant
	switch {
	case y > 0 && x > 0:
		z0, z1 := x/a, y/b
		r0 := (a / b) * (a / b)
		nn := r0 * z0
		lo, hi := z1-1, 0.0
		if g := z0*z0 + z1*z1 - 1; g >= 0 {
			hi = math.Hypot(nn, z1) - 1
		}
		t := (lo + hi) / 2
		for range 100 {
			if t == lo || t == hi {
				break
			}
			q0, q1 := nn/(t+r0), z1/(t+1)
			switch g := q0*q0 + q1*q1 - 1; {
			case g > 0:
				lo = t
			case g < 0:
				hi = t
			default:
				lo, hi = t, t
			}
			t = (lo + hi) / 2
		}
		fx, fy = r0*x/(t+r0), y/(t+1)
	case y > 0:
		fx, fy = 0, b
	default:
		if num, den := a*x, a*a-b*b; num < den {
			q := num / den
			fx, fy = a*q, b*math.Sqrt(math.Max(0, 1-q*q))
		} else {
			fx, fy = a, 0
		}
	}
	ux, uy := sx*fx/a, sy*fy/b
	nx, ny := ux/a, uy/b
	l := math.Hypot(nx, ny)
	nx, ny = nx/l, ny/l
	d = (sx*x-sx*fx)*nx + (sy*y-sy*fy)*ny
	// In the axes' frame M is diag(a, b), so u turns back as the point does.
	return d, Point{cs*ux - sn*uy, sn*ux + cs*uy}, Point{cs*nx - sn*ny, sn*nx + cs*ny}
}
