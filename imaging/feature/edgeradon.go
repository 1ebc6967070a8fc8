package feature

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
)

// seed is a candidate line: a stretch of it in sheet mm, found in the view.
type seed struct {
	a, b   geom.SheetPoint
	z      float64 // strength over chance
	ridge  bool
	tapped bool
}

// All sums of a signed contrast along straight stretches of stripPx columns are made by
// the approximate discrete Radon transform: sums over 2n columns from two of n, every
// slope and offset, n log n work. At 0.1 mm a pixel 128 columns are 12.8 mm.
//
// Source: M. L. Brady, SIAM J. Comput. 27 (1998) 107-119; W. A. Goetz and H. J. Druckmueller,
// Pattern Recognition 29 (1996) 711-718 (both from memory).
const (
	stripPx  = 128
	unitVote = 100 // one clipped vote; 128 of them fit an int16
	seedZ    = 3.5 // chance gives a few of these a photo, the strip test on the full picture sorts them
	perStrip = 12  // best seeds kept of a strip, slope sign and contrast
)

// seeds gives candidate lines, the strongest first, without doubles.
func (f *edgeFinder) seeds() []seed {
	v := f.view
	masked := f.mask()
	// sqrt evens the noise out: shot noise grows with the root of the light.
	root := make([]float32, len(v.L))
	for i, l := range v.L {
		root[i] = float32(math.Sqrt(float64(l)))
	}
	var out []seed
	votes := make([]int16, v.W*v.H)
	for _, upright := range []bool{false, true} {
		for _, ridge := range []bool{false, true} {
			vote(v, root, masked, upright, ridge, votes)
			out = f.transform(votes, upright, ridge, out)
		}
	}
	slices.SortFunc(out, func(a, b seed) int {
		switch {
		case a.z > b.z:
			return -1
		case a.z < b.z:
			return 1
		}
		return 0
	})
	kept := out[:0]
next:
	for _, s := range out {
		for _, k := range kept {
			if k.covers(s) {
				continue next
			}
		}
		kept = append(kept, s)
		if len(kept) == 80 {
			break
		}
	}
	for _, h := range f.opt.Hints {
		// The tapped edge: any seed that passes near it counts as tapped.
		for i := range kept {
			if kept[i].distance(h) < 1 {
				kept[i].tapped = true
			}
		}
	}
	return kept
}

