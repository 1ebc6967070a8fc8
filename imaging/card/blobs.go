package card

import "bucktail/imaging/raster"

// A blob is a connected patch of pixels darker (or not darker) than their neighbourhood:
// dark ones connect over corners too, light ones over sides only, so that each closed dark
// line parts what is inside it from what is outside.
type blob struct {
	root  int32 // itself, or a blob made before that it was joined to
	above int32 // the blob round it, if it is enclosed: the one over its first pixel; -1 at the top
	dark  bool
	// Touches the picture's border, so that it may go on outside.
	border   bool
	largest  int32   // the largest blob that it encloses, -1 for none
	largestN float64 // and that one's pixels, filled
	// Sums over the pixels and, after fill, over everything enclosed.
	n, sx, sy, sxx, sxy, syy float64
}

// run is a stretch of one row of like pixels, [x0, x1).
type run struct {
	x0, x1 int32
	blob   int32
	dark   bool
}

// segmenter parts a grey picture into blobs; it keeps its memory between pictures.
type segmenter struct {
	col   []uint32 // column sums of the window
	mask  []uint8  // one row: 1 where dark
	runs  [2][]run
	blobs []blob
}

// maxBlobs bounds the memory of one picture (about 90 bytes each). A sound photo of 3 Mpx has
// some ten thousand; beyond the bound a picture is noise.
const maxBlobs = 400_000

// segment thresholds g against the mean of a window of 2r+1 pixels and gathers the blobs.
// A pixel is dark below share/256 of the mean less offset grey levels. It returns false,
// with no blobs, for a picture of more than maxBlobs.
func (s *segmenter) segment(g *raster.Grey, r int, share, offset uint32) bool {
	w, h := g.W, g.H
	if cap(s.col) < w {
		s.col, s.mask = make([]uint32, w), make([]uint8, w)
	}
	s.col, s.mask = s.col[:w], s.mask[:w]
	clear(s.col)
	s.blobs = s.blobs[:0]
	s.runs[0], s.runs[1] = s.runs[0][:0], s.runs[1][:0]
	r = min(r, (min(w, h)-1)/2)
	add := func(y int) {
		row := g.Pix[y*w:][:w]
		col := s.col[:len(row)]
		for x, v := range row {
			col[x] += uint32(v)
		}
	}
	for y := 0; y < min(r, h); y++ {
		add(y)
	}
	rows := uint32(min(r, h))
	for y := 0; y < h; y++ {
		switch {
		case y+r < h && y-r-1 >= 0:
			in := g.Pix[(y+r)*w:][:w]
			out := g.Pix[(y-r-1)*w:][:w]
			col := s.col[:w]
			for x, v := range in {
				col[x] += uint32(v) - uint32(out[x])
			}
		case y+r < h:
			add(y + r)
			rows++
		case y-r-1 >= 0:
			out := g.Pix[(y-r-1)*w:][:w]
			col := s.col[:w]
			for x, v := range out {
				col[x] -= uint32(v)
			}
			rows--
		}
		s.threshold(g.Pix[y*w:][:w], r, rows, share, offset)
		s.row(y, w, h)
		if len(s.blobs) > maxBlobs {
			s.blobs = s.blobs[:0]
			return false
		}
	}
	return true
}

// threshold fills the row's mask.
func (s *segmenter) threshold(row []uint8, r int, rows, share, offset uint32) {
	w := len(row)
	col, mask := s.col[:w], s.mask[:w]
	var sum uint32
	for x := 0; x < r; x++ {
		sum += col[x]
	}
	edge := func(a, b int) {
		for x := a; x < b; x++ {
			n := uint32(min(w-1, x+r)-max(0, x-r)+1) * rows
			if x+r < w {
				sum += col[x+r]
			}
			if x-r-1 >= 0 {
				sum -= col[x-r-1]
			}
			mask[x] = b2u((uint64(row[x])+uint64(offset))*256*uint64(n) < uint64(sum)*uint64(share))
		}
	}
	lo, hi := r+1, w-r
	if lo >= hi {
		edge(0, w)
		return
	}
	edge(0, lo)
	n := uint32(2*r+1) * rows
	// (row + offset) 256 n < sum share, with the division done once a row: k = share/(256 n).
	k := uint64(share) << 24 / uint64(n)
	in, out, m, px := col[lo+r:], col[lo-r-1:], mask[lo:hi], row[lo:hi]
	in, out, px = in[:len(m)], out[:len(m)], px[:len(m)]
	for i := range m {
		sum += in[i] - out[i]
		m[i] = b2u(uint64(px[i])+uint64(offset) < uint64(sum)*k>>32)
	}
	edge(hi, w)
}

