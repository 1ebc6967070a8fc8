//go:build training

package contour

import (
	"bufio"
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/plane"
	"bucktail/imaging/raster"
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
		data, err := os.ReadFile(strings.TrimSuffix(name, ".json") + ".jpg")
		if err != nil {
			continue // some other file
		}
		py, cam := solved(t, data, &truth)
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
	}
	if err := out.Flush(); err != nil {
		t.Fatal(err)
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
