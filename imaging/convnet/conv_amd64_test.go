//go:build !amd64.v3

// From GOAMD64=v3 on the compiler fuses products and sums of the plain Go, the assembly does
// not: there they differ in the last bits.

package convnet

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"golang.org/x/sys/cpu"
)

// The assembly gives the same bits as the plain Go, the sign of a zero too, and writes
// nothing beside its rows.
func TestRowsByAVXAreThePlainOnes(t *testing.T) {
	if !cpu.X86.HasAVX {
		t.Skip("this processor has no AVX")
	}
	rng := rand.New(rand.NewSource(12))
	const margin = 16
	framed := func(n int) (all, row []float32) {
		all = make([]float32, n+2*margin)
		fill(all, 77)
		return all, all[margin : margin+n]
	}
	bits := func(v []float32) []uint32 {
		b := make([]uint32, len(v))
		for i := range v {
			b[i] = math.Float32bits(v[i])
		}
		return b
	}
	negativeZeros, cut := 0, 0
	for _, kernel := range kernels {
		for n := 1; n < 70; n++ {
			for round := range 12 {
				plain := anyRows(rng, kernel, n, 1+rng.Intn(7), round < 2)
				wide := *plain
				var want0, want1, got0, got1 []float32
				want0, plain.r0 = framed(n)
				want1, plain.r1 = framed(n)
				got0, wide.r0 = framed(n)
				got1, wide.r1 = framed(n)
				plain.correlateGo()
				if made := wide.correlateWide(); made != (n >= lanes) {
					t.Fatalf("%d samples: made by AVX: %v", n, made)
				} else if !made {
					continue
				}
				if !slices.Equal(bits(got0), bits(want0)) || !slices.Equal(bits(got1), bits(want1)) {
					t.Fatalf("kernel %v, %d samples: got\n%v\n%v\nplain Go gives\n%v\n%v", kernel, n, got0, got1, want0, want1)
				}
				for _, v := range slices.Concat(plain.r0, plain.r1) {
					if v == 0 && math.Signbit(float64(v)) {
						negativeZeros++
					} else if v == 0 && plain.relu {
						cut++
					}
				}
			}
		}
	}
	if negativeZeros == 0 || cut == 0 {
		t.Errorf("the rows held %d negative zeros and %d cut samples", negativeZeros, cut)
	}
}

// Kernels that the assembly does not know are left to the plain Go.
func TestOtherKernelsAreNotForAVX(t *testing.T) {
	p := anyRows(rand.New(rand.NewSource(13)), [2]int{5, 3}, 16, 2, false)
	if p.correlateWide() {
		t.Error("a 5 × 3 kernel was taken")
	}
}
