//go:build training

package contour

import (
	"bufio"
	"bytes"
	"encoding/json"
	"image"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/disintegration/imaging"

	"bucktail/imaging/card"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/plane"
	"bucktail/imaging/raster"
	"bucktail/imaging/training"
	"bucktail/qc"
)

// This file writes the bands of photos whose truth stands beside them, as in
// testdata/photos; see testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_PHOTOS=dir go test -tags training -run WriteExampleBands ./imaging/fastener/contour

// exampleTruth is what is used of the file beside a photo: millimetres on its own sheet, a
// camera in OpenCV's terms.
type exampleTruth struct {
	Camera struct {
		Fx, Fy, Cx, Cy, K1, K2 float64
		R                      [3][3]float64
		T                      [3]float64
	}
	Card struct {
		PrintScale  [2]float64 `json:"print_scale"`
		ThicknessMM float64    `json:"thickness_mm"`
	}
	Fasteners []exampleFastener
}

type exampleFastener struct {
	Type         string
	NominalMM    float64    `json:"nominal_d_mm"`
	AxisMM       [2]float64 `json:"axis_mm"`
	CentreMM     [2]float64 `json:"head_centre_mm"`
	MaxDMM       float64    `json:"head_d_max_mm"`
	MinDMM       float64    `json:"head_d_min_mm"`
	AngleDeg     float64    `json:"head_angle_deg"`
	HeightMM     float64    `json:"head_height_mm"`
	WidestMM     float64    `json:"widest_at_height_mm"`
	HoleMaxDMM   float64    `json:"hole_d_max_mm"`
	HoleMinDMM   float64    `json:"hole_d_min_mm"`
	HoleAngleDeg float64    `json:"hole_angle_deg"`
}

var exampleKinds = map[string]qc.Kind{"solid-shop": qc.ShopHead, "solid-universal": qc.UniversalHead,
	"blind-dome": qc.PulledHead, "flush": qc.FlushHead, "hole": qc.Hole}

