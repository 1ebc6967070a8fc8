package feature

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// A convolution done one sum at a time gives the same as the paired rows.
func TestConvolutionAgainstItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for _, k := range [][2]int{{3, 3}, {3, 5}, {1, 3}} {
		for _, outs := range []int{1, 2, 5} {
			l := layer{in: 3, out: outs, kPhi: k[0], kRho: k[1], w: make([]float32, 3*outs*k[0]*k[1]), b: make([]float32, outs)}
			for i := range l.w {
				l.w[i] = float32(rng.NormFloat64())
			}
			for i := range l.b {
				l.b[i] = float32(rng.NormFloat64())
			}
			ws := &workspace{v: make([]float32, 700)} // too short for all: the rest is made anew
			for i := range ws.v {
				ws.v[i] = float32(math.NaN()) // left over from another look
			}
			x := ws.planes(3, 6, 8)
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
									want += float64(l.w[((o*3+c)*k[0]+a)*k[1]+b]) * float64(x.row(c, (i+a-k[0]/2+6)%6)[q])
								}
							}
						}
						if g := float64(got.row(o, i)[j]); math.Abs(g-want) > 1e-4 {
							t.Fatalf("kernel %v, plane %d, place (%d, %d): got %g, want %g", k, o, i, j, g, want)
						}
					}
				}
			}
		}
	}
}

// Half floats by their definition: a sign, five bits of exponent, ten of fraction
// (IEEE 754-2008 3.6, table 3.5).
func TestHalfFloats(t *testing.T) {
	for h, want := range map[uint16]float32{0x0000: 0, 0x3c00: 1, 0xc000: -2, 0x3555: 0.333251953125, 0x7bff: 65504, 0x0001: 1.0 / (1 << 24), 0x8400: -1.0 / (1 << 14)} {
		if got := half(h); got != want {
			t.Errorf("half(%#04x) = %g, want %g", h, got, want)
		}
	}
}

func TestDamagedWeightsAreNamed(t *testing.T) {
	for _, b := range [][]byte{nil, []byte("BTN1"), outlineWeightsA[:len(outlineWeightsA)/2], append([]byte("XXXX"), outlineWeightsB[4:]...)} {
		if _, err := readNetwork(b); err == nil {
			t.Errorf("%d bytes of weights were taken", len(b))
		}
	}
}

func BenchmarkLook(b *testing.B) {
	cam := tilted(120, 10, 1900)
	p := unwrap(newPyramid(&raster.Picture{Y: raster.NewGrey(64, 64)}), cam, geom.SheetPoint{}, 3)
	for i := range p.cov {
		p.cov[i] = true
	}
	b.ReportAllocs()
	for b.Loop() {
		look(outlineNetA(), p, cam, "shop-head", math.Inf(-1), false)
	}
}

func TestMiddleAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for n := 1; n < 60; n++ {
		v := make([]float32, n)
		for i := range v {
			v[i] = float32(rng.Intn(12)) // with ties
		}
		s := slices.Clone(v)
		slices.Sort(s)
		if got := upperMedian(v); got != s[n/2] {
			t.Fatalf("upper median of %v: %g, want %g", s, got, s[n/2])
		}
	}
}
