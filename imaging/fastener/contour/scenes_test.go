//go:build training

package contour

import (
	"bytes"
	"image"
	"image/jpeg"
	"io"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
)

// What the writers of patches share.

// eachScene hands a writer for each of the scenes BUCKTAIL_SEEDS, counted from first on, to
// write, which fills the file BUCKTAIL_PATCHES.
func eachScene(t *testing.T, first uint64, write func(w *patchWriter)) {
	out := training.Create(t, os.Getenv("BUCKTAIL_PATCHES"))
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		w := patchWriter{s: synth.Draw(uint64(seed) + first), rng: rand.New(rand.NewSource(int64(seed))), seed: seed, out: out}
		if write(&w); w.err != nil {
			t.Fatal(w.err)
		}
	}
}

type patchWriter struct {
	s    *synth.Scene
	rng  *rand.Rand
	seed int
	out  io.Writer
	err  error
}

// window renders the scene round mid alone, out to reach times rNom, and gives its picture
// and camera; ok is false where too little of it lies in the photo.
func (w *patchWriter) window(mid geom.SheetPoint, reachMM float64, e synth.Effort) (py *raster.Picture, cam *geom.Camera, ok bool) {
	s := w.s
	c := s.Camera.Project(mid, 0)
	half := reachMM * s.Camera.PxPerMM(mid, 0) / math.Cos(s.Camera.TiltDeg()*math.Pi/180)
	u0, v0 := max(int(c.U-half)&^1, 0), max(int(c.V-half)&^1, 0)
	u1, v1 := min(int(c.U+half), s.Width), min(int(c.V+half), s.Height)
	if u1-u0 < 40 || v1-v0 < 40 {
		return nil, nil, false
	}
	win := *s
	win.Width, win.Height, win.Orientation, win.Effort = u1-u0, v1-v0, 1, e
	win.Camera.CxPx -= float64(u0)
	win.Camera.CyPx -= float64(v0)
	img, _ := win.Render()
	ph, err := photo.Decode(jpegOf(img, s.Sensor.JPEGQuality))
	if err != nil {
		w.err = err
		return nil, nil, false
	}
	return ph.Picture, &win.Camera, true
}

func jpegOf(img image.Image, quality int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		panic(err) // a bytes.Buffer takes everything
	}
	return b.Bytes()
}

// crossing gives the greatest distance from c at which a ray in direction phi crosses the
// closed polygon; 0 where it doesn't.
func crossing(c geom.SheetPoint, poly []geom.SheetPoint, phi float64) float64 {
	sn, cs := math.Sincos(phi)
	best := 0.0
	for k := range poly {
		a, b := poly[k].Sub(c), poly[(k+1)%len(poly)].Sub(c)
		ca, cb := -a.X*sn+a.Y*cs, -b.X*sn+b.Y*cs
		if (ca < 0) == (cb < 0) {
			continue
		}
		t := ca / (ca - cb)
		best = max(best, (a.X+(b.X-a.X)*t)*cs+(a.Y+(b.Y-a.Y)*t)*sn)
	}
	return best
}
