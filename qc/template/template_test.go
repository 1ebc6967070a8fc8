package template

import (
	"bytes"
	"math"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/bend"
	"bucktail/qc/layout"
	"bucktail/qc/paper"
	"bucktail/qc/sketch"
	"bucktail/qc/toolroom"
)

var sizes = []paper.Size{paper.A4, paper.Letter}

// frame is a leg of the baggage-hatch frame, longer than a page, and gusset one of its corners.
var frame = layout.Input{Name: "Baggage-hatch frame, angle", MarginMM: 1, Tool: &toolroom.Tool{Name: "puller", NoseMM: 12},
	Spec: qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled},
	Legs: []layout.Leg{{WidthMM: 25, LengthMM: 600, ThicknessMM: 1.6, Bend: &toolroom.Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}}}}

func gusset() layout.Input {
	zero, w := 0.0, 25.4
	tube := layout.Layer{Name: "tube", Tube: true, FromMM: &zero, ToMM: &w, CornerMM: 3}
	butts := tube
	butts.StartMM = &w
	return layout.Input{Name: "Baggage-hatch frame, corner gusset", AngleDeg: 90, Spec: frame.Spec,
		Legs: []layout.Leg{{WidthMM: 25.4, LengthMM: 120, ThicknessMM: 0.8, Layers: []layout.Layer{tube}}, {WidthMM: 25.4, LengthMM: 150, ThicknessMM: 0.8, Layers: []layout.Layer{butts}}}}
}

func page(t *testing.T, in layout.Input) Page {
	t.Helper()
	a, err := layout.Lay(in)
	if err != nil || len(a.Holes) == 0 {
		t.Fatalf("%v, %d holes", err, len(a.Holes))
	}
	return OfLayout(in, a, qc.Millimetres)
}

// flat is the flat pattern of the worked angle with a hole in each leg.
func flat(t *testing.T) Page {
	t.Helper()
	in := bend.Input{Name: "Baggage-hatch frame, angle", Alloy: "6061-T6", ThicknessMM: 1.6, RadiusMM: 3, AngleDeg: 90, LegsMM: []float64{25, 25}, LengthMM: 200,
		Holes: []bend.Hole{{Tag: "R1", Leg: 1, AcrossMM: 9.5, AlongMM: 8, DMM: 2.49}, {Tag: "R2", Leg: 2, AcrossMM: 15.5, AlongMM: 192, DMM: 2.49}}}
	f, err := bend.Flatten(in)
	if err != nil {
		t.Fatal(err)
	}
	return OfBend(in, f, qc.Millimetres)
}

func write(t *testing.T, p Page, z paper.Size) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, p, Options{z, time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC)}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Every place of the drawing stands on some page, clear of its window's rim, and neighbours overlap.
func TestTilesCover(t *testing.T) {
	for _, z := range sizes {
		for _, max := range []sketch.XY{{30, 20}, {600, 25}, {25, 600}, {400, 500}, {5000, 20}} {
			s := sketch.Sketch{Max: max}
			tiles := Tiles(s, z)
			for i := range 21 {
				for j := range 21 {
					p := sketch.XY{max[0] * float64(i) / 20, max[1] * float64(j) / 20}
					seen := false
					for _, tile := range tiles {
						x, y := tile.At(p)
						seen = seen || x >= leftMM+2 && x <= leftMM+tile.W-2 && y >= topMM+2 && y <= topMM+tile.H-2
					}
					if !seen {
						t.Fatalf("%s: (%v, %v) of %v stands on no page", z.Name, p[0], p[1], max)
					}
				}
			}
		}
	}
}

// A turned drawing is turned, not mirrored, and keeps lengths.
func TestTilesKeepHand(t *testing.T) {
	for _, s := range []sketch.Sketch{{Max: sketch.XY{100, 30}}, {Max: sketch.XY{260, 30}}} {
		tile := Tiles(s, paper.A4)[0]
		x0, y0 := tile.At(sketch.XY{0, 0})
		x1, y1 := tile.At(sketch.XY{10, 0})
		x2, y2 := tile.At(sketch.XY{0, 10})
		if cross := (x1-x0)*(y2-y0) - (y1-y0)*(x2-x0); math.Abs(cross-100) > 1e-9 {
			t.Errorf("turned %v: the cross product is %v, want 100", tile.Turned, cross)
		}
	}
}

func TestSameBytes(t *testing.T) {
	if p := page(t, frame); !bytes.Equal(write(t, p, paper.A4), write(t, p, paper.A4)) {
		t.Error("two templates made alike differ")
	}
}
