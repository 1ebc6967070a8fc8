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
	mask  mask
	cuts  []int32 // of the row in hand: where its runs end
	runs  [2][]run
	blobs []blob
}

// maxBlobs bounds the memory of one picture (about 90 bytes each). A sound photo of 3 Mpx has
// some ten thousand; beyond the bound a picture is noise.
const maxBlobs = 400_000

// segment thresholds g against the mean of a window of 2r+1 pixels and gathers the blobs.
// A pixel is dark below per256/256 of the mean less offset grey levels. It returns false,
// with no blobs, for a picture of more than maxBlobs.
func (s *segmenter) segment(g *raster.Grey, r int, per256, offset uint32) bool {
	s.blobs = s.blobs[:0]
	s.runs[0], s.runs[1] = s.runs[0][:0], s.runs[1][:0]
	s.mask.fill(g, window{min(r, (min(g.W, g.H)-1)/2), per256, offset})
	for y := range g.H {
		s.row(y, g.W, g.H)
		if len(s.blobs) > maxBlobs {
			s.blobs = s.blobs[:0]
			return false
		}
	}
	return true
}

// row cuts the mask into runs and joins them with those of the row above.
func (s *segmenter) row(y, w, h int) {
	prev, cur := s.runs[(y+1)&1], s.runs[y&1][:0]
	v := int32(s.mask.row(y)[0] & 1)
	s.cuts = s.mask.cuts(s.cuts[:0], y)
	pi, x0 := 0, int32(0)
	for _, x := range s.cuts {
		rn := run{x0, x, -1, v != 0}
		// Dark runs also touch over the corner.
		reach := v
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
		if y == 0 || y == h-1 || x0 == 0 || int(x) == w {
			b.border = true
		}
		cur = append(cur, rn)
		x0, v = x, 1-v
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
