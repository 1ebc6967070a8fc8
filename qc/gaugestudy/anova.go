package gaugestudy

import "math"

// Source is one line of an analysis of variance.
type Source struct {
	SS  float64 `json:"ss"` // sum of squares
	DoF float64 `json:"dof"`
	MS  float64 `json:"ms"` // mean square; 0 without degrees of freedom
}

// Variance is the analysis of a crossed study in which objects and photos are both random, and the
// components of variance that follow from it.
type Variance struct {
	Mean                       float64
	Object, Photo, Both, Error Source
	// Components, never below zero: of the objects, of the photos, of how both go together, of the rest.
	OfObject, OfPhoto, OfBoth, OfError float64
}

// Crossed analyses y[object][photo][repeat], every object in every photo equally often. With one
// reading each there is no telling Both from Error: all of it stands in Error.
//
// The sums of squares and the expected mean squares are those of the two-factor random model, as in
// Montgomery, Design and Analysis of Experiments, 13.2, and ISO 5725-3 (cited from memory); estimates
// below zero count as zero.
func Crossed(y [][][]float64) Variance {
	a, b, n := float64(len(y)), float64(len(y[0])), float64(len(y[0][0]))
	objects, photos := make([]float64, len(y)), make([]float64, len(y[0]))
	var v Variance
	for i := range y {
		for j := range y[i] {
			for _, x := range y[i][j] {
				v.Mean += x / (a * b * n)
				objects[i] += x / (b * n)
				photos[j] += x / (a * n)
			}
		}
	}
	for i := range y {
		v.Object.SS += b * n * sq(objects[i]-v.Mean)
		for j := range y[i] {
			cell := 0.0
			for _, x := range y[i][j] {
				cell += x / n
			}
			v.Both.SS += n * sq(cell-objects[i]-photos[j]+v.Mean)
			for _, x := range y[i][j] {
				v.Error.SS += sq(x - cell)
			}
		}
	}
	for j := range photos {
		v.Photo.SS += a * n * sq(photos[j]-v.Mean)
	}
	v.Object.DoF, v.Photo.DoF, v.Both.DoF, v.Error.DoF = a-1, b-1, (a-1)*(b-1), a*b*(n-1)
	if n == 1 {
		v.Both, v.Error = Source{}, v.Both
	}
	for _, s := range []*Source{&v.Object, &v.Photo, &v.Both, &v.Error} {
		if s.DoF > 0 {
			s.MS = s.SS / s.DoF
		}
	}
	beside := v.Both.MS
	if n == 1 {
		beside = v.Error.MS
	}
	v.OfError = v.Error.MS
	v.OfBoth = math.Max(0, (v.Both.MS-v.Error.MS)/n)
	v.OfObject = math.Max(0, (v.Object.MS-beside)/(b*n))
	v.OfPhoto = math.Max(0, (v.Photo.MS-beside)/(a*n))
	return v
}

func sq(x float64) float64 { return x * x }

// chiSquared is the value that chi-squared with dof degrees of freedom stays below with probability p.
// Halving can't miss, as in the quantile of Student's t.
func chiSquared(p, dof float64) float64 {
	lo, hi := 0.0, dof+10
	for gammaP(dof/2, hi/2) < p {
		lo, hi = hi, 2*hi
	}
	for range 100 {
		if mid := (lo + hi) / 2; gammaP(dof/2, mid/2) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// gammaP is the regularised lower incomplete gamma function, by its series (Abramowitz and Stegun
// 6.5.29): slow far out, and exact.
func gammaP(a, x float64) float64 {
	if x <= 0 {
		return 0
	}
	lg, _ := math.Lgamma(a + 1)
	term, sum := 1.0, 1.0
	for n := 1.0; term > 1e-16*sum && n < 1e5; n++ {
		term *= x / (a + n)
		sum += term
	}
	return math.Min(1, sum*math.Exp(a*math.Log(x)-x-lg))
}
