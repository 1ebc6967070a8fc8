package lines

import (
	"math"
	"math/rand/v2"
	"testing"
)

// radon makes all sums over stripPx columns of n words.
func radon(a []uint64, n int) []uint64 {
	b := make([]uint64, len(a))
	for width := 1; width < stripPx; width *= 2 {
		radonStep(a, b, n, width)
		a, b = b, a
	}
	return a
}

// Every sum of the fast transform is the sum of one vote of each column along a path that
// starts and ends where it should and keeps within 1.5 pixels of the straight line
// (Brady 1998 bounds the deviation by log2(n)/6 pixels: 1.2 for 128 columns).
func TestRadonSumsRunAlongLines(t *testing.T) {
	const n = 300
	line := func(column, y int) []uint64 { // one vote of 1 in one column
		a := make([]uint64, stripPx*n)
		for i := range a {
			a[i] = zeroVotes
		}
		a[column*n+y] += 1
		return radon(a, n)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		column, y := rng.IntN(stripPx), 130+rng.IntN(40)
		sums := line(column, y)
		for s := range stripPx {
			hits := 0
			for start := range n - stripPx {
				v := int(sums[s*n+start]&0xffff) - unitVote*stripPx
				if v == 0 {
					continue
				}
				hits++
				at := float64(start) + float64(s)*float64(column)/(stripPx-1)
				if math.Abs(at-float64(y)) > 1.5 {
					t.Fatalf("slope %d: the line from %d is at %.1f in column %d, but counts the vote at %d", s, start, at, column, y)
				}
			}
			if y-s >= 0 && y < n-stripPx && hits != 1 {
				t.Fatalf("slope %d counts the vote at (%d, %d) in %d lines, want one", s, column, y, hits)
			}
		}
	}
}

// Four lanes don't leak into each other, whatever their votes.
func TestRadonLanesKeepApart(t *testing.T) {
	const n = 200
	rng := rand.New(rand.NewPCG(3, 4))
	a := make([]uint64, stripPx*n)
	var single [4][]uint64
	for l := range single {
		single[l] = make([]uint64, stripPx*n)
	}
	for i := range a {
		for l := range single {
			v := uint64(rng.IntN(2*unitVote + 1))
			if i%7 == 0 {
				v = 2 * unitVote // the greatest sums too
			}
			a[i] += v << (16 * l)
			single[l][i] = v
		}
	}
	sums := radon(a, n)
	for l := range single {
		alone := radon(single[l], n)
		for s := range stripPx {
			for y := range n - stripPx { // above that, nought votes stand in for what is beyond
				if got, want := sums[s*n+y]>>(16*l)&0xffff, alone[s*n+y]&0xffff; got != want {
					t.Fatalf("lane %d, slope %d, start %d: %d, alone %d", l, s, y, got, want)
				}
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

func TestLaneAbs(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	const nought = unitVote * stripPx
	for range 1000 {
		var w, want uint64
		for lane := range 4 {
			x := rng.IntN(2*nought + 1)
			w |= uint64(x) << (16 * lane)
			want |= uint64(abs(x-nought)) << (16 * lane)
		}
		if got := laneAbs(w, nought*laneOnes); got != want {
			t.Fatalf("laneAbs(%#x) is %#x, want %#x", w, got, want)
		}
	}
}
