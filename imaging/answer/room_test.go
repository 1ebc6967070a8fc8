package answer

import (
	"math"
	"os"
	"testing"

	"bucktail/imaging/measure"
	"bucktail/qc"
	"bucktail/qc/toolroom"
)

// On rendered photos of an angle, its four holes and then its four rivets 13.4 mm from the standing leg's
// outer face, the line that is found beside them is the leg's upper rim, 20 mm above the sheet, which
// shows 1.2 mm too far, or one in the bend's fillet, 2.5 to 2.8 mm too near (since bucktail-11 none is found
// beside the rivets). Taken for the outer face, the distance holds the truth within its U and says why that
// is wide.
func TestTheLegsUpperRimIsInU(t *testing.T) {
	bend := toolroom.Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 20 + 1.6}
	lines := 0
	for name, kind := range map[string]qc.Kind{"angle-holes": qc.Hole, "angle-set": qc.PulledHead} {
		photo, err := os.ReadFile("../measure/testdata/" + name + ".jpg")
		if err != nil {
			t.Fatal(err)
		}
		doc, err := Measure(photo, Options{Spec: qc.Spec{Kind: kind, NominalMM: 3.175, Rivet: qc.Pulled},
			Measure: measure.Options{ScaleX: 1.002, ScaleY: 0.999, ThicknessMM: 0.25}})
		if err != nil || len(doc.Locations) != 4 {
			t.Fatalf("%s: %v, %d of 4", name, err, len(doc.Locations))
		}
		for i, l := range doc.Locations {
			for _, r := range l.Readings {
				if r.Quantity != qc.EdgeDistance {
					continue
				}
				lines++
				axis, err := bend.FromLine(toolroom.Seen{Reading: r.Reading, PerMMUp: r.PerMMUp}, toolroom.OuterFace)
				off := math.Abs(axis.ValueMM - 13.4)
				if err != nil || off > axis.UMM || off > 4*r.UMM && len(axis.Warnings) == 0 {
					t.Errorf("%s %d: %.2f mm off, U %.2f, %v, %v", name, i+1, off, axis.UMM, axis.Warnings, err)
				}
			}
		}
	}
	if lines < 4 {
		t.Errorf("only %d lines were found", lines)
	}
}