func b2u(b bool) uint8 {
	if b {
		return 1
	}
	return 0
}

// row cuts the mask into runs and joins them with those of the row above.
func (s *segmenter) row(y, w, h int) {
	prev, cur := s.runs[(y+1)&1], s.runs[y&1][:0]
	mask := s.mask[:w]
	pi := 0
	for x := 0; x < w; {
		x0 := x
		v := mask[x]
		for x < w && mask[x] == v {
			x++
		}
		rn := run{int32(x0), int32(x), -1, v != 0}
		// Dark runs also touch over the corner.
		reach := int32(v)
		for pi < len(prev) && prev[pi].x1+reach <= rn.x0 {
			pi++
		}
		for k := pi; k < len(prev) && prev[k].x0 < rn.x1+reach; k++ {
			if prev[k].dark != rn.dark || prev[k].x1+reach <= rn.x0 {
				continue
			}
			b := s.find(prev[k].blob)
			if rn.blob < 0 {
				rn.blob = b
			} else if b != rn.blob {
				rn.blob = s.join(rn.blob, b)
			}
		}
		if rn.blob < 0 {
			above := int32(-1)
			for k := max(pi-1, 0); k < len(prev); k++ {
				if prev[k].x0 <= rn.x0 && rn.x0 < prev[k].x1 {
					above = prev[k].blob
					break
				}
			}
			rn.blob = int32(len(s.blobs))
			s.blobs = append(s.blobs, blob{
				root: rn.blob, above: above, dark: rn.dark,
				largest: -1,
			})
		}
		b := &s.blobs[rn.blob]
		n, a, z := float64(x-x0), float64(x0), float64(x-1)
		sx := (a + z) * n / 2
		b.n += n
		b.sx += sx
		// Σ x² over the run from its mean and spread: n m² + n (n²-1)/12.
		b.sxx += sx*sx/n + n*(n*n-1)/12
		fy := float64(y)
		b.sy += fy * n
		b.syy += fy * fy * n
		b.sxy += fy * sx
		if y == 0 || y == h-1 || x0 == 0 || x == w {
			b.border = true
		}
		cur = append(cur, rn)
	}
	s.runs[y&1] = cur
}

func (s *segmenter) find(i int32) int32 {
	for s.blobs[i].root != i {
		s.blobs[i].root = s.blobs[s.blobs[i].root].root
		i = s.blobs[i].root
	}
	return i
}

// join makes one blob of two; the older stays the root, as its first pixel is the topmost.
func (s *segmenter) join(i, k int32) int32 {
	i, k = s.find(i), s.find(k)
	if i == k {
		return i
	}
	if k < i {
		i, k = k, i
	}
	a, b := &s.blobs[i], &s.blobs[k]
	b.root = i
	a.n += b.n
	a.sx, a.sy = a.sx+b.sx, a.sy+b.sy
	a.sxx, a.sxy, a.syy = a.sxx+b.sxx, a.sxy+b.sxy, a.syy+b.syy
	a.border = a.border || b.border
	return i
}

// fill adds to each blob what it encloses. Enclosed blobs are younger than the one round
// them, so one pass from the youngest suffices.
func (s *segmenter) fill() {
	for i := len(s.blobs) - 1; i >= 0; i-- {
		b := &s.blobs[i]
		if b.root != int32(i) || b.above < 0 || b.border {
			continue
		}
		p := &s.blobs[s.find(b.above)]
		p.n += b.n
		p.sx, p.sy = p.sx+b.sx, p.sy+b.sy
		p.sxx, p.sxy, p.syy = p.sxx+b.sxx, p.sxy+b.sxy, p.syy+b.syy
		if b.n > p.largestN {
			p.largest, p.largestN = int32(i), b.n
		}
	}
}
