package card

import (
	"math/bits"
	"runtime"
	"sync"

	"bucktail/imaging/raster"
)

// mask tells the dark pixels of a picture, a bit each: 64 of a row in each word, the first
// in its lowest bit. It keeps its memory between pictures.
type mask struct {
	w, h, words int // words of a row
	bits        []uint64
	cols        [][]uint32 // column sums, for each stretch of rows its own
}

// window is how the dark is told from the light: radius of the neighbourhood, pixels, and
// the per256/256 of its mean less offset below which a pixel is dark.
type window struct {
	r              int
	per256, offset uint32
}

// stretch is the least number of rows worth a core of its own, in radii: each stretch begins
// with adding up a whole window.
const stretch = 4

// fill thresholds g. A pixel's bit hangs on its own window alone, so the rows are shared out
// among the cores.
func (m *mask) fill(g *raster.Grey, win window) {
	m.w, m.h, m.words = g.W, g.H, (g.W+63)/64
	if n := m.words * m.h; cap(m.bits) < n {
		m.bits = make([]uint64, n)
	} else {
		m.bits = m.bits[:n]
	}
	parts := max(1, min(runtime.GOMAXPROCS(0), g.H/(stretch*(win.r+1))))
	for len(m.cols) < parts {
		m.cols = append(m.cols, nil)
	}
	for part := range parts {
		if cap(m.cols[part]) < g.W {
			m.cols[part] = make([]uint32, g.W)
		}
	}
	if parts == 1 {
		m.fillRows(g, win, m.cols[0][:g.W], 0, g.H)
		return
	}
	var wg sync.WaitGroup
	for part := range parts {
		wg.Go(func() {
			m.fillRows(g, win, m.cols[part][:g.W], part*g.H/parts, (part+1)*g.H/parts)
		})
	}
	wg.Wait()
}

// fillRows thresholds the rows from y0 up to y1; cols is for the sums of the window's columns.
func (m *mask) fillRows(g *raster.Grey, win window, cols []uint32, y0, y1 int) {
	clear(cols)
	none := make([]uint8, g.W)
	line := func(y int) []uint8 {
		if y < 0 || y >= g.H {
			return none
		}
		return g.Pix[y*g.W:][:g.W]
	}
	for y := max(0, y0-win.r-1); y < min(g.H, y0+win.r); y++ {
		moveWindow(cols, line(y), none)
	}
	for y := y0; y < y1; y++ {
		moveWindow(cols, line(y+win.r), line(y-win.r-1))
		rows := min(g.H, y+win.r+1) - max(0, y-win.r)
		win.threshold(m.row(y), line(y), cols, uint32(rows))
	}
}

// moveWindow adds the row in to the sums of the columns and takes the row out from them.
func moveWindow(cols []uint32, in, out []uint8) {
	in, out = in[:len(cols)], out[:len(cols)]
	for x := range cols {
		cols[x] += uint32(in[x]) - uint32(out[x])
	}
}

// threshold fills one row's bits from its pixels and the window's column sums over so many rows.
func (win window) threshold(bits []uint64, px []uint8, cols []uint32, rows uint32) {
	w, r := len(px), win.r
	clear(bits)
	var sum uint32
	for x := range r {
		sum += cols[x]
	}
	edge := func(a, b int) {
		for x := a; x < b; x++ {
			n := uint32(min(w-1, x+r)-max(0, x-r)+1) * rows
			if x+r < w {
				sum += cols[x+r]
			}
			if x-r-1 >= 0 {
				sum -= cols[x-r-1]
			}
			bits[x>>6] |= b2u((uint64(px[x])+uint64(win.offset))*256*uint64(n) < uint64(sum)*uint64(win.per256)) << (x & 63)
		}
	}
	lo, hi := r+1, w-r
	if lo >= hi {
		edge(0, w)
		return
	}
	edge(0, lo)
	// (px + offset) 256 n < sum per256, with the division done once a row, k = per256/(256 n), and
	// the right side rounded down.
	const top = 1 << 63
	k := uint64(win.per256) << 24 / uint64(uint32(2*r+1)*rows)
	offset := uint64(win.offset)
	for x := lo; x < hi; {
		n := min(hi-x, 64-x&63)
		p := px[x:][:n]
		in, out := cols[x+r:][:len(p)], cols[x-r-1:][:len(p)]
		// A pixel's difference is below zero, its highest bit set, where it is dark; each new
		// one pushes the earlier ones down.
		word := uint64(0)
		for i, v := range p {
			sum += in[i] - out[i]
			word = word>>1 | (uint64(v)+offset-uint64(sum)*k>>32)&top
		}
		bits[x>>6] |= word >> (64 - n) << (x & 63)
		x += n
	}
	edge(hi, w)
}

func b2u(b bool) uint64 {
	if b {
		return 1
	}
	return 0
}

// row gives the words of row y.
func (m *mask) row(y int) []uint64 { return m.bits[y*m.words:][:m.words] }

// cuts appends the places where runs of like pixels end in row y, the row's own end last.
func (m *mask) cuts(out []int32, y int) []int32 {
	row := m.row(y)
	before := row[0] & 1
	for i, v := range row {
		t := v ^ (v<<1 | before) // a bit for each pixel unlike the one before it
		before = v >> 63
		if i == len(row)-1 && m.w&63 != 0 {
			t &= 1<<(m.w&63) - 1
		}
		for ; t != 0; t &= t - 1 {
			out = append(out, int32(i<<6+bits.TrailingZeros64(t)))
		}
	}
	return append(out, int32(m.w))
}
