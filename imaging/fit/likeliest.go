package fit

import "math"

// Likeliest turns a row of logits into likelihoods (softmax) and gives the mean place about
// the greatest of the columns first to last, the spread there, and the fraction of all likelihood,
// the other columns' too, within reach steps of it.
func Likeliest(row []float32, first, last, reach int) (at, sigma, fraction float64) {
	top := first
	for k := first; k <= last; k++ {
		if row[k] > row[top] {
			top = k
		}
	}
	var all, near, m, q float64
	for k, v := range row {
		e := Exp(float64(v - row[top]))
		all += e
		if d := k - top; d >= -reach && d <= reach {
			near += e
			m += e * float64(d)
			q += e * float64(d*d)
		}
	}
	m /= near
	return float64(top) + m, math.Sqrt(max(q/near-m*m, 0)), near / all
}
