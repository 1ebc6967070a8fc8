package qc

import (
	"fmt"
	"math"
)

// Confidence of an expanded uncertainty: that of k = 2 for a normal distribution.
const Confidence = 0.9545

// Term is one input of a budget: a standard uncertainty and how strongly the result follows it.
type Term struct {
	Label       string  `json:"label"`
	U           float64 `json:"u"`             // standard uncertainty of the input, in its own unit
	Sensitivity float64 `json:"sensitivity"`   // result's change per unit of the input, with its sign
	DoF         float64 `json:"dof,omitempty"` // degrees of freedom; 0 means infinitely many
}

// Correlation is the coefficient R between the terms I and J of a budget, from -1 to 1.
type Correlation struct {
	I, J int
	R    float64
}

// Budget is a combined uncertainty.
type Budget struct {
	Terms    []Term  `json:"terms"`
	U        float64 `json:"u"`             // combined standard uncertainty
	DoF      float64 `json:"dof,omitempty"` // effective degrees of freedom; 0 means infinitely many
	K        float64 `json:"k"`             // coverage factor for [Confidence]
	Expanded float64 `json:"U"`             // K times U
}

// Combine adds up a budget.
//
// The combined uncertainty follows JCGM 100:2008 5.1.2 eq. (10), with correlations 5.2.2
// eq. (16). The effective degrees of freedom follow Welch and Satterthwaite, G.4.1 eq.
// (G.2b), which holds for independent inputs: terms that are correlated count as one input
// with the fewest degrees of freedom among them, which errs to the wide side.
func Combine(terms []Term, corr ...Correlation) (Budget, error) {
	for i, t := range terms {
		if bad(t.U) || t.U < 0 || bad(t.Sensitivity) || bad(t.DoF) || t.DoF < 0 {
			return Budget{}, fmt.Errorf("term %d %q of the budget is not usable: u %v, sensitivity %v, degrees of freedom %v", i, t.Label, t.U, t.Sensitivity, t.DoF)
		}
	}
	group := make([]int, len(terms)) // terms that hang together by correlation share a group
	for i := range group {
		group[i] = i
	}
	cross := make([]float64, len(terms)) // 2 ci cj ui uj r, kept with the first of the pair
	for n, c := range corr {
		for _, d := range corr[:n] {
			if c.I == d.I && c.J == d.J || c.I == d.J && c.J == d.I {
				return Budget{}, fmt.Errorf("correlation of terms %d and %d is given twice", c.I, c.J)
			}
		}
		if c.I < 0 || c.J < 0 || c.I >= len(terms) || c.J >= len(terms) || c.I == c.J {
			return Budget{}, fmt.Errorf("correlation of terms %d and %d: the budget has %d terms", c.I, c.J, len(terms))
		}
		if bad(c.R) || math.Abs(c.R) > 1 {
			return Budget{}, fmt.Errorf("correlation %v of terms %d and %d is not between -1 and 1", c.R, c.I, c.J)
		}
		a, b := terms[c.I], terms[c.J]
		cross[c.I] += 2 * a.Sensitivity * a.U * b.Sensitivity * b.U * c.R
		from, to := group[c.J], group[c.I]
		if c.R == 0 {
			continue
		}
		for i := range group {
			if group[i] == from {
				group[i] = to
			}
		}
	}
	variance := make([]float64, len(terms))
	dof := make([]float64, len(terms))
	total := 0.0
	for i, t := range terms {
		v := t.Sensitivity*t.Sensitivity*t.U*t.U + cross[i]
		total += v
		g := group[i]
		variance[g] += v
		if t.DoF > 0 && t.U != 0 && t.Sensitivity != 0 && (dof[g] == 0 || t.DoF < dof[g]) {
			dof[g] = t.DoF
		}
	}
	b := Budget{Terms: terms}
	if total > 0 { // correlated terms may cancel, to a rounding error below zero
		b.U = math.Sqrt(total)
		sum := 0.0
		for g, v := range variance {
			if dof[g] > 0 {
				sum += v / total * (v / total) / dof[g] // as fractions: the squares of tiny variances would vanish
			}
		}
		if sum > 0 {
			b.DoF = 1 / sum
		}
	}
	b.K = CoverageFactor(Confidence, b.DoF)
	b.Expanded = b.K * b.U
	return b, nil
}

func bad(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }

// CoverageFactor is Student's t for a two-sided level of confidence, the degrees of freedom
// cut to the next lower whole number (JCGM 100:2008 G.4.1, G.6.4); 0 or infinite degrees of
// freedom give the normal distribution's factor, and for [Confidence] exactly 2.
func CoverageFactor(confidence, dof float64) float64 {
	if dof <= 0 || dof > 1e6 {
		if confidence == Confidence {
			return 2
		}
		dof = 0
	} else {
		dof = math.Max(1, math.Floor(dof+1e-9))
	}
	return studentQuantile((1+confidence)/2, dof)
}

// CameraFit labels what a reading owes to the solved camera: lens, tilt and distance. Printed circles
// prove this part of it alone, see [InForce].
const CameraFit = "camera fit"

// CombineReading adds up the contributions of a reading, which are in millimetres of the
// reading already and independent of each other.
func CombineReading(cs []Contribution) (Budget, error) {
	terms := make([]Term, len(cs))
	for i, c := range cs {
		terms[i] = Term{Label: c.Label, U: c.UMM, Sensitivity: 1, DoF: c.DoF}
	}
	return Combine(terms)
}

// Standard is the reading's standard uncertainty in millimetres with its effective degrees of
// freedom (0: infinitely many). The stated U goes before the contributions: where they would
// give less, the difference is kept.
func (r Reading) Standard() (uMM, dof float64) {
	k := 2.0
	if b, err := CombineReading(r.Contributions); err == nil && b.U > 0 {
		k, dof = b.K, b.DoF
	}
	return r.UMM / k, dof
}

// Triangular is the divisor that turns the half width of a triangular distribution into a
// standard uncertainty (JCGM 100:2008 4.3.9).
var Triangular = math.Sqrt(6)
