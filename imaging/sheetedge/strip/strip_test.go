package strip

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Sums of words are the sums of their responses, each kind and sign apart, at the longest
// strip and the strongest responses too.
func TestLineSumsAreThoseOfTheResponses(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, chunks := range []int{3, 40, 240} {
		for _, size := range []float64{0.5, 2, 5} {
			const k = 30
			g := &Strip{k: k, Chunks: chunks, h: 0.1, n0: -1.5, s0: -float64(chunks) / 2, light: make([]float64, k*chunks), hidden: make([]bool, chunks)}
			for kind := range g.resp {
				g.resp[kind] = make([]float64, k*chunks)
				for i := range g.resp[kind] {
					g.resp[kind][i] = min(max(size*rng.NormFloat64(), -maxResponse), maxResponse)
				}
			}
			g.hidden[chunks/2] = true
			g.pack()
			const i0, i1 = 5, 20
			slope := 0.5 / float64(chunks)
			for i, w := range g.sums(slope, i0, i1, 0, chunks-1) {
				for kind, got := range w.lanes() {
					var plain, signed float64
					for c := range chunks {
						if c == chunks/2 {
							continue
						}
						j := i0 + i + int(math.Round(slope*g.s(c)/g.h))
						if x := g.resp[kind][c*k+j]; math.Abs(x) > plainResponse {
							plain += math.Abs(x)
						} else {
							signed += x
						}
					}
					tol := 0.5 * float64(chunks) / g.unit // each response is rounded to a unit
					if math.Abs(float64(got.plain)/g.unit-plain) > tol || math.Abs(float64(got.signed)/g.unit-signed) > tol {
						t.Fatalf("%d chunks, kind %d, sample %d: %.3f and %.3f, want %.3f and %.3f", chunks, kind, i, float64(got.plain)/g.unit, float64(got.signed)/g.unit, plain, signed)
					}
				}
			}
		}
	}
}

// What is greatest near a sample is found however the others stand, equal ones too.
func TestStrongestIsTheGreatestNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 20))
	for range 300 {
		mag, near := make([]float64, 1+rng.IntN(40)), 1+rng.IntN(6)
		for i := range mag {
			mag[i] = float64(rng.IntN(8))
		}
		top := make([]float64, len(mag))
		strongest(top, mag, near)
		for i := range mag {
			want := float64(strongResponse)
			for j := max(0, i-near); j <= min(len(mag)-1, i+near); j++ {
				want = max(want, mag[j])
			}
			if top[i] != want {
				t.Fatalf("within %d of %d in %v: %v, want %v", near, i, mag, top[i], want)
			}
		}
	}
}

// A robust line goes through the majority, whatever the rest does.
func TestLineThroughKeepsToTheMajority(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		n0, slope := 0.2*rng.NormFloat64(), 0.002*rng.NormFloat64()
		slope = min(max(slope, -0.006), 0.006)
		var p []Fix
		for i := range 24 {
			s := float64(3 * i)
			n := n0 + slope*s + 0.008*rng.NormFloat64()
			if i%3 == 1 {
				n += 0.13 // the other flank of a rim
			}
			p = append(p, Fix{s, n, 0.01})
		}
		l := LineThrough(p, 0.03)
		for _, s := range []float64{0, 35, 70} {
			if d := l.N + l.Slope*s - n0 - slope*s; math.Abs(d) > 0.02 {
				t.Fatalf("at s = %v the line is %.3f mm off; slope %.4f for %.4f", s, d, l.Slope, slope)
			}
		}
		if l.Agree < 0.5 || l.Agree > 0.9 {
			t.Fatalf("two in three agree, the line says %.2f", l.Agree)
		}
	}
}

// Where fixes scatter more than they say, the line is as uncertain as they scatter: its place is off by
// about its standard uncertainty, neither much less nor much more.
func TestLineThroughIsAsGoodAsItsFixes(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, scatter := range []float64{0.01, 0.04} {
		const n, lines = 24, 300
		sum, u := 0.0, 0.0
		for range lines {
			var p []Fix
			for i := range n {
				p = append(p, Fix{S: 3 * float64(i), N: scatter * rng.NormFloat64(), U: 0.01})
			}
			l := LineThrough(p, 0.2)
			off := l.N + l.Slope*3*(n-1)/2
			sum += off * off
			u += l.UMid / lines
		}
		if rms := math.Sqrt(sum / lines); u < 0.7*rms || u > 2.5*rms {
			t.Errorf("fixes that scatter by %g mm: the line is off by %.4f mm, stated is %.4f", scatter, rms, u)
		}
	}
}
