package fit

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand"
	"os"
	"slices"
	"testing"
)

// published reads the circle and ellipse sets with known answers; each case names its source.
func published(t *testing.T) map[string]publishedCase {
	t.Helper()
	b, err := os.ReadFile("../../testdata/published/fit-circle-ellipse.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []publishedCase }
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	out := map[string]publishedCase{}
	for _, c := range file.Cases {
		out[c.ID] = c
	}
	return out
}

type publishedCase struct {
	ID        string
	Points    [][2]float64
	Published map[string]map[string]float64
	Computed  map[string]map[string]float64
}

func (c publishedCase) points() (p []Point) {
	for _, q := range c.Points {
		p = append(p, Point{q[0], q[1]})
	}
	return p
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

// The set of Gander, Golub, Strebel, BIT 34 (1994) 558-578, section 5; four decimals printed.
func TestCircleOfGanderGolubStrebel(t *testing.T) {
	c, ok := published(t)["GGS-circle"]
	if !ok {
		t.Fatal("no case")
	}
	f, err := CircleGeometric(c.points(), Loss{})
	if err != nil {
		t.Fatal(err)
	}
	want := c.Published["geometric"]
	near(t, "x", f.X, want["cx"], 0.5e-4)
	near(t, "y", f.Y, want["cy"], 0.5e-4)
	near(t, "r", f.R, want["r"], 0.5e-4)
	near(t, "residual norm", f.RMS*math.Sqrt(6), c.Computed["geometric"]["residual_norm"], 1e-8)
	taubin, err := CircleTaubin(c.points())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Taubin x", taubin.X, c.Computed["taubin"]["cx"], 1e-8)
	near(t, "Taubin y", taubin.Y, c.Computed["taubin"]["cy"], 1e-8)
	near(t, "Taubin r", taubin.R, c.Computed["taubin"]["r"], 1e-8)
}

func TestCircleOfBullock(t *testing.T) {
	c, ok := published(t)["Bullock"]
	if !ok {
		t.Fatal("no case")
	}
	// Points of a parabola that cover under 30 degrees of the circle: the fit must come to
	// the known answer, and must say that the arc is short.
	f, err := CircleGeometric(c.points(), Loss{})
	if !errors.Is(err, ErrShortArc) {
		t.Errorf("a short arc gave %v", err)
	}
	want := c.Computed["geometric"]
	near(t, "x", f.X, want["cx"], 1e-5)
	near(t, "y", f.Y, want["cy"], 1e-5)
	near(t, "r", f.R, want["r"], 1e-5)
}

// The set of Gander, Golub, Strebel, BIT 34 (1994) 558-578, section 7; four decimals printed.
func TestEllipseOfGanderGolubStrebel(t *testing.T) {
	c, ok := published(t)["GGS-ellipse"]
	if !ok {
		t.Fatal("no case")
	}
	direct, err := EllipseDirect(c.points())
	if err != nil {
		t.Fatal(err)
	}
	f, err := EllipseGeometric(c.points(), direct, Loss{})
	if err != nil {
		t.Fatal(err)
	}
	want := c.Published["geometric"]
	near(t, "x", f.X, want["cx"], 0.6e-4)
	near(t, "y", f.Y, want["cy"], 0.6e-4)
	near(t, "a", f.A(), want["a"], 0.6e-4)
	near(t, "b", f.B(), want["b"], 0.6e-4)
	near(t, "angle", f.AngleRad(), want["angle_rad"], 0.6e-4)
	near(t, "residual norm", f.RMS*math.Sqrt(8), want["residual_norm"], 0.5e-4)
}

// Points on a known ellipse, in every direction and with the axes' ratio to 1:20, come
// back exactly, also where the ellipse is a circle.
func TestEllipseExactPoints(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 2000 {
		want := EllipseFit{X: rng.NormFloat64() * 100, Y: rng.NormFloat64() * 100}
		a := 1 + 10*rng.Float64()
		b := a * (0.05 + 0.95*rng.Float64())
		switch rng.Intn(5) {
		case 0:
			b = a
		case 1:
			b = a * (1 - 0.01*rng.Float64()) // nearly a circle, as most rings are
		}
		angle := (rng.Float64() - 0.5) * math.Pi
		want.setAxes(a, b, angle)
		var p []Point
		for i := 0; i < 12; i++ {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + rng.Float64()) / 12)
			p = append(p, Point{want.X + (want.Mean+want.E1)*c + want.E2*s, want.Y + want.E2*c + (want.Mean-want.E1)*s})
		}
		d, err := EllipseDirect(p)
		if err != nil {
			t.Fatalf("a %g b %g angle %g: %v", a, b, angle, err)
		}
		g, err := EllipseGeometric(p, d, Loss{})
		if err != nil {
			t.Fatalf("a %g b %g angle %g: geometric: %v", a, b, angle, err)
		}
		for name, f := range map[string]EllipseFit{"direct": d, "geometric": g} {
			near(t, name+" x", f.X, want.X, 1e-6)
			near(t, name+" y", f.Y, want.Y, 1e-6)
			near(t, name+" a", f.A(), a, 1e-5)
			near(t, name+" b", f.B(), b, 1e-5)
			near(t, name+" e1", f.E1, want.E1, 1e-5)
			near(t, name+" e2", f.E2, want.E2, 1e-5)
		}
	}
}

