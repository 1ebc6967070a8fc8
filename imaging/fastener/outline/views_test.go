package outline

import (
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// over gives a camera heightMM over the sheet that looks at (4, -3) from a side: tilted off the
// normal toward an azimuth.
func over(heightMM, tiltDeg, azimuthDeg float64) *geom.Camera {
	st, ct := math.Sincos(tiltDeg * math.Pi / 180)
	sa, ca := math.Sincos(azimuthDeg * math.Pi / 180)
	z := [3]float64{-st * ca, -st * sa, -ct} // into the sheet
	x := [3]float64{-sa, ca, 0}
	y := [3]float64{z[1]*x[2] - z[2]*x[1], z[2]*x[0] - z[0]*x[2], z[0]*x[1] - z[1]*x[0]}
	eye := [3]float64{4 - z[0]*heightMM/ct, -3 - z[1]*heightMM/ct, heightMM}
	c := &geom.Camera{FocalPx: 2938, CxPx: 2016, CyPx: 1512, R: [3][3]float64{x, y, z}}
	for i, r := range c.R {
		c.T[i] = -(r[0]*eye[0] + r[1]*eye[1] + r[2]*eye[2])
	}
	return c
}

// known is a head with all that a joint fit solves for.
type known struct {
	Outline
	heightMM, rim float64
	tilt          geom.SheetPoint // rise of the flat for a mm along X and Y
	foot, widest  float64         // how much more FootR and Widest are than usual
}

// sightOf gives what a camera sees of the head without any error: of the points of its side, each
// turned as the head leans, those that lie outermost.
func (k *known) sightOf(p *Profile, cam *geom.Camera, uMM float64) (pts []Observation) {
	var side []geom.SheetPoint
	st, ct := math.Sincos(math.Atan(k.tilt.Norm()))
	rise := k.tilt.Scale(1 / max(k.tilt.Norm(), 1e-12)) // the way it rises
	for i := range 41 {
		z := float64(i) / 40
		up := (z - p.Widest) * k.heightMM
		for j := range 240 {
			sn, cs := math.Sincos(math.Pi / 120 * float64(j))
			v := geom.SheetPoint{X: cs, Y: sn}.Scale(p.radius(z) * (k.RMM + k.A2*(cs*cs-sn*sn) + k.B2*2*sn*cs))
			along := v.Dot(rise)
			at := k.Centre.Add(v).Sub(rise.Scale(up*st + along*(1-ct)))
			side = append(side, cam.ToSheet(cam.Project(at, p.Widest*k.heightMM+up*ct+along*st), 0))
		}
	}
	for i := range 32 {
		sn, cs := math.Sincos(math.Pi / 16 * float64(i))
		n, best := geom.SheetPoint{X: cs, Y: sn}, side[0]
		for _, q := range side {
			if q.Dot(n) > best.Dot(n) {
				best = q
			}
		}
		pts = append(pts, Observation{At: best, UMM: uMM})
	}
	lean := k.heightMM * (1 - p.Widest)
	middle := k.Centre.Sub(k.tilt.Scale(lean))
	for i := range 32 {
		sn, cs := math.Sincos(math.Pi / 16 * float64(i))
		v := geom.SheetPoint{X: cs, Y: sn}.Scale(k.rim * (k.RMM + k.A2*(cs*cs-sn*sn) + k.B2*2*sn*cs))
		pts = append(pts, Observation{At: cam.ToSheet(cam.Project(middle.Add(v), k.heightMM+k.tilt.Dot(v)), 0), UMM: uMM, Flat: true})
	}
	return pts
}

// threeSides are cameras as a builder holds a phone: nearly from above, then from two sides.
func threeSides() []*geom.Camera {
	return []*geom.Camera{over(140, 6, 30), over(130, 20, 160), over(150, 24, -80)}
}

func squareCov(u float64) [2][2]float64 { return [2][2]float64{{u * u, 0}, {0, u * u}} }

// Views of one head give it back, its height and the lean of its flat, far from what is usual.
func TestViewsGiveTheHeadBack(t *testing.T) {
	const D = 4.7625
	prior, p := PriorOf(qc.ShopHead, D), ProfileOf(qc.ShopHead)
	for _, want := range []known{
		{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0.03, -0.02}, 0.49 * D, rimRatio, geom.SheetPoint{}, 0, 0},
		{Outline{geom.SheetPoint{X: 12, Y: 5}, 3.2, 0, 0}, 0.37 * D, rimRatio, geom.SheetPoint{}, 0, 0},
		{Outline{geom.SheetPoint{X: -6, Y: -9}, 3.6, 0, 0.05}, 0.61 * D, rimRatio, geom.SheetPoint{}, 0, 0},
		{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, 0.5 * D, rimRatio, geom.SheetPoint{X: 0.07, Y: -0.05}, 0, 0},
		{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, 0.5 * D, rimRatio, geom.SheetPoint{X: -0.08, Y: -0.08}, 0, 0},
		{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, 0.5 * D, rimRatio, geom.SheetPoint{}, -0.06, 0},
		{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, 0.5 * D, rimRatio, geom.SheetPoint{}, 0, 0.15},
	} {
		var views []View
		form := p
		form.FootR += want.foot
		form.Widest += want.widest
		for _, cam := range threeSides() {
			views = append(views, View{Cam: cam, Observations: want.sightOf(&form, cam, 0.005), ShiftCov: squareCov(0.005), USizeMM: 0.005, UFlatMM: 0.005})
		}
		got, ok := FitViews(views, Outline{Centre: want.Centre.Add(geom.SheetPoint{X: 0.1, Y: -0.1}), RMM: 1.02 * want.RMM}, prior, 0.002)
		if !ok {
			t.Fatalf("%+v: no fit", want)
		}
		near := func(what string, got, want, room float64) {
			if !(math.Abs(got-want) <= room) {
				t.Errorf("%s is %.4f, want %.4f", what, got, want)
			}
		}
		near("the mean diameter", got.MeanD(), want.MeanD(), 0.01)
		near("the centre", got.Centre.Sub(want.Centre).Norm(), 0, 0.015)
		near("the oval", math.Hypot(got.A2-want.A2, got.B2-want.B2), 0, 0.01)
		near("the height", got.HeightMM, want.heightMM, 0.025)
		near("the flat's radius", got.FlatRMM, want.rim*want.RMM, 0.03)
		near("the lean, degrees,", got.TiltRad*180/math.Pi, math.Atan(want.tilt.Norm())*180/math.Pi, 0.6)
		near("the rise", got.RiseMM, want.rim*want.RMM*want.tilt.Norm(), 0.035)
	}
}

