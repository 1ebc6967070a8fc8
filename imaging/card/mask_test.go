package card

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"bucktail/imaging/raster"
)

// The dark pixels against the plain rule, pixel by pixel, and the same on any number of cores.
func TestMaskAgainstThePlainRule(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, c := range []struct{ w, h, r int }{{200, 90, 5}, {130, 61, 30}, {64, 40, 3}, {63, 200, 1}, {20, 20, 9}} {
		g := raster.NewGrey(c.w, c.h)
		for i := range g.Pix {
			g.Pix[i] = uint8(60 + rng.IntN(60))
		}
		var one, more mask
		win := window{c.r, darkPer256, darkOffset}
		runtime.GOMAXPROCS(1)
		one.fill(g, win)
		runtime.GOMAXPROCS(3)
		more.fill(g, win)
		if !slices.Equal(one.bits, more.bits) {
			t.Errorf("%v: other bits on three cores", c)
		}
		for y := range c.h {
			var cut []int32
			for x := range c.w {
				sum, n := 0, 0
				for v := max(0, y-c.r); v <= min(c.h-1, y+c.r); v++ {
					for u := max(0, x-c.r); u <= min(c.w-1, x+c.r); u++ {
						sum += int(g.Pix[v*c.w+u])
						n++
					}
				}
				got := one.row(y)[x/64]>>(x%64)&1 == 1
				level := float64(sum)/float64(n)*darkPer256/256 - darkOffset
				// The limit is rounded down to a whole level where the window is whole across;
				// which, its own rounding leaves open next to one.
				open := math.Abs(level-math.Round(level)) < 5e-4
				if x > c.r && x < c.w-c.r {
					level = math.Floor(level)
				}
				if d := float64(g.Pix[y*c.w+x]) - level; got != (d < 0) && !open {
					t.Fatalf("%v: (%d, %d) dark: %v, but it lies %.4f over the limit", c, x, y, got, d)
				}
				if x > 0 && got != (one.row(y)[(x-1)/64]>>((x-1)%64)&1 == 1) {
					cut = append(cut, int32(x))
				}
			}
			if cut = append(cut, int32(c.w)); !slices.Equal(one.cuts(nil, y), cut) {
				t.Fatalf("%v: row %d is cut at %v, want %v", c, y, one.cuts(nil, y), cut)
			}
		}
	}
}
