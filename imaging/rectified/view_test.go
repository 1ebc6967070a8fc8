package rectified

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
)

// A view of light alone shows the same light as the full one.
func TestLightViewIsTheViewsLight(t *testing.T) {
	data, err := os.ReadFile("../../testdata/photos/dev-16.jpg")
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../testdata/photos/dev-16.json")
	if err != nil {
		t.Fatal(err)
	}
	var truth struct { // the file states its frames; its camera serves as it is
		Camera struct {
			Fx, Cx, Cy, K1 float64
			R              [3][3]float64
			T              [3]float64
		}
	}
	if err := json.Unmarshal(text, &truth); err != nil {
		t.Fatal(err)
	}
	c := &truth.Camera
	cam := &geom.Camera{FocalPx: c.Fx, CxPx: c.Cx, CyPx: c.Cy, K1: c.K1, R: c.R, T: c.T}
	box := Box{-5, -5, 140, 20} // partly out of the picture
	full, light := NewView(ph.Picture, cam, box, 0.1), NewLightView(ph.Picture, cam, box, 0.1)
	if !slices.Equal(full.Seen, light.Seen) || !slices.Contains(full.Seen, false) {
		t.Fatal("what is seen differs, or all is seen")
	}
	for i := range full.L {
		if d := math.Abs(float64(full.L[i] - light.L[i])); d > 0.004 { // 1/256 px of the steepest step
			t.Fatalf("light %v, want %v", light.L[i], full.L[i])
		}
	}
	if light.RG != nil || full.RG == nil {
		t.Fatal("colour where there should be none, or none")
	}
}
