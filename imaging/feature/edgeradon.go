package feature

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"bucktail/imaging/geom"
)

// seed is a candidate line: a stretch of it in sheet mm, found in the view.
type seed struct {
	a, b   geom.SheetPoint
	z      float64 // strength over chance
	tapped bool
}

// All sums of a signed contrast along straight stretches of stripPx columns, and of half
// as many, are made by the approximate discrete Radon transform: sums over 2n columns from
// two of n, every slope and offset, n log n work. At 0.1 mm a pixel 128 columns are
// 12.8 mm; a short edge shows in a half.
// Four sums go in one word: step and ridge, rising and falling lines.
//
// Source: M. L. Brady, SIAM J. Comput. 27 (1998) 107-119; W. A. Goetz and H. J. Druckmueller,
// Pattern Recognition 29 (1996) 711-718 (both from memory).
const (
	stripPx  = 128
	unitVote = 100 // one clipped vote, kept as 0 to 200: 128 of them fit 16 bits
	seedZ    = 3.5 // chance gives a few of these a photo, the full picture sorts them
	perStrip = 12  // best seeds kept of a strip, slope sign and kind of contrast
	maxSeeds = 50
)

// seeds gives candidate lines, the strongest first, without doubles.
func (f *edgeFinder) seeds() []seed {
	v, m := f.view, f.mem
	m.root = grow(m.root, len(v.L))
	rootLight(m.root, v.L)
	f.maskView()
	// Upright lines run along the view's columns, so its rows lie across them as they
	// are; for level lines the view is turned over its diagonal first.
	var out, outLevel []seed
	var wg sync.WaitGroup
	wg.Go(func() {
		m.upright.contrast.lay(m.root, m.masked, v.H, v.W)
		out = f.transform(&m.upright, true)
	})
	m.rootT, m.maskedT = grow(m.rootT, len(v.L)), grow(m.maskedT, len(v.L))
	transpose(m.rootT, m.root, v.W, v.H)
	transpose(m.maskedT, m.masked, v.W, v.H)
	m.level.contrast.lay(m.rootT, m.maskedT, v.W, v.H)
	outLevel = f.transform(&m.level, false)
	wg.Wait()
	out = append(out, outLevel...)
	slices.SortStableFunc(out, func(a, b seed) int { return cmp.Compare(b.z, a.z) })
	kept := out[:0]
next:
	for _, s := range out {
		for _, k := range kept {
			if k.covers(s) {
				continue next
			}
		}
		kept = append(kept, s)
		if len(kept) == maxSeeds {
			break
		}
	}
	return kept
}

// transpose turns h rows of w over the diagonal.
func transpose[T any](out, a []T, w, h int) {
	const k = 16 // blocks that fit the cache
	for j0 := 0; j0 < h; j0 += k {
		for i0 := 0; i0 < w; i0 += k {
			for j := j0; j < min(j0+k, h); j++ {
				for i := i0; i < min(i0+k, w); i++ {
					out[i*h+j] = a[j*w+i]
				}
			}
		}
	}
}

// covers tells whether o repeats or continues s.
func (s seed) covers(o seed) bool {
	return max(s.distance(o.a), s.distance(o.b)) < 0.25 && math.Abs(s.direction().Dot(o.direction())) > 0.9998
}

func (s seed) direction() geom.SheetPoint {
	d := s.b.Sub(s.a)
	return d.Scale(1 / d.Norm())
}

// distance is that of p from the endless line.
func (s seed) distance(p geom.SheetPoint) float64 {
	d, q := s.direction(), p.Sub(s.a)
	return math.Abs(d.X*q.Y - d.Y*q.X)
}

// transform adds the peaks of the votes' line sums to out.
func (f *edgeFinder) transform(m *radonMemory, upright bool) (out []seed) {
	c := &m.contrast
	n := c.across + stripPx
	m.votes[0], m.votes[1] = grow(m.votes[0], stripPx*n), grow(m.votes[1], stripPx*n)
	for c0 := 0; ; c0 += stripPx {
		if c0+stripPx > c.long {
			c0 = max(0, c.long-stripPx) // the last strip overlaps the one before it
		}
		sums, next := m.votes[0], m.votes[1]
		c.pack(sums, n, c0)
		for width := 1; width < stripPx; width *= 2 {
			radonStep(sums, next, n, width)
			sums, next = next, sums
			if width < stripPx/4 {
				continue
			}
			// sums now hold blocks of 2 width columns: halves first, then the whole
			for block := 0; block < stripPx && c0+block < c.long; block += 2 * width {
				out = f.peaks(m, sums[block*n:(block+2*width)*n], n, c.across, c0+block, upright, out)
			}
		}
		if c0+stripPx >= c.long {
			return out
		}
	}
}

// radonStep makes the sums over blocks of 2 width columns from those over width columns.
// Of a block from column c on, from[(c+s)*n + y] is the sum along the line that starts at y
// in the first column and rises by s pixels to the last.
func radonStep(from, to []uint64, n, width int) {
	for c := 0; c+2*width <= len(from)/n; c += 2 * width {
		for s := range width {
			left := from[(c+s)*n : (c+s+1)*n]
			right := from[(c+width+s)*n : (c+width+s+1)*n]
			for odd := range 2 {
				d := to[(c+2*s+odd)*n : (c+2*s+odd+1)*n]
				r := right[s+odd:]
				lo, sum := left[:len(r)], d[:len(r)]
				for y := range sum {
					sum[y] = lo[y] + r[y]
				}
				// beyond the end all votes are nought
				for y := len(r); y < n; y++ {
					d[y] = left[y] + uint64(width)*zeroVotes
				}
			}
		}
	}
}

func abs(x int) int { return max(x, -x) }

// reachable tells whether some fastener could have its edge distance to the line, and none
// stands on it.
func (f *edgeFinder) reachable(s seed) bool {
	ok := len(f.opt.Fasteners) == 0
	mid := s.a.Add(s.b).Scale(0.5)
	for _, r := range f.opt.Fasteners {
		d := s.distance(r.Centre)
		if d < 0.55*r.RadiusMM && mid.Sub(r.Centre).Norm() < 20 {
			return false
		}
		ok = ok || d > 0.9*r.RadiusMM && d < reachD*f.opt.NominalDMM+0.5
	}
	return ok
}
