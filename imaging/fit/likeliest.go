package fit

import "math"

// Likeliest turns a row of logits into likelihoods (softmax) and gives the mean place about
// the greatest of the columns first to last, the spread there, and the fraction of all likelihood,
// the other columns' too, within reach steps of it; and the spread of all likelihood about its mean.
func Likeliest(row []float32, first, last, reach int) (at, sigma, fraction, spread float64) {
	top := first
	for k := first; k <= last; k++ {
		if row[k] > row[top] {
			top = k
		}
	}
	var all, allM, allQ, near, m, q float64
	for k, v := range row {
		e := Exp(float64(v - row[top]))
		d := k - top
		all, allM, allQ = all+e, allM+e*float64(d), allQ+e*float64(d*d)
		if d >= -reach && d <= reach {
			near, m, q = near+e, m+e*float64(d), q+e*float64(d*d)
		}
	}
	m /= near
	allM /= all
	return float64(top) + m, math.Sqrt(max(q/near-m*m, 0)), near / all, math.Sqrt(max(allQ/all-allM*allM, 0))
}

// Beyond gives the fraction of all likelihood of a row of logits in the columns from first on.
func Beyond(row []float32, first int) float64 {
	var all, beyond float64
	for k, v := range row {
		e := Exp(float64(v - row[0]))
		all += e
		if k >= first {
			beyond += e
		}
	}
	return beyond / all
}
