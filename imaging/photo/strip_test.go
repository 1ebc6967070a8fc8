package photo

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"os"
	"strings"
	"testing"
)

// stripped makes the copy and holds that its pixels and facts are those of the original.
func stripped(t testing.TB, name string, data []byte) []byte {
	t.Helper()
	out, err := StripLocation(data)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	a, err := Decode(data)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	b, err := Decode(out)
	if err != nil {
		t.Fatalf("%s: the copy: %v", name, err)
	}
	samePicture(t, name, a, b)
	return out
}

func samePicture(t testing.TB, name string, a, b *Photo) {
	t.Helper()
	if a.Width != b.Width || a.Height != b.Height || a.Orientation != b.Orientation || !bytes.Equal(a.Picture.Y.Pix, b.Picture.Y.Pix) {
		t.Errorf("%s: the copy shows another picture", name)
	}
	if (a.Picture.Cb == nil) != (b.Picture.Cb == nil) ||
		a.Picture.Cb != nil && (!bytes.Equal(a.Picture.Cb.Pix, b.Picture.Cb.Pix) || !bytes.Equal(a.Picture.Cr.Pix, b.Picture.Cr.Pix)) {
		t.Errorf("%s: the copy has other colours", name)
	}
	if a.FocalMM != b.FocalMM || a.Focal35MM != b.Focal35MM || a.DigitalZoom != b.DigitalZoom || a.Taken != b.Taken || a.Camera != b.Camera {
		t.Errorf("%s: the copy lost what is needed: %+v", name, b)
	}
}

func app(marker byte, payload string) []byte {
	b := []byte{0xff, marker}
	b = binary.BigEndian.AppendUint16(b, uint16(len(payload)+2))
	return append(b, payload...)
}

// A JPEG stuffed with places in every way known: none of them is left, all else is.
func TestStripJPEG(t *testing.T) {
	gps := block([]exifEntry{
		{tagOrientation, 3, 1, u16(6)}, text(0x0110, "phone"),
		{0x8825, 4, 1, u32(26)}, text(0x9286, "SECRET user comment"), {0x927c, 7, 12, []byte("SECRET maker")},
	}, []exifEntry{{0xa404, 5, 1, u32(2, 1)}, {0xa405, 3, 1, u16(26)}, text(0x9003, "2026:11:25 13:02:03"), {0x927c, 7, 12, []byte("SECRET maker")}})
	plain := file(t, "variants/video-001.q50.420.jpeg")
	s, _ := nextSegment(plain, 2)
	if s.marker != markAPP0 {
		t.Fatal("the picture does not begin with JFIF")
	}
	parts := [][]byte{
		plain[:s.end],
		app(markAPP1, exifHead+string(gps)),
		app(markAPP1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>SECRET</x:xmpmeta>"),
		app(0xed, "Photoshop 3.0\x008BIM SECRET city"),
		app(0xfe, "SECRET comment"),
		app(0xe2, "MPF\x00SECRET"),
		app(0xe2, "ICC_PROFILE\x00\x01\x01KEEP profile"),
		app(0xeb, "JP SECRET provenance"),
		plain[s.end:],
		[]byte("SECRET second picture"), plain,
	}
	data := bytes.Join(parts, nil)
	out := stripped(t, "stuffed", data)
	if bytes.Contains(out, []byte("SECRET")) {
		t.Errorf("something is left: %q", out[max(0, bytes.Index(out, []byte("SECRET"))-20):])
	}
	if !bytes.Contains(out, []byte("KEEP profile")) || !bytes.HasPrefix(out[2:], plain[2:s.end]) {
		t.Error("profile or JFIF head is gone")
	}
	p, err := Decode(out)
	if err != nil || p.Orientation != 6 || p.Focal35MM != 26 || p.Camera != "phone" || p.Taken != "2026-11-25T13:02:03" {
		t.Errorf("%v %+v", err, p)
	}
	if again := stripped(t, "twice", out); !bytes.Equal(again, out) {
		t.Error("stripping twice changes something")
	}
}

func TestStripPNG(t *testing.T) {
	ch := func(name, payload string) []byte {
		b := binary.BigEndian.AppendUint32(nil, uint32(len(payload)))
		b = append(append(b, name...), payload...)
		return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
	}
	plain := file(t, "exif/corners_8.png")
	head := len(pngMagic) + 25
	data := bytes.Join([][]byte{
		plain[:head], ch("tEXt", "Comment\x00SECRET"), ch("iTXt", "XML:com.adobe.xmp\x00\x00\x00\x00\x00SECRET"), ch("prVt", "SECRET"),
		ch("gAMA", "\x00\x00\xb1\x8f"), plain[head:], []byte("SECRET tail"),
	}, nil)
	out := stripped(t, "stuffed", data)
	if bytes.Contains(out, []byte("SECRET")) || !bytes.Contains(out, []byte("gAMA")) {
		t.Errorf("%q", out)
	}
	if p, err := Decode(out); err != nil || p.Orientation != 8 {
		t.Errorf("%v %+v", err, p)
	}
}

func TestStripKeepsEveryReadablePicture(t *testing.T) {
	for _, name := range []string{
		"variants/video-001.cmyk.jpeg", "variants/video-001.rgb.jpeg", "variants/video-001.q50.410.progressive.jpeg",
		"variants/video-001.separate.dc.progression.progressive.jpeg", "variants/video-005.gray.q50.2x2.jpeg",
		"variants/video-001.cmyk.png", "nasty/pil_jpeg_ff00_header.jpg", "nasty/pil_pil_sample_cmyk.jpg",
		"nasty/pngsuite_tbbn2c16.png", "nasty/irs_basi0g16.png", "nasty/pil_ignore_frame_size.mpo", "nasty/pil_xmp_tags_orientation.png",
		"exif/corners_5.jpg", "exif/corners_7.png",
	} {
		out := stripped(t, name, file(t, name))
		for _, word := range []string{"photoshop", "Photoshop", "xmpmeta", "MPF\x00"} {
			if strings.Contains(string(out), word) {
				t.Errorf("%s: %q is left", name, word)
			}
		}
	}
}

func TestStripRefusesWhatItCannotRead(t *testing.T) {
	for name, code := range map[string]string{
		"nasty/made_cut_half.jpg": "photo-damaged", "nasty/pil_truncated_end_chunk.png": "photo-damaged",
		"nasty/irs_Bad_width.bmp": "photo-bmp", "nasty/made_empty.jpg": "photo-empty",
	} {
		_, err := StripLocation(file(t, name))
		checkRefusal(t, name, err, code)
	}
}

// Entries name the copies by their sums, for good: another form of the copy would make all of them
// look like other pictures. Where it has to change, entries need another member for it.
func TestStripFormIsForGood(t *testing.T) {
	data, err := os.ReadFile("../../testdata/photos/dev-08.jpg")
	if err != nil {
		t.Fatal(err)
	}
	const want = "38e8bfed902d510b696261c5c18da2f527cc108d025207a68f0a4a28b43de107"
	if got := fmt.Sprintf("%x", sha256.Sum256(stripped(t, "dev-08", data))); got != want {
		t.Errorf("the copy has the sum %s, not %s", got, want)
	}
}