// A head that leans is read about as high as it stands, although flats are seen none too well.
func TestLeaningHeadIsNotReadLow(t *testing.T) {
	const D, uMM, trials = 4.7625, 0.1, 60
	prior, p := PriorOf(qc.ShopHead, D), ProfileOf(qc.ShopHead)
	rng := rand.New(rand.NewSource(990002))
	want := known{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, p.HeightD * D, rimRatio, geom.SheetPoint{X: 0.06, Y: 0.08}, 0, 0}
	high := 0.0
	for range trials {
		var views []View
		for _, cam := range threeSides() {
			pts, noise := want.sightOf(&p, cam, uMM), 0.0
			for i := range pts {
				if i%(32/independent) == 0 { // as above: neighbours err together
					noise = uMM * rng.NormFloat64()
				}
				out := pts[i].At.Sub(want.Centre)
				pts[i].At = pts[i].At.Add(out.Scale(noise / out.Norm()))
			}
			views = append(views, View{Cam: cam, Observations: pts, ShiftCov: squareCov(0.02), USizeMM: 0.02, UFlatMM: 0.03})
		}
		got, ok := FitViews(views, want.Outline, prior, 0.005)
		if !ok {
			t.Fatal("no fit")
		}
		high += (got.HeightMM + got.RiseMM) / trials
	}
	truth := want.heightMM + want.rim*want.RMM*want.tilt.Norm()
	if e := high - truth; math.Abs(e) > 0.13 {
		t.Errorf("read %+.3f mm off on the average", e)
	}
}

