package fit

import "math"

// The matrices here are small (up to about 12 unknowns), dense, square and stored row by
// row in a []float64 of n*n.

// Cholesky factors the symmetric positive definite a (n × n, only the lower triangle is
// read) into L Lᵀ, L taking the place of the lower triangle. It returns false, leaving a
// half done, where a pivot is not above 1e-14 of its diagonal element: the matrix has no
// full rank in float64.
//
// Source: G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. 2013, alg. 4.2.1.
func Cholesky(a []float64, n int) bool {
	const rankTol = 1e-14 // a few dozen rounding errors of float64 (2.2e-16) over n sums
	for j := 0; j < n; j++ {
		rj := a[j*n : j*n+j+1]
		d0 := rj[j]
		d := d0
		for _, v := range rj[:j] {
			d -= v * v
		}
		if !(d > rankTol*d0) || math.IsInf(d, 0) {
			return false
		}
		d = math.Sqrt(d)
		rj[j] = d
		for i := j + 1; i < n; i++ {
			ri := a[i*n : i*n+j+1]
			s := ri[j]
			for k, v := range rj[:j] {
				s -= ri[k] * v
			}
			ri[j] = s / d
		}
	}
	return true
}

// CholeskySolve solves L Lᵀ x = b in place of b, for the L that [Cholesky] left.
func CholeskySolve(l []float64, n int, b []float64) {
	for i := 0; i < n; i++ {
		s := b[i]
		for k := 0; k < i; k++ {
			s -= l[i*n+k] * b[k]
		}
		b[i] = s / l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		s := b[i]
		for k := i + 1; k < n; k++ {
			s -= l[k*n+i] * b[k]
		}
		b[i] = s / l[i*n+i]
	}
}

// Invert gives the inverse of the symmetric positive definite a (n × n), or false where it
// has no full rank. The unknowns are scaled to a unit diagonal first, so that rank is
// judged free of their units. a is left as it was.
func Invert(a []float64, n int) ([]float64, bool) {
	s := make([]float64, n)
	for i := range s {
		if !(a[i*n+i] > 0) {
			return nil, false
		}
		s[i] = 1 / math.Sqrt(a[i*n+i])
	}
	l := make([]float64, n*n)
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			l[i*n+j] = a[i*n+j] * s[i] * s[j]
		}
	}
	if !Cholesky(l, n) {
		return nil, false
	}
	inv := make([]float64, n*n)
	col := make([]float64, n)
	for j := 0; j < n; j++ {
		clear(col)
		col[j] = 1
		CholeskySolve(l, n, col)
		for i := 0; i < n; i++ {
			inv[i*n+j] = col[i] * s[i] * s[j]
		}
	}
	return inv, true
}

// EigenSym gives the eigenvalues of the symmetric a (n × n), rising, and their vectors as
// the columns of v. a is left as it was.
//
// Source: cyclic Jacobi rotations, Golub & Van Loan, Matrix Computations, 4th ed. 2013,
// section 8.5.
func EigenSym(a []float64, n int) (w, v []float64) {
	m := append([]float64(nil), a...)
	v = make([]float64, n*n)
	for i := 0; i < n; i++ {
		v[i*n+i] = 1
	}
	// Convergence is quadratic; n <= 12 needs 6 to 9 sweeps, 40 is a bound.
	for range 40 {
		off, diag := 0.0, 0.0
		for i := 0; i < n; i++ {
			diag += m[i*n+i] * m[i*n+i]
			for j := 0; j < i; j++ {
				off += m[i*n+j] * m[i*n+j]
			}
		}
		if off <= 1e-32*diag || off == 0 {
			break
		}
		for p := 0; p < n-1; p++ {
			for q := p + 1; q < n; q++ {
				rotate(m, v, n, p, q)
			}
		}
	}
	w = make([]float64, n)
	for i := range w {
		w[i] = m[i*n+i]
	}
	for i := 0; i < n; i++ { // selection sort: n is small
		k := i
		for j := i + 1; j < n; j++ {
			if w[j] < w[k] {
				k = j
			}
		}
		if k != i {
			w[i], w[k] = w[k], w[i]
			for r := 0; r < n; r++ {
				v[r*n+i], v[r*n+k] = v[r*n+k], v[r*n+i]
			}
		}
	}
	return w, v
}

// rotate clears m[p][q] by one Jacobi rotation and applies it to the columns of v.
func rotate(m, v []float64, n, p, q int) {
	apq := m[p*n+q]
	if apq == 0 {
		return
	}
	tau := (m[q*n+q] - m[p*n+p]) / (2 * apq)
	t := 1 / (math.Abs(tau) + math.Sqrt(1+tau*tau))
	if tau < 0 {
		t = -t
	}
	c := 1 / math.Sqrt(1+t*t)
	s := t * c
	for k := 0; k < n; k++ {
		a, b := m[k*n+p], m[k*n+q]
		m[k*n+p], m[k*n+q] = c*a-s*b, s*a+c*b
	}
	for k := 0; k < n; k++ {
		a, b := m[p*n+k], m[q*n+k]
		m[p*n+k], m[q*n+k] = c*a-s*b, s*a+c*b
	}
	m[p*n+q], m[q*n+p] = 0, 0
	for k := 0; k < n; k++ {
		a, b := v[k*n+p], v[k*n+q]
		v[k*n+p], v[k*n+q] = c*a-s*b, s*a+c*b
	}
}
