package plane

import (
	"encoding/json"
	"math"
	"os"
	"runtime"
	"slices"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
)

var devPhotos = []string{"dev-03", "dev-08", "dev-13", "dev-16"}

// truth is the part of a photo's truth file that the tests use; the file states its frames.
type truth struct {
	Width, Height int
	Camera        struct {
		Fx, Cx, Cy, K1, K2 float64
		R                  [3][3]float64
		T                  [3]float64
	}
	View struct {
		Tilt     float64 `json:"tilt_deg"`
		Distance float64 `json:"distance_mm"`
	}
	Card struct {
		Layout    string
		Scale     [2]float64   `json:"print_scale"`
		Thickness float64      `json:"thickness_mm"`
		Origin    [2]float64   `json:"origin_on_sheet_mm"`
		Angle     float64      `json:"angle_deg"`
		Targets   [][3]float64 `json:"targets_px"`
	}
	Fasteners []struct {
		Axis [2]float64 `json:"axis_mm"`
	}
}

// project gives the pixel of a point of the truth's own sheet frame.
func (tr *truth) project(x, y, z float64) geom.PxPoint {
	r, t := &tr.Camera.R, &tr.Camera.T
	c := [3]float64{}
	for i := range c {
		c[i] = r[i][0]*x + r[i][1]*y + r[i][2]*z + t[i]
	}
	a, b := c[0]/c[2], c[1]/c[2]
	q := a*a + b*b
	g := tr.Camera.Fx * (1 + tr.Camera.K1*q + tr.Camera.K2*q*q)
	return geom.PxPoint{U: g*a + tr.Camera.Cx, V: g*b + tr.Camera.Cy}
}

// sheet turns a point of the truth's sheet frame into ours, which starts below the card.
func (tr *truth) sheet(x, y float64) geom.SheetPoint {
	s, c := math.Sincos(tr.Card.Angle * math.Pi / 180)
	dx, dy := x-tr.Card.Origin[0], y-tr.Card.Origin[1]
	return geom.SheetPoint{X: dx*c + dy*s, Y: -dx*s + dy*c}
}

type devPhoto struct {
	pic   *raster.Picture
	truth truth
	match *card.Match
	opt   Options // all that is known of it
}

var loaded = map[string]*devPhoto{}

func loadPhoto(t testing.TB, name string) *devPhoto {
	t.Helper()
	if d := loaded[name]; d != nil {
		return d
	}
	d := &devPhoto{}
	b, err := os.ReadFile("../../testdata/photos/" + name + ".json")
	if err == nil {
		err = json.Unmarshal(b, &d.truth)
	}
	if err != nil {
		t.Fatal(err)
	}
	if b, err = os.ReadFile("../../testdata/photos/" + name + ".jpg"); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	d.pic = p.Picture
	if d.match, err = card.Find(d.pic); err != nil {
		t.Fatal(err)
	}
	d.opt = Options{
		PrintScaleX: d.truth.Card.Scale[0], PrintScaleY: d.truth.Card.Scale[1], PrintScaleU: 0.001,
		ThicknessMM: d.truth.Card.Thickness, ThicknessU: 0.03,
		// The 35 mm equivalent goes by the diagonal: 43.27 mm of the 36 × 24 frame.
		FocalPriorPx: p.Focal35MM / math.Hypot(36, 24) * math.Hypot(float64(p.Width), float64(p.Height)),
	}
	loaded[name] = d
	return d
}

// errors gives the greatest error of the fasteners' places at height z, and of the distances
// between them, in mm; and the greatest ratio of a place's error to its stated one.
func (d *devPhoto) errors(pl *Plane, z float64) (place, distance, ratio float64) {
	var got, want []geom.SheetPoint
	for _, f := range d.truth.Fasteners {
		w := d.truth.sheet(f.Axis[0], f.Axis[1])
		g := pl.Camera.ToSheet(d.truth.project(f.Axis[0], f.Axis[1], z), z)
		e := g.Sub(w).Norm()
		c := pl.CovXY(w, z)
		place = math.Max(place, e)
		ratio = math.Max(ratio, e/math.Sqrt(c[0][0]+c[1][1]))
		for i := range got {
			distance = math.Max(distance, math.Abs(g.Sub(got[i]).Norm()-w.Sub(want[i]).Norm()))
		}
		got, want = append(got, g), append(want, w)
	}
	return place, distance, ratio
}