func TestWriteExampleBands(t *testing.T) {
	f, err := os.Create(os.Getenv("BUCKTAIL_PATCHES"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := bufio.NewWriter(f)
	eachExample(t, func(n int, data []byte, truth *exampleTruth) {
		py, cam := solved(t, data, truth)
		w := bandWriter{rand.New(rand.NewSource(int64(n))), n, out}
		for i := range truth.Fasteners {
			f := &truth.Fasteners[i]
			k := exampleKinds[f.Type]
			o, p, h := truth.outline(f, k, cam)
			for range 150 {
				if err := w.write(py, cam, o, h, k, f.NominalMM, i, bandTruth{silhouette: o.Contour(&p, h, cam, 256)}); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
	if err := out.Flush(); err != nil {
		t.Fatal(err)
	}
}

// TestWriteExamples writes out-near.bin and out-bands.bin, as TestWriteWorkshop does, of the photos and of
// what a poorer camera would have made of them:
//
//	BUCKTAIL_PATCHES=out BUCKTAIL_PHOTOS=dir go test -tags training -run WriteExamples ./imaging/fastener/contour
func TestWriteExamples(t *testing.T) {
	near := training.Create(t, os.Getenv("BUCKTAIL_PATCHES")+"-near.bin")
	bands := training.Create(t, os.Getenv("BUCKTAIL_PATCHES")+"-bands.bin")
	eachExample(t, func(n int, data []byte, truth *exampleTruth) {
		_, cam := solved(t, data, truth)
		upright, err := imaging.Decode(bytes.NewReader(data), imaging.AutoOrientation(true))
		if err != nil {
			t.Fatal(err)
		}
		w := workshopWriter{rng: rand.New(rand.NewSource(int64(n))), seed: n, near: near, bands: bands}
		for v := range 8 {
			w.example(t, upright, *cam, truth, v > 0)
		}
		if w.err != nil {
			t.Fatal(w.err)
		}
	})
}

// example writes what an upright photo shows, or one made poorer: coarser, softer or sharpened.
func (w *workshopWriter) example(t *testing.T, upright image.Image, cam geom.Camera, truth *exampleTruth, poorer bool) {
	solvedCam, quality := cam, 95
	if poorer {
		k := math.Pow(0.35, w.rng.Float64())
		width := int(k * float64(upright.Bounds().Dx()))
		k = float64(width) / float64(upright.Bounds().Dx())
		upright = imaging.Resize(upright, width, 0, imaging.Lanczos)
		switch w.rng.Intn(3) {
		case 0:
			upright = imaging.Blur(upright, 0.3+0.7*w.rng.Float64())
		case 1:
			upright = imaging.Sharpen(upright, 0.3+w.rng.Float64())
		}
		quality = 70 + w.rng.Intn(26)
		cam.FocalPx *= k
		cam.CxPx, cam.CyPx = (cam.CxPx+0.5)*k-0.5, (cam.CyPx+0.5)*k-0.5
	}
	ph, err := photo.Decode(jpegOf(upright, quality))
	if err != nil {
		t.Fatal(err)
	}
	type round struct {
		mid geom.SheetPoint
		r   float64
	}
	var rounds []round
	for i := range truth.Fasteners {
		f := &truth.Fasteners[i]
		k := exampleKinds[f.Type]
		o, p, h := truth.outline(f, k, &solvedCam)
		silhouette := o.Contour(&p, h, &cam, 256)
		mid, r := middleOf(silhouette)
		rounds = append(rounds, round{mid, r})
		if r*cam.PxPerMM(mid, 0) < coarsest {
			continue
		}
		for _, off := range [4]float64{0.10, 0.10, 0.25, 0.42} {
			w.patch(ph.Picture, &cam, near(w.rng, mid, r*off*math.Sqrt(w.rng.Float64())), r*w.radiusOff(), netKind(k), f.NominalMM, i, silhouette, nil)
		}
		w.patch(ph.Picture, &cam, near(w.rng, mid, r*(0.65+0.6*w.rng.Float64())), r*w.radiusOff(), -1, f.NominalMM, -1, nil, nil)
		for range 16 {
			w.band(ph.Picture, &cam, i, k, f.NominalMM, mid, r, silhouette, nil)
		}
	}
nothing:
	for range 8 {
		r := 1 + 2.5*w.rng.Float64()
		b := upright.Bounds()
		mid := cam.ToSheet(geom.PxPoint{U: w.rng.Float64() * float64(b.Dx()), V: w.rng.Float64() * float64(b.Dy())}, 0)
		for _, o := range rounds {
			if o.mid.Sub(mid).Norm() < o.r+0.5*r {
				continue nothing
			}
		}
		w.patch(ph.Picture, &cam, mid, r, -1, 2*r/1.6, -1, nil, nil)
	}
}

// eachExample hands over the photos of BUCKTAIL_PHOTOS with their truth.
func eachExample(t *testing.T, do func(n int, data []byte, truth *exampleTruth)) {
	names, _ := filepath.Glob(filepath.Join(os.Getenv("BUCKTAIL_PHOTOS"), "*.json"))
	for n, name := range names {
		var truth exampleTruth
		raw, err := os.ReadFile(name)
		if err == nil {
			err = json.Unmarshal(raw, &truth)
		}
		if err != nil {
			t.Fatal(err)
		}
		if data, err := os.ReadFile(strings.TrimSuffix(name, ".json") + ".jpg"); err == nil { // else some other file
			do(n, data, &truth)
		}
	}
}

// solved gives a photo's picture and its camera as measuring solves it.
func solved(t *testing.T, data []byte, truth *exampleTruth) (*raster.Picture, *geom.Camera) {
	ph, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	m, err := card.Find(ph.Picture)
	if err != nil {
		t.Fatal(err)
	}
	pl, err := plane.Solve(ph.Picture, m, plane.Options{PrintScaleX: truth.Card.PrintScale[0], PrintScaleY: truth.Card.PrintScale[1],
		PrintScaleU: 0.0005, ThicknessMM: truth.Card.ThicknessMM, ThicknessU: 0.01, FocalPriorPx: ph.FocalPx()})
	if err != nil {
		t.Fatal(err)
	}
	return ph.Picture, &pl.Camera
}

// outline gives a fastener's outline in the solved camera's sheet frame, its profile and height.
func (e *exampleTruth) outline(f *exampleFastener, k qc.Kind, cam *geom.Camera) (outline.Outline, outline.Profile, float64) {
	p := outline.ProfileOf(k)
	h, hi, lo, deg, at := p.HeightD*f.NominalMM, f.MaxDMM, f.MinDMM, f.AngleDeg, f.CentreMM
	switch k {
	case qc.Hole:
		hi, lo, deg, at = f.HoleMaxDMM, f.HoleMinDMM, f.HoleAngleDeg, f.AxisMM
	case qc.ShopHead:
		h, p.Widest = f.HeightMM, f.WidestMM/f.HeightMM
	}
	c := e.toSheet(at, cam)
	x := e.toSheet([2]float64{at[0] + 1, at[1]}, cam).Sub(c)
	a := 2 * (deg*math.Pi/180 + math.Atan2(x.Y, x.X))
	return outline.Outline{Centre: c, RMM: (hi + lo) / 4, A2: (hi - lo) / 4 * math.Cos(a), B2: (hi - lo) / 4 * math.Sin(a)}, p, h
}

// toSheet turns a point of the truth's sheet into one of the solved camera's, by the pixel at
// which it is seen.
func (e *exampleTruth) toSheet(p [2]float64, cam *geom.Camera) geom.SheetPoint {
	c := &e.Camera
	var x [3]float64
	for r := range x {
		x[r] = c.R[r][0]*p[0] + c.R[r][1]*p[1] + c.T[r]
	}
	u, v := x[0]/x[2], x[1]/x[2]
	r2 := u*u + v*v
	g := 1 + c.K1*r2 + c.K2*r2*r2
	return cam.ToSheet(geom.PxPoint{U: c.Cx + c.Fx*u*g, V: c.Cy + c.Fy*v*g}, 0)
}
