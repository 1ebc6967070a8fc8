package feature

import (
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"bucktail/imaging/geom"
)

// Edges are the same to the last bit on one core and on many, which look at them in any order.
func TestEdgesDontDependOnTheCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, name := range []string{"dev-08", "dev-16"} {
		ph, tr := loadEdgePhoto(t, name)
		group := make([]int, len(tr.Fasteners))
		for i := range group {
			group[i] = i
		}
		view, opt := edgeSearch(ph, tr, group)
		opt.Hints = []geom.SheetPoint{{X: view.X0 + 3, Y: view.Y0 + 3}}
		runtime.GOMAXPROCS(1)
		edges, unsure := FindEdges(ph.Picture, tr.cam(), view, opt)
		if len(edges) == 0 {
			t.Fatalf("%s: no edges", name)
		}
		for _, cores := range []int{2, 3, 7} {
			runtime.GOMAXPROCS(cores)
			e, d := FindEdges(ph.Picture, tr.cam(), view, opt)
			if !reflect.DeepEqual(e, edges) || !reflect.DeepEqual(d, unsure) {
				t.Errorf("%s: %d cores find %+v, one core %+v", name, cores, e, edges)
			}
		}
	}
}

// Two steps in one pass give what two passes give, what lies beyond the end too.
func TestRadonStepsAreTwoSteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	for _, width := range []int{1, 4, 16} {
		for _, n := range []int{5, 40, 131} {
			a := make([]uint64, 8*width*n)
			for i := range a {
				for lane := range 4 {
					a[i] |= uint64(rng.IntN(2*unitVote*width+1)) << (16 * lane)
				}
			}
			got, half, want := make([]uint64, len(a)), make([]uint64, len(a)), make([]uint64, len(a))
			radonSteps(a, got, n, width)
			if 2*width > n {
				continue // the single step needs lines within the end
			}
			radonStep(a, half, n, width)
			radonStep(half, want, n, 2*width)
			for i := range want {
				if got[i] != want[i] {
					t.Fatalf("width %d, %d long: sum %d of line %d is %#x, want %#x", width, n, i%n, i/n, got[i], want[i])
				}
			}
		}
	}
}

// Votes are those of the rule, pixel by pixel: clipped, and less beside what is greater.
func TestVotesFollowTheRule(t *testing.T) {
	const long, across = 40, 75
	rng := rand.New(rand.NewPCG(17, 18))
	light := make([]int16, long*across)
	for i := range light {
		light[i] = int16(rng.IntN(rootUnit + 1))
		if rng.IntN(60) == 0 {
			light[i] = maskedRoot
		}
	}
	var c contrast
	c.lay(light, long, across)
	at := func(k, j, i int) int64 { // what the contrast is made of
		w := func(d int) int64 { return int64(light[j*across+i+d]) }
		if i < voteReach || i >= across-voteReach {
			return 0
		}
		for d := -voteReach; d <= voteReach; d++ {
			if w(d) < 0 {
				return 0
			}
		}
		if k == 0 {
			return w(1) + w(2) - w(-1) - w(-2)
		}
		return w(-1) + 2*w(0) + w(1) - w(-4) - w(-3) - w(3) - w(4)
	}
	size := func(k, j, i int) int64 { return max(at(k, j, i), -at(k, j, i)) }
	const n = across + 9
	out := make([]uint64, long*n)
	c.pack(out, n, 0)
	flanks, tops := 0, 0
	for j := range long {
		for i := range n {
			var want [4]int64
			for lane := range want {
				k, x := lane%2, i
				if lane >= 2 {
					x = across - 1 - i
				}
				want[lane] = unitVote
				if i >= across || at(k, j, x) == 0 {
					continue
				}
				v := at(k, j, x) * c.scale[k][j/voteBlock*c.blocks+x/voteBlock]
				v = min(max(v, -unitVote<<voteBits), unitVote<<voteBits)
				if max(size(k, j, x-2), size(k, j, x-1), size(k, j, x+1), size(k, j, x+2)) > size(k, j, x) {
					v = v * 358 >> 10
					flanks++
				} else {
					tops++
				}
				want[lane] += (v + 1<<(voteBits-1)) >> voteBits
			}
			for lane, v := range want {
				if got := int64(out[j*n+i] >> (16 * lane) & 0xffff); got != v {
					t.Fatalf("lane %d of (%d, %d): %d, want %d", lane, i, j, got, v)
				}
			}
		}
	}
	if flanks < 500 || tops < 200 {
		t.Errorf("%d flanks and %d tops: the test is lopsided", flanks, tops)
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
