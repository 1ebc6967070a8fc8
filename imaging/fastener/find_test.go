package fastener

import (
	"math"
	"testing"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
)

// Of two that overlap the likelier stays, or the one that was tapped; the result is in the order of
// places.
func TestOfTwoThatOverlapOneStays(t *testing.T) {
	at := func(xMM, probability float64, tapped bool) Fastener {
		return Fastener{Outline: outline.Outline{Centre: geom.SheetPoint{X: xMM}, RMM: 3}, Probability: probability, Support: 0.9, Tapped: tapped}
	}
	for _, c := range []struct {
		name string
		all  []Fastener
		want []float64 // X, mm
	}{
		{"apart", []Fastener{at(20, 0.9, false), at(0, 0.8, false)}, []float64{0, 20}},
		{"side by side", []Fastener{at(0, 0.9, false), at(3.1, 0.8, false)}, []float64{0, 3.1}},
		{"the likelier", []Fastener{at(0, 0.8, false), at(1, 0.9, false)}, []float64{1}},
		{"the tapped", []Fastener{at(0, 0.99, false), at(1, 0.7, true)}, []float64{1}},
		{"the likelier of two tapped", []Fastener{at(0, 0.6, true), at(1, 0.7, true)}, []float64{1}},
		{"a chain", []Fastener{at(0, 0.9, false), at(2.5, 0.95, false), at(5, 0.9, false)}, []float64{2.5}},
	} {
		var got []float64
		for _, f := range likeliest(c.all) {
			got = append(got, f.Centre.X)
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %v stay, want %v", c.name, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: %v stay, want %v", c.name, got, c.want)
			}
		}
	}
}

// Three looks differ by what the greatest and the least of their diameters do.
func TestSpreadOfLooks(t *testing.T) {
	look := func(rMM float64) outline.Fitted { return outline.Fitted{Outline: outline.Outline{RMM: rMM}} }
	if got := spread([3]outline.Fitted{look(3.1), look(2.95), look(3)}); math.Abs(got-0.3) > 1e-9 {
		t.Errorf("looks of 6.2, 5.9 and 6 mm differ by %.3f", got)
	}
}