// The covariance must be that of the scatter over many noisy repeats.
func TestCovarianceIsTheScatter(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	const repeats, noise = 2000, 0.05
	e0 := EllipseFit{X: 3, Y: -2}
	e0.setAxes(5, 4, 0.7)
	var sumE, sqE, covE [5]float64
	var sumC, sqC, covC [3]float64
	var sqL, uL, sqA, uA float64
	for range repeats {
		var pe, pc, pl []Point
		for i := 0; i < 40; i++ {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 40 * 0.8) // 288 degrees of arc
			n := noise * rng.NormFloat64()
			x, y := (e0.Mean+e0.E1)*c+e0.E2*s, e0.E2*c+(e0.Mean-e0.E1)*s
			l := math.Hypot(x, y)
			pe = append(pe, Point{3 + x*(1+n/l), -2 + y*(1+n/l)})
			pc = append(pc, Point{3 + (5+n)*c, -2 + (5+n)*s})
			pl = append(pl, Point{float64(i) * 0.6, float64(i)*0.8 + n/0.6})
		}
		d, err := EllipseDirect(pe)
		if err != nil {
			t.Fatal(err)
		}
		e, err := EllipseGeometric(pe, d, Loss{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := CircleGeometric(pc, Loss{})
		if err != nil {
			t.Fatal(err)
		}
		ln, err := Line(pl, nil, Loss{})
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range [5]float64{e.X - 3, e.Y + 2, e.Mean - e0.Mean, e.E1 - e0.E1, e.E2 - e0.E2} {
			sumE[k], sqE[k], covE[k] = sumE[k]+v, sqE[k]+v*v, covE[k]+e.Cov[k*6]
		}
		for k, v := range [3]float64{c.X - 3, c.Y + 2, c.R - 5} {
			sumC[k], sqC[k], covC[k] = sumC[k]+v, sqC[k]+v*v, covC[k]+c.Cov[k*4]
		}
		mid := ln.Distance(Point{39 * 0.3, 39 * 0.4})
		sqL, uL = sqL+mid*mid, uL+ln.OffsetU*ln.OffsetU
		a := math.Atan2(ln.Dir.Y, ln.Dir.X) - math.Atan2(0.8, 0.6)
		sqA, uA = sqA+a*a, uA+ln.AngleU*ln.AngleU
	}
	// A variance from 2000 repeats is good to 3 %; radial noise is not quite normal noise on
	// an ellipse of 5 to 4.
	for k := range sqE {
		near(t, "ellipse variance ratio", covE[k]/sqE[k], 1, 0.15)
	}
	for k := range sqC {
		near(t, "circle variance ratio", covC[k]/sqC[k], 1, 0.12)
	}
	near(t, "line offset variance ratio", uL/sqL, 1, 0.12)
	near(t, "line angle variance ratio", uA/sqA, 1, 0.12)
}

func TestRobustFitsIgnoreFarPoints(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	var line, circle []Point
	for i := 0; i < 60; i++ {
		n := 0.02 * rng.NormFloat64()
		x := float64(i) / 6
		s, c := math.Sincos(2 * math.Pi * float64(i) / 60)
		p, q := Point{x, 1 + 0.5*x + n}, Point{2 + (4+n)*c, 1 + (4+n)*s}
		if i%4 == 0 { // a shadow on one side
			p.Y += 1.5
			q = Point{2 + 4.8*c, 1 + 4.8*s}
		}
		line, circle = append(line, p), append(circle, q)
	}
	l, err := Line(line, nil, GemanMcClure(2.5))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", l.Dir.Y/l.Dir.X, 0.5, 0.004)
	near(t, "distance of a point on it", l.Distance(Point{4, 3}), 0, 0.02)
	f, err := CircleGeometric(circle, GemanMcClure(2.5))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x", f.X, 2, 0.02)
	near(t, "y", f.Y, 1, 0.02)
	near(t, "r", f.R, 4, 0.02)
}

func TestFitsRefuse(t *testing.T) {
	same := []Point{{1, 1}, {1, 1}, {1, 1}, {1, 1}, {1, 1}, {1, 1}}
	row := []Point{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 5}}
	if _, err := Line(same, nil, Loss{}); !errors.Is(err, ErrNoSpread) {
		t.Errorf("line of one spot: %v", err)
	}
	if _, err := Line(row[:2], nil, Loss{}); !errors.Is(err, ErrFewPoints) {
		t.Errorf("line of two points: %v", err)
	}
	if _, err := CircleGeometric(row, Loss{}); !errors.Is(err, ErrNoSpread) {
		t.Errorf("circle of a line: %v", err)
	}
	if _, err := CircleGeometric(row[:4], Loss{}); !errors.Is(err, ErrFewPoints) {
		t.Errorf("circle of four points: %v", err)
	}
	if _, err := EllipseDirect(row); err == nil {
		t.Error("ellipse of a line was fitted")
	}
	if _, err := Homography(row[:4], row[:4]); err == nil {
		t.Error("homography of a line was fitted")
	}
	if _, err := Homography(row[:3], row[:3]); !errors.Is(err, ErrFewPoints) {
		t.Errorf("homography of three points: %v", err)
	}
	var arc []Point
	for i := 0; i < 20; i++ {
		s, c := math.Sincos(float64(i) / 19)
		arc = append(arc, Point{c, s})
	}
	if _, err := CircleGeometric(arc, Loss{}); !errors.Is(err, ErrShortArc) {
		t.Errorf("circle over 57 degrees: %v", err)
	}
}

