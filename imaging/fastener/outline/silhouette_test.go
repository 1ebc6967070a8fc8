package outline

import (
	"math"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// A silhouette is the hull of all the circles that make up a head, each as the camera shows it on the
// sheet's plane. Its closed form is of first order in the height over the camera's.
func TestSilhouetteIsTheHullOfAHeadsCircles(t *testing.T) {
	const D, rMM, cameraMM = 6.35, 4.6, 80.0
	cam := &geom.Camera{FocalPx: 1900, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, cameraMM}}
	for _, kind := range []qc.Kind{qc.ShopHead, qc.UniversalHead, qc.FlushHead} {
		p := ProfileOf(kind)
		h := p.HeightD * D
		for _, axis := range []geom.SheetPoint{{}, {X: 12}, {X: -6, Y: 10}} {
			d := cam.ViewSlope(axis)
			for k := range 16 {
				sn, cs := math.Sincos(math.Pi / 8 * float64(k))
				n := geom.SheetPoint{X: cs, Y: sn}
				want := math.Inf(-1)
				for z := 0.0; z <= 1; z += 1.0 / 64 {
					r := rMM * p.radius(z)
					for j := range 128 {
						s, c := math.Sincos(math.Pi / 64 * float64(j))
						q := axis.Add(geom.SheetPoint{X: r * c, Y: r * s})
						want = max(want, cam.ToSheet(cam.Project(q, z*h), 0).Sub(axis).Dot(n))
					}
				}
				if got, _ := p.Silhouette(rMM, h, d.Dot(n), cameraMM); math.Abs(got-want) > 0.02 {
					t.Errorf("%s at %v, %v: the silhouette reaches %.3f mm, its circles %.3f", kind, axis, n, got, want)
				}
			}
		}
	}
}

// The greatest, least and mean diameter are those of the drawn outline.
func TestDiametersOfAnOval(t *testing.T) {
	o := Outline{RMM: 3, A2: 0.06, B2: -0.08}
	least, greatest, sum := math.Inf(1), 0.0, 0.0
	for k := range 3600 {
		phi := math.Pi / 1800 * float64(k)
		across := 2 * (o.RMM + o.A2*math.Cos(2*phi) + o.B2*math.Sin(2*phi)) // both ends of it
		least, greatest, sum = min(least, across), max(greatest, across), sum+across
	}
	if mean := sum / 3600; math.Abs(o.MeanD()-mean) > 1e-9 || math.Abs(o.MaxD()-greatest) > 1e-5 || math.Abs(2*o.MeanD()-o.MaxD()-least) > 1e-5 {
		t.Errorf("mean %.4f, greatest %.4f; drawn are %.4f, %.4f and, the least, %.4f", o.MeanD(), o.MaxD(), mean, greatest, least)
	}
}

// seen gives the silhouette and the flat's rim of a head, the flat's middle off the axis by off.
func seen(o *Outline, p *Profile, heightMM, rim float64, off geom.SheetPoint, cam *geom.Camera) (pts []Observation) {
	for _, q := range o.Contour(p, heightMM, cam, 32) {
		pts = append(pts, Observation{At: q, UMM: 0.02})
	}
	for k := range 32 {
		sn, cs := math.Sincos(math.Pi / 16 * float64(k))
		top := o.Centre.Add(off).Add(geom.SheetPoint{X: cs, Y: sn}.Scale(rim * o.RMM))
		pts = append(pts, Observation{At: cam.ToSheet(cam.Project(top, heightMM), 0), UMM: 0.02, Flat: true})
	}
	return pts
}

// The flat tells how high a head is, and stands off its axis without drawing the head with it.
func TestFlatTellsTheHeightAndMayStandOff(t *testing.T) {
	const D = 4.7625
	cam := tilted(140, 20, 1900)
	prior := PriorOf(qc.ShopHead, D)
	p := ProfileOf(qc.ShopHead)
	want := Outline{Centre: geom.SheetPoint{X: 4, Y: -3}, RMM: 3.4}
	d := cam.ViewSlope(want.Centre)
	across := geom.SheetPoint{X: -d.Y, Y: d.X}.Scale(1 / d.Norm())
	for _, c := range []struct {
		name     string
		heightMM float64
		off      geom.SheetPoint
	}{
		{"usual", p.HeightD * D, geom.SheetPoint{}},
		{"high", (p.HeightD + p.UHeightD) * D, geom.SheetPoint{}},
		{"low", (p.HeightD - p.UHeightD) * D, geom.SheetPoint{}},
		{"flat off", p.HeightD * D, across.Scale(1.5 * flatOffD * D)},
	} {
		got, ok := Fit(seen(&want, &p, c.heightMM, rimRatio, c.off, cam), cam, Outline{Centre: want.Centre, RMM: want.RMM}, prior, 0.005)
		if !ok {
			t.Fatalf("%s: no fit", c.name)
		}
		if e := got.Centre.Sub(want.Centre).Norm(); e > 0.034 {
			t.Errorf("%s: the centre is off by %.3f mm", c.name, e)
		}
		if e := got.HeightMM - c.heightMM; math.Abs(e) > 0.53*p.UHeightD*D { // of what it is off by the middle of all heads, about half is left
			t.Errorf("%s: the height is off by %.3f mm", c.name, e)
		}
	}
}

// A head is as wide as it is, whether it draws in more toward its flat than most or less toward its foot.
func TestSideDrawsInAsItDoes(t *testing.T) {
	const D = 4.7625
	for _, c := range []struct{ top, foot, rim, mostMM float64 }{{-0.052, 0, 0.765, 0.02}, {0, 0.05, rimRatio, 0.016}} {
		p := ProfileOf(qc.ShopHead)
		p.TopR += c.top
		p.FootR += c.foot
		want := Outline{Centre: geom.SheetPoint{X: 4, Y: -3}, RMM: 3.4}
		for _, tiltDeg := range []float64{8, 20, 30} {
			cam := tilted(140, tiltDeg, 1900)
			pts := seen(&want, &p, p.HeightD*D, c.rim, geom.SheetPoint{}, cam)
			got, ok := Fit(pts, cam, Outline{Centre: want.Centre, RMM: want.RMM}, PriorOf(qc.ShopHead, D), 0.005)
			if !ok {
				t.Fatalf("%+v, tilt %g: no fit", c, tiltDeg)
			}
			if e := got.MeanD() - want.MeanD(); math.Abs(e) > c.mostMM {
				t.Errorf("%+v, tilt %g: the diameter is off by %+.3f mm", c, tiltDeg, e)
			}
		}
	}
}
