package roundref

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
)

// A photograph of US coins: the outlines agree with OpenCV's ellipse fits, and the cent
// measured by the quarter has its diameter (US Mint specification: 24.26 and 19.05 mm).
// Nickel and dime carry a shadow at the rim, which OpenCV's outline takes in: not used.
func TestCoinsByEachOther(t *testing.T) {
	b, err := os.ReadFile("../../testdata/boards/us_coins.jpg")
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	j, err := os.ReadFile("../../testdata/boards/us_coins.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Coins []struct {
			Coin       string
			DiameterMM float64                      `json:"diameter_mm"`
			EllipsePx  struct{ X, Y, A, B float64 } `json:"ellipse_px"`
		}
	}
	if err := json.Unmarshal(j, &truth); err != nil {
		t.Fatal(err)
	}
	var longPx []float64
	for _, c := range truth.Coins[:2] {
		// A tap is never exact.
		e, ok := Find(ph.Picture, geom.PxPoint{U: c.EllipsePx.X + 6, V: c.EllipsePx.Y - 9})
		if !ok {
			t.Fatalf("%s: no outline", c.Coin)
		}
		if d := math.Hypot(e.X-c.EllipsePx.X, e.Y-c.EllipsePx.Y); d > 1 {
			t.Errorf("%s: centre %.2f px off OpenCV's", c.Coin, d)
		}
		if d := math.Max(math.Abs(e.A()-c.EllipsePx.A), math.Abs(e.B()-c.EllipsePx.B)); d > 1.2 {
			t.Errorf("%s: half axes %.2f, %.2f px, OpenCV's %.2f, %.2f", c.Coin, e.A(), e.B(), c.EllipsePx.A, c.EllipsePx.B)
		}
		longPx = append(longPx, e.A()+e.B())
	}
	cent := longPx[1] / longPx[0] * truth.Coins[0].DiameterMM
	// One pixel at the rim of either is 0.25 mm; OpenCV's own outlines give 19.14.
	if math.Abs(cent-truth.Coins[1].DiameterMM) > 0.3 {
		t.Errorf("the cent by the quarter: %.2f mm, by the Mint %.2f", cent, truth.Coins[1].DiameterMM)
	}
	if _, ok := Find(ph.Picture, geom.PxPoint{U: 20, V: 20}); ok {
		t.Error("an outline was found where there is only table")
	}
}

// Of a washer the rim is taken, not the hole: at each size of the hole, where the hole stands out
// more, and where the rim is lost in a shadow for a quarter of the way round.
func TestRimOfAWasher(t *testing.T) {
	const size, rimPx = 320, 110.0
	mid := geom.PxPoint{U: 157, V: 163}
	for _, light := range []struct {
		sheet, washer, hole float64
		shadow              bool // that makes a quarter of the sheet as bright as the washer
	}{
		{sheet: 220, washer: 70, hole: 220}, {sheet: 150, washer: 200, hole: 40}, {sheet: 220, washer: 190, hole: 20},
		{sheet: 150, washer: 200, hole: 40, shadow: true},
	} {
		for _, holePx := range []float64{40, 66.8, 73.3, 88} {
			if light.shadow && holePx > 80 {
				continue
			}
			g := raster.NewGrey(size, size)
			for y := range size {
				for x := range size {
					u, v := float64(x)-mid.U, (float64(y)-mid.V)/0.95 // a little from the side
					r := math.Hypot(u, v)
					inRim, inHole := min(max(rimPx-r+0.5, 0), 1), min(max(holePx-r+0.5, 0), 1)
					sheet := light.sheet
					if light.shadow && u > 0 && v > 0 {
						sheet = light.washer
					}
					noise := float64((x*7919+y*104729+x*y*31)%9) - 4
					g.Pix[y*size+x] = uint8(sheet*(1-inRim) + light.washer*(inRim-inHole) + light.hole*inHole + noise)
				}
			}
			e, ok := Find(&raster.Picture{Y: g}, geom.PxPoint{U: mid.U + 3, V: mid.V - 5})
			if !ok || math.Abs(e.A()-rimPx) > 1 || math.Abs(e.B()-0.95*rimPx) > 1 {
				t.Errorf("%+v, hole %.0f px: half axes %.1f, %.1f px (%v), want %.0f", light, holePx, e.A(), e.B(), ok, rimPx)
			}
		}
	}
}
