package fit

import (
	"math/rand"
	"slices"
	"testing"
)

func TestMiddleAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for n := 1; n < 200; n++ {
		v := make([]float32, n)
		for i := range v {
			v[i] = float32(rng.Intn(1 + n/4)) // with ties
		}
		s := slices.Clone(v)
		slices.Sort(s)
		if got := UpperMedian(v); got != s[n/2] {
			t.Fatalf("upper median of %v: %g, want %g", s, got, s[n/2])
		}
	}
}
