package measure

import (
	"errors"
	"math"
	"os"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

func circlesOf(t *testing.T, name string, opt Options) (*CirclesSeen, error) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return Circles(ph, opt)
}

// What the print is stretched by is in what is read, and nothing of it in U; the budget adds up to U.
func TestCirclesOfADrawnPhoto(t *testing.T) {
	seen, err := circlesOf(t, "circles.jpg", Options{ScaleX: 1.004, ScaleY: 0.998, ThicknessMM: 0.25})
	if err != nil || len(seen.Circles) != len(card.Circles) || seen.Scale.Layout != "corner" {
		t.Fatalf("%v, %+v", err, seen)
	}
	for i, c := range seen.Circles {
		want := card.Circles[i].DiameterMM
		if c.PrintedMM != want || math.Abs(c.ValueMM-want*1.001) > 0.01 || c.UMM > 0.03 {
			t.Errorf("%g mm is read as %.4f ± %.4f mm", want, c.ValueMM, c.UMM)
		}
		if b, err := qc.CombineReading(c.Contributions); err != nil || b.Expanded != c.UMM {
			t.Errorf("%g mm: U %v, its budget %v, %v", want, c.UMM, b.Expanded, err)
		}
	}
}

// No rivet, hole or glare on a photo is taken for a printed circle. Where they are printed they are read:
// see TestStudyOfPrintedCircles in server/cli and TestRingsBesideTheCard in package plane.
func TestNothingElseIsACircle(t *testing.T) {
	for _, name := range []string{"row/row-1.jpg", "row/row-2-hole.jpg", "photos/dev-03.jpg", "photos/dev-08.jpg", "views/990108-a.jpg"} {
		_, err := circlesOf(t, name, Options{ThicknessMM: 0.25})
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Code != "no-circles" {
			t.Errorf("%s: %v", name, err)
		}
	}
}
