package toolroom

import (
	"math"
	"testing"

	"bucktail/qc"
)

// An axis 7.9 mm from the tangent, 10.9 mm from the inner face and 12.5 mm from the outer one, as in
// the worked example, is the same place.
func TestALineOfThePhotoGivesTheAxis(t *testing.T) {
	b := Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}
	for line, mm := range map[LegLine]float64{OuterFace: 12.5, InnerFace: 10.9, Tangent: 7.9} {
		r, err := b.FromLine(qc.Reading{Quantity: qc.EdgeDistance, ValueMM: mm, UMM: 0.2, How: qc.ByPhotoHand}, line)
		if err != nil || math.Abs(r.ValueMM-12.5) > 1e-9 || r.UMM != 0.2 || r.Quantity != qc.LegDistance {
			t.Errorf("%s: %+v, %v", line, r, err)
		}
	}
	if _, err := b.FromLine(qc.Reading{}, "ceiling"); err == nil {
		t.Error("a line of the ceiling")
	}
}
