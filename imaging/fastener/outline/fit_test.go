package outline

import (
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// tilted gives a camera heightMM over the sheet's origin, tiltDeg off the normal.
func tilted(heightMM, tiltDeg, focalPx float64) *geom.Camera {
	s, c := math.Sincos(tiltDeg * math.Pi / 180)
	// Camera x along sheet x; y down in the picture runs against sheet y.
	r := [3][3]float64{{1, 0, 0}, {0, -c, -s}, {0, s, -c}}
	return &geom.Camera{FocalPx: focalPx, CxPx: 1000, CyPx: 800, R: r, T: [3]float64{0, 0, heightMM / c}}
}

// The contour of a head of known size, seen under several tilts, gives the head back:
// size, place and ovality, whatever its height within the prior.
func TestFitOutlineRecoversKnownHeads(t *testing.T) {
	p := ProfileOf(qc.ShopHead)
	const D = 3.175
	rng := rand.New(rand.NewSource(3))
	for _, tilt := range []float64{0, 8, 16, 24} {
		cam := tilted(120, tilt, 1900)
		for range 5 {
			want := Outline{geom.SheetPoint{X: rng.Float64()*40 - 20, Y: rng.Float64()*40 - 20}, 2.3 + 0.3*rng.Float64(), 0.02 * rng.NormFloat64(), 0.02 * rng.NormFloat64()}
			h := p.HeightD * D
			var pts []Observation
			for _, q := range want.Contour(&p, h, cam, 32) {
				pts = append(pts, Observation{At: q, UMM: 0.02})
			}
			// A fifth of the directions sees a shadow instead.
			stray := 6
			if tilt > 20 { // the hull is no circle any more: less may stray
				stray = 3
			}
			for i := range stray {
				pts[i].At = pts[i].At.Add(pts[i].At.Sub(want.Centre).Scale(0.2))
			}
			var rim []fit.Point
			for _, s := range pts {
				rim = append(rim, fit.Point(s.At))
			}
			mid, r, ok := fit.CircleConsensus(rim, 0.6*D, 0.91*D, 0.05*D)
			if !ok {
				t.Fatalf("tilt %g: no circle", tilt)
			}
			c := geom.SheetPoint(mid)
			start := Outline{Centre: c.Sub(cam.ViewSlope(c).Scale(p.Widest * h)), RMM: r}
			got, ok := Fit(pts, cam, start, Prior{profile: p, nominalD: D, uOval: 0.1, rim: 0.885, uRim: 0.03, uOff: 0.08}, 0.005)
			if !ok {
				t.Fatalf("tilt %g: no fit", tilt)
			}
			if e := math.Abs(got.MeanD() - want.MeanD()); e > 0.02 {
				t.Errorf("tilt %g: diameter off by %.3f mm", tilt, e)
			}
			if e := got.Centre.Sub(want.Centre).Norm(); e > 0.03 {
				t.Errorf("tilt %g: centre off by %.3f mm", tilt, e)
			}
			if e := math.Hypot(got.A2-want.A2, got.B2-want.B2); e > 0.02 {
				t.Errorf("tilt %g: ovality off by %.3f mm", tilt, e)
			}
		}
	}
}

// A shadow along a quarter of the outline is left out, not joined to the rest as an oval; and 32 points
// of one contour tell its radius as well as independent ones of so many would, no better.
func TestShadowAlongAQuarterIsNoOval(t *testing.T) {
	const D, uMM = 4.7625, 0.02
	p := ProfileOf(qc.ShopHead)
	want := Outline{Centre: geom.SheetPoint{X: 4, Y: -3}, RMM: 3.4}
	for _, tiltDeg := range []float64{0, 8, 16} {
		cam := tilted(140, tiltDeg, 1900)
		for _, deep := range []float64{0.06, 0.1, 0.15} {
			var pts []Observation
			for i, q := range want.Contour(&p, p.HeightD*D, cam, 32) {
				if i < 8 {
					q = q.Add(q.Sub(want.Centre).Scale(deep * math.Sin(math.Pi/8*(float64(i)+0.5))))
				}
				pts = append(pts, Observation{At: q, UMM: uMM})
			}
			got, ok := FitFromCircle(pts, cam, cam.ViewSlope(want.Centre), PriorOf(qc.ShopHead, D), 0.005)
			if !ok {
				t.Fatalf("tilt %g, a shadow of %g: no fit", tiltDeg, deep)
			}
			if e := got.MeanD() - want.MeanD(); math.Abs(e) > 0.02 {
				t.Errorf("tilt %g, a shadow of %g: the diameter is off by %+.3f mm", tiltDeg, deep, e)
			}
			if u := math.Sqrt(got.Cov[2][2]); u < uMM/math.Sqrt(independent) {
				t.Errorf("tilt %g, a shadow of %g: the radius is uncertain by %.4f mm", tiltDeg, deep, u)
			}
		}
	}
}
