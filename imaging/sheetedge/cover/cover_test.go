package cover

import (
	"math"
	"math/rand/v2"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
)

// Cells answer as the card itself does, wherever one asks.
func TestCardCellsAgreeWithTheCard(t *testing.T) {
	onCard := func(p geom.SheetPoint, mm float64) bool { // a square with a window, turned
		x, y := math.Abs(0.8*p.X+0.6*p.Y), math.Abs(0.8*p.Y-0.6*p.X)
		d := max(x, y)
		return d < 20+mm && d > 9-mm
	}
	v := &rectified.View{X0: -31, Y0: -22, StepMM: 0.1, W: 555, H: 437}
	c := New(v, nil, onCard)
	rng := rand.New(rand.NewPCG(13, 14))
	on := 0
	for range 20000 {
		p := geom.SheetPoint{X: -35 + 62*rng.Float64(), Y: -26 + 52*rng.Float64()}
		want := onCard(p, cardMarginMM)
		if c.OnCard(p) != want {
			t.Fatalf("%v: on the card %v, want %v", p, !want, want)
		}
		if want {
			on++
		}
	}
	if on < 4000 || on > 16000 {
		t.Errorf("%d of 20000 on the card: the test is lopsided", on)
	}
}
