package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"math/bits"
)

// cut decodes the MCUs that cover r, which must be inside the picture, and says where the first
// of them begins.
func (x *jpegIndex) cut(data []byte, r image.Rectangle) (p *planes, from image.Point, err error) {
	small, from, ok := x.cutOut(data, r)
	if !ok {
		return nil, from, errNoCut
	}
	m, err := jpeg.Decode(bytes.NewReader(small))
	if err != nil {
		return nil, from, err
	}
	p, err = planesOfJPEG(m)
	return p, from, err
}

var errNoCut = errors.New("the codes make no sense")

// cutOut makes the MCUs a JPEG of their own: the codes of the AC coefficients are taken over bit
// by bit, only those of the DC coefficients are written anew, because they tell the difference
// to the block before. Each row of MCUs is a restart interval.
func (x *jpegIndex) cutOut(data []byte, r image.Rectangle) (small []byte, from image.Point, ok bool) {
	first := image.Pt(r.Min.X/x.mw, r.Min.Y/x.mh)
	last := image.Pt((r.Max.X-1)/x.mw, (r.Max.Y-1)/x.mh)
	from = image.Pt(first.X*x.mw, first.Y*x.mh)
	across := last.X - first.X + 1
	mcus, ok := x.walk(last.Y + 1)
	if !ok {
		return nil, from, false
	}

	out := append(make([]byte, 0, len(data)/8), 0xff, markSOI)
	for _, s := range x.keep {
		out = append(out, data[s.start:s.end]...)
	}
	out = append(out, dcTable...)
	at := len(out) + 5 // of the height, behind marker, length and precision
	out = append(out, data[x.frame.start:x.frame.end]...)
	// The marker may have fill bytes in front of it.
	at += x.frame.end - x.frame.start - len(x.frame.payload) - 4
	binary.BigEndian.PutUint16(out[at:], uint16(min(x.h-from.Y, (last.Y-first.Y+1)*x.mh)))
	binary.BigEndian.PutUint16(out[at+2:], uint16(min(x.w-from.X, across*x.mw)))
	out = append(out, 0xff, markDRI, 0, 4, byte(across>>8), byte(across))
	out = append(out, 0xff, markSOS, 0, byte(6+2*len(x.parts)), byte(len(x.parts)))
	for c, part := range x.parts {
		out = append(out, x.frame.payload[6+3*c], byte(part.ac)) // DC table 0
	}
	out = append(out, 0, 63, 0)

	w := bitWriter{out: out}
	for y := first.Y; y <= last.Y; y++ {
		if y > first.Y {
			w.flush()
			w.out = append(w.out, 0xff, markRST0+byte((y-first.Y-1)%8))
		}
		x.row(&w, mcus[y*x.across+first.X:][:across])
	}
	w.flush()
	return append(w.out, 0xff, markEOI), from, true
}

// row writes MCUs of one row.
func (x *jpegIndex) row(w *bitWriter, mcus []mcuAt) {
	var pred [3]int
	for _, at := range mcus {
		for c, p := range x.parts {
			for range p.blocks {
				diff, ac, _ := x.dc[p.dc].diff(x.bits, at.bit)
				at.dc[c] += int16(diff)
				at.bit, _ = x.ac[p.ac].skip(x.bits, ac)
				w.dc(int(at.dc[c]) - pred[c])
				pred[c] = int(at.dc[c])
				w.copy(x.bits, ac, at.bit)
			}
		}
	}
}

// dcTable is a segment with the codes that bitWriter.dc writes: the sizes 0 to 16, five bits
// each.
var dcTable = []byte{0xff, markDHT, 0, 2 + 17 + 17, 0x00,
	0, 0, 0, 0, 17, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
	0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16}

// bitWriter writes a scan's data, with a zero stuffed behind each 0xff.
type bitWriter struct {
	out  []byte
	held uint64 // the last n bits, n < 8 between calls
	n    uint
}

// put writes the low n bits of v, 32 at most.
func (w *bitWriter) put(v uint64, n uint) {
	w.held = w.held<<n | v&(1<<n-1)
	w.n += n
	for w.n >= 8 {
		w.n -= 8
		b := byte(w.held >> w.n)
		if w.out = append(w.out, b); b == 0xff {
			w.out = append(w.out, 0)
		}
	}
}

// flush fills the last byte with ones (T.81 F.1.2.3).
func (w *bitWriter) flush() {
	if w.n > 0 {
		w.put(0xff, 8-w.n)
	}
}

// dc writes a difference: its size, then as many bits (T.81 F.1.2.1).
func (w *bitWriter) dc(diff int) {
	v := diff
	if diff < 0 {
		diff, v = -diff, v-1
	}
	size := uint(bits.Len(uint(diff)))
	w.put(uint64(size)<<size|uint64(v)&(1<<size-1), 5+size)
}

func (w *bitWriter) copy(from []byte, bit, end uint32) {
	for bit < end {
		n := min(32, end-bit)
		w.put(peek(from, bit)>>(64-n), uint(n))
		bit += n
	}
}
