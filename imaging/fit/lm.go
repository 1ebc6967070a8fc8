package fit

import "math"

// Normal gathers the normal equations of a least squares problem, one residual at a time.
type Normal struct {
	N    int
	A    []float64 // JᵀWJ, n × n, lower triangle while gathering
	G    []float64 // JᵀWr
	Cost float64   // sum of w ρ(r)
	// WantJ is false where only the cost is asked for; Add then takes a nil gradient.
	WantJ bool
}

// NewNormal makes empty normal equations of n unknowns.
func NewNormal(n int) *Normal {
	return &Normal{N: n, A: make([]float64, n*n), G: make([]float64, n), WantJ: true}
}

// Reset empties the equations.
func (s *Normal) Reset() {
	clear(s.A)
	clear(s.G)
	s.Cost = 0
}

// Add counts one residual r (in units of its standard deviation) with weight w, loss l and
// gradient j (len N).
func (s *Normal) Add(r, w float64, l Loss, j []float64) {
	s.Cost += w * l.Rho(r)
	if !s.WantJ {
		return
	}
	w *= l.Weight(r)
	n := s.N
	for i := 0; i < n; i++ {
		ji := w * j[i]
		if ji == 0 {
			continue
		}
		s.G[i] += ji * r
		row := s.A[i*n : i*n+i+1]
		for k := range row {
			row[k] += ji * j[k]
		}
	}
}

// AddAll is [Normal.Add] for all residuals r with weights w in turn; j holds their gradients
// one after the other. The sums are the same to the last bit.
func (s *Normal) AddAll(r, w []float64, l Loss, j []float64) {
	for o, ro := range r {
		s.Cost += w[o] * l.Rho(ro)
	}
	if !s.WantJ {
		return
	}
	// Four at a time, so that each sum is fetched and put back once for four.
	n, o := s.N, 0
	for ; o+4 <= len(r); o += 4 {
		r0, r1, r2, r3 := r[o], r[o+1], r[o+2], r[o+3]
		w0, w1, w2, w3 := w[o]*l.Weight(r0), w[o+1]*l.Weight(r1), w[o+2]*l.Weight(r2), w[o+3]*l.Weight(r3)
		j0, j1, j2, j3 := j[o*n:][:n], j[(o+1)*n:][:n], j[(o+2)*n:][:n], j[(o+3)*n:][:n]
		for i := range n {
			a0, a1, a2, a3 := w0*j0[i], w1*j1[i], w2*j2[i], w3*j3[i]
			s.G[i] = s.G[i] + a0*r0 + a1*r1 + a2*r2 + a3*r3
			if i&1 == 0 && i < n-1 {
				continue // with the next
			}
			row := s.A[i*n : i*n+i+1]
			b0, b1, b2, b3 := j0[:len(row)], j1[:len(row)], j2[:len(row)], j3[:len(row)]
			if i&1 == 1 {
				c0, c1, c2, c3 := w0*j0[i-1], w1*j1[i-1], w2*j2[i-1], w3*j3[i-1]
				up := s.A[(i-1)*n : i*n][:len(row)-1]
				for k := range up {
					x0, x1, x2, x3 := b0[k], b1[k], b2[k], b3[k]
					up[k] = up[k] + c0*x0 + c1*x1 + c2*x2 + c3*x3
					row[k] = row[k] + a0*x0 + a1*x1 + a2*x2 + a3*x3
				}
				row[i] = row[i] + a0*b0[i] + a1*b1[i] + a2*b2[i] + a3*b3[i]
				continue
			}
			for k := range row {
				row[k] = row[k] + a0*b0[k] + a1*b1[k] + a2*b2[k] + a3*b3[k]
			}
		}
	}
	cost := s.Cost
	for ; o < len(r); o++ {
		s.Add(r[o], w[o], l, j[o*n:][:n])
	}
	s.Cost = cost
}

// Mirror fills the upper triangle of A from the lower.
func (s *Normal) Mirror() {
	for i := 0; i < s.N; i++ {
		for k := 0; k < i; k++ {
			s.A[k*s.N+i] = s.A[i*s.N+k]
		}
	}
}

// LMResult tells how [LevenbergMarquardt] ended.
type LMResult struct {
	Cost      float64
	Rounds    int
	Converged bool
}

// LevenbergMarquardt lowers the cost that rows adds to the equations at x, and leaves the
// best x in place. rows returns false where x is out of its domain (a point behind the
// camera); such a step is taken back. It stops when no unknown moves by more than tol of
// its own standard deviation, or after rounds.
//
// At the end sys holds the equations at x, with A mirrored; [Covariance] takes it.
//
// Source: J. J. Moré, Lecture Notes in Mathematics 630 (1978) 105-116, with scaling by the
// diagonal of JᵀWJ.
func LevenbergMarquardt(x []float64, sys *Normal, rounds int, tol float64, rows func(x []float64, sys *Normal) bool) LMResult {
	n := sys.N
	next := make([]float64, n)
	step := make([]float64, n)
	l := make([]float64, n*n)
	trial := NewNormal(n)
	lambda := 1e-4
	res := LMResult{}
	sys.WantJ = true
	sys.Reset()
	if !rows(x, sys) {
		res.Cost = math.Inf(1)
		return res
	}
	for ; res.Rounds < rounds && !res.Converged; res.Rounds++ {
		better := false
		for try := 0; try < 12 && !better; try++ {
			copy(l, sys.A)
			for i := 0; i < n; i++ {
				l[i*n+i] += lambda*sys.A[i*n+i] + 1e-300
				step[i] = -sys.G[i]
			}
			if !Cholesky(l, n) {
				lambda = max(lambda*10, 1e-8)
				continue
			}
			CholeskySolve(l, n, step)
			move := 0.0
			for i := range next {
				next[i] = x[i] + step[i]
				move = max(move, math.Abs(step[i])*math.Sqrt(sys.A[i*n+i]))
			}
			if move < tol {
				res.Converged = true
				break
			}
			// Nearly every step is good, so that the equations come with the cost: they are
			// those of the next round.
			trial.Reset()
			if rows(next, trial) && trial.Cost < sys.Cost {
				better = true
				lambda = max(lambda*0.2, 1e-12)
			} else {
				lambda = max(lambda*8, 1e-8)
			}
		}
		if !better {
			res.Converged = true // no step in any direction lowers the cost
			break
		}
		copy(x, next)
		*sys, *trial = *trial, *sys
	}
	sys.Mirror()
	res.Cost = sys.Cost
	return res
}

// Covariance inverts the information A that a fit gathered with residuals in units of
// their standard deviation. It returns [ErrRank] where the data do not determine every
// unknown.
func Covariance(sys *Normal) ([]float64, error) {
	inv, ok := Invert(sys.A, sys.N)
	if !ok {
		return nil, ErrRank
	}
	return inv, nil
}
