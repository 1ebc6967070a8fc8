package fit

import (
	"math"
	"slices"
)

// Loss is a robust loss ρ over a residual in units of its own standard deviation.
// The zero value is least squares.
type Loss struct {
	kind  lossKind
	scale float64
}

type lossKind uint8

const (
	squares lossKind = iota
	huber
	gemanMcClure
)

// Huber is quadratic up to k standard deviations and linear beyond.
//
// Source: P. J. Huber, Annals of Mathematical Statistics 35 (1964) 73-101.
func Huber(k float64) Loss { return Loss{huber, k} }

// GemanMcClure is quadratic near zero and levels off: a residual far beyond k standard
// deviations no longer pulls. It has local minima, so it needs a good start.
//
// Source: S. Geman, D. E. McClure, Bulletin of the International Statistical Institute
// LII-4 (1987) 5-21; ρ = k²r²/(k²+r²).
func GemanMcClure(k float64) Loss { return Loss{gemanMcClure, k} }

// Rho gives the loss of r, which is r² near zero.
func (l Loss) Rho(r float64) float64 {
	switch l.kind {
	case huber:
		if a := math.Abs(r); a > l.scale {
			return l.scale * (2*a - l.scale)
		}
	case gemanMcClure:
		k2 := l.scale * l.scale
		return k2 * r * r / (k2 + r*r)
	}
	return r * r
}

// Weight gives ρ'(r) / 2r, the weight of r in iteratively reweighted least squares; 1 at zero.
func (l Loss) Weight(r float64) float64 {
	switch l.kind {
	case huber:
		if a := math.Abs(r); a > l.scale {
			return l.scale / a
		}
	case gemanMcClure:
		k2 := l.scale * l.scale
		t := k2 / (k2 + r*r)
		return t * t
	}
	return 1
}

// Median gives the median of v, whose order it changes; NaN of nothing.
func Median(v []float64) float64 {
	n := len(v)
	switch {
	case n == 0:
		return math.NaN()
	case n < 16 || slices.ContainsFunc(v, math.IsNaN): // NaN counts as least
		slices.Sort(v)
	default:
		nth(v, n/2)
		if n%2 == 0 { // what stands before is no greater, and the middle's neighbour the greatest of it
			return (slices.Max(v[:n/2]) + v[n/2]) / 2
		}
	}
	if n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[n/2]
}

// UpperMedian gives the value in the middle of v, of two the greater, and changes v's order.
// v holds something, and no NaN.
func UpperMedian[T float32 | float64](v []T) T {
	nth(v, len(v)/2)
	return v[len(v)/2]
}

// nth puts the value that a sort would put at k there, none greater before it, none less
// behind it.
//
// Source: C. A. R. Hoare, Communications of the ACM 4 (1961) 321-322, algorithm 65.
func nth[T float32 | float64](v []T, k int) {
	for lo, hi := 0, len(v)-1; lo < hi; {
		pivot := v[k]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		if j < k {
			lo = i
		}
		if i > k {
			hi = j
		}
	}
}

// SpreadMAD gives a robust standard deviation of residuals about zero: 1.4826 times the
// median of their sizes (1/Φ⁻¹(3/4), exact for a normal distribution). v is left as it was.
//
// Source: F. R. Hampel, Journal of the American Statistical Association 69 (1974) 383-393.
func SpreadMAD(v []float64) float64 {
	a := make([]float64, len(v))
	for i, x := range v {
		a[i] = math.Abs(x)
	}
	return 1.4826 * Median(a)
}
