// Package lines finds straight lines in a view of the sheet, faint ones by their length: it
// sums the contrast across every line of the view. In go a rectified view and what hides the
// sheet; out come segments on the sheet (mm), the strongest first. What a line is, an edge, a
// scratch or a shadow, is not its business. Start with [Find].
package lines

import (
	"cmp"
	"slices"
	"sync"

	"bucktail/imaging/cores"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/cover"
)

// memory is the memory of one search, kept for the next.
type memory struct {
	root, rootT    []int16     // the view and the view turned over its diagonal, see rootLight
	upright, level radonMemory // one for each goroutine
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
