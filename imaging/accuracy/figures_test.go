//go:build !js

package accuracy

import (
	"math"
	"slices"
)

// figures sum up the readings of one quantity.
type figures struct {
	n                          int
	biasMM                     float64 // mean error
	medianMM, p95MM, worstMM   float64 // of the absolute error
	medianU                    float64 // mm
	covered, byHalf, byQuarter float64 // fraction of the truths that U, U/2 and U/4 cover
	ratio                      float64 // median of |error|/U
}

func figuresOf(rs []reading) (f figures) {
	if f.n = len(rs); f.n == 0 {
		return f
	}
	var errs, us, ratios []float64
	fraction := 1 / float64(f.n)
	for _, r := range rs {
		e := math.Abs(r.errorMM)
		f.biasMM += r.errorMM * fraction
		errs, us, ratios = append(errs, e), append(us, r.uMM), append(ratios, e/r.uMM)
		for _, c := range []struct {
			count *float64
			k     float64
		}{{&f.covered, 1}, {&f.byHalf, 0.5}, {&f.byQuarter, 0.25}} {
			if e <= c.k*r.uMM {
				*c.count += fraction
			}
		}
	}
	f.medianMM, f.p95MM, f.worstMM = quantile(errs, 0.5), quantile(errs, 0.95), slices.Max(errs)
	f.medianU, f.ratio = quantile(us, 0.5), quantile(ratios, 0.5)
	return f
}

// quantile interpolates between the sorted values.
func quantile(values []float64, p float64) float64 {
	v := slices.Sorted(slices.Values(values))
	k := float64(len(v)-1) * p
	i := int(k)
	return v[i] + (v[min(i+1, len(v)-1)]-v[i])*(k-float64(i))
}
