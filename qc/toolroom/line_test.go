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
		r, err := b.FromLine(Seen{Reading: qc.Reading{Quantity: qc.EdgeDistance, ValueMM: mm, UMM: 0.2, How: qc.ByPhotoHand}}, line)
		if err != nil || math.Abs(r.ValueMM-12.5) > 1e-9 || r.UMM != 0.2 || r.Quantity != qc.LegDistance {
			t.Errorf("%s: %+v, %v", line, r, err)
		}
	}
	if _, err := b.FromLine(Seen{}, "ceiling"); err == nil {
		t.Error("a line of the ceiling")
	}
}

// Of the free edge, 12.9 mm off, and the tangent, 7.7 mm off, the leg's is the one by which the axis
// comes where it was planned; a photo without any such line proposes none.
func TestTheLineOfTheLegIsProposed(t *testing.T) {
	b := Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}
	edge := func(mm float64) Seen {
		return Seen{Reading: qc.Reading{Quantity: qc.EdgeDistance, ValueMM: mm, UMM: 0.1, How: qc.ByPhoto}}
	}
	if at, line, ok := b.Propose([]Seen{edge(14.4), edge(7.7)}, 12.5); !ok || at != 1 || line != Tangent {
		t.Errorf("proposed %d, %s, %v", at, line, ok)
	}
	// Where the bend has a radius its fillet lies where the inner face would meet the sheet: what shows
	// there is the leg's upper rim, seen past it.
	inner := []Seen{edge(10.7), edge(9.9)}
	if at, line, ok := b.Propose(inner, 12.5); ok {
		t.Errorf("proposed %d, %s, %v", at, line, ok)
	}
	sharp := Bend{ThicknessMM: 1.6, LegMM: 25}
	if at, line, ok := sharp.Propose(inner, 12.5); !ok || at != 0 || line != InnerFace {
		t.Errorf("proposed %d, %s, %v", at, line, ok)
	}
	for _, none := range [][]Seen{nil, {edge(20)}, {edge(5)}} {
		if at, line, ok := b.Propose(none, 12.5); ok {
			t.Errorf("of %v: %d, %s", none, at, line)
		}
	}
}

// A leg stands 23.4 mm above the sheet. Seen 0.1 mm over for each mm of height from its outer side, it
// hides the tangent: its rim lies 2.34 mm nearer, beside a fillet of 3 mm, so not yet; at 0.2, 4.68 mm,
// it does. From the hole's side the tangent is free; a face may be taken for its rim from either side.
func TestTheUpperRimOfTheLegIsInU(t *testing.T) {
	b := Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}
	for _, c := range []struct {
		line LegLine
		up   float64
		off  float64
	}{
		{Tangent, 0.2, 0}, {Tangent, -0.1, 0}, {Tangent, -0.2, 1.68}, {InnerFace, -0.1, 2.34}, {InnerFace, 0.1, 2.34},
		{OuterFace, 0.1, 2.34}, {OuterFace, -0.1, 2.34}, {OuterFace, 0, 0},
	} {
		r, err := b.FromLine(Seen{qc.Reading{ValueMM: 8, UMM: 0.2}, c.up}, c.line)
		want := math.Hypot(0.2, 2*c.off/math.Sqrt(3))
		if err != nil || math.Abs(r.UMM-want) > 1e-9 || (len(r.Warnings) > 0) != (c.off > 0) || r.UMM > 0.2 && r.UMM < c.off {
			t.Errorf("%s, %.1f: U %.3f, want %.3f; %v, %v", c.line, c.up, r.UMM, want, r.Warnings, err)
		}
	}
}
