package photo

import (
	"math"
	"testing"

	"bucktail/imaging/raster"
)

// stripes draws vertical bars whose edges are blurred by a Gaussian of sigmaPx, with
// the levels lo and hi.
func stripes(w, h int, sigmaPx, lo, hi float64, turned bool) *raster.Picture {
	const period = 64.0
	g := raster.NewGrey(w, h)
	for y := range h {
		for x := range w {
			u := float64(x) + 0.5 // edges lie between two pixels, where the step between them is steepest
			if turned {
				u = float64(y) + 0.5
			}
			// Distance to the nearest edge, signed: positive on the bright side.
			d := math.Abs(math.Mod(u, period)-period/2) - period/4
			v := lo + (hi-lo)*0.5*(1+math.Erf(d/(sigmaPx*math.Sqrt2)))
			g.Pix[y*w+x] = uint8(math.Round(v))
		}
	}
	return &raster.Picture{Y: g, ChromaX: 1, ChromaY: 1}
}

// A Gaussian edge of standard deviation s has a steepest slope of step/(s sqrt(2 pi)),
// so its width by our measure is s sqrt(2 pi) = 2.507 s.
func TestEdgeWidthFollowsTheBlur(t *testing.T) {
	for _, sigma := range []float64{1, 1.5, 2, 3, 5} {
		for _, turned := range []bool{false, true} {
			got := Assess(stripes(640, 480, sigma, 40, 210, turned)).EdgePx
			if want := sigma * math.Sqrt(2*math.Pi); math.Abs(got-want) > 0.06*want+0.1 {
				t.Errorf("blur of %g px (turned %v): edges %.2f px wide, want %.2f", sigma, turned, got, want)
			}
		}
	}
}

// A photo that was shaken is soft one way only; the figure is that of the softer way.
func TestShakenPhotoIsSoft(t *testing.T) {
	sharp, soft := stripes(640, 480, 1, 40, 210, false).Y, stripes(640, 480, 4, 40, 210, true).Y
	both := raster.NewGrey(640, 960)
	copy(both.Pix, sharp.Pix)
	copy(both.Pix[640*480:], soft.Pix)
	if got := Assess(&raster.Picture{Y: both, ChromaX: 1, ChromaY: 1}).EdgePx; got < 8 {
		t.Errorf("edges %.1f px wide, want the 10 of the soft direction", got)
	}
}

func TestExposureFigures(t *testing.T) {
	g := raster.NewGrey(1000, 1000)
	for i := range g.Pix {
		switch y := i / 1000; {
		case y < 100:
			g.Pix[i] = uint8(254 + i%2)
		case y < 150:
			g.Pix[i] = uint8(i % 2)
		default:
			g.Pix[i] = 90
		}
	}
	q := Assess(&raster.Picture{Y: g, ChromaX: 1, ChromaY: 1})
	if math.Abs(q.Bright-0.1) > 0.01 || math.Abs(q.Dark-0.05) > 0.01 || q.MedianLuma != 90 {
		t.Errorf("%+v, want a tenth bright, a twentieth dark, median 90", q)
	}
}

func TestQualityOfTinyPictures(t *testing.T) {
	for _, s := range [][2]int{{1, 1}, {1, 50}, {50, 1}, {2, 2}} {
		if q := Assess(&raster.Picture{Y: raster.NewGrey(s[0], s[1])}); q.EdgePx != 0 || q.Dark != 1 {
			t.Errorf("%v: %+v", s, q)
		}
	}
}
