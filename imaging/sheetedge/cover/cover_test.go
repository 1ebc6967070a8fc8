package cover

import (
	"math"
	"math/rand/v2"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
)

// A fastener hides what lies under its head, and little beside it.
func TestFastenersHideWhatTheyStandOn(t *testing.T) {
	const rMM = 3
	r := geom.SheetCircle{Centre: geom.SheetPoint{X: 2, Y: -1}, RadiusMM: rMM}
	v := &rectified.View{X0: -10, Y0: -10, StepMM: 0.1, W: 200, H: 200}
	c := New(v, []geom.SheetCircle{r}, nil)
	masked := make([]int16, v.W*v.H)
	c.Mask(masked, 1)
	for k := range 16 {
		sn, cs := math.Sincos(math.Pi / 8 * float64(k))
		for mm, want := range map[float64]bool{0: true, rMM - 0.1: true, 1.3*rMM + 0.3: false} {
			p := r.Centre.Add(geom.SheetPoint{X: mm * cs, Y: mm * sn})
			i, j := v.Pixel(p)
			if got := c.Hides(p); got != want || (masked[int(j+0.5)*v.W+int(i+0.5)] == 1) != want {
				t.Errorf("%.1f mm from the middle: hidden is %v, want %v", mm, got, want)
			}
		}
	}
	for off, want := range map[float64][2]float64{0: {rMM, 1.3*rMM + 0.3}, 0.8 * rMM: {0.6 * rMM, 1.1 * rMM}} {
		ch := c.Chords(geom.SheetPoint{X: -5, Y: r.Centre.Y + off}, geom.SheetPoint{X: 1}, nil)
		if len(ch) != 1 || math.Abs((ch[0][0]+ch[0][1])/2-7) > 1e-9 || (ch[0][1]-ch[0][0])/2 < want[0] || (ch[0][1]-ch[0][0])/2 > want[1] {
			t.Errorf("%.1f mm off the middle the line is hidden over %v, want 7 ± %.1f to %.1f", off, ch, want[0], want[1])
		}
	}
	if ch := c.Chords(geom.SheetPoint{X: -5, Y: r.Centre.Y + 2*rMM}, geom.SheetPoint{X: 1}, nil); len(ch) != 0 {
		t.Errorf("a line that passes the head is hidden over %v", ch)
	}
}

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
