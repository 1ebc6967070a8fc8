package border

import (
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
)

// drawn gives a photo of 10 px/mm from straight above, whose light at a place of the sheet is given.
func drawn(light func(p geom.SheetPoint) float64) (*raster.Picture, *geom.Camera) {
	const w, h = 420, 400
	cam := &geom.Camera{FocalPx: 2000, CxPx: (w - 1) / 2.0, CyPx: (h - 1) / 2.0, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 200}}
	rng := rand.New(rand.NewSource(1))
	y := raster.NewGrey(w, h)
	for v := range h {
		for u := range w {
			l := 0.0
			for k := range 16 {
				l += light(cam.ToSheet(geom.PxPoint{U: float64(u) + float64(k%4)/4 - 0.375, V: float64(v) + float64(k/4)/4 - 0.375}, 0)) / 16
			}
			y.Pix[v*w+u] = uint8(min(max(255*math.Pow(l, 1/2.2)+2*rng.NormFloat64(), 0), 255))
		}
	}
	return &raster.Picture{Y: y, ChromaX: 1, ChromaY: 1}, cam
}

// head is a bright head of 4.8 mm in a dark ring on whatever lies below it.
func head(p geom.SheetPoint, below float64) float64 {
	switch r := p.Norm(); {
	case r < 2.2:
		return 0.7
	case r < 2.4:
		return 0.15
	}
	return below
}

func find(light func(p geom.SheetPoint) float64, hides func(geom.SheetPoint) bool) []Line {
	pic, cam := drawn(light)
	return Find(pic, cam, rectified.Box{MinX: -18, MinY: -18, MaxX: 18, MaxY: 18}, 3.2, hides)
}

// A sheet's border over something dark runs where it ends, also askew, and not where it is hidden.
func TestBorderRunsWhereTheSheetEnds(t *testing.T) {
	for _, turn := range []float64{0, 0.3, 1.2} {
		sn, cs := math.Sincos(turn)
		off := func(p geom.SheetPoint) float64 { return p.X*sn - p.Y*cs - 7 }
		light := func(p geom.SheetPoint) float64 {
			if off(p) > 0 {
				return 0.06
			}
			return head(p, 0.4)
		}
		long := 0.0
		for _, l := range find(light, func(geom.SheetPoint) bool { return false }) {
			if max(math.Abs(off(l.A)), math.Abs(off(l.B))) > 0.4 {
				t.Errorf("turned by %.1f: a border from %v to %v", turn, l.A, l.B)
			}
			long = max(long, l.B.Sub(l.A).Norm())
		}
		if long < 10 {
			t.Errorf("turned by %.1f: the border is seen over %.1f mm", turn, long)
		}
		if ls := find(light, func(p geom.SheetPoint) bool { return off(p) > -2 }); len(ls) > 0 {
			t.Errorf("turned by %.1f: what is hidden has a border: %v", turn, ls)
		}
	}
}

// A sheet that goes on has no border.
func TestNoBorderWhereTheSheetGoesOn(t *testing.T) {
	if ls := find(func(p geom.SheetPoint) float64 { return head(p, 0.4) }, func(geom.SheetPoint) bool { return false }); len(ls) > 0 {
		t.Errorf("borders on a plain sheet: %v", ls)
	}
}