// Pixels to millimetres at the fasteners, which stand 10 to 30 mm beside the card's rings,
// against the exact camera.
func TestMapAgainstTheExactCamera(t *testing.T) {
	for _, name := range devPhotos {
		d := loadPhoto(t, name)
		pl, err := Solve(d.pic, d.match, d.opt)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		place, distance, ratio := d.errors(pl, 0)
		place1, _, _ := d.errors(pl, 1)
		t.Logf("%s: place %.4f mm (1 mm up %.4f), distance %.4f mm, error/stated %.2f, rms %.3f px, blur %.2f px, f %+.1f %%",
			name, place, place1, distance, ratio, pl.ResidualPx, pl.RingBlurPx, 100*(pl.Camera.FocalPx/d.truth.Camera.Fx-1))
		if place > 0.010 || place1 > 0.015 || distance > 0.008 {
			t.Errorf("%s: place %.4f mm, 1 mm up %.4f, distance %.4f", name, place, place1, distance)
		}
		if ratio > 2.5 {
			t.Errorf("%s: error is %.1f times the stated one", name, ratio)
		}
		if pl.ResidualPx < 0.08 || pl.ResidualPx > 0.16 {
			t.Errorf("%s: residual %.3f px", name, pl.ResidualPx)
		}
		if math.Abs(pl.TiltDeg()-d.truth.View.Tilt) > 0.7 {
			t.Errorf("%s: tilt %.2f°, is %.2f°", name, pl.TiltDeg(), d.truth.View.Tilt)
		}
		if r := pl.Camera.FocalPx / d.truth.Camera.Fx; r < 0.93 || r > 1.07 {
			t.Errorf("%s: focal length off by %.1f %%", name, 100*(r-1))
		}
		if pl.UsedCount() != len(d.truth.Card.Targets) {
			t.Errorf("%s: %d targets used", name, pl.UsedCount())
		}
		for i, q := range d.truth.Card.Targets {
			tf := pl.Targets[i]
			if e := tf.CentrePx.Sub(geom.PxPoint{U: q[0], V: q[1]}).Norm(); e > 0.06 {
				t.Errorf("%s: target %d is off by %.3f px", name, i, e)
			}
			if !(tf.LeaveOutMM < maxLeaveOutMM/3) {
				t.Errorf("%s: target %d left out is off by %.4f mm", name, i, tf.LeaveOutMM)
			}
		}
	}
}

