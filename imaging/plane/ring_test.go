package plane

import (
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/card/cardtest"
	"bucktail/imaging/geom"
)

// Rings that are drawn beside a card: found, told from the card's own and from each other, and as large as
// they were drawn, however much the ink has spread; and within what is stated.
func TestRingsBesideTheCard(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	sum, n := 0.0, 0
	for i, l := range card.Layouts {
		tilt := []float64{25, 12, 0}[i]
		d := sketch(l.Name, tilt, 6.28*rng.Float64(), 0.3)
		d.W, d.H = []int{1000, 1100, 1400}[i], []int{1000, 1100, 1500}[i]
		d.Cam = cardtest.Look(l, 1000, tilt, 6.28*rng.Float64(), 0.3, 118, d.W, d.H)
		d.GainMM = 0.04 - 0.06*float64(i%2)
		d.Scale = [2]float64{1.004, 0.997}
		at := geom.SheetPoint{X: 19, Y: -19} // in the angle of the corner card, where it was cut from
		if l.Name != "corner" {
			at = geom.SheetPoint{X: 18, Y: -70}
		}
		d.Piece = &cardtest.Piece{At: at, AngleRad: 0.05}
		if l.Name == "strip" {
			d.Piece.At.Y = -24
		}
		pic := d.Draw(rng)
		m, rings, err := card.FindAll(pic)
		if err != nil || m.Layout != l || m.SeenCount() != len(l.Targets) {
			t.Errorf("%s at %g°: %v, %+v", l.Name, tilt, err, m)
			continue
		}
		pl, err := Solve(pic, m, Options{PrintScaleX: d.Scale[0], PrintScaleY: d.Scale[1], ThicknessMM: d.ThickMM, FocalPriorPx: d.Cam.FocalPx})
		if err != nil {
			t.Errorf("%s at %g°: %v", l.Name, tilt, err)
			continue
		}
		for _, c := range card.Circles {
			outer, inner := c.Radii()
			want := d.Piece.Sheet(c.At, d.Scale)
			seen := 0
			for _, r := range rings {
				at := pl.Camera.ToSheet(r.CentrePx, d.ThickMM)
				if at.Sub(want).Norm() > 0.5 {
					continue
				}
				seen++
				f, ok := pl.Ring(pic, at, outer, inner)
				e := f.OuterMM + f.InnerMM - c.DiameterMM*(d.Scale[0]+d.Scale[1])/2
				x := geom.SheetPoint{X: c.DiameterMM / 2}
				u := math.Hypot(pl.LengthU(f.Centre.Sub(x), f.Centre.Add(x), d.ThickMM).CameraMM, math.Hypot(f.UMM[0], f.UMM[1]))
				if !ok || math.Abs(e) > 0.02 || f.Centre.Sub(want).Norm() > 0.08 {
					t.Errorf("%s at %g°: %g mm is read %.4f off, its middle %.4f mm, %v", l.Name, tilt, c.DiameterMM, e, f.Centre.Sub(want).Norm(), ok)
				}
				sum += e * e / u / u
				n++
			}
			if seen != 1 {
				t.Errorf("%s at %g°: %g mm is found %d times", l.Name, tilt, c.DiameterMM, seen)
			}
		}
		if len(rings) != len(card.Circles) {
			t.Errorf("%s at %g°: %d rings beside the card", l.Name, tilt, len(rings))
		}
	}
	if r := math.Sqrt(sum / float64(n)); r < 0.3 || r > 1.5 {
		t.Errorf("the errors of %d diameters are %.2f times what is stated", n, r)
	} else {
		t.Logf("the errors of %d diameters are %.2f times what is stated", n, r)
	}
}
