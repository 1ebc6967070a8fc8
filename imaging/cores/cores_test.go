package cores

import (
	"runtime"
	"slices"
	"testing"
)

// However many cores there are and however little there is to do, every item is done once, and
// pieces are taken whole and in their order.
func TestEveryItemIsDoneOnce(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, cores := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(cores)
		for _, n := range []int{0, 1, 3, 4, 7, 100} {
			once := slices.Repeat([]int{1}, n)
			for _, least := range []int{1, 4} {
				done := make([]int, n)
				Stretches(n, least, func(i0, i1 int) {
					if i1-i0 < min(least, n) {
						t.Errorf("%d cores, %d items: a stretch of %d, want %d at least", cores, n, i1-i0, least)
					}
					for i := i0; i < i1; i++ {
						done[i]++
					}
				})
				if !slices.Equal(done, once) {
					t.Errorf("%d cores, %d items in stretches of %d: done %v", cores, n, least, done)
				}
			}
			done := make([]int, n)
			Each(n, cores, func(worker, i int) {
				if worker < 0 || worker >= cores {
					t.Errorf("worker %d of %d", worker, cores)
				}
				done[i]++
			})
			if !slices.Equal(done, once) {
				t.Errorf("%d cores, each of %d items: done %v", cores, n, done)
			}
			filled, sum, want := make([]int, n), 0, 0
			InTurn(n, func(i int) { filled[i] = i + 1 }, func(i int) { sum = 31*sum + filled[i] })
			for i := range n {
				want = 31*want + i + 1
			}
			if sum != want {
				t.Errorf("%d cores, %d pieces in turn: %d, want %d", cores, n, sum, want)
			}
		}
	}
}
