package fit

import (
	"math"
	"math/rand"
	"testing"
)

// What a fit of few points states is the scatter over many repeats, too: there the degrees of
// freedom tell. A variance s² from n points and p unknowns has n - p of them.
func TestFewPointsStateTheirScatter(t *testing.T) {
	rng := rand.New(rand.NewSource(12))
	const repeats, noise = 3000, 0.05
	var circle, circleU, offset, offsetU, angle, angleU float64
	// Weights are fractions of information: a point of weight w has the variance noise²/w.
	weights := []float64{4, 0.25, 1, 4, 0.25, 1, 4}
	for range repeats {
		var pc, pl []Point
		for i := range 6 {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 6)
			r := 5 + noise*rng.NormFloat64()
			pc = append(pc, Point{3 + r*c, -2 + r*s})
		}
		for i, w := range weights {
			pl = append(pl, Point{float64(i), 2 + noise/math.Sqrt(w)*rng.NormFloat64()})
		}
		c, err := CircleGeometric(pc, Loss{})
		if err != nil {
			t.Fatal(err)
		}
		l, err := Line(pl, weights, Loss{})
		if err != nil {
			t.Fatal(err)
		}
		circle, circleU = circle+(c.R-5)*(c.R-5), circleU+c.Cov[8]
		d := l.Distance(Point{l.P.X, 2})
		offset, offsetU = offset+d*d, offsetU+l.OffsetU*l.OffsetU
		a := math.Atan(l.Dir.Y / l.Dir.X)
		angle, angleU = angle+a*a, angleU+l.AngleU*l.AngleU
	}
	// A variance from 3000 repeats is good to 2.6 %.
	near(t, "circle: variance of the radius over its scatter", circleU/circle, 1, 0.08)
	near(t, "line: variance of the offset over its scatter", offsetU/offset, 1, 0.08)
	near(t, "line: variance of the angle over its scatter", angleU/angle, 1, 0.08)
}

// A weight is half the loss's derivative over the residual, as iteratively reweighted least
// squares has it (Holland, Welsch 1977); at zero both losses are those of least squares.
func TestWeightIsTheLossDifferentiated(t *testing.T) {
	for name, l := range map[string]Loss{"squares": {}, "Huber": Huber(1.5), "Geman-McClure": GemanMcClure(2.5)} {
		for _, r := range []float64{-9, -3, -1.2, -0.3, 0.01, 0.4, 1.4, 1.6, 2.5, 5, 20} {
			const h = 1e-6
			want := (l.Rho(r+h) - l.Rho(r-h)) / (2 * h) / (2 * r)
			near(t, name+" weight", l.Weight(r), want, 1e-6)
		}
		near(t, name+" weight at zero", l.Weight(0), 1, 1e-12)
		near(t, name+" loss near zero", l.Rho(1e-3)/1e-6, 1, 1e-5)
	}
	// Huber's loss and its slope go on where it turns straight; Geman and McClure's levels off at k².
	near(t, "Huber at the bend", Huber(1.5).Rho(1.5+1e-9)-Huber(1.5).Rho(1.5), 0, 1e-8)
	near(t, "Huber beyond the bend", Huber(1.5).Rho(4), 2*1.5*4-1.5*1.5, 1e-12)
	near(t, "Geman-McClure far out", GemanMcClure(2.5).Rho(1e6), 2.5*2.5, 1e-9)
}

// The spread of a normal distribution's own quantiles is its standard deviation.
func TestSpreadOfNormalQuantiles(t *testing.T) {
	const n, sigma = 2000, 0.3
	v := make([]float64, n)
	for i := range v {
		v[i] = sigma * math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/n-1)
	}
	near(t, "spread", SpreadMAD(v), sigma, 1e-3*sigma)
}

// A map's derivative is what small steps give.
func TestHomographyDerivative(t *testing.T) {
	h := H{1.1, 0.2, 30, -0.15, 0.9, -12, 1.5e-3, -0.8e-3, 1}
	const d = 1e-5
	for _, p := range []Point{{0, 0}, {40, -25}, {-60, 80}} {
		ux, uy, vx, vy := h.Jacobian(p)
		x1, x0 := h.Apply(Point{p.X + d, p.Y}), h.Apply(Point{p.X - d, p.Y})
		y1, y0 := h.Apply(Point{p.X, p.Y + d}), h.Apply(Point{p.X, p.Y - d})
		near(t, "du/dx", ux, (x1.X-x0.X)/(2*d), 1e-8)
		near(t, "dv/dx", vx, (x1.Y-x0.Y)/(2*d), 1e-8)
		near(t, "du/dy", uy, (y1.X-y0.X)/(2*d), 1e-8)
		near(t, "dv/dy", vy, (y1.Y-y0.Y)/(2*d), 1e-8)
	}
}

// Where points do not fit a map exactly, the fit is the least in squared distances: to move any
// of the eight unknowns makes it worse, or no better at all.
func TestHomographyIsTheLeast(t *testing.T) {
	rng := rand.New(rand.NewSource(14))
	want := H{1.1, 0.2, 300, -0.15, 0.9, -120, 2e-3, -1e-3, 1}
	for range 50 {
		var p, q []Point
		for range 9 {
			a := Point{rng.Float64() * 80, rng.Float64() * 60}
			b := want.Apply(a)
			p, q = append(p, a), append(q, Point{b.X + 2*rng.NormFloat64(), b.Y + 2*rng.NormFloat64()})
		}
		f, err := Homography(p, q)
		if err != nil {
			t.Fatal(err)
		}
		cost := func(h H) (sum float64) {
			for i := range p {
				b := h.Apply(p[i])
				sum += (b.X-q[i].X)*(b.X-q[i].X) + (b.Y-q[i].Y)*(b.Y-q[i].Y)
			}
			return sum
		}
		least := cost(f.H)
		near(t, "squared distances", float64(len(p))*f.RMS*f.RMS, least, 1e-9*least)
		// How much each unknown must change to move a point at 50 mm by about 0.02 px.
		for i, step := range [8]float64{4e-4, 4e-4, 0.02, 4e-4, 4e-4, 0.02, 1e-6, 1e-6} {
			up, down := f.H, f.H
			up[i] += step
			down[i] -= step
			slope := (cost(up) - cost(down)) / 2 // to first order what one step would gain
			curve := cost(up) + cost(down) - 2*least
			if !(curve > 0) || math.Abs(slope) > 0.01*math.Sqrt(curve*least) {
				t.Fatalf("unknown %d: a step changes %.9g by %.3g up, %.3g down", i, least, cost(up)-least, cost(down)-least)
			}
		}
	}
}
