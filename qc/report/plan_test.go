//go:build !js

package report

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/shape"
	"bucktail/qc/toolroom"
)

// A part that was laid out is drawn to scale, and its shape stands on its first pages: what stands
// with its verdict, what led to it, the target's source.
func TestPlanAndShapeInTheReport(t *testing.T) {
	plan := layout.Input{Spec: qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled},
		Legs: []layout.Leg{{WidthMM: 25, LengthMM: 80, ThicknessMM: 1.6, Bend: &toolroom.Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}}}}
	target := -8.0
	part := Part{ID: "p", Name: "Baggage-hatch frame", Layout: &history.LayoutData{WidthMM: 80, HeightMM: 25, Plan: &plan}}
	for _, m := range []struct {
		state  shape.State
		height float64
	}{{shape.Imposed, 10}, {shape.Released, 6.2}} {
		in := shape.Input{Name: "twist of the frame", Kind: shape.Twist, State: m.state, Method: shape.Blocks, ValuesMM: []float64{m.height}, UMM: 0.2, BaseUMM: 0.1, WidthMM: 600,
			TargetMM: &target, ToleranceMM: 1, Source: "drawing HF-12, note 7"}
		r, err := shape.Judge(in)
		if err != nil {
			t.Fatal(err)
		}
		part.Shapes = append(part.Shapes, history.Shape{Entry: "e", At: time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC), Stands: m.state == shape.Released,
			ShapeData: history.ShapeData{Input: in, Result: r}})
	}
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, &Record{Parts: []Part{part}}, Options{Units: qc.Millimetres}); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(tool(t, "pdftotext", save(t, "plan.pdf", b.Bytes()), "-")), " ")
	for _, want := range []string{"to scale, 80.00 × 25.00 mm", "Shape of the part", "twist of the frame, released 2 November 2026: −6.20 ± 0.45 mm, out; target −8.00 mm, tolerance 1.00 mm (drawing HF-12, note 7).",
		"twist of the frame, imposed", "not judged: only what stands when it is released counts", "Angle between the ends −0.59"} {
		if !strings.Contains(text, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	if strings.Contains(text, "grid 0.00") {
		t.Error("a plan is called a grid of 0 mm")
	}
}