// covers tells whether o continues or repeats s.
func (s seed) covers(o seed) bool {
	return max(s.distance(o.a), s.distance(o.b)) < 0.3 && math.Abs(s.direction().Dot(o.direction())) > 0.9998
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

// vote fills out with the signed contrast across rows (upright: across columns), divided
// by its local size and clipped, so that texture and one bright speck count little.
func vote(v *View, l []float32, masked []bool, upright, ridge bool, out []int16) {
	w, h := v.W, v.H
	step := w // to the next sample across the line
	if upright {
		step = 1
	}
	raw := make([]float32, w*h)
	const reach = 4
	for j := range h {
		for i := range w {
			p := j*w + i
			c := j
			n := h
			if upright {
				c, n = i, w
			}
			if c < reach || c >= n-reach || masked[p] || masked[p-reach*step] || masked[p+reach*step] || masked[p-2*step] || masked[p+2*step] {
				continue
			}
			if ridge {
				raw[p] = (l[p-step]+2*l[p]+l[p+step])/4 - (l[p-4*step]+l[p-3*step]+l[p+3*step]+l[p+4*step])/4
			} else {
				raw[p] = (l[p+step] + l[p+2*step] - l[p-step] - l[p-2*step]) / 2
			}
		}
	}
	// Local size: the mean of |raw| in blocks, then the median of 3 × 3 blocks, which a
	// line through some of them doesn't raise.
	const k = 16
	bw, bh := (w+k-1)/k, (h+k-1)/k
	mean := make([]float32, bw*bh)
	for bj := range bh {
		for bi := range bw {
			var s float32
			n := 0
			for j := bj * k; j < min(bj*k+k, h); j++ {
				for i := bi * k; i < min(bi*k+k, w); i++ {
					if r := raw[j*w+i]; r != 0 {
						s += max(r, -r)
						n++
					}
				}
			}
			if n > k*k/4 {
				mean[bj*bw+bi] = s / float32(n)
			}
		}
	}
	var near [9]float32
	for bj := range bh {
		for bi := range bw {
			n := 0
			for y := max(bj-1, 0); y <= min(bj+1, bh-1); y++ {
				for x := max(bi-1, 0); x <= min(bi+1, bw-1); x++ {
					if m := mean[y*bw+x]; m > 0 {
						near[n] = m
						n++
					}
				}
			}
			size := float32(0.002)
			if n > 0 {
				slices.Sort(near[:n])
				size = max(size, near[n/3])
			}
			// Twice the mean |raw| is about 1.6 sigma of Gaussian noise.
			scale := unitVote / (2 * size)
			for j := bj * k; j < min(bj*k+k, h); j++ {
				for i := bi * k; i < min(bi*k+k, w); i++ {
					p := j*w + i
					x := min(max(raw[p]*scale, -unitVote), unitVote)
					if x != 0 && !crest(raw, p, step) {
						x *= 0.35 // the flank of a line: keeps its place sharp
					}
					out[p] = int16(x)
				}
			}
		}
	}
}

// crest tells whether |raw| is greatest at p among its neighbours across the line.
func crest(raw []float32, p, step int) bool {
	m := max(raw[p], -raw[p])
	for _, q := range [4]int{p - step, p + step, p - 2*step, p + 2*step} {
		if x := raw[q]; max(x, -x) > m {
			return false
		}
	}
	return true
}

// transform adds the peaks of the votes' line sums to out.
func (f *edgeFinder) transform(votes []int16, upright, ridge bool, out []seed) []seed {
	v := f.view
	long, across := v.W, v.H
	if upright {
		long, across = v.H, v.W
	}
	pad := stripPx
	n := across + pad
	a, b := make([]int16, stripPx*n), make([]int16, stripPx*n)
	for c0 := 0; ; c0 += stripPx {
		if c0+stripPx > long {
			c0 = max(0, long-stripPx) // the last strip overlaps the one before it
		}
		for _, down := range []bool{false, true} {
			for c := range stripPx {
				col := a[c*n : (c+1)*n]
				for k := range col {
					col[k] = 0
				}
				if c0+c >= long {
					continue
				}
				for y := range across {
					var p int
					if upright {
						p = y + (c0+c)*v.W
					} else {
						p = y*v.W + c0 + c
					}
					if down {
						col[across-1-y] = votes[p]
					} else {
						col[y] = votes[p]
					}
				}
			}
			sums := radon(a, b, n)
			out = f.peaks(sums, n, across, c0, upright, down, ridge, out)
		}
		if c0+stripPx >= long {
			return out
		}
	}
}

// radon turns stripPx columns of n votes into the sums along all lines that rise by s
// pixels from the first to the last column: sums[s*n + y] for the line that starts at y.
// It uses both buffers and returns one of them.
func radon(a, b []int16, n int) []int16 {
	for width := 1; width < stripPx; width *= 2 {
		for c := 0; c < stripPx; c += 2 * width {
			for s := range width {
				left := a[(c+s)*n : (c+s+1)*n]
				right := a[(c+width+s)*n : (c+width+s+1)*n]
				for odd := range 2 {
					to := b[(c+2*s+odd)*n : (c+2*s+odd+1)*n]
					shift := s + odd
					r := right[shift:]
					lo := left[:len(r)]
					d := to[:len(r)]
					for y := range d {
						d[y] = lo[y] + r[y]
					}
					copy(to[len(r):], left[len(r):])
				}
			}
		}
		a, b = b, a
	}
	return a
}

type radonPeak struct {
	s, y int
	z    float64
}

// peaks adds the strongest lines of one strip that pass a fastener within reach.
func (f *edgeFinder) peaks(sums []int16, n, across, c0 int, upright, down, ridge bool, out []seed) []seed {
	var found []radonPeak
	for s := range stripPx {
		row := sums[s*n : (s+1)*n]
		total := 0
		for y := 0; y < across; y++ {
			total += int(max(row[y], -row[y]))
		}
		// 1.25 times the mean of |x| is sigma for Gaussian noise; texture along this slope
		// raises it. At least what independent votes of the usual size would give.
		sigma := max(1.25*float64(total)/float64(across), 0.3*unitVote*math.Sqrt(stripPx))
		limit := int16(min(seedZ*sigma, 32767))
		for y := 1; y < across-1; y++ {
			x := max(row[y], -row[y])
			if x < limit || x < max(row[y-1], -row[y-1]) || x < max(row[y+1], -row[y+1]) {
				continue
			}
			found = append(found, radonPeak{s, y, float64(x) / sigma})
		}
	}
	slices.SortFunc(found, func(p, q radonPeak) int {
		switch {
		case p.z > q.z:
			return -1
		case p.z < q.z:
			return 1
		}
		return 0
	})
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
			if down {
				y = across - 1 - y
			}
			if upright {
				return f.view.Sheet(float64(y), float64(c0+c))
			}
			return f.view.Sheet(float64(c0+c), float64(y))
		}
		sd := seed{a: at(0, p.y), b: at(stripPx-1, p.y+p.s), z: p.z, ridge: ridge}
		taken = append(taken, p)
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
