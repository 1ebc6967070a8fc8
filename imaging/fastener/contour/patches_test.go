//go:build training

package contour

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
	"bucktail/qc"
)

// This file writes the patches that the outline network is trained on; see
// testdata/training/README.md. It is built with -tags training only, since rendering takes
// hours:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_SEEDS=0:2000 go test -tags training -run WritePatches -timeout 9h ./imaging/fastener/contour

func TestWritePatches(t *testing.T) {
	eachScene(t, 1_000_000, func(w *patchWriter) {
		w.fasteners(3)
		w.others(5)
	})
}

// eachScene hands a writer for each of the scenes BUCKTAIL_SEEDS, counted from first on, to
// write, which fills the file BUCKTAIL_PATCHES.
func eachScene(t *testing.T, first uint64, write func(w *patchWriter)) {
	var from, to int
	if _, err := fmt.Sscanf(os.Getenv("BUCKTAIL_SEEDS"), "%d:%d", &from, &to); err != nil {
		t.Fatal("BUCKTAIL_SEEDS must be FROM:TO")
	}
	f, err := os.Create(os.Getenv("BUCKTAIL_PATCHES"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := bufio.NewWriter(f)
	for seed := from; seed < to; seed++ {
		w := patchWriter{s: synth.Draw(uint64(seed) + first), rng: rand.New(rand.NewSource(int64(seed))), seed: seed, out: out}
		if write(&w); w.err != nil {
			t.Fatal(w.err)
		}
	}
	if err := out.Flush(); err != nil {
		t.Fatal(err)
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

// fasteners writes three patches off the middle of each of the first most fasteners, and
// one beside it.
func (w *patchWriter) fasteners(most int) {
	for i := range w.s.Fasteners {
		if i >= most {
			return
		}
		f := &w.s.Fasteners[i]
		o, p, h, rim := training.TrueOutline(f)
		k := training.Kinds[f.Kind]
		rn := outline.ProfileOf(k).TypicalD * f.NominalMM / 2
		d := w.s.Camera.ViewSlope(o.Centre)
		mid := o.Centre.Add(d.Scale(outline.SeenHeight * h))
		py, cam, ok := w.window(mid, 2.15*rn, synth.Effort{Base: 6, Near: 8, Edge: 18})
		if !ok {
			continue
		}
		silhouette := o.Contour(&p, h, cam, 256)
		var flat []geom.SheetPoint
		if rim > 0 {
			flat = training.FlatRim(o, h, rim, cam)
		}
		for _, off := range [3]float64{0.10, 0.25, 0.42} {
			at := w.near(mid, rn*off*math.Sqrt(w.rng.Float64()))
			w.patch(py, cam, at, k, f.NominalMM, i, silhouette, flat)
		}
		w.patch(py, cam, w.near(mid, rn*(0.6+0.5*w.rng.Float64())), k, f.NominalMM, -1, nil, nil)
	}
}

// others writes places that tempt the vote but are no fastener: clutter holes, writing,
// the sheet's corners, the neighbourhood of a head.
func (w *patchWriter) others(most int) {
	s, f := w.s, &w.s.Fasteners[0]
	k := training.Kinds[f.Kind]
	rn := outline.ProfileOf(k).TypicalD * f.NominalMM / 2
	var at []geom.SheetPoint
	for _, c := range s.Clutter {
		at = append(at, c.AtMM, c.AtMM)
	}
	for _, st := range s.Strokes {
		if st.Text != "" {
			sn, cs := math.Sincos(st.AngleDeg * math.Pi / 180)
			u := w.rng.Float64() * float64(len(st.Text)) * st.SizeMM * 0.75
			at = append(at, geom.SheetPoint{X: st.From.X + u*cs - 0.5*st.SizeMM*sn, Y: st.From.Y + u*sn + 0.5*st.SizeMM*cs})
		}
	}
	n := len(s.Sheet.PolygonMM)
	for i, p := range s.Sheet.PolygonMM {
		a, b := s.Sheet.PolygonMM[(i+1)%n], s.Sheet.PolygonMM[(i+n-1)%n]
		in := geom.SheetPoint{X: a[0] + b[0] - 2*p[0], Y: a[1] + b[1] - 2*p[1]}
		at = append(at, geom.SheetPoint{X: p[0], Y: p[1]}.Add(in.Scale(rn*(0.6+0.9*w.rng.Float64())/in.Norm())))
	}
	at = append(at, w.near(s.Fasteners[w.rng.Intn(len(s.Fasteners))].AxisMM, rn*(1.3+1.2*w.rng.Float64())))
	w.rng.Shuffle(len(at), func(i, j int) { at[i], at[j] = at[j], at[i] })
	for _, mid := range at[:min(most, len(at))] {
		free := true
		for i := range s.Fasteners {
			o, _, _, _ := training.TrueOutline(&s.Fasteners[i])
			free = free && o.Centre.Sub(mid).Norm() > 0.7*o.RMM
		}
		if !free {
			continue
		}
		if py, cam, ok := w.window(mid, 1.85*rn, synth.Effort{Base: 6, Near: 6, Edge: 8}); ok {
			w.patch(py, cam, mid, k, f.NominalMM, -1, nil, nil)
			w.patch(py, cam, w.near(mid, 0.2*rn*w.rng.Float64()), k, f.NominalMM, -1, nil, nil)
		}
	}
}

func (w *patchWriter) near(p geom.SheetPoint, r float64) geom.SheetPoint {
	sn, cs := math.Sincos(w.rng.Float64() * 2 * math.Pi)
	return p.Add(geom.SheetPoint{X: r * cs, Y: r * sn})
}

// patch writes one record of float32, little-endian: seed, fastener (-1: none), kind group,
// D, usual radius, step, view slope X and Y, px per mm, centre X and Y; then for each
// direction the silhouette's and the flat's column (-1: unknown); then the unwrapped light
// and the two colour ratios.
func (w *patchWriter) patch(py *raster.Picture, cam *geom.Camera, at geom.SheetPoint, k qc.Kind, nominalD float64, id int, silhouette, flat []geom.SheetPoint) {
	rn := outline.ProfileOf(k).TypicalD * nominalD / 2
	p := unwrap(py, cam, at, rn)
	if p.seen < 0.6 || w.err != nil {
		return
	}
	d := cam.ViewSlope(at)
	rec := []float32{float32(w.seed), float32(id), float32(netKind(k)), float32(nominalD), float32(rn), float32(p.stepMM),
		float32(d.X), float32(d.Y), float32(cam.PxPerMM(at, 0)), float32(at.X), float32(at.Y)}
	for _, poly := range [2][]geom.SheetPoint{silhouette, flat} {
		for i := range polarPhi {
			v := -1.0
			if poly != nil && p.cov[i] {
				if r := crossing(at, poly, 2*math.Pi*float64(i)/polarPhi); r > 0 {
					v = (r - p.rho(0)) / p.stepMM
				}
			}
			rec = append(rec, float32(v))
		}
	}
	rec = append(append(append(rec, p.lum...), p.rg...), p.gb...)
	w.err = binary.Write(w.out, binary.LittleEndian, rec)
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
