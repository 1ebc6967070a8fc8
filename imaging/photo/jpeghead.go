package photo

import "bytes"

// JPEG markers (ITU-T T.81 table B.1).
const (
	markSOF0 = 0xc0
	markSOF1 = 0xc1
	markSOF2 = 0xc2
	markDHT  = 0xc4
	markRST0 = 0xd0
	markRST7 = 0xd7
	markSOI  = 0xd8
	markEOI  = 0xd9
	markSOS  = 0xda
	markDQT  = 0xdb
	markDRI  = 0xdd
	markAPP0 = 0xe0
	markAPP1 = 0xe1

	markAPP14 = 0xee
	markCOM   = 0xfe
)

const exifHead = "Exif\x00\x00"

// jpegHead is what a walk over a JPEG's segments tells before decoding.
type jpegHead struct {
	w, h        int
	progressive bool
	samples     int // samples per 64 luma samples: 64 grey, 96 for 4:2:0, 192 for 4:4:4; 0 unknown
	components  int
	rgb         bool // perhaps stored as RGB, which the decoder unpacks to 4 bytes a pixel
	scans       int
	exif        []byte // TIFF block of the first Exif segment; nil without one
	exifSeen    bool
}

// segment is one marker segment: data[start:end] with its marker and length bytes,
// payload behind them. SOI, EOI and RST have no payload.
type segment struct {
	marker     byte
	start, end int
	payload    []byte
}

// nextSegment finds the marker segment at or after i, passing over bytes that
// belong to none (a scan's data, fill bytes), as the standard decoder does.
// It returns ok = false at the end of the data or at a segment that is cut off.
func nextSegment(data []byte, i int) (s segment, ok bool) {
	for i < len(data) {
		k := bytes.IndexByte(data[i:], 0xff)
		if k < 0 {
			return s, false
		}
		i += k
		start := i
		for i < len(data) && data[i] == 0xff {
			i++
		}
		if i == len(data) {
			return s, false
		}
		m := data[i]
		i++
		switch {
		case m == 0: // a stuffed byte of a scan
			continue
		case m >= markRST0 && m <= markEOI, m == 0x01:
			return segment{marker: m, start: start, end: i}, true
		}
		if i+2 > len(data) {
			return s, false
		}
		n := int(data[i])<<8 | int(data[i+1])
		if n < 2 || i+n > len(data) {
			return s, false
		}
		return segment{marker: m, start: start, end: i + n, payload: data[i+2 : i+n]}, true
	}
	return s, false
}

// scanJPEG walks all segments. It never fails: what it could not find stays zero,
// and memory then reckons with the worst.
func scanJPEG(data []byte) jpegHead {
	var head jpegHead
	i := 2
	for {
		s, ok := nextSegment(data, i)
		if !ok || s.marker == markEOI {
			return head
		}
		i = s.end
		switch s.marker {
		case markSOF0, markSOF1, markSOF2:
			if head.w == 0 {
				head.frame(s)
			}
		case markSOS:
			head.scans++
		case markAPP14:
			if bytes.HasPrefix(s.payload, []byte("Adobe")) && len(s.payload) >= 12 && s.payload[11] == 0 {
				head.rgb = true
			}
		case markAPP1:
			if !head.exifSeen && head.scans == 0 && bytes.HasPrefix(s.payload, []byte(exifHead)) {
				head.exif, head.exifSeen = s.payload[len(exifHead):], true
			}
		}
	}
}

// frame reads a start-of-frame segment (ITU-T T.81 B.2.2).
func (head *jpegHead) frame(s segment) {
	p := s.payload
	if len(p) < 6 || len(p) < 6+3*int(p[5]) || p[5] == 0 {
		return
	}
	head.h, head.w = int(p[1])<<8|int(p[2]), int(p[3])<<8|int(p[4])
	head.progressive = s.marker == markSOF2
	head.components = int(p[5])
	if head.components == 1 {
		head.samples = 64
		return
	}
	luma, sum := 0, 0
	for c := range head.components {
		hv := p[7+3*c]
		n := int(hv>>4) * int(hv&15)
		if c == 0 {
			luma = n
		}
		sum += n
	}
	if p[6] == 'R' {
		head.rgb = true
	}
	if luma > 0 {
		head.samples = 64 * sum / luma
	}
}

// memory estimates the bytes that decoding takes at its peak: the decoder's samples,
// 4 bytes a coefficient when progressive, the packed picture that it makes of RGB
// and CMYK, and our upright copy.
func (head jpegHead) memory() int64 {
	w, h := int64(head.w+31)&^31, int64(head.h+31)&^31 // whole MCUs, at most 32 across
	samples, progressive, comps := int64(head.samples), head.progressive, head.components
	if samples == 0 || comps == 0 {
		samples, progressive, comps = 256, true, 4
	}
	n := w * h * samples / 64
	need := 2 * n
	if progressive {
		need += 4 * n
	}
	if comps == 4 || comps == 3 && head.rgb {
		need += w * h * 4
	}
	return need
}
