package fastener

import (
	"math"
	"math/rand/v2"
	"testing"

	"bucktail/imaging/fastener/contour"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// What lies outside of a hole's outline is told by all looks together, where it is as far out as no
// chamfer and goes on along the rim.
func TestOutsideOfAHole(t *testing.T) {
	const rMM, stepMM = 2, 0.05
	// Each look sees the rim, and with likelihood p a second one outMM outside of it in some directions.
	look := func(p, outMM float64, directions ...int) (ways []contour.Way) {
		for i := range contour.Directions {
			sn, cs := math.Sincos(2 * math.Pi * float64(i) / contour.Directions)
			n := geom.SheetPoint{X: cs, Y: sn}
			w := contour.Way{Direction: i, From: n.Scale(rMM - 10*stepMM), Step: n.Scale(stepMM), Logits: make([]float32, 30)}
			for k := range w.Logits {
				w.Logits[k] = -30
			}
			w.Logits[10] = 0
			for _, d := range directions {
				if d == i {
					w.Logits[10], w.Logits[10+int(math.Round(outMM/stepMM))] = float32(math.Log(1-p)), float32(math.Log(p))
				}
			}
			ways = append(ways, w)
		}
		return ways
	}
	var everywhere []int
	for i := range contour.Directions {
		everywhere = append(everywhere, i)
	}
	for name, c := range map[string]struct {
		looks [][]contour.Way
		want  float64
	}{
		"nothing":                  {[][]contour.Way{look(0, 0), look(0, 0)}, 0},
		"a tenth of the rim":       {[][]contour.Way{look(0.3, 0.3, 4, 5, 6), look(0.3, 0.3, 4, 5, 6)}, 0.3},
		"across the first":         {[][]contour.Way{look(0.3, 0.3, 31, 0, 1)}, 0.3},
		"a look of three sees it":  {[][]contour.Way{look(0.3, 0.3, 4, 5, 6), look(0, 0), look(0, 0)}, 0.1},
		"two directions":           {[][]contour.Way{look(0.3, 0.3, 4, 5)}, 0},
		"three apart":              {[][]contour.Way{look(0.3, 0.3, 4, 8, 12)}, 0},
		"no farther than chamfers": {[][]contour.Way{look(0.3, 0.15, 4, 5, 6)}, 0},
		"all round":                {[][]contour.Way{look(0.3, 0.3, everywhere...)}, 0},
		"inside":                   {[][]contour.Way{look(0.3, -0.3, 4, 5, 6)}, 0},
	} {
		l := looks{ways: c.looks}
		l.near.RMM = rMM
		if got := l.outside(); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %.3f, want %.3f", name, got, c.want)
		}
	}
	// Of a hole that was measured as oblong, its own end is not outside.
	l := looks{ways: [][]contour.Way{look(0.3, 0.3, 31, 0, 1)}}
	l.near.Outline = outline.Outline{RMM: rMM, A2: 0.15}
	if got := l.outside(); got > 1e-6 {
		t.Errorf("an oblong outline's own end: %.3f", got)
	}
}

// A round hole whose one side is lighter, as a bore drilled askew or out shows its wall, and one with a
// second drilled into it are taken for round, and tell so; a round one does not, nor where a marker's
// line crosses its rim. Drawn at 8 pixels a mm, 4 mm wide.
func TestWhatGoesOnOutsideOfARoundHole(t *testing.T) {
	const dark, wall, sheet = 25, 110, 160
	round := func(u, v, dMM float64) bool { return math.Hypot(u, v) < dMM/2 }
	for name, c := range map[string]struct {
		grey            func(u, v float64) float64 // of what lies u, v mm off the middle
		outside, onward bool
	}{
		"round": {func(u, v float64) float64 { return sheet }, false, false},
		"longer by 0.5 mm, its wall seen": {func(u, v float64) float64 {
			if round(u-max(0, min(u, 0.5)), v, 4) {
				return wall
			}
			return sheet
		}, true, false},
		"a second one 3.1 mm off": {func(u, v float64) float64 {
			if round(u-2.5, v-1.8, 3.6) {
				return dark
			}
			return sheet
		}, false, true},
		"a marker's line 0.9 mm wide": {func(u, v float64) float64 {
			if math.Abs(v) < 0.45 {
				return dark + 20
			}
			return sheet
		}, false, false},
	} {
		f := drawnHole(t, func(u, v float64) float64 {
			if round(u, v, 4) {
				return dark
			}
			return c.grey(u, v)
		})
		if d := f.MeanD(); math.Abs(d-4) > 0.25 {
			t.Errorf("%s: read as %.2f mm", name, d)
		}
		if outside, onward := f.Outside > 0.12, f.OnwardDeg > 30; outside != c.outside || onward != c.onward {
			t.Errorf("%s: outside by %.2f, onward over %.0f°", name, f.Outside, f.OnwardDeg)
		}
	}
}

// drawnHole measures the hole in a drawing of what is how grey u, v mm off its middle.
func drawnHole(t *testing.T, grey func(u, v float64) float64) Fastener {
	t.Helper()
	const pxPerMM, size, fine = 8, 200, 4
	r := rand.New(rand.NewPCG(1, 2))
	y := raster.NewGrey(size, size)
	for j := range size {
		for i := range size {
			sum := 0.0
			for k := range fine * fine {
				sum += grey((float64(i)+(float64(k%fine)+0.5)/fine-size/2)/pxPerMM, (float64(j)+(float64(k/fine)+0.5)/fine-size/2)/pxPerMM)
			}
			y.Pix[j*size+i] = uint8(sum/(fine*fine) + 2*r.NormFloat64())
		}
	}
	ph := &photo.Photo{Picture: &raster.Picture{Y: y, ChromaX: 1, ChromaY: 1}, Width: size, Height: size}
	cam, box := square(ph, 1.0/pxPerMM)
	// Tapped: by itself, a hole drilled twice is seldom taken for one.
	fs := Find(ph.Picture, cam, Options{Kind: qc.Hole, NominalMM: 4, Around: box, Taps: []geom.SheetPoint{{}}, Only: true, OnCard: func(geom.SheetPoint) bool { return false }}).Fasteners
	if len(fs) != 1 {
		t.Fatalf("%d holes found", len(fs))
	}
	return fs[0]
}
