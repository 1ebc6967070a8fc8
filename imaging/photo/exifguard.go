package photo

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// The entries that are kept, all of them without any place or person in them.
// Source of the numbers: CIPA DC-008 (Exif 2.32), tables 3 to 8.
const (
	tagOrientation        = 0x0112
	tagExifIFD            = 0x8769
	tagOffsetTimeOriginal = 0x9011
)

var (
	keepMain = []uint16{
		0x010f, 0x0110, // Make, Model
		tagOrientation,
		0x0132, // DateTime
	}
	keepExif = []uint16{
		0x829a, 0x829d, 0x8827, // ExposureTime, FNumber, PhotographicSensitivity
		0x9003, tagOffsetTimeOriginal, // DateTimeOriginal
		0x920a,         // FocalLength
		0xa002, 0xa003, // PixelXDimension, PixelYDimension
		0xa20e, 0xa20f, 0xa210, // FocalPlaneXResolution, ...YResolution, ...ResolutionUnit
		0xa404, 0xa405, // DigitalZoomRatio, FocalLengthIn35mmFilm
		0xa434, // LensModel
	}
)

const (
	maxExifBlock   = 1 << 16 // a JPEG segment holds no more; a PNG chunk is held to the same
	maxExifEntries = 512     // in one directory
	maxExifValue   = 256     // bytes of one kept value
)

// exifTypeSize is the bytes of one value by type, 1 to 12 (TIFF 6.0 p. 15).
var exifTypeSize = [13]uint64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8}

type exifEntry struct {
	tag, typ uint16
	count    uint32
	value    []byte // exactly count values
}

// cleanExif walks the first directory of a TIFF block and the Exif directory that it
// points to, and writes a new block of the kept entries: every offset inside, every
// size counted in 64 bits, nothing longer than maxExifValue. GPS, maker notes,
// thumbnails and all else stay behind, unread. clean is nil when nothing is left;
// damage says what was wrong, "" if nothing.
func cleanExif(block []byte) (clean []byte, damage string) {
	var order byteOrder
	switch {
	case len(block) < 14:
		return nil, "too short"
	case len(block) > maxExifBlock:
		block, damage = block[:maxExifBlock], "too long"
	}
	switch string(block[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return nil, "no TIFF header"
	}
	w := exifWalk{block: block, order: order, damage: damage}
	main, sub := w.directory(order.Uint32(block[4:]), keepMain)
	var inner []exifEntry
	if sub != 0 {
		inner, _ = w.directory(sub, keepExif)
	}
	if len(main) == 0 && len(inner) == 0 {
		return nil, w.damage
	}
	return writeExif(order, main, inner), w.damage
}

// byteOrder reads and writes; both orders of encoding/binary do.
type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

type exifWalk struct {
	block  []byte
	order  byteOrder
	damage string // the first damage met
}

func (w *exifWalk) hurt(format string, args ...any) {
	if w.damage == "" {
		w.damage = fmt.Sprintf(format, args...)
	}
}

// directory reads the wanted entries of the directory at offset, each tag once, and
// the offset of the Exif directory if it has one.
func (w *exifWalk) directory(offset uint32, want []uint16) (kept []exifEntry, sub uint32) {
	size := uint64(len(w.block))
	at := uint64(offset)
	if at < 8 || at+2 > size {
		w.hurt("a directory lies at %d, outside its %d bytes", offset, size)
		return nil, 0
	}
	n := uint64(w.order.Uint16(w.block[at:]))
	if n > maxExifEntries {
		w.hurt("a directory of %d entries", n)
		n = maxExifEntries
	}
	at += 2
	for ; n > 0; n, at = n-1, at+12 {
		if at+12 > size {
			w.hurt("a directory is cut off")
			return kept, sub
		}
		e := exifEntry{
			tag:   w.order.Uint16(w.block[at:]),
			typ:   w.order.Uint16(w.block[at+2:]),
			count: w.order.Uint32(w.block[at+4:]),
		}
		if e.tag == tagExifIFD {
			if e.typ == 4 && e.count == 1 && sub == 0 {
				sub = w.order.Uint32(w.block[at+8:])
			}
			continue
		}
		if !slices.Contains(want, e.tag) || e.count == 0 || slices.ContainsFunc(kept, func(k exifEntry) bool { return k.tag == e.tag }) {
			continue
		}
		if e.typ < 1 || int(e.typ) >= len(exifTypeSize) {
			w.hurt("entry 0x%04x has the unknown type %d", e.tag, e.typ)
			continue
		}
		bytes := exifTypeSize[e.typ] * uint64(e.count)
		from := at + 8
		if bytes > 4 {
			from = uint64(w.order.Uint32(w.block[at+8:]))
		}
		if bytes > size || from+bytes > size {
			w.hurt("entry 0x%04x reaches outside", e.tag)
			continue
		}
		if bytes > maxExifValue {
			w.hurt("entry 0x%04x has %d bytes", e.tag, bytes)
			continue
		}
		e.value = w.block[from : from+bytes]
		kept = append(kept, e)
	}
	return kept, sub
}

// writeExif writes a TIFF block of two directories; inner goes behind the Exif pointer.
func writeExif(order byteOrder, main, inner []exifEntry) []byte {
	mark := "II*\x00"
	if order == byteOrder(binary.BigEndian) {
		mark = "MM\x00*"
	}
	b := []byte(mark)
	u16 := func(v uint16) { b = order.AppendUint16(b, v) }
	u32 := func(v uint32) { b = order.AppendUint32(b, v) }
	u32(8)
	if len(inner) > 0 { // the pointer's value is filled in when its place is known
		main = append(slices.Clip(main), exifEntry{tag: tagExifIFD, typ: 4, count: 1, value: make([]byte, 4)})
	}
	pointerAt := 0
	for i, dir := range [][]exifEntry{main, inner} {
		if i == 1 {
			if len(dir) == 0 {
				break
			}
			order.PutUint32(b[pointerAt:], uint32(len(b)))
		}
		slices.SortStableFunc(dir, func(a, b exifEntry) int { return int(a.tag) - int(b.tag) }) // TIFF wants them in order
		u16(uint16(len(dir)))
		heap := len(b) + 12*len(dir) + 4
		var values []byte
		for _, e := range dir {
			u16(e.tag)
			u16(e.typ)
			u32(e.count)
			if e.tag == tagExifIFD {
				pointerAt = len(b)
			}
			if len(e.value) <= 4 {
				b = append(append(b, e.value...), make([]byte, 4-len(e.value))...)
				continue
			}
			u32(uint32(heap + len(values)))
			values = append(values, e.value...)
			if len(values)%2 == 1 { // values begin at even places
				values = append(values, 0)
			}
		}
		u32(0) // no further directory
		b = append(b, values...)
	}
	return b
}
