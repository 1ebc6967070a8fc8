package face

import (
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/sheetedge/strip"
)

// drawn gives a photo of 14 px/mm from straight above, whose light at a place of the sheet is given.
func drawn(light func(p geom.SheetPoint) float64) (*raster.Picture, *geom.Camera) {
	const w, h = 420, 300
	cam := &geom.Camera{FocalPx: 2800, CxPx: (w - 1) / 2.0, CyPx: (h - 1) / 2.0, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 200}}
	rng := rand.New(rand.NewSource(1))
	y := raster.NewGrey(w, h)
	for v := range h {
		for u := range w {
			l := 0.0
			for _, d := range [4][2]float64{{-0.25, -0.25}, {0.25, -0.25}, {-0.25, 0.25}, {0.25, 0.25}} {
				l += light(cam.ToSheet(geom.PxPoint{U: float64(u) + d[0], V: float64(v) + d[1]}, 0)) / 4
			}
			y.Pix[v*w+u] = uint8(min(max(255*math.Pow(l, 1/2.2)+rng.NormFloat64(), 0), 255))
		}
	}
	return &raster.Picture{Y: y, ChromaX: 1, ChromaY: 1}, cam
}

// sheet is a sheet that ends at y = -2, its rim 0.1 mm of deeper grey, on something dark.
func sheet(p geom.SheetPoint) float64 {
	switch {
	case p.Y > -1.9:
		return 0.5
	case p.Y > -2:
		return 0.3
	}
	return 0.08
}

func along(y, turn float64) strip.Frame {
	sn, cs := math.Sincos(turn)
	return strip.Frame{O: geom.SheetPoint{Y: y}, Dir: geom.SheetPoint{X: cs, Y: sn}, Out: geom.SheetPoint{X: sn, Y: -cs}}
}

func nothing(geom.SheetPoint) bool { return false }

// Wherever the line starts from, and however it is turned, its places lie on the same line of the
// sheet, within a rim's width of where it ends.
func TestFaceIsFoundFromBesideIt(t *testing.T) {
	pic, cam := drawn(sheet)
	for _, c := range []struct{ off, turn float64 }{{0, 0}, {0.3, 0}, {-0.35, 0}, {0.1, 0.008}, {-0.1, -0.008}} {
		f := along(-2+c.off, c.turn)
		v, ok := Along(pic, cam, nothing, f, LongestMM)
		if !ok || v.Logit < 2 || len(v.Fixes) < 28 {
			t.Errorf("%+v: logit %.1f, %d places", c, v.Logit, len(v.Fixes))
			continue
		}
		for _, q := range v.Fixes {
			if y := f.At(q.S, q.N).Y; math.Abs(y+1.95) > 0.1 || q.U > 0.1 {
				t.Errorf("%+v: a place at y = %.3f ± %.3f", c, y, q.U)
			}
		}
	}
}

// What is hidden has no place, and says nothing of the rest.
func TestHiddenRowsHaveNoPlace(t *testing.T) {
	pic, cam := drawn(sheet)
	hides := func(p geom.SheetPoint) bool { return p.X > 2 && p.X < 5 && math.Abs(p.Y+2) < 1 }
	v, ok := Along(pic, cam, hides, along(-2, 0), LongestMM)
	if !ok || len(v.Fixes) < 20 {
		t.Fatalf("%d places", len(v.Fixes))
	}
	for _, q := range v.Fixes {
		if q.S > 2 && q.S < 5 {
			t.Errorf("a place at s = %.2f, which is hidden", q.S)
		}
		if math.Abs(q.N) > 0.15 {
			t.Errorf("at s = %.2f the face lies at %.2f", q.S, q.N)
		}
	}
	if _, ok := Along(pic, cam, func(geom.SheetPoint) bool { return true }, along(-2, 0), LongestMM); ok {
		t.Error("a line that is hidden as a whole was looked at")
	}
}

// A sheet that goes on does not end there for sure, even brushed along the very line.
func TestWhereNothingEnds(t *testing.T) {
	for name, light := range map[string]func(geom.SheetPoint) float64{
		"plain":   func(geom.SheetPoint) float64 { return 0.4 },
		"brushed": func(p geom.SheetPoint) float64 { return 0.4 + 0.02*math.Sin(31*p.Y) + 0.02*math.Sin(17*p.Y+1) },
	} {
		pic, cam := drawn(light)
		if v, ok := Along(pic, cam, nothing, along(-2, 0), LongestMM); !ok || v.Logit > 5 {
			t.Errorf("%s: seen %v, logit %.1f", name, ok, v.Logit)
		}
	}
}
