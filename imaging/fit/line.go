package fit

import "math"

// LineFit is a straight line fitted to points.
type LineFit struct {
	P   Point // on the line, the points' weighted middle
	Dir Point // unit vector along the line
	// Standard uncertainties for independent point errors of one size taken from the
	// residuals: of the offset across the line at P, and of its direction in radians. The two
	// are not correlated.
	OffsetU, AngleU float64
	Residuals       []float64 // signed distances, positive to the left of Dir
	RMS             float64   // of the residuals, weighted as in the fit
	N               int       // points within 3 standard deviations
}

// Distance gives the signed distance of p from the line, positive to the left of Dir (with
// x right and y up).
func (l *LineFit) Distance(p Point) float64 {
	return (p.Y-l.P.Y)*l.Dir.X - (p.X-l.P.X)*l.Dir.Y
}

// Line fits a line by total least squares, with the points' distances under the loss in
// units of their own spread (taken anew each round from the median). weights may be nil.
// It needs three points that do not all coincide.
//
// Source: G. H. Golub, C. F. Van Loan, SIAM J. Numerical Analysis 17 (1980) 883-893 (total
// least squares); P. W. Holland, R. E. Welsch, Communications in Statistics A6 (1977)
// 813-827 (iteratively reweighted).
func Line(pts []Point, weights []float64, loss Loss) (LineFit, error) {
	n := len(pts)
	if n < 3 {
		return LineFit{}, ErrFewPoints
	}
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
		if weights != nil {
			w[i] = weights[i]
		}
	}
	f := LineFit{Residuals: make([]float64, n)}
	base := append([]float64(nil), w...)
	var sw, lambda, spread float64
	// Reweighting gains about a digit a round; the last rounds change nothing measurable.
	for round := 0; round < 25; round++ {
		var sx, sy, sxx, sxy, syy float64
		sw = 0
		for i, p := range pts {
			sw += w[i]
			sx += w[i] * p.X
			sy += w[i] * p.Y
		}
		if !(sw > 0) {
			return LineFit{}, ErrNoSpread
		}
		c := Point{sx / sw, sy / sw}
		for i, p := range pts {
			x, y := p.X-c.X, p.Y-c.Y
			sxx, sxy, syy = sxx+w[i]*x*x, sxy+w[i]*x*y, syy+w[i]*y*y
		}
		mid, d := (sxx+syy)/2, math.Hypot((sxx-syy)/2, sxy)
		if !(mid+d > 0) || !(d > 1e-12*mid) {
			return LineFit{}, ErrNoSpread // one spot, or as wide as long
		}
		lambda = mid + d
		a := math.Atan2(2*sxy, sxx-syy) / 2
		old := f.P
		oldDir := f.Dir
		f.P, f.Dir = c, Point{math.Cos(a), math.Sin(a)}
		for i, p := range pts {
			f.Residuals[i] = f.Distance(p)
		}
		spread = SpreadMAD(f.Residuals)
		if loss == (Loss{}) || spread == 0 {
			break
		}
		for i := range w {
			w[i] = base[i] * loss.Weight(f.Residuals[i]/spread)
		}
		if math.Abs(f.Distance(old)) < 1e-9*spread && math.Abs(oldDir.X*f.Dir.Y-oldDir.Y*f.Dir.X) < 1e-12 {
			break
		}
	}
	sum := 0.0
	for i, r := range f.Residuals {
		sum += w[i] * r * r
		if spread == 0 || math.Abs(r) <= 3*spread {
			f.N++
		}
	}
	f.RMS = math.Sqrt(sum / sw)
	// Unbiased variance from n - 2 degrees of freedom, then var(offset) = s²/Σw, var(angle) = s²/λ.
	s2 := sum / sw * float64(n) / float64(n-2)
	mean := sw / float64(n)
	f.OffsetU = math.Sqrt(s2 * mean / sw)
	f.AngleU = math.Sqrt(s2 * mean / lambda)
	return f, nil
}
