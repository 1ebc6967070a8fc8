// Package lines finds straight lines in a view of the sheet, faint ones by their length: it
// sums the contrast across every line of the view. In go a rectified view and what hides the
// sheet; out come segments on the sheet (mm), the strongest first. What a line is, an edge, a
// scratch or a shadow, is not its business. Start with [Find].
package lines

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"bucktail/imaging/cores"
	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/cover"
)

// Segment is a stretch of a line that may be an edge, on the sheet.
type Segment struct {
	A, B geom.SheetPoint
	Z    float64 // strength over chance, in standard deviations
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

// search is a search for lines in a view.
type search struct {
	view *rectified.View
	keep func(Segment) bool // tells which lines are wanted
}

// memory is the memory of one search, kept for the next.
type memory struct {
	root, rootT    []int16     // the view and the view turned over its diagonal, see rootLight
	upright, level radonMemory // one for each goroutine
}

// radonMemory is the memory of the line sums in one direction.
type radonMemory struct {
	contrast contrast
	votes    [2][]uint64
	row      []uint64
	found    [4][]radonPeak
	taken    []radonPeak
}

var memories = sync.Pool{New: func() any { return new(memory) }}

// Find gives the lines of v, apart from what c hides, that keep wants, the strongest first
// and without doubles.
func Find(v *rectified.View, c *cover.Cover, keep func(Segment) bool) []Segment {
	f := &search{v, keep}
	m := memories.Get().(*memory)
	defer memories.Put(m)
	m.root, m.rootT = grow(m.root, len(v.L)), grow(m.rootT, len(v.L))
	cores.Stretches(v.H, 1, func(j0, j1 int) { rootLight(m.root[j0*v.W:j1*v.W], v.L[j0*v.W:j1*v.W], v.Seen[j0*v.W:j1*v.W]) })
	c.Mask(m.root, maskedRoot)
	// Upright lines run along the view's columns, so its rows lie across them as they
	// are; for level lines the view is turned over its diagonal first.
	cores.Stretches(v.W, 1, func(i0, i1 int) { transpose(m.rootT, m.root, v.W, v.H, i0, i1) })
	var out, outLevel []Segment
	var wg sync.WaitGroup
	wg.Go(func() {
		m.upright.contrast.lay(m.root, v.H, v.W)
		out = f.transform(&m.upright, true)
	})
	m.level.contrast.lay(m.rootT, v.W, v.H)
	outLevel = f.transform(&m.level, false)
	wg.Wait()
	out = append(out, outLevel...)
	slices.SortStableFunc(out, func(a, b Segment) int { return cmp.Compare(b.Z, a.Z) })
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

// transpose turns the columns from c0 up to c1 of h rows of w over the diagonal.
func transpose(out, a []int16, w, h, c0, c1 int) {
	const k = 16 // blocks that fit the cache
	for j0 := 0; j0 < h; j0 += k {
		for i0 := c0; i0 < c1; i0 += k {
			for j := j0; j < min(j0+k, h); j++ {
				for i := i0; i < min(i0+k, c1); i++ {
					out[i*h+j] = a[j*w+i]
				}
			}
		}
	}
}

// covers tells whether o repeats or continues s.
func (s Segment) covers(o Segment) bool {
	return max(s.Distance(o.A), s.Distance(o.B)) < 0.25 && math.Abs(s.Direction().Dot(o.Direction())) > 0.9998
}

func (s Segment) Direction() geom.SheetPoint {
	d := s.B.Sub(s.A)
	return d.Scale(1 / d.Norm())
}

// Distance is that of p from the endless line.
func (s Segment) Distance(p geom.SheetPoint) float64 {
	d, q := s.Direction(), p.Sub(s.A)
	return math.Abs(d.X*q.Y - d.Y*q.X)
}

// transform adds the peaks of the votes' line sums to out.
func (f *search) transform(m *radonMemory, upright bool) (out []Segment) {
	const blockPx = 16 // columns whose sums the nearest cache holds
	c := &m.contrast
	n := c.across + stripPx
	m.votes[0], m.votes[1] = grow(m.votes[0], stripPx*n), grow(m.votes[1], stripPx*n)
	for c0 := 0; ; c0 += stripPx {
		if c0+stripPx > c.long {
			c0 = max(0, c.long-stripPx) // the last strip overlaps the one before it
		}
		votes, sums := m.votes[0], m.votes[1]
		for q := 0; q < stripPx; q += blockPx {
			a, b := votes[q*n:(q+blockPx)*n], sums[q*n:(q+blockPx)*n]
			c.pack(a, n, c0+q)
			radonSteps(a, b, n, 1)
			radonSteps(b, a, n, 4)
		}
		radonSteps(votes, sums, n, blockPx)
		for half := 0; half < stripPx && c0+half < c.long; half += stripPx / 2 {
			out = f.peaks(m, sums[half*n:(half+stripPx/2)*n], n, c.across, c0+half, upright, out)
		}
		radonStep(sums, votes, n, stripPx/2)
		out = f.peaks(m, votes, n, c.across, c0, upright, out)
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

// radonSteps is two of radonStep, from blocks of width columns to blocks of 4 width, in one
// pass over the memory.
func radonSteps(from, to []uint64, n, width int) {
	for c := 0; c+4*width <= len(from)/n; c += 4 * width {
		for t := range 2 * width { // what the line rises by in each half of the block
			s, up := t/2, t-t/2 // and in each quarter; up to the next quarter
			var q [4][]uint64
			for i := range q {
				q[i] = from[(c+i*width+s)*n:][:n]
			}
			d0, d1 := to[(c+2*t)*n:][:n], to[(c+2*t+1)*n:][:n]
			inside := max(0, n-up-t-1)
			if inside > 0 {
				sum0, sum1 := d0[:inside], d1[:inside]
				q0, q1, q2, q3 := q[0][:inside], q[1][up:][:inside], q[2][t+1:][:inside], q[3][t+up+1:][:inside]
				right := q[2][t] + q[3][t+up]
				for y := range sum0 {
					left := q0[y] + q1[y]
					sum0[y] = left + right
					right = q2[y] + q3[y]
					sum1[y] = left + right
				}
			}
			at := func(i, y int) uint64 {
				if y < n {
					return q[i][y]
				}
				return uint64(width) * zeroVotes // beyond the end all votes are nought
			}
			for y := inside; y < n; y++ {
				left := q[0][y] + at(1, y+up)
				d0[y] = left + at(2, y+t) + at(3, y+t+up)
				d1[y] = left + at(2, y+t+1) + at(3, y+t+up+1)
			}
		}
	}
}

func abs(x int) int { return max(x, -x) }

// grow gives a slice of n, in a's memory if that is enough. Its content is left over.
func grow[T any](a []T, n int) []T { return slices.Grow(a[:0], n)[:n] }