// What the joint fit says of its uncertainty is what it errs by, where views err as they say.
func TestJointCovarianceIsHonest(t *testing.T) {
	const (
		D, trials             = 4.7625, 150
		uShift, uSize, uFlat  = 0.03, 0.02, 0.05
		leastRatio, mostRatio = 0.8, 1.2 // of the scatter to what is said: five standard deviations of 150 trials
	)
	prior, p := PriorOf(qc.ShopHead, D), ProfileOf(qc.ShopHead)
	rng := rand.New(rand.NewSource(990001))
	var r, x, h float64
	for range trials {
		profile := p
		profile.Widest += p.UWidest * rng.NormFloat64()
		profile.TopR += uTopR * rng.NormFloat64()
		want := known{Outline{geom.SheetPoint{X: 4 + 6*rng.NormFloat64(), Y: -3 + 6*rng.NormFloat64()}, 3.2 + 0.3*rng.Float64(), 0, 0},
			(p.HeightD + p.UHeightD*rng.NormFloat64()) * D, rimRatio + uRimRatio*rng.NormFloat64(), geom.SheetPoint{X: 0.02 * rng.NormFloat64(), Y: 0.02 * rng.NormFloat64()}, 0, 0}
		var views []View
		for _, cam := range threeSides() {
			k := want
			k.RMM += uSize * rng.NormFloat64()
			k.rim *= want.RMM / k.RMM
			pts := k.sightOf(&profile, cam, 0.003)
			shift := geom.SheetPoint{X: uShift * rng.NormFloat64(), Y: uShift * rng.NormFloat64()}
			flat := geom.SheetPoint{X: uFlat * rng.NormFloat64(), Y: uFlat * rng.NormFloat64()}
			noise := 0.0
			for i := range pts {
				// A contour is worth independent observations: neighbours err together.
				if i%(32/independent) == 0 {
					noise = math.Hypot(0.003, 0.002) * rng.NormFloat64()
				}
				out := pts[i].At.Sub(k.Centre)
				pts[i].At = pts[i].At.Add(out.Scale(noise / out.Norm())).Add(shift)
				if pts[i].Flat {
					pts[i].At = pts[i].At.Add(flat)
				}
			}
			views = append(views, View{Cam: cam, Observations: pts, ShiftCov: squareCov(uShift), USizeMM: uSize, UFlatMM: uFlat})
		}
		got, ok := FitViews(views, want.Outline, prior, 0.002)
		if !ok {
			t.Fatal("no fit")
		}
		square := func(e, u float64) float64 { return e * e / (u * u) / trials }
		r += square(got.RMM-want.RMM, math.Sqrt(got.Cov[2][2]))
		x += square(got.Centre.X-want.Centre.X, math.Sqrt(got.Cov[0][0]))
		h += square(got.HeightMM-want.heightMM, got.UHeight)
	}
	for what, v := range map[string]float64{"radius": math.Sqrt(r), "centre": math.Sqrt(x), "height": math.Sqrt(h)} {
		if v < leastRatio || v > mostRatio {
			t.Errorf("the %s errs by %.2f times what the fit says", what, v)
		}
	}
}

// What is a view's own falls with the number of views, as for a mean; the height needs views from
// different sides.
func TestMoreViewsTellMore(t *testing.T) {
	const D = 4.7625
	prior, p := PriorOf(qc.ShopHead, D), ProfileOf(qc.ShopHead)
	want := known{Outline{geom.SheetPoint{X: 4, Y: -3}, 3.4, 0, 0}, 0.49 * D, rimRatio, geom.SheetPoint{}, 0, 0}
	fit := func(cams ...*geom.Camera) Joined {
		var views []View
		for _, cam := range cams {
			views = append(views, View{Cam: cam, Observations: want.sightOf(&p, cam, 0.03), ShiftCov: squareCov(0.02), USizeMM: 0.05, UFlatMM: 0.05})
		}
		got, ok := FitViews(views, want.Outline, prior, 0.001)
		if !ok {
			t.Fatal("no fit")
		}
		return got
	}
	cam := over(140, 6, 30)
	for n, cams := range [][]*geom.Camera{{cam}, {cam, cam}, {cam, cam, cam, cam}} {
		count := float64(len(cams))
		if got, want := math.Sqrt(fit(cams...).Cov[2][2]), 0.05/math.Sqrt(count); math.Abs(got-want) > 0.1*want {
			t.Errorf("case %d: the radius is uncertain by %.4f mm, want %.4f", n, got, want)
		}
	}
	alike, apart := fit(over(140, 6, 30), over(140, 8, 40)), fit(over(140, 6, 30), over(140, 20, 200))
	if scatter := p.UHeightD * D; alike.UHeight < 0.6*scatter || apart.UHeight > 0.5*scatter {
		t.Errorf("the height is uncertain by %.3f mm from one side and by %.3f from two; heads scatter by %.3f", alike.UHeight, apart.UHeight, scatter)
	}
}

