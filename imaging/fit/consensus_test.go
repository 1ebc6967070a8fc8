package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What agrees with a circle is counted as by the plain rule, or left when it can't come up to
// the best.
func TestAgreementAgainstThePlainRule(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	left := 0
	for range 2000 {
		q := make([]Point, 30)
		for i := range q {
			r, phi := 3+0.3*rng.NormFloat64(), rng.Float64()*2*math.Pi
			q[i] = Point{r * math.Cos(phi), r * math.Sin(phi)}
		}
		want := 0.0
		for _, p := range q {
			if u := (math.Hypot(p.X, p.Y) - 3) / 0.25; u*u < 1 {
				want += 1 - u*u
			}
		}
		best := rng.Float64() * 20
		got := agreement(q, Point{}, 3, 0.25, best)
		if got != want {
			left++
			if want >= best || got > want {
				t.Fatalf("%g of %g counted, with %g to beat", got, want, best)
			}
		}
	}
	if left == 0 || left == 2000 {
		t.Errorf("%d of 2000 were left", left)
	}
}