// Without EXIF the plane map stays as good; only heights may suffer.
func TestPriorsHardlyMoveThePlane(t *testing.T) {
	for _, name := range devPhotos {
		d := loadPhoto(t, name)
		with, err := Solve(d.pic, d.match, d.opt)
		if err != nil {
			t.Fatal(err)
		}
		o := d.opt
		o.FocalPriorPx = 0
		without, err := Solve(d.pic, d.match, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range d.truth.Fasteners {
			px := d.truth.project(f.Axis[0], f.Axis[1], 0)
			if e := with.Camera.ToSheet(px, 0).Sub(without.Camera.ToSheet(px, 0)).Norm(); e > 0.004 {
				t.Errorf("%s: the focal prior moves a place by %.4f mm", name, e)
			}
		}
	}
}

// DScaleX, DScaleY and DThickness against solving anew with the input changed.
func TestSensitivitiesAgainstSolvingAnew(t *testing.T) {
	d := loadPhoto(t, "dev-08")
	base, err := Solve(d.pic, d.match, d.opt)
	if err != nil {
		t.Fatal(err)
	}
	p := geom.SheetPoint{X: 40, Y: -40}
	px := base.ToPx(p, 0)
	for _, c := range []struct {
		name   string
		change func(*Options)
		want   geom.SheetPoint
		tol    float64
	}{
		{"scale x", func(o *Options) { o.PrintScaleX += 0.002 }, base.DScaleX(p, 0).Scale(0.002), 0.004},
		{"scale y", func(o *Options) { o.PrintScaleY += 0.002 }, base.DScaleY(p, 0).Scale(0.002), 0.004},
		{"thickness", func(o *Options) { o.ThicknessMM += 0.2 }, base.DThickness(p, 0).Scale(0.2), 0.004},
	} {
		o := d.opt
		c.change(&o)
		pl, err := Solve(d.pic, d.match, o)
		if err != nil {
			t.Fatal(err)
		}
		got := pl.Camera.ToSheet(px, 0).Sub(p)
		if e := got.Sub(c.want).Norm(); e > c.tol {
			t.Errorf("%s: the point moved by %v, foretold %v", c.name, got, c.want)
		}
		if c.want.Norm() < 0.008 {
			t.Errorf("%s: foretold %v is too small to test anything", c.name, c.want)
		}
	}
	from, to := geom.SheetPoint{X: 30, Y: -40}, geom.SheetPoint{X: 50, Y: -40}
	u := base.LengthU(from, to, 0)
	if !(u.CameraMM > 0 && u.CameraMM < 0.02) {
		t.Errorf("uncertainty of a length of 20 mm: %+v", u)
	}
	// A card thicker by ten times its uncertainty changes the length by ten times what is stated.
	thicker := d.opt
	thicker.ThicknessMM += 10 * d.opt.ThicknessU
	pl, err := Solve(d.pic, d.match, thicker)
	if err != nil {
		t.Fatal(err)
	}
	change := math.Abs(pl.Camera.ToSheet(base.ToPx(to, 0), 0).Sub(pl.Camera.ToSheet(base.ToPx(from, 0), 0)).Norm() - 20)
	if !(u.ThicknessMM > 0.002) || math.Abs(change/10/u.ThicknessMM-1) > 0.1 {
		t.Errorf("a length's uncertainty by the thickness is %.5f mm, solving anew gives %.5f", u.ThicknessMM, change/10)
	}
}

// What one instrument errs by on both check lines makes the whole map larger or smaller, so
// that a length L has L u in every direction. Errors of each axis by itself turn with the
// direction: (L cos² a u, L sin² a u) at the angle a to x.
func TestScaleUncertaintyByDirection(t *testing.T) {
	const u, length = 0.001, 20.0
	for _, name := range devPhotos {
		d := loadPhoto(t, name)
		base, err := Solve(d.pic, d.match, d.opt)
		if err != nil {
			t.Fatal(err)
		}
		larger := d.opt
		larger.PrintScaleX, larger.PrintScaleY = d.opt.PrintScaleX*1.002, d.opt.PrintScaleY*1.002
		grown, err := Solve(d.pic, d.match, larger)
		if err != nil {
			t.Fatal(err)
		}
		for _, deg := range []float64{0, 30, 45, 90, 135} {
			sn, cs := math.Sincos(deg * math.Pi / 180)
			half := geom.SheetPoint{X: length / 2 * cs, Y: length / 2 * sn}
			p, q := base.MiddleMM().Sub(half), base.MiddleMM().Add(half)
			// Solved anew with both lines longer by the same fraction.
			got := grown.Camera.ToSheet(base.ToPx(q, 0), 0).Sub(grown.Camera.ToSheet(base.ToPx(p, 0), 0)).Norm()
			if math.Abs(got/length-1.002) > 2e-5 {
				t.Errorf("%s, %g°: with both lines longer by 0.002 a length grows by %.6f", name, deg, got/length-1)
			}
			base.Options.PrintScaleU, base.Options.PrintScaleAxisU = u, 0
			if shared := base.LengthU(p, q, 0).ScaleMM; math.Abs(shared/(length*u)-1) > 0.01 {
				t.Errorf("%s, %g°: shared %.5f mm, want %.5f", name, deg, shared, length*u)
			}
			base.Options.PrintScaleU, base.Options.PrintScaleAxisU = 0, u
			want := length * u * math.Sqrt(cs*cs*cs*cs+sn*sn*sn*sn)
			axis := base.LengthU(p, q, 0).ScaleMM
			if math.Abs(axis/want-1) > 0.03 { // a tilted camera takes a little of one axis for the other
				t.Errorf("%s, %g°: each axis by itself %.5f mm, want %.5f", name, deg, axis, want)
			}
			base.Options.PrintScaleU = u
			if both := base.LengthU(p, q, 0).ScaleMM; math.Abs(both-math.Hypot(length*u, axis)) > 0.01*length*u {
				t.Errorf("%s, %g°: both %.5f mm", name, deg, both)
			}
		}
	}
}

func TestOnCard(t *testing.T) {
	d := loadPhoto(t, "dev-16")
	pl, err := Solve(d.pic, d.match, d.opt)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		x, y, margin float64
		want         bool
	}{
		{8, -33, 0, true}, {43, -33, 0, false}, {17, -33, 0, false}, {17, -33, 1.5, true},
		{15, -33, 0, true}, {15, -33, -1.5, false}, {-1, -20, 0, false}, {-1, -20, 1.2, true},
	} {
		if got := pl.OnCard(geom.SheetPoint{X: c.x, Y: c.y}, c.margin); got != c.want {
			t.Errorf("on card at (%g, %g) with margin %g: %v", c.x, c.y, c.margin, got)
		}
	}
}

// The plane is the same to the last bit on any number of cores.
func TestSolveOnAnyCores(t *testing.T) {
	d := loadPhoto(t, "dev-03")
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one, err := Solve(d.pic, d.match, d.opt)
	if err != nil {
		t.Fatal(err)
	}
	runtime.GOMAXPROCS(4)
	more, err := Solve(d.pic, d.match, d.opt)
	if err != nil || one.Camera != more.Camera || one.cov != more.cov || !slices.Equal(one.Targets, more.Targets) {
		t.Errorf("on four cores: %v %v, on one %v", err, more, one)
	}
}

func BenchmarkSolve(b *testing.B) {
	d := loadPhoto(b, "dev-03")
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if _, err := Solve(d.pic, d.match, d.opt); err != nil {
			b.Fatal(err)
		}
	}
}
