package gaugestudy

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %v, not %v", what, got, want)
	}
}

// gauge are two operators' three measurements of each of ten parts: Montgomery, Design and Analysis of
// Experiments (2012), table P13.1, with the analysis of variance that its solution prints.
var gauge = [2][3][10]float64{
	{{50, 52, 53, 49, 48, 52, 51, 52, 50, 47}, {49, 52, 50, 51, 49, 50, 51, 50, 51, 46}, {50, 51, 50, 50, 48, 50, 51, 49, 50, 49}},
	{{50, 51, 54, 48, 48, 52, 51, 53, 51, 46}, {48, 51, 52, 50, 49, 50, 50, 48, 48, 47}, {51, 51, 51, 51, 48, 50, 50, 50, 49, 48}},
}

func TestCrossedAsPublished(t *testing.T) {
	var y, cells [][][]float64
	for part := range 10 {
		var rows, means [][]float64
		for op := range 2 {
			var rs []float64
			mean := 0.0
			for k := range 3 {
				rs = append(rs, gauge[op][k][part])
				mean += gauge[op][k][part] / 3
			}
			rows, means = append(rows, rs), append(means, []float64{mean})
		}
		y, cells = append(y, rows), append(cells, means)
	}
	v := Crossed(y)
	for _, c := range []struct {
		what        string
		got         Source
		ss, dof, ms float64
	}{{"part", v.Object, 99.017, 9, 11.002}, {"operator", v.Photo, 0.417, 1, 0.417}, {"part by operator", v.Both, 5.417, 9, 0.602}, {"error", v.Error, 60.000, 40, 1.500}} {
		near(t, c.what+": sum of squares", c.got.SS, c.ss, 0.0005)
		near(t, c.what+": degrees of freedom", c.got.DoF, c.dof, 0)
		near(t, c.what+": mean square", c.got.MS, c.ms, 0.0005)
	}
	near(t, "total", v.Object.SS+v.Photo.SS+v.Both.SS+v.Error.SS, 164.850, 0.0005)
	near(t, "component of the parts", v.OfObject, 1.73333, 0.00001)
	near(t, "component of error", v.OfError, 1.5, 1e-9)
	if v.OfPhoto != 0 || v.OfBoth != 0 { // -0.00617 and -0.29938 there: assumed to be zero
		t.Errorf("components %v and %v are not zero", v.OfPhoto, v.OfBoth)
	}
	// One reading in each cell, their mean: the same sums but for the threefold, and what parts and
	// operators have together stands as error.
	w := Crossed(cells)
	near(t, "cells: part", 3*w.Object.SS, 99.017, 0.0005)
	near(t, "cells: operator", 3*w.Photo.SS, 0.417, 0.0005)
	near(t, "cells: error", 3*w.Error.SS, 5.417, 0.0005)
	near(t, "cells: error's degrees of freedom", w.Error.DoF, 9, 0)
	near(t, "cells: parts", w.OfObject, 1.73333, 0.00001)
}

// Critical values of chi-squared at 95 %, NIST/SEMATECH e-Handbook 1.3.6.7.4 (from memory; SciPy's
// chi2.ppf gives the same).
func TestChiSquared(t *testing.T) {
	for dof, want := range map[float64]float64{1: 3.841, 2: 5.991, 3: 7.815, 5: 11.070, 10: 18.307, 15: 24.996, 30: 43.773, 100: 124.342} {
		near(t, "chi-squared", chiSquared(0.95, dof), want, 0.0006)
	}
}
