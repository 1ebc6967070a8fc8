package fit

import (
	"errors"
	"math"
	"slices"
)

// CircleFit is a circle fitted to points.
type CircleFit struct {
	X, Y, R float64
	// Cov is the covariance of (X, Y, R), row by row, for independent point errors of one
	// size taken from the residuals. It knows nothing of errors that the points share.
	Cov       [9]float64
	Residuals []float64 // distance from the centre less R
	RMS       float64
	N         int     // points within 3 standard deviations
	ArcRad    float64 // 2π less the largest gap between neighbouring points
}

// A circle over less than a quarter turn is little more than a bent line: its radius'
// uncertainty grows with the inverse square of the arc (N. Chernov, Circular and Linear
// Regression, CRC Press 2010, section 7.5), so a shorter one is refused.
const minArcRad = math.Pi / 2

// CircleTaubin fits one circle without iteration over the points: a start for
// [CircleGeometric], and good enough for full circles. It needs 3 points.
//
// Source: G. Taubin, IEEE PAMI 13 (1991) 1115-1138; N. Chernov, Circular and Linear
// Regression, CRC Press 2010, section 5.10 (Newton's method on the characteristic equation).
func CircleTaubin(pts []Point) (CircleFit, error) {
	n := float64(len(pts))
	if n < 3 {
		return CircleFit{}, ErrFewPoints
	}
	c, k := centreScale(pts)
	if k == 0 {
		return CircleFit{}, ErrNoSpread
	}
	var mxx, myy, mxy, mxz, myz, mzz float64
	for _, p := range pts {
		x, y := (p.X-c.X)*k, (p.Y-c.Y)*k
		z := x*x + y*y
		mxx, myy, mxy = mxx+x*x/n, myy+y*y/n, mxy+x*y/n
		mxz, myz, mzz = mxz+x*z/n, myz+y*z/n, mzz+z*z/n
	}
	mz := mxx + myy
	cov := mxx*myy - mxy*mxy
	if !(cov > 1e-12*mz*mz) {
		return CircleFit{}, ErrNoSpread // on a line
	}
	variance := mzz - mz*mz
	a3 := 4 * mz
	a2 := -3*mz*mz - mzz
	a1 := variance*mz + 4*cov*mz - mxz*mxz - myz*myz
	a0 := mxz*(mxz*myy-myz*mxy) + myz*(myz*mxx-mxz*mxy) - variance*cov
	x, y := 0.0, a0
	for range 50 {
		d := a1 + x*(2*a2+3*a3*x)
		next := x - y/d
		if next == x || math.IsNaN(next) || math.IsInf(next, 0) {
			break
		}
		ny := a0 + next*(a1+next*(a2+next*a3))
		if math.Abs(ny) >= math.Abs(y) {
			break
		}
		x, y = next, ny
	}
	det := x*x - x*mz + cov
	u := (mxz*(myy-x) - myz*mxy) / det / 2
	v := (myz*(mxx-x) - mxz*mxy) / det / 2
	f := CircleFit{X: c.X + u/k, Y: c.Y + v/k, R: math.Sqrt(u*u+v*v+mz) / k}
	if math.IsNaN(f.R) || math.IsInf(f.R, 0) {
		return CircleFit{}, ErrNoFit
	}
	return f.complete(pts, Loss{})
}

// CircleGeometric fits one circle by least distances, or their robust loss in units of the
// residuals' own spread. It needs 5 points over a quarter turn, else it returns
// [ErrFewPoints] or [ErrShortArc].
//
// Source: W. Gander, G. H. Golub, R. Strebel, BIT 34 (1994) 558-578.
func CircleGeometric(pts []Point, loss Loss) (CircleFit, error) {
	if len(pts) < 5 {
		return CircleFit{}, ErrFewPoints
	}
	f, err := CircleTaubin(pts)
	if err != nil && !errors.Is(err, ErrShortArc) {
		return f, err
	}
	sigma := 1.0
	rounds := 1
	if loss != (Loss{}) {
		rounds = 6 // the spread and the fit settle together
	}
	x := []float64{f.X, f.Y, f.R}
	for range rounds {
		if loss != (Loss{}) {
			if sigma = SpreadMAD(f.Residuals); sigma == 0 {
				break
			}
		}
		var j [3]float64
		res := LevenbergMarquardt(x, NewNormal(3), 100, 1e-10, func(x []float64, s *Normal) bool {
			for _, p := range pts {
				dx, dy := p.X-x[0], p.Y-x[1]
				d := math.Hypot(dx, dy)
				if d == 0 {
					return false
				}
				j = [3]float64{-dx / d / sigma, -dy / d / sigma, -1 / sigma}
				s.Add((d-x[2])/sigma, 1, loss, j[:])
			}
			return true
		})
		if math.IsNaN(res.Cost) || math.IsInf(res.Cost, 0) || !(x[2] > 0) {
			return f, ErrNoFit
		}
		f.X, f.Y, f.R = x[0], x[1], x[2]
		f.residuals(pts)
	}
	return f.complete(pts, loss)
}

func (f *CircleFit) residuals(pts []Point) {
	f.Residuals = f.Residuals[:0]
	for _, p := range pts {
		f.Residuals = append(f.Residuals, math.Hypot(p.X-f.X, p.Y-f.Y)-f.R)
	}
}

// complete fills residuals, arc and covariance.
func (f CircleFit) complete(pts []Point, loss Loss) (CircleFit, error) {
	f.residuals(pts)
	angles := make([]float64, len(pts))
	for i, p := range pts {
		angles[i] = math.Atan2(p.Y-f.Y, p.X-f.X)
	}
	f.ArcRad = arc(angles)
	sigma := SpreadMAD(f.Residuals)
	sys := NewNormal(3)
	sum, weights := 0.0, 0.0
	for i, p := range pts {
		r := f.Residuals[i]
		d := math.Hypot(p.X-f.X, p.Y-f.Y)
		w := 1.0
		if loss != (Loss{}) && sigma > 0 {
			w = loss.Weight(r / sigma)
		}
		sys.Add(r, w, Loss{}, []float64{-(p.X - f.X) / d, -(p.Y - f.Y) / d, -1})
		sum += w * r * r
		weights += w
		if sigma == 0 || math.Abs(r) <= 3*sigma {
			f.N++
		}
	}
	f.RMS = math.Sqrt(sum / weights)
	if f.ArcRad < minArcRad {
		return f, ErrShortArc
	}
	sys.Mirror()
	cov, err := Covariance(sys)
	if err != nil {
		return f, err
	}
	s2 := 0.0
	if n := float64(len(pts)); n > 3 {
		s2 = sum / weights * n / (n - 3)
	}
	for i := range f.Cov {
		f.Cov[i] = cov[i] * s2
	}
	return f, nil
}

// arc gives the turn that the directions cover: 2π less their largest gap. It sorts them.
func arc(angles []float64) float64 {
	slices.Sort(angles)
	gap := 2*math.Pi - (angles[len(angles)-1] - angles[0])
	for i := 1; i < len(angles); i++ {
		gap = math.Max(gap, angles[i]-angles[i-1])
	}
	return 2*math.Pi - gap
}
