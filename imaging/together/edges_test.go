package together

import (
	"math"
	"testing"

	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

func TestOddLineIsLeftOut(t *testing.T) {
	edge := func(at ...float64) *sameEdge {
		g := &sameEdge{}
		for i, mm := range at {
			ln := line{photo: i, u: 0.05, cs: []qc.Contribution{{Label: "edge: noise", UMM: 0.05}}}
			ln.Distance = sheetedge.Distance{Edge: &sheetedge.Edge{Strength: float64(1 + i)}, DistanceMM: mm}
			g.lines = append(g.lines, ln)
		}
		return g
	}
	for _, tt := range []struct {
		at         []float64
		mm, lesser float64
	}{
		{[]float64{5}, 5, 0},
		{[]float64{5, 5.04, 5.02}, 5.02, 0},
		{[]float64{5, 5.6, 5.02}, 5.01, 0},
		{[]float64{5, 5.04}, 5.02, 0},
		{[]float64{5, 5.6}, 5.6, 5}, // the second is the plainer one
		{[]float64{5.6, 5}, 5, 5.6},
	} {
		g := edge(tt.at...)
		lesser := g.leaveOdd()
		if mm, _, _ := g.mean(); math.Abs(mm-tt.mm) > 1e-9 || lesser != tt.lesser {
			t.Errorf("%v are joined to %.3f, the other at %.3f: %.3f and %.3f is right", tt.at, mm, lesser, tt.mm, tt.lesser)
		}
	}
}