// Heights against OpenCV's triangulation of the same points by the same cameras, which it
// calibrated itself, and against gauge blocks: a flat on a stack stands as high as its blocks'
// nominal lengths add up to (ISO 3650: lengths of stacks add). See testdata/opencv/views.py.
func TestHeightAgainstOpenCV(t *testing.T) {
	var file struct {
		FocalPx float64 `json:"focal_px"`
		CxPx    float64 `json:"cx_px"`
		CyPx    float64 `json:"cy_px"`
		K1      float64
		NoisePx float64 `json:"noise_px"`
		Cameras []struct {
			R [3][3]float64
			T [3]float64
		}
		Flats []struct {
			Blocks       []float64 `json:"blocks_mm"`
			Rim          float64   `json:"rim_radius_mm"`
			Px           [][][2]float64
			RimPx        [][][2]float64 `json:"rim_px"`
			Triangulated [3]float64     `json:"triangulated_mm"`
		}
	}
	b, err := os.ReadFile("../../../testdata/opencv/views.json")
	if err == nil {
		err = json.Unmarshal(b, &file)
	}
	if err != nil {
		t.Fatal(err)
	}
	const D = 3.175
	prior, p := PriorOf(qc.ShopHead, D), ProfileOf(qc.ShopHead)
	prior.profile.UHeightD = 1 // the points alone are to tell
	var heights, stacks []float64
	for n, f := range file.Flats {
		stack := 0.0
		for _, mm := range f.Blocks {
			stack += mm
		}
		// Below the flat a barrel of its own height, without error: OpenCV's points are the flat's.
		axis := geom.SheetPoint{X: f.Triangulated[0], Y: f.Triangulated[1]}
		barrel := Outline{Centre: axis, RMM: f.Rim / rimRatio}
		var views []View
		for v, c := range file.Cameras {
			cam := &geom.Camera{FocalPx: file.FocalPx, CxPx: file.CxPx, CyPx: file.CyPx, K1: file.K1, R: c.R, T: c.T}
			var pts []Observation
			for _, q := range barrel.Contour(&p, stack, cam, 32) {
				pts = append(pts, Observation{At: q, UMM: 0.05})
			}
			u := file.NoisePx / cam.PxPerMM(axis, 0) * math.Sqrt(float64(independent)/24) // 24 points that err independently
			for _, q := range f.RimPx[v] {
				pts = append(pts, Observation{At: cam.ToSheet(geom.PxPoint{U: q[0], V: q[1]}, 0), UMM: u, Flat: true})
			}
			views = append(views, View{Cam: cam, Observations: pts, ShiftCov: squareCov(1e-4), USizeMM: 1e-4, UFlatMM: 1e-4})
		}
		got, ok := FitViews(views, barrel, prior, 0)
		if !ok {
			t.Fatalf("flat %d: no fit", n)
		}
		if e := math.Abs(got.HeightMM - f.Triangulated[2]); e > 2*got.UHeight {
			t.Errorf("flat %d: %.4f ± %.4f mm high, OpenCV has %.4f", n, got.HeightMM, 2*got.UHeight, f.Triangulated[2])
		}
		if got.UHeight > 0.02 {
			t.Errorf("flat %d: uncertain by %.4f mm", n, got.UHeight)
		}
		heights, stacks = append(heights, got.HeightMM), append(stacks, stack)
		for k := range n {
			step, want := heights[n]-heights[k], stacks[n]-stacks[k]
			if math.Abs(step-want) > 2*math.Sqrt2*got.UHeight {
				t.Errorf("flats %d and %d: a step of %.4f mm, by the blocks %.4f", k, n, step, want)
			}
		}
	}
	if len(heights) < 6 {
		t.Errorf("only %d flats", len(heights))
	}
}