func TestHomographyRecoversTheMap(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for range 100 {
		want := H{1 + rng.NormFloat64()*0.2, rng.NormFloat64() * 0.2, rng.NormFloat64() * 500, rng.NormFloat64() * 0.2, 1 + rng.NormFloat64()*0.2, rng.NormFloat64() * 500, rng.NormFloat64() * 1e-3, rng.NormFloat64() * 1e-3, 1}
		var p, q []Point
		for i := 0; i < 9; i++ {
			a := Point{rng.Float64() * 80, rng.Float64() * 60}
			p, q = append(p, a), append(q, want.Apply(a))
		}
		f, err := Homography(p, q)
		if err != nil {
			t.Fatal(err)
		}
		if f.RMS > 1e-7 {
			t.Errorf("residual %g", f.RMS)
		}
		inv, ok := f.H.Inverse()
		if !ok {
			t.Fatal("no inverse")
		}
		b := inv.Apply(q[0])
		near(t, "there and back", math.Hypot(b.X-p[0].X, b.Y-p[0].Y), 0, 1e-8)
	}
}

func TestEigenSymRebuildsTheMatrix(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for n := 2; n <= 12; n++ {
		a := make([]float64, n*n)
		for i := 0; i < n; i++ {
			for j := 0; j <= i; j++ {
				a[i*n+j] = rng.NormFloat64()
				a[j*n+i] = a[i*n+j]
			}
		}
		w, v := EigenSym(a, n)
		for i := 0; i < n; i++ {
			for j := 0; j < n; j++ {
				s := 0.0
				for k := 0; k < n; k++ {
					s += v[i*n+k] * w[k] * v[j*n+k]
				}
				near(t, "V W Vᵀ", s, a[i*n+j], 1e-12)
			}
			if i > 0 && w[i] < w[i-1] {
				t.Errorf("eigenvalues of %d not rising: %v", n, w)
			}
		}
	}
}

func TestInvertRefusesRankLoss(t *testing.T) {
	// Two equal rows of unknowns, in wildly different units.
	if _, ok := Invert([]float64{1, 1e6, 1e6, 1e12}, 2); ok {
		t.Error("a singular matrix was inverted")
	}
	inv, ok := Invert([]float64{4, 2, 2, 3}, 2)
	if !ok {
		t.Fatal("not inverted")
	}
	near(t, "inverse", inv[0], 3.0/8, 1e-15)
	near(t, "inverse", inv[1], -2.0/8, 1e-15)
}

// The median against a whole sort, with values that come more than once.
func TestMedianAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for n := 1; n < 120; n++ {
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Floor(rng.Float64()*float64(3*n)) / 7
		}
		s := slices.Sorted(slices.Values(v))
		if got, want := Median(v), (s[(n-1)/2]+s[n/2])/2; got != want {
			t.Fatalf("median of %v is %g, want %g", s, got, want)
		}
	}
	if m := Median(append(make([]float64, 30), math.NaN())); m != 0 {
		t.Errorf("a NaN among 30 zeros makes the median %g", m)
	}
}

// Residuals added together make the very sums that they make one by one.
func TestAddAllIsAddInTurn(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for _, n := range []int{1, 2, 5, 11} {
		for many := range 10 {
			r, w, j := make([]float64, many), make([]float64, many), make([]float64, many*n)
			for i := range r {
				r[i], w[i] = 3*rng.NormFloat64(), rng.Float64()
			}
			for i := range j {
				j[i] = rng.NormFloat64()
			}
			together, inTurn := NewNormal(n), NewNormal(n)
			together.AddAll(r, w, Huber(2), j)
			for i := range r {
				inTurn.Add(r[i], w[i], Huber(2), j[i*n:][:n])
			}
			if together.Cost != inTurn.Cost || !slices.Equal(together.G, inTurn.G) || !slices.Equal(together.A, inTurn.A) {
				t.Fatalf("%d residuals of %d unknowns: the sums differ", many, n)
			}
		}
	}
}
