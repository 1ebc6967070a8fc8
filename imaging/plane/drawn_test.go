package plane

import (
	"errors"
	"math"
	"math/rand"
	"runtime"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// drawing is a card drawn for a test: rings on white paper on a grey sheet, by a camera
// that is known.
type drawing struct {
	cam     geom.Camera
	layout  *card.Layout
	scale   [2]float64
	thick   float64
	gain    float64 // mm
	blurPx  float64 // standard deviation
	noise   float64 // grey levels
	w, h    int
	surface func(p geom.CardPoint) float64 // height of the paper over its flat place, mm
}

// ink gives the fraction of ink at p.
func (d *drawing) ink(p geom.CardPoint) bool {
	for _, t := range d.layout.Targets {
		if math.Abs(p.X-t.At.X) > 3 || math.Abs(p.Y-t.At.Y) > 3 {
			continue
		}
		r := math.Hypot(p.X-t.At.X, p.Y-t.At.Y)
		if r < card.RingOuterRadiusMM+d.gain && r > card.RingInnerRadiusMM-d.gain || t.Full && r < card.DotRadiusMM+d.gain {
			return true
		}
	}
	return false
}

// light gives the linear light seen at pixel position (u, v).
func (d *drawing) light(u, v float64) float64 {
	z := d.thick
	var p geom.CardPoint
	for range 4 { // the paper's height where the ray meets it
		s := d.cam.ToSheet(geom.PxPoint{U: u, V: v}, z)
		p = geom.CardPoint{X: s.X / d.scale[0], Y: -s.Y / d.scale[1]}
		if d.surface == nil {
			break
		}
		z = d.thick + d.surface(p)
	}
	switch {
	case !(d.layout.DepthMM(p) > 0):
		return 0.25
	case d.ink(p):
		return 0.03
	}
	return 0.6
}

func (d *drawing) draw(rng *rand.Rand) *raster.Picture {
	light := make([]float64, d.w*d.h)
	const sub = 4
	// Light at the pixels' corners; only pixels with unlike corners are sampled finer.
	above, below := make([]float64, d.w+1), make([]float64, d.w+1)
	corners := func(row []float64, y int) {
		for x := range row {
			row[x] = d.light(float64(x)-0.5, float64(y)-0.5)
		}
	}
	corners(below, 0)
	for y := 0; y < d.h; y++ {
		above, below = below, above
		corners(below, y+1)
		for x := 0; x < d.w; x++ {
			first := above[x]
			if first == above[x+1] && first == below[x] && first == below[x+1] {
				light[y*d.w+x] = first
				continue
			}
			sum := 0.0
			for k := 0; k < sub*sub; k++ {
				sum += d.light(float64(x)+(float64(k%sub)+0.5)/sub-0.5, float64(y)+(float64(k/sub)+0.5)/sub-0.5)
			}
			light[y*d.w+x] = sum / (sub * sub)
		}
	}
	if d.blurPx > 0 {
		r := int(3*d.blurPx) + 1
		kernel := make([]float64, 2*r+1)
		total := 0.0
		for k := range kernel {
			e := float64(k-r) / d.blurPx
			kernel[k] = math.Exp(-e * e / 2)
			total += kernel[k]
		}
		for pass := 0; pass < 2; pass++ {
			next := make([]float64, len(light))
			for y := 0; y < d.h; y++ {
				for x := 0; x < d.w; x++ {
					sum := 0.0
					for k, f := range kernel {
						u, v := x, y
						if pass == 0 {
							u = min(max(x+k-r, 0), d.w-1)
						} else {
							v = min(max(y+k-r, 0), d.h-1)
						}
						sum += f * light[v*d.w+u]
					}
					next[y*d.w+x] = sum / total
				}
			}
			light = next
		}
	}
	g := raster.NewGrey(d.w, d.h)
	for i, l := range light {
		s := 12.92 * l
		if l > 0.0031308 {
			s = 1.055*math.Pow(l, 1/2.4) - 0.055
		}
		g.Pix[i] = uint8(math.Max(0, math.Min(255, 255*s+d.noise*rng.NormFloat64()+0.5)))
	}
	return &raster.Picture{Y: g, ChromaX: 1, ChromaY: 1}
}

// camera gives a camera tilted by tilt about the sheet's direction az, turned by roll about
// its axis, that sees the layout's middle in the picture's middle from distance mm.
func camera(l *card.Layout, f, tiltDeg, az, roll, distance float64, w, h int) geom.Camera {
	a, _ := expRotation(tiltDeg*math.Pi/180*math.Cos(az), tiltDeg*math.Pi/180*math.Sin(az), 0)
	b, _ := expRotation(0, 0, roll)
	down := [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}
	m := matMul(&a, &down)
	c := geom.Camera{FocalPx: f, CxPx: float64(w-1) / 2, CyPx: float64(h-1) / 2, R: matMul(&b, &m)}
	mid := middle(l)
	for i := range c.T {
		c.T[i] = -c.R[i][0]*mid.X - c.R[i][1]*mid.Y
	}
	c.T[2] += distance
	return c
}

// middle of the layout's targets on the sheet.
func middle(l *card.Layout) (m geom.SheetPoint) {
	for _, t := range l.Targets {
		m.X += t.At.X / float64(len(l.Targets))
		m.Y -= t.At.Y / float64(len(l.Targets))
	}
	return m
}

// sketch draws a card at about 8 px/mm in a small picture.
func sketch(name string, tiltDeg, az, roll float64) *drawing {
	l := card.ByName(name)
	const w, h, f, distance = 960, 960, 1000.0, 118.0
	return &drawing{
		cam: camera(l, f, tiltDeg, az, roll, distance, w, h), layout: l,
		scale: [2]float64{1, 1}, thick: 0.25, gain: 0.03, blurPx: 0.6, noise: 2, w: w, h: h,
	}
}

func (d *drawing) solve(t *testing.T, rng *rand.Rand) (*Plane, error) {
	t.Helper()
	pic := d.draw(rng)
	m, err := card.Find(pic)
	if err != nil {
		return nil, err
	}
	if m.Layout != d.layout {
		t.Fatalf("found %q, drew %q", m.Layout.Name, d.layout.Name)
	}
	return Solve(pic, m, Options{
		PrintScaleX: d.scale[0], PrintScaleY: d.scale[1], ThicknessMM: d.thick,
		FocalPriorPx: d.cam.FocalPx * (1 + 0.03*rng.NormFloat64()),
	})
}

// worst gives the greatest error over the card and 10 mm round it, at the height of the
// printed face, and the greatest ratio to the stated uncertainty.
func (d *drawing) worst(pl *Plane) (mm, ratio float64) {
	mid := middle(d.layout)
	for x := -45.0; x <= 45; x += 15 {
		for y := -30.0; y <= 30; y += 15 {
			p := geom.SheetPoint{X: mid.X + x, Y: mid.Y + y}
			c := pl.CovXY(p, d.thick)
			e := pl.Camera.ToSheet(d.cam.Project(p, d.thick), d.thick).Sub(p).Norm()
			mm, ratio = math.Max(mm, e), math.Max(ratio, e/math.Sqrt(c[0][0]+c[1][1]))
		}
	}
	return mm, ratio
}

// Cards drawn by random cameras: the map is right within what it states, near 0° too, where
// two poses look alike.
func TestDrawnCards(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	tilts := []float64{0, 10, 33}
	if runtime.GOARCH == "wasm" {
		tilts = []float64{1} // the same code at a fifth of the speed
	}
	sum, n := 0.0, 0
	for _, tilt := range tilts {
		for _, l := range card.Layouts {
			d := sketch(l.Name, tilt, 6.28*rng.Float64(), 6.28*rng.Float64())
			d.cam.K1 = 0.015 * rng.NormFloat64()
			d.cam.CxPx += 8 * rng.NormFloat64()
			d.cam.CyPx += 8 * rng.NormFloat64()
			d.gain = 0.05 * rng.NormFloat64()
			pl, err := d.solve(t, rng)
			if err != nil {
				t.Errorf("%s at %g°: %v", l.Name, tilt, err)
				continue
			}
			mm, ratio := d.worst(pl)
			t.Logf("%s at %2g°: worst %.4f mm, ratio %.2f, tilt %.2f°, gain %.3f (%.3f), rms %.3f px", l.Name, tilt, mm, ratio, pl.TiltDeg(), pl.InkGainMM, d.gain, pl.ResidualPx)
			sum += ratio * ratio
			n++
			if ratio > 4 || mm > 0.12 {
				t.Errorf("%s at %g°: worst error %.4f mm, %.1f times the stated", l.Name, tilt, mm, ratio)
			}
			if math.Abs(pl.TiltDeg()-tilt) > 1.5 {
				t.Errorf("%s: tilt %.2f°, drawn %g°", l.Name, pl.TiltDeg(), tilt)
			}
			if math.Abs(pl.InkGainMM-d.gain) > 0.02 {
				t.Errorf("%s: gain %.3f mm, drawn %.3f", l.Name, pl.InkGainMM, d.gain)
			}
			if b := math.Hypot(d.blurPx, 0.29); pl.RingBlurPx < 0.8*b || pl.RingBlurPx > 1.35*b {
				t.Errorf("%s: blur %.2f px, drawn %.2f with the pixel's own width", l.Name, pl.RingBlurPx, b)
			}
		}
	}
	// Each ratio is the worst of 35 places, so about 2 is usual; far less would mean that
	// the stated uncertainty is idle.
	if r := math.Sqrt(sum / float64(n)); r < 0.4 || r > 2.5 {
		t.Errorf("worst errors are %.2f times the stated uncertainty", r)
	}
}

func refusedAs(t *testing.T, what string, err error, codes ...string) {
	t.Helper()
	var r *qc.Refusal
	if !errors.As(err, &r) {
		t.Errorf("%s: got %v, want a refusal", what, err)
		return
	}
	for _, c := range codes {
		if r.Code == c {
			if r.Do == "" {
				t.Errorf("%s: no advice with %q", what, r.Text)
			}
			return
		}
	}
	t.Errorf("%s: refused as %q (%s), want %v", what, r.Code, r.Text, codes)
}

func TestTooTilted(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	_, err := sketch("window", 40, 1, 0.3).solve(t, rng)
	refusedAs(t, "40°", err, "too-tilted")
}

func TestBlurredAndDarkCards(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	d := sketch("strip", 5, 1, 0.3)
	d.blurPx = 3.5 // 0.41 mm: the ring's line of 0.9 mm is no more than a dip
	_, err := d.solve(t, rng)
	refusedAs(t, "blurred", err, "blurred")

	d = sketch("strip", 5, 1, 0.3)
	pic := d.draw(rng)
	for i, v := range pic.Y.Pix {
		pic.Y.Pix[i] = v / 10
	}
	m, err := card.Find(pic)
	if err == nil {
		_, err = Solve(pic, m, Options{ThicknessMM: d.thick})
	}
	refusedAs(t, "dark", err, "too-dark", "no-card")
}

// A card curled by 1 mm along its length is refused; it would shift places beside it by
// several tenths of a millimetre.
func TestCurledCard(t *testing.T) {
	for _, l := range card.Layouts {
		rng := rand.New(rand.NewSource(1))
		d := sketch(l.Name, 18, 1, 0.3)
		d.surface = func(p geom.CardPoint) float64 {
			x := (p.X - 43) / 43
			return x * x
		}
		_, err := d.solve(t, rng)
		refusedAs(t, l.Name+" curled", err, "bent-card")
	}
}
