package raster

import (
	"bytes"
	"image/color"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
)

// The colour conversion is JFIF's, as the standard library has it to whole numbers.
func TestRGBAgainstTheStandardLibrary(t *testing.T) {
	p := &Picture{Y: NewGrey(1, 1), Cb: NewGrey(1, 1), Cr: NewGrey(1, 1), ChromaX: 1, ChromaY: 1}
	for _, c := range [][3]uint8{{0, 128, 128}, {255, 128, 128}, {120, 90, 180}, {76, 85, 255}, {150, 44, 21}} {
		p.Y.Pix[0], p.Cb.Pix[0], p.Cr.Pix[0] = c[0], c[1], c[2]
		r, g, b := p.RGB(0, 0)
		wr, wg, wb := color.YCbCrToRGB(c[0], c[1], c[2])
		for i, v := range [3][2]float64{{r, float64(wr)}, {g, float64(wg)}, {b, float64(wb)}} {
			if got := min(max(v[0], 0), 255); math.Abs(got-v[1]) > 1 {
				t.Errorf("YCbCr %v, channel %d: %.1f, want %.0f", c, i, got, v[1])
			}
		}
	}
}

// Points of the sRGB curve: IEC 61966-2-1, its ends, the knee, and mid grey (0.2140 at 127.5/255).
func TestLinearLight(t *testing.T) {
	for v, want := range map[int]float64{0: 0, 10: 10 / 255.0 / 12.92, 255: 1, 188: 0.502886} {
		if got := float64(Linear[v]); math.Abs(got-want) > 1e-6 {
			t.Errorf("Linear[%d] = %.6f, want %.6f", v, got, want)
		}
	}
}

func TestSampleBetweenPixelsAndBeyondTheBorder(t *testing.T) {
	g := NewGrey(3, 2)
	copy(g.Pix, []uint8{10, 20, 40, 50, 60, 80})
	for _, c := range []struct{ u, v, want float64 }{
		{0, 0, 10}, {0.5, 0, 15}, {1.25, 0.5, (20*0.75 + 40*0.25 + 60*0.75 + 80*0.25) / 2},
		{-5, -5, 10}, {9, 9, 80}, {2, 0.5, 60},
	} {
		if got := g.Sample(c.u, c.v); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("Sample(%g, %g) = %g, want %g", c.u, c.v, got, c.want)
		}
	}
	if got := g.Sample(math.NaN(), 0); math.IsInf(got, 0) { // a point behind the camera: any value, no panic
		t.Error("infinite")
	}
}

// Pixels halved eight at a time are the rounded means of four, at any width.
func TestHalfIsTheMeanAtAnyWidth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for w := range 40 {
		g := NewGrey(w, 7)
		for i := range g.Pix {
			g.Pix[i] = uint8(rng.IntN(256))
			if i%5 == 0 {
				g.Pix[i] = 255
			}
		}
		h := g.Half()
		if h.W != w/2 || h.H != 3 {
			t.Fatalf("half of %d × 7 is %d × %d", w, h.W, h.H)
		}
		for y := range h.H {
			for x := range h.W {
				sum := 2
				for _, p := range [4]int{2*y*w + 2*x, 2*y*w + 2*x + 1, (2*y+1)*w + 2*x, (2*y+1)*w + 2*x + 1} {
					sum += int(g.Pix[p])
				}
				if got := int(h.Pix[y*h.W+x]); got != sum/4 {
					t.Fatalf("width %d, (%d, %d): %d, want %d", w, x, y, got, sum/4)
				}
			}
		}
	}
}

func TestHalfKeepsTheMean(t *testing.T) {
	g := NewGrey(4, 2)
	copy(g.Pix, []uint8{10, 20, 100, 104, 30, 40, 108, 112})
	h := g.Half()
	if h.W != 2 || h.H != 1 || h.Pix[0] != 25 || h.Pix[1] != 106 {
		t.Errorf("half is %+v", h)
	}
}

// A picture's levels are halves of halves, made once, on any number of cores.
func TestLevelsAreHalvesOfHalves(t *testing.T) {
	p := &Picture{Y: NewGrey(1201, 903)}
	for i := range p.Y.Pix {
		p.Y.Pix[i] = uint8(i * i >> 3)
	}
	var one [2]Grey
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	p.Y.HalfInto(&one[0])
	one[0].HalfInto(&one[1])
	runtime.GOMAXPROCS(4)
	if first := p.Level(2); p.Level(0) != p.Y || p.Level(2) != first {
		t.Error("a level is made anew")
	}
	for k, want := range one {
		if got := p.Level(k + 1); got.W != want.W || got.H != want.H || !bytes.Equal(got.Pix, want.Pix) {
			t.Errorf("level %d is not the half of the one before", k+1)
		}
	}
}
