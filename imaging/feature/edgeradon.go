package feature

import (
	"cmp"
	"math"
	"slices"

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
	v := f.view
	masked := f.mask()
	// The root evens the noise out: shot noise grows with the root of the light.
	root := make([]float32, len(v.L))
	for i, l := range v.L {
		root[i] = float32(math.Sqrt(float64(l)))
	}
	var out []seed
	// Upright lines run along the view's columns, so its rows lie across them as they
	// are; for level lines the view is turned over its diagonal first.
	out = f.transform(newContrast(root, masked, v.H, v.W), true, out)
	root, masked = transpose(root, v.W, v.H), transpose(masked, v.W, v.H)
	out = f.transform(newContrast(root, masked, v.W, v.H), false, out)
	slices.SortFunc(out, func(a, b seed) int { return cmp.Compare(b.z, a.z) })
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
func transpose[T any](a []T, w, h int) []T {
	out := make([]T, len(a))
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
	return out
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

// mask marks what can't be sheet edge: unseen, on the card, on a fastener.
func (f *edgeFinder) mask() []bool {
	v := f.view
	m := make([]bool, v.W*v.H)
	for i, s := range v.Seen {
		m[i] = !s
	}
	const k = 8 // the card is asked for per block: half a block's diagonal goes to the margin
	margin := 0.3 + 0.71*k/2*v.StepMM
	for j := 0; j < v.H; j += k {
		for i := 0; i < v.W; i += k {
			if !f.opt.OnCard(v.Sheet(float64(i)+k/2, float64(j)+k/2), margin) {
				continue
			}
			for y := j; y < min(j+k, v.H); y++ {
				row := m[y*v.W+i : y*v.W+min(i+k, v.W)]
				for x := range row {
					row[x] = true
				}
			}
		}
	}
	for _, r := range f.opt.Fasteners {
		reach := r.RadiusMM*1.1 + 0.2
		ci, cj := v.Pixel(r.Centre)
		n := reach / v.StepMM
		for j := max(0, int(cj-n)); j <= min(v.H-1, int(cj+n)); j++ {
			for i := max(0, int(ci-n)); i <= min(v.W-1, int(ci+n)); i++ {
				if math.Hypot(float64(i)-ci, float64(j)-cj) <= n {
					m[j*v.W+i] = true
				}
			}
		}
	}
	return m
}

// transform adds the peaks of the votes' line sums to out.
func (f *edgeFinder) transform(c *contrast, upright bool, out []seed) []seed {
	n := c.across + stripPx
	a, b := make([]uint64, stripPx*n), make([]uint64, stripPx*n)
	for c0 := 0; ; c0 += stripPx {
		if c0+stripPx > c.long {
			c0 = max(0, c.long-stripPx) // the last strip overlaps the one before it
		}
		c.pack(a, n, c0)
		sums := a
		next := b
		for width := 1; width < stripPx; width *= 2 {
			radonStep(sums, next, n, width)
			sums, next = next, sums
			if width < stripPx/4 {
				continue
			}
			// sums now hold blocks of 2 width columns: halves first, then the whole
			for block := 0; block < stripPx && c0+block < c.long; block += 2 * width {
				for lane := range 4 {
					out = f.peaks(sums[block*n:(block+2*width)*n], n, c.across, c0+block, lane, upright, out)
				}
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

type radonPeak struct {
	s, y int
	z    float64
}

// peaks adds the strongest lines of one block of columns from c0 on and one lane that pass
// a fastener within reach.
func (f *edgeFinder) peaks(sums []uint64, n, across, c0, lane int, upright bool, out []seed) []seed {
	var found []radonPeak
	columns := len(sums) / n
	shift := 16 * lane
	row := make([]int16, across)
	for s := range columns {
		total := 0
		for y, w := range sums[s*n : s*n+across] {
			x := int16(int(w>>shift&0xffff) - unitVote*columns)
			x = max(x, -x)
			row[y] = x
			total += int(x)
		}
		// 1.25 times the mean of |x| is sigma for Gaussian noise; texture along this slope
		// raises it. At least what independent votes of the usual size would give.
		sigma := max(1.25*float64(total)/float64(across), 0.3*unitVote*math.Sqrt(float64(columns)))
		limit := int16(min(seedZ*sigma, 32767))
		for y := 1; y < across-1; y++ {
			if x := row[y]; x >= limit && x >= row[y-1] && x >= row[y+1] {
				found = append(found, radonPeak{s, y, float64(x) / sigma})
			}
		}
	}
	slices.SortFunc(found, func(p, q radonPeak) int { return cmp.Compare(q.z, p.z) })
	start := len(out)
	var taken []radonPeak
next:
	for _, p := range found {
		for _, t := range taken {
			// The same line if both ends are near, or both cross in its middle.
			if abs(p.y-t.y) <= 4 && abs(p.y+p.s-t.y-t.s) <= 4 || abs(2*p.y+p.s-2*t.y-t.s) <= 4 && abs(p.s-t.s) <= 24 {
				continue next
			}
		}
		at := func(c, y int) geom.SheetPoint {
			if lane >= 2 {
				y = across - 1 - y
			}
			if upright {
				return f.view.Sheet(float64(y), float64(c0+c))
			}
			return f.view.Sheet(float64(c0+c), float64(y))
		}
		taken = append(taken, p)
		sd := seed{a: at(0, p.y), b: at(columns-1, p.y+p.s), z: p.z}
		if !f.reachable(sd) {
			continue
		}
		out = append(out, sd)
		if len(out)-start == perStrip {
			break
		}
	}
	return out
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
