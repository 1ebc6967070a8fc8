package convnet

import (
	"math"
	"math/rand"
	"testing"
)

// A convolution done one sum at a time gives the same as the paired rows.
func TestConvolutionAgainstItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for _, k := range kernels {
		for _, outs := range []int{1, 2, 5} {
			l := layer{in: 3, out: outs, kPhi: k[0], kRho: k[1], w: make([]float32, 3*outs*k[0]*k[1]), b: make([]float32, outs)}
			for i := range l.w {
				l.w[i] = float32(rng.NormFloat64())
			}
			for i := range l.b {
				l.b[i] = float32(rng.NormFloat64())
			}
			ws := &Workspace{v: make([]float32, 700)} // too short for all: the rest is made anew
			for i := range ws.v {
				ws.v[i] = float32(math.NaN()) // left over from another look
			}
			x := ws.Planes(3, 6, 8)
			for i := range x.v {
				x.v[i] = float32(rng.NormFloat64())
			}
			got := l.conv(ws, x, false, nil)
			for o := range outs {
				for i := range 6 {
					for j := range 8 {
						want := float64(l.b[o])
						for c := range 3 {
							for a := range k[0] {
								for b := range k[1] {
									q := min(max(j+b-k[1]/2, 0), 7)
									want += float64(l.w[((o*3+c)*k[0]+a)*k[1]+b]) * float64(x.Row(c, (i+a-k[0]/2+6)%6)[q])
								}
							}
						}
						if g := float64(got.Row(o, i)[j]); math.Abs(g-want) > 1e-4 {
							t.Fatalf("kernel %v, plane %d, place (%d, %d): got %g, want %g", k, o, i, j, g, want)
						}
					}
				}
			}
		}
	}
}

// kernels are the sizes that the networks have.
var kernels = [][2]int{{3, 3}, {3, 5}, {1, 3}}

// anyRows is a pair of rows of n samples to be made from random ones, of which some are 0 or
// -0; with zero, all the products and the sums' starts are -0.
func anyRows(rng *rand.Rand, kernel [2]int, n, in int, zero bool) *rowPair {
	some := func(n int, sd float64) []float32 {
		v := make([]float32, n)
		for i := range v {
			if v[i] = float32(rng.NormFloat64() * sd * math.Exp(rng.NormFloat64())); rng.Intn(8) == 0 {
				v[i] *= 0 // which keeps the sign
			}
		}
		return v
	}
	p := &rowPair{
		r0: make([]float32, n), r1: make([]float32, n), kPhi: kernel[0], kRho: kernel[1], in: in,
		wide: n + kernel[1] - 1 + rng.Intn(3), relu: rng.Intn(2) == 0,
	}
	p.plane = p.kPhi*p.wide + rng.Intn(5)
	p.src = some(in*p.plane, 1)
	p.w0, p.w1 = some(in*p.kPhi*p.kRho, 0.3), some(in*p.kPhi*p.kRho, 0.3)
	base := some(2, 1)
	p.base0, p.base1 = base[0], base[1]
	if zero {
		p.base0, p.base1 = float32(math.Copysign(0, -1)), float32(math.Copysign(0, -1))
		for i := range p.src {
			p.src[i] = -max(p.src[i], -p.src[i])
		}
		for i := range p.w0 {
			p.w0[i], p.w1[i] = 0, 0
		}
	}
	return p
}

// The plain rows and those that this processor makes are a convolution.
func TestRowsAgainstTheirDefinition(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for name, correlate := range map[string]func(*rowPair){"plain": (*rowPair).correlateGo, "this processor's": (*rowPair).correlate} {
		for _, kernel := range kernels {
			for n := 1; n < 40; n++ {
				p := anyRows(rng, kernel, n, 1+n%4, false)
				correlate(p)
				for k := range n {
					w0, w1, size := float64(p.base0), float64(p.base1), 1.0
					for c := range p.in {
						for a := range p.kPhi {
							for b := range p.kRho {
								s, j := float64(p.src[c*p.plane+a*p.wide+k+b]), (c*p.kPhi+a)*p.kRho+b
								w0 += float64(p.w0[j]) * s
								w1 += float64(p.w1[j]) * s
								size += math.Abs(float64(p.w0[j])*s) + math.Abs(float64(p.w1[j])*s)
							}
						}
					}
					if p.relu {
						w0, w1 = max(w0, 0), max(w1, 0)
					}
					if g0, g1 := float64(p.r0[k]), float64(p.r1[k]); math.Abs(g0-w0) > 1e-5*size || math.Abs(g1-w1) > 1e-5*size {
						t.Fatalf("%s: kernel %v, %d samples, sample %d: got %g and %g, want %g and %g", name, kernel, n, k, g0, g1, w0, w1)
					}
				}
			}
		}
	}
}
