package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// StripLocation gives a copy of a JPEG or PNG file that may leave the house: without
// GPS, XMP, IPTC, maker notes, thumbnails, comments, and without anything behind the
// picture (second pictures, attached videos). The compressed pixels stay byte for
// byte as they were; so do the colour profile and what decoding needs. The
// orientation, camera, focal length and time are kept in a new, small EXIF block.
//
// An error is a *qc.Refusal: data is no JPEG or PNG, or is cut off.
func StripLocation(data []byte) ([]byte, error) {
	if err := checkBytes(data); err != nil {
		return nil, err
	}
	switch k := sniff(data); k {
	case kindJPEG:
		return stripJPEG(data)
	case kindPNG:
		return stripPNG(data)
	default:
		return nil, refuseKind(k)
	}
}

// stripJPEG keeps a list of known segments and drops all others, so that a maker's
// next invention cannot smuggle a place out.
func stripJPEG(data []byte) ([]byte, error) {
	head := scanJPEG(data)
	out := make([]byte, 0, len(data)+256)
	out = append(out, data[:2]...)
	pendingExif := exifSegment(head)
	i := 2
	for {
		s, ok := nextSegment(data, i)
		if !ok {
			return nil, refuse("photo-damaged", "the JPEG is cut off", redo)
		}
		if s.marker == markEOI {
			return append(out, data[s.start:s.end]...), nil
		}
		i = s.end
		if s.marker != markAPP0 && pendingExif != nil { // JFIF wants to be first, so EXIF comes second
			out, pendingExif = append(out, pendingExif...), nil
		}
		if !keepSegment(s) {
			continue
		}
		out = append(out, data[s.start:s.end]...)
		if s.marker == markSOS { // its entropy-coded data run up to the next real marker
			end := scanEnd(data, s.end)
			out = append(out, data[s.end:end]...)
			i = end
		}
	}
}

func keepSegment(s segment) bool {
	switch {
	case s.marker >= 0xc0 && s.marker <= 0xcf, // frames, Huffman and arithmetic tables
		s.marker >= markSOS && s.marker <= 0xdf: // scans, quantisation, number of lines, restart interval
		return true
	case s.marker == markAPP0:
		return bytes.HasPrefix(s.payload, []byte("JFIF\x00")) // JFXX holds a thumbnail
	case s.marker == 0xe2:
		return bytes.HasPrefix(s.payload, []byte("ICC_PROFILE\x00"))
	case s.marker == markAPP14:
		return bytes.HasPrefix(s.payload, []byte("Adobe")) // says how the colours are coded
	}
	return false
}

// scanEnd finds the marker that ends a scan's data: not a stuffed zero, not a restart.
func scanEnd(data []byte, i int) int {
	for i < len(data) {
		k := bytes.IndexByte(data[i:], 0xff)
		if k < 0 || i+k+1 >= len(data) {
			return len(data)
		}
		i += k
		if m := data[i+1]; m != 0 && m != 0xff && (m < markRST0 || m > markRST7) {
			return i
		}
		i++
	}
	return len(data)
}

// exifSegment makes the APP1 segment of the kept facts; nil when there are none.
func exifSegment(head jpegHead) []byte {
	if !head.exifSeen {
		return nil
	}
	clean, _ := cleanExif(head.exif)
	if clean == nil {
		return nil
	}
	seg := []byte{0xff, markAPP1}
	seg = binary.BigEndian.AppendUint16(seg, uint16(2+len(exifHead)+len(clean)))
	return append(append(seg, exifHead...), clean...)
}

// keptChunks are those that say how the pixels look. Text, time, EXIF and private
// chunks go.
var keptChunks = map[string]bool{
	"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true,
	"cHRM": true, "gAMA": true, "sRGB": true, "iCCP": true, "sBIT": true, "cICP": true, "mDCV": true, "cLLI": true,
	"bKGD": true, "pHYs": true,
}

func stripPNG(data []byte) ([]byte, error) {
	out := make([]byte, 0, len(data)+256)
	out = append(out, pngMagic...)
	for c := range pngChunks(data) {
		if keptChunks[c.name] {
			out = append(out, c.whole...)
		}
		if c.name == "IHDR" {
			out = append(out, exifChunk(data)...)
		}
		if c.name == "IEND" {
			return out, nil
		}
	}
	return nil, refuse("photo-damaged", "the PNG is cut off", redo)
}

// exifChunk makes the eXIf chunk of the kept facts; nil when there are none.
func exifChunk(data []byte) []byte {
	block, seen := exifOfPNG(data)
	if !seen {
		return nil
	}
	clean, _ := cleanExif(block)
	if clean == nil {
		return nil
	}
	c := binary.BigEndian.AppendUint32(nil, uint32(len(clean)))
	c = append(append(c, "eXIf"...), clean...)
	return binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
}
