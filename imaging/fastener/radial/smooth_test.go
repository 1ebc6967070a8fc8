package radial

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

// Smoothing and means against their plain rules, on three cores.
func TestSmoothingAgainstPlainRules(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(3))
	rng := rand.New(rand.NewPCG(4, 3))
	const w, h, rad = 23, 17, 4
	a := make([]float32, w*h)
	for i := range a {
		a[i] = rng.Float32()
	}
	memory := slices.Repeat([]float64{9}, 2000) // what a view before has left
	m := newBoxMean(&memory, a, w, h, rad)
	across, down := slices.Clone(a), slices.Clone(a)
	for j := range h {
		for i := range w {
			sum, n := 0.0, 0
			for y := max(0, j-rad); y <= min(h-1, j+rad); y++ {
				for x := max(0, i-rad); x <= min(w-1, i+rad); x++ {
					sum += float64(a[y*w+x])
					n++
				}
			}
			if got := m.at(i, j); math.Abs(float64(got)-sum/float64(n)) > 1e-6 {
				t.Fatalf("mean at (%d, %d) is %g, want %g", i, j, got, sum/float64(n))
			}
			if i > 0 && i < w-1 {
				across[j*w+i] = (a[j*w+i-1] + 2*a[j*w+i] + a[j*w+i+1]) / 4
			}
		}
	}
	copy(down, across)
	for p := w; p < w*(h-1); p++ {
		down[p] = (across[p-w] + 2*across[p] + across[p+w]) / 4
	}
	if blur3(a, w, h); !slices.Equal(a, down) {
		t.Error("1 2 1 is otherwise")
	}
}
