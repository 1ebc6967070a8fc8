package qc

import "math"

// studentCDF is the probability that Student's t with dof degrees of freedom is below t;
// dof 0 or infinite means the normal distribution.
//
// Source: P(|T| > t) = I(dof/(dof+t²); dof/2, 1/2), Abramowitz and Stegun 26.7.1, 26.5.27.
func studentCDF(t, dof float64) float64 {
	if dof <= 0 || math.IsInf(dof, 1) || dof > 1e6 {
		return 0.5 * math.Erfc(-t/math.Sqrt2)
	}
	tail := 0.5 * regIncBeta(dof/(dof+t*t), dof/2, 0.5)
	if t > 0 {
		return 1 - tail
	}
	return tail
}

// studentQuantile is the t with studentCDF(t, dof) = p, for p from 0.5 to below 1. Halving is
// slow but cannot miss, and 200 halvings reach the last digit.
func studentQuantile(p, dof float64) float64 {
	lo, hi := 0.0, 2.0
	for studentCDF(hi, dof) < p && hi < 1e12 {
		lo, hi = hi, hi*2
	}
	for i := 0; i < 200 && hi-lo > 1e-13*hi; i++ {
		mid := (lo + hi) / 2
		if studentCDF(mid, dof) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// regIncBeta is the regularised incomplete beta function I(x; a, b), by the continued
// fraction of Abramowitz and Stegun 26.5.8 in Lentz's form, on the side where it converges
// fast.
func regIncBeta(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	if x > (a+1)/(a+b+2) {
		return 1 - regIncBeta(1-x, b, a)
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab-la-lb+a*math.Log(x)+b*math.Log(1-x)) / a

	const tiny = 1e-300 // keeps Lentz's divisions finite
	f, c, d := 1.0, 1.0, 0.0
	for i := 0; i <= 500; i++ {
		m := float64(i / 2)
		var num float64
		switch {
		case i == 0:
			num = 1
		case i%2 == 0:
			num = m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		default:
			num = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		}
		d = 1 + num*d
		if math.Abs(d) < tiny {
			d = tiny
		}
		d = 1 / d
		c = 1 + num/c
		if math.Abs(c) < tiny {
			c = tiny
		}
		f *= c * d
		if math.Abs(1-c*d) < 1e-15 {
			break
		}
	}
	return front * (f - 1)
}
