package contour

import (
	"math"
	"sort"
	"testing"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// disk draws a black disk on a white sheet as cam sees it, each pixel the mean of 8 × 8 places.
func disk(cam *geom.Camera, centre geom.SheetPoint, rMM float64, w, h int) *raster.Grey {
	g := raster.NewGrey(w, h)
	for v := range h {
		for u := range w {
			white := 0
			for s := range 64 {
				p := cam.ToSheet(geom.PxPoint{U: float64(u) + float64(s%8)/8 - 7.0/16, V: float64(v) + float64(s/8)/8 - 7.0/16}, 0)
				if p.Sub(centre).Norm() > rMM {
					white++
				}
			}
			g.Pix[v*w+u] = uint8(sort.Search(255, func(i int) bool { return raster.Linear[i] >= float32(white)/64 }))
		}
	}
	return g
}

// A band along a contour that is somewhat off shows the true one where it is: the place that
// column and row name, whatever the view.
func TestBandNamesThePlaceOfWhatItShows(t *testing.T) {
	const rMM = 2.4
	middle := geom.SheetPoint{X: 3, Y: -2}
	for _, tiltDeg := range []float64{0, 12, 30} {
		cam := tilted(150, tiltDeg, 1900)
		cam.CxPx, cam.CyPx = 200, 200
		c := cam.Project(middle, 0)
		cam.CxPx, cam.CyPx = 299-c.U, 299-c.V // the disk in the middle of 200 × 200 pixels
		prof := outline.ProfileOf(qc.Hole)
		off := outline.Outline{Centre: middle.Add(geom.SheetPoint{X: 0.09, Y: -0.06}), RMM: rMM + 0.07, A2: 0.03}
		b := rectify(&raster.Picture{Y: disk(cam, middle, rMM, 200, 200)}, cam, &off, &prof, 0, rMM)
		for i := range convnet.Directions {
			half := func(k int) float64 { // light of the pair of directions, less the middle between black and white
				j := 2 * i * bandRho
				return (math.Exp2(float64(b.lum[j+k]))+math.Exp2(float64(b.lum[j+bandRho+k])))/2 - 0.5
			}
			found := false
			for k := range bandRho - 1 {
				x, y := half(k), half(k+1)
				if x < 0 && y >= 0 {
					found = true
					r := b.at(i, float64(k)+x/(x-y)).Sub(middle).Norm()
					if math.Abs(r-rMM) > 0.01 {
						t.Errorf("tilt %g°, direction %d: the edge is named at %.4f mm, it is at %g", tiltDeg, i, r, rMM)
					}
				}
			}
			if !found {
				t.Errorf("tilt %g°, direction %d: no edge", tiltDeg, i)
			}
		}
	}
}

func BenchmarkLook(b *testing.B) {
	cam := tilted(120, 10, 1900)
	p := unwrap(&raster.Picture{Y: raster.NewGrey(64, 64)}, cam, geom.SheetPoint{}, 3)
	for i := range p.cov {
		p.cov[i] = true
	}
	b.ReportAllocs()
	for b.Loop() {
		p.look(First, cam, "shop-head", math.Inf(-1))
	}
}

func TestDamagedWeightsAreNamed(t *testing.T) {
	for _, b := range [][]byte{nil, []byte("BTN3"), outlineWeightsA[:len(outlineWeightsA)/2], append([]byte("XXXX"), outlineWeightsB[4:]...)} {
		if _, err := convnet.Read(b); err == nil {
			t.Errorf("%d bytes of weights were taken", len(b))
		}
	}
}

// tilted gives a camera heightMM over the sheet's origin, tiltDeg off the normal.
func tilted(heightMM, tiltDeg, focalPx float64) *geom.Camera {
	s, c := math.Sincos(tiltDeg * math.Pi / 180)
	// Camera x along sheet x; y down in the picture runs against sheet y.
	r := [3][3]float64{{1, 0, 0}, {0, -c, -s}, {0, s, -c}}
	return &geom.Camera{FocalPx: focalPx, CxPx: 1000, CyPx: 800, R: r, T: [3]float64{0, 0, heightMM / c}}
}
