package feature

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

// A robust line goes through the majority, whatever the rest does.
func TestLineThroughKeepsToTheMajority(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		n0, slope := 0.2*rng.NormFloat64(), 0.002*rng.NormFloat64()
		slope = min(max(slope, -0.006), 0.006)
		var p []fix
		for i := range 24 {
			s := float64(3 * i)
			n := n0 + slope*s + 0.008*rng.NormFloat64()
			if i%3 == 1 {
				n += 0.13 // the other flank of a rim
			}
			p = append(p, fix{s, n, 0.01})
		}
		l := lineThrough(p, 0.03)
		for _, s := range []float64{0, 35, 70} {
			if d := l.n + l.slope*s - n0 - slope*s; math.Abs(d) > 0.02 {
				t.Fatalf("at s = %v the line is %.3f mm off; slope %.4f for %.4f", s, d, l.slope, slope)
			}
		}
		if l.agree < 0.5 || l.agree > 0.9 {
			t.Fatalf("two in three agree, the line says %.2f", l.agree)
		}
	}
}
