package aim

import (
	"encoding/json"
	"image"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"testing"
)

// frame gives a rendered photo as a live view shows it, long side in px, and the still's width over
// the frame's. It is shrunk by means over whole pixels, as a camera's own reduction is.
func frame(tb testing.TB, name string, side int) (Frame, []byte) {
	tb.Helper()
	f, err := os.Open("../../testdata/photos/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	pic, err := jpeg.Decode(f)
	if err != nil {
		tb.Fatal(err)
	}
	b := pic.Bounds()
	full := image.NewRGBA(b)
	draw.Draw(full, b, pic, b.Min, draw.Src)
	k := float64(max(b.Dx(), b.Dy())) / float64(side)
	w, h := int(float64(b.Dx())/k), int(float64(b.Dy())/k)
	out := make([]byte, 4*w*h)
	for y := range h {
		for x := range w {
			x0, x1 := int(float64(x)*k), max(int(float64(x)*k)+1, int(float64(x+1)*k))
			y0, y1 := int(float64(y)*k), max(int(float64(y)*k)+1, int(float64(y+1)*k))
			var sum [4]int
			for v := y0; v < y1; v++ {
				for u := x0; u < x1; u++ {
					for c := range 4 {
						sum[c] += int(full.Pix[full.PixOffset(u, v)+c])
					}
				}
			}
			for c := range 4 {
				out[4*(y*w+x)+c] = byte(sum[c] / ((x1 - x0) * (y1 - y0)))
			}
		}
	}
	return Frame{W: w, H: h, Still: k}, out
}

func dim(rgba []byte, by float64) []byte {
	out := make([]byte, len(rgba))
	for i, v := range rgba {
		out[i] = byte(float64(v) * by)
	}
	return out
}

func TestTheAdviceFitsTheTruth(t *testing.T) {
	for _, photo := range []string{"dev-03", "dev-08", "dev-13"} {
		var truth struct {
			View struct {
				TiltDeg    float64 `json:"tilt_deg"`
				DistanceMM float64 `json:"distance_mm"`
			} `json:"view"`
			Card struct {
				Layout string `json:"layout"`
			} `json:"card"`
		}
		b, err := os.ReadFile("../../testdata/photos/" + photo + ".json")
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, &truth); err != nil {
			t.Fatal(err)
		}
		f, rgba := frame(t, photo+".jpg", 1280)
		var e Eye
		s, err := e.Look(f, rgba)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %s, %d rings of %s, %.1f px/mm, %.0f°, %.0f mm", photo, s.Advice, s.Seen, s.Layout, s.PxPerMM, s.TiltDeg, s.DistanceMM)
		if s.Layout != truth.Card.Layout || len(s.Outline) < 4 {
			t.Errorf("%s: card %q with %d corners, it is %q", photo, s.Layout, len(s.Outline), truth.Card.Layout)
		}
		if math.Abs(s.TiltDeg-truth.View.TiltDeg) > 6 {
			t.Errorf("%s: tilt %.1f°, it is %.1f°", photo, s.TiltDeg, truth.View.TiltDeg)
		}
		// These were taken with the usual focal length, so the rough distance is not far off.
		if math.Abs(s.DistanceMM/truth.View.DistanceMM-1) > 0.1 {
			t.Errorf("%s: %.0f mm away, it is %.0f mm", photo, s.DistanceMM, truth.View.DistanceMM)
		}
		if truth.View.TiltDeg > 14 && s.Advice == Ready {
			t.Errorf("%s: ready at a tilt of %.0f°", photo, truth.View.TiltDeg)
		}
	}
}

func TestTheWorstTroubleComesFirst(t *testing.T) {
	f, rgba := frame(t, "dev-03.jpg", 1280)
	look := func(e *Eye, f Frame, rgba []byte) *Sight {
		t.Helper()
		s, err := e.Look(f, rgba)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	if s := look(&Eye{}, f, make([]byte, len(rgba))); s.Advice != NoCard || s.Outline == nil || s.Rings == nil {
		t.Errorf("black: %+v", s)
	}
	far := f
	far.Still = 1 // as if the still had no more pixels than the frame
	if s := look(&Eye{}, far, rgba); s.PxPerMM < farPxPerMM && (s.Advice != Far || s.NearerMM <= 0) {
		t.Errorf("far: %+v", s)
	}
	// The frame's right half alone: part of the card is outside.
	half := Frame{W: f.W / 2, H: f.H, Still: f.Still}
	cut := make([]byte, 4*half.W*half.H)
	for y := range f.H {
		copy(cut[4*y*half.W:4*(y+1)*half.W], rgba[4*(y*f.W+f.W-half.W):])
	}
	if s := look(&Eye{}, half, cut); s.Advice != CutOff && s.Advice != NoCard {
		t.Errorf("cut off: %+v", s)
	}
	var e Eye
	first := look(&e, f, rgba)
	f.AtMS = 100
	if s := look(&e, f, rgba); s.MMPerS != 0 || first.MMPerS != 0 {
		t.Errorf("standing still: %v mm/s", s.MMPerS)
	}
	if s := look(&Eye{}, f, dim(rgba, 0.2)); s.PaperLuma >= first.PaperLuma || s.Advice == Ready {
		t.Errorf("a fifth of the light: paper %v after %v, %s", s.PaperLuma, first.PaperLuma, s.Advice)
	}
	// One more photo is wanted from where the phone is, then from the other side.
	there, other := f, f
	there.Toward, there.TiltDeg = &first.Nearer, first.TiltDeg
	other.Toward, other.TiltDeg = &[2]float64{-first.Nearer[0], -first.Nearer[1]}, 20
	if s := look(&Eye{}, there, rgba); s.Advice == Aside || s.Advice == Tilted {
		t.Errorf("wanted from where the phone is: %s", s.Advice)
	}
	if s := look(&Eye{}, other, rgba); s.Advice != Aside {
		t.Errorf("wanted from the other side: %s", s.Advice)
	}
	if _, err := e.Look(Frame{W: 10, H: 10}, make([]byte, 399)); err == nil {
		t.Error("a frame that lacks a byte is taken")
	}
}

func TestMovementIsInMillimetresPerSecond(t *testing.T) {
	f, rgba := frame(t, "dev-03.jpg", 1280)
	var e Eye
	a, err := e.Look(f, rgba)
	if err != nil {
		t.Fatal(err)
	}
	// The picture moved by 10 px in a tenth of a second.
	const px = 10
	moved := make([]byte, len(rgba))
	for y := range f.H {
		copy(moved[4*(y*f.W+px):4*(y+1)*f.W], rgba[4*y*f.W:4*(y+1)*f.W-4*px])
	}
	f.AtMS = 100
	b, err := e.Look(f, moved)
	if err != nil {
		t.Fatal(err)
	}
	want := px / (a.PxPerMM / f.Still) * 10
	if math.Abs(b.MMPerS-want) > 0.1*want {
		t.Errorf("%.1f mm/s, moved by %.1f", b.MMPerS, want)
	}
}

func BenchmarkLook(b *testing.B) {
	f, rgba := frame(b, "dev-08.jpg", 1280)
	var e Eye
	for b.Loop() {
		if _, err := e.Look(f, rgba); err != nil {
			b.Fatal(err)
		}
	}
}
