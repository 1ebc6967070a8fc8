package photo

import (
	"bytes"
	"encoding/binary"
	"math"
	"sync"
)

// jpegIndex knows where each block group (MCU) of a baseline JPEG begins, so that a part of the
// picture can be cut out as a small JPEG for the standard decoder. Finding the beginnings takes
// a walk over the Huffman codes, a sixth of the time of decoding. Names as in ITU-T T.81.
type jpegIndex struct {
	w, h   int // as stored, px
	keep   []segment
	frame  segment
	parts  []scanPart
	mw, mh int // an MCU's size, px
	across int // MCUs
	down   int
	every  int // MCUs between restarts, 0: none
	dc, ac [2]*huffman

	bits []byte // the scan's data without stuffed bytes and restart markers, and zeros behind
	n    uint32 // bits of it without those zeros

	mu       sync.Mutex
	mcus     []mcuAt  // as far as they were walked over
	next     mcuAt    // behind them
	restarts []uint32 // that are still to come: their places in bits, bytes
	broken   bool     // codes were met that make no sense
}

// scanPart is one component in the scan: blocks in an MCU, and its tables.
type scanPart struct{ blocks, dc, ac int }

// mcuAt is where an MCU begins, and the prediction there.
type mcuAt struct {
	bit uint32
	dc  [3]int16
}

// mostBlockBytes is more than one block's codes can take, 64 of 16 + 15 bits, and a look ahead.
const mostBlockBytes = 272

func (x *jpegIndex) bytes() int { return len(x.bits) + 12*x.across*x.down }

// indexJPEG reads a JPEG of the kind that cameras write: baseline, one scan. It gives nil for
// any other and for a damaged one; those are for the standard decoder.
func indexJPEG(data []byte) *jpegIndex {
	x := &jpegIndex{}
	for i := 2; ; {
		s, ok := nextSegment(data, i)
		if !ok {
			return nil
		}
		i = s.end
		switch {
		case s.marker == markSOF0 && x.w == 0:
			ok = x.readFrame(s)
		case s.marker == markDHT:
			ok = x.readTables(s.payload)
			x.keep = append(x.keep, s)
		case s.marker == markDQT || s.marker == markAPP0 || s.marker == markAPP14:
			x.keep = append(x.keep, s)
		case s.marker == markDRI:
			if ok = len(s.payload) == 2; ok {
				x.every = int(binary.BigEndian.Uint16(s.payload))
			}
		case s.marker == markSOS:
			if x.w == 0 || !x.readScan(s) || !x.unstuff(data[s.end:]) {
				return nil
			}
			return x
		default: // APPn and comments say nothing of the pixels
			ok = s.marker > markAPP0 && s.marker <= markAPP0+15 || s.marker == markCOM
		}
		if !ok {
			return nil
		}
	}
}

// readFrame takes one component, or three of them of which the first is the finest.
func (x *jpegIndex) readFrame(s segment) bool {
	p := s.payload
	if len(p) < 9 || p[0] != 8 || p[5] != 1 && p[5] != 3 || len(p) != 6+3*int(p[5]) {
		return false
	}
	x.frame, x.h, x.w = s, int(p[1])<<8|int(p[2]), int(p[3])<<8|int(p[4])
	across, down := int(p[7]>>4), int(p[7]&15)
	if p[5] == 1 {
		across, down = 1, 1 // one component is not interleaved: T.81 A.2.2
	}
	for c := range int(p[5]) {
		h, v := int(p[7+3*c]>>4), int(p[7+3*c]&15)
		if p[5] == 1 {
			h, v = 1, 1
		}
		if h < 1 || v < 1 || h > across || v > down {
			return false
		}
		x.parts = append(x.parts, scanPart{blocks: h * v})
	}
	x.mw, x.mh = 8*across, 8*down
	if x.w == 0 || x.h == 0 || across > 4 || down > 4 {
		return false
	}
	x.across, x.down = (x.w+x.mw-1)/x.mw, (x.h+x.mh-1)/x.mh
	return true
}

func (x *jpegIndex) readTables(p []byte) bool {
	for len(p) > 0 {
		if len(p) < 17 {
			return false
		}
		n := 0
		for _, c := range p[1:17] {
			n += int(c)
		}
		class, id := p[0]>>4, p[0]&15
		if class > 1 || id > 1 || n > 256 || len(p) < 17+n {
			return false
		}
		t := newHuffman([16]byte(p[1:17]), p[17:17+n], class == 1)
		if t == nil {
			return false
		}
		if class == 0 {
			x.dc[id] = t
		} else {
			x.ac[id] = t
		}
		p = p[17+n:]
	}
	return true
}

// readScan takes a scan of all components in the frame's order.
func (x *jpegIndex) readScan(s segment) bool {
	p, n := s.payload, len(x.parts)
	if len(p) != 4+2*n || int(p[0]) != n {
		return false
	}
	for c := range n {
		dc, ac := p[2+2*c]>>4, p[2+2*c]&15
		if p[1+2*c] != x.frame.payload[6+3*c] || dc > 1 || ac > 1 || x.dc[dc] == nil || x.ac[ac] == nil {
			return false
		}
		x.parts[c].dc, x.parts[c].ac = int(dc), int(ac)
	}
	return true
}

// walk goes over the scan's codes from MCU to MCU, as far as the given rows of them, and gives
// the MCUs; false where it can't. A picture at the top of a photo needs no more.
func (x *jpegIndex) walk(rows int) ([]mcuAt, bool) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.mcus == nil {
		x.mcus = make([]mcuAt, 0, x.across*x.down)
	}
	for len(x.mcus) < rows*x.across {
		if x.broken = x.broken || !x.step(); x.broken {
			return nil, false
		}
	}
	return x.mcus, true
}

// step goes over one MCU.
func (x *jpegIndex) step() bool {
	at, i := x.next, len(x.mcus)
	if x.every > 0 && i > 0 && i%x.every == 0 {
		if len(x.restarts) == 0 || x.restarts[0] != (at.bit+7)/8 {
			return false
		}
		at, x.restarts = mcuAt{bit: 8 * x.restarts[0]}, x.restarts[1:]
	}
	x.mcus = append(x.mcus, at)
	for c, p := range x.parts {
		for range p.blocks {
			diff, ac, ok := x.dc[p.dc].diff(x.bits, at.bit)
			if !ok {
				return false
			}
			v := int(at.dc[c]) + diff
			if v != int(int16(v)) {
				return false
			}
			at.dc[c] = int16(v)
			if at.bit, ok = x.ac[p.ac].skip(x.bits, ac); !ok || at.bit > x.n {
				return false
			}
		}
	}
	x.next = at
	return true
}

// unstuff takes the scan's data up to the end of the picture.
func (x *jpegIndex) unstuff(scan []byte) bool {
	x.bits = make([]byte, 0, len(scan)+mostBlockBytes)
	for {
		k := bytes.IndexByte(scan, 0xff)
		if k < 0 || k+1 == len(scan) {
			return false
		}
		x.bits = append(x.bits, scan[:k]...)
		m := scan[k+1]
		scan = scan[k+2:]
		switch {
		case m == 0:
			x.bits = append(x.bits, 0xff)
		case m >= markRST0 && m <= markRST7:
			if byte(len(x.restarts)%8) != m-markRST0 {
				return false
			}
			x.restarts = append(x.restarts, uint32(len(x.bits)))
		case m == markEOI && len(x.bits) < math.MaxUint32/8-mostBlockBytes:
			x.n = uint32(8 * len(x.bits))
			x.bits = append(x.bits, make([]byte, mostBlockBytes)...)
			return true
		default:
			return false
		}
	}
}
