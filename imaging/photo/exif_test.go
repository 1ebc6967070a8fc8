package photo

import (
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
)

// Values by exiftool 12.57 from the whole files (testdata/README.md names them).
func TestCameraFactsOfPhones(t *testing.T) {
	for _, c := range []struct {
		name        string
		orientation int
		focal, f35  float64
		camera      string
		taken       string
		x, y        int
	}{
		{"exif/iphone5.exif", 3, 4.13, 33, "Apple iPhone 5", "2012-09-29T16:11:25", 3264, 2448},
		{"exif/samsung_j327.exif", 6, 2.47, 30, "samsung SM-J327T1", "2019-09-26T16:38:00", 2576, 1932},
	} {
		f := readExif(file(t, c.name), true)
		if f.damaged != "" {
			t.Errorf("%s: damaged: %s", c.name, f.damaged)
		}
		if f.orientation != c.orientation || math.Abs(f.focalMM-c.focal) > 0.005 || f.focal35MM != c.f35 ||
			f.camera != c.camera || f.taken != c.taken || f.pixelX != c.x || f.pixelY != c.y {
			t.Errorf("%s: %+v, want %+v", c.name, f, c)
		}
	}
}

// The published check values: testdata/exif/focal35.json gives source and basis.
func TestFocalLengthGoesByTheDiagonal(t *testing.T) {
	var want struct {
		F35MM     float64 `json:"f35_mm"`
		ImagePx   []int   `json:"image_px"`
		FPxByDiag float64 `json:"f_px_diagonal"`
	}
	if err := json.Unmarshal(file(t, "exif/focal35.json"), &want); err != nil {
		t.Fatal(err)
	}
	for _, turned := range []bool{false, true} {
		w, h := want.ImagePx[0], want.ImagePx[1]
		if turned {
			w, h = h, w
		}
		p := Photo{Width: w, Height: h, Focal35MM: want.F35MM, FocalMM: 5.4}
		if got := p.FocalPx(); math.Abs(got-want.FPxByDiag) > 0.001 {
			t.Errorf("%d × %d: %.3f px, want %.3f", w, h, got, want.FPxByDiag)
		}
	}
	if got := (&Photo{Width: 4000, Height: 3000, FocalMM: 5.4}).FocalPx(); got != 0 {
		t.Errorf("focal length alone gives %g px, want unknown", got)
	}
}

// block writes an EXIF block with the package's own writer; u16, u32, ratio and text make
// values in big-endian order.
func block(main, inner []exifEntry) []byte { return writeExif(big, main, inner) }

func u16(v ...uint16) (b []byte) {
	for _, x := range v {
		b = big.AppendUint16(b, x)
	}
	return b
}

func u32(v ...uint32) (b []byte) {
	for _, x := range v {
		b = big.AppendUint32(b, x)
	}
	return b
}

func text(tag uint16, s string) exifEntry {
	return exifEntry{tag, 2, uint32(len(s)), []byte(s)}
}

func TestFocalLengthByTheSensorsResolution(t *testing.T) {
	inner := func(unit uint16) []exifEntry {
		return []exifEntry{
			{0x920a, 5, 1, u32(54, 10)},           // 5.4 mm
			{0xa20e, 5, 1, u32(16_256_000, 1000)}, // 16256 px per unit
			{0xa210, 3, 1, u16(unit)},
			{0xa002, 4, 1, u32(4000)},
			{0xa003, 4, 1, u32(3000)},
		}
	}
	for _, c := range []struct {
		unit    uint16
		w, h    int
		focalPx float64
	}{
		{2, 4000, 3000, 5.4 * 640},    // 16256 px per inch = 640 px per mm
		{2, 2000, 1500, 5.4 * 320},    // a copy at half size
		{3, 4000, 3000, 5.4 * 1625.6}, // per cm
		{9, 4000, 3000, 5.4 * 640},    // unknown unit: the default, inch
	} {
		p := Photo{Width: c.w, Height: c.h}
		p.take(readExif(block(nil, inner(c.unit)), true), c.w, c.h)
		if got := p.FocalPx(); math.Abs(got-c.focalPx) > 1e-6*c.focalPx || len(p.Warnings) != 0 {
			t.Errorf("unit %d, %d px: %.3f px, want %.3f; %v", c.unit, c.w, got, c.focalPx, p.Warnings)
		}
	}
}

// A close-up with the ultra-wide camera, whose middle was enlarged twofold (Exif 2.32, tag
// DigitalZoomRatio, 0 where none was used): whether the 35 mm equivalent has that is not said.
func TestDigitalZoomLeavesTwoFocalLengths(t *testing.T) {
	for _, c := range []struct {
		zoom []uint32 // as a fraction
		want []float64
	}{
		{nil, []float64{12}}, {[]uint32{0, 1}, []float64{12}}, {[]uint32{102, 100}, []float64{12}}, {[]uint32{2, 1}, []float64{12, 24}},
	} {
		inner := []exifEntry{{0xa405, 3, 1, u16(12)}}
		if c.zoom != nil {
			inner = append([]exifEntry{{0xa404, 5, 1, u32(c.zoom...)}}, inner...)
		}
		p := Photo{Width: 4000, Height: 3000}
		p.take(readExif(block(nil, inner), true), 4000, 3000)
		got := p.FocalsPx()
		for i := range got {
			got[i] *= diagonal35MM / 5000
		}
		if fmt.Sprintf("%.4f", got) != fmt.Sprintf("%.4f", c.want) {
			t.Errorf("zoom %v: focal lengths %.4f mm of 35 mm film, want %.4f", c.zoom, got, c.want)
		}
	}
}

func TestCroppedPictureHasNoFocalLength(t *testing.T) {
	facts := exifFacts{focalMM: 5.4, focal35MM: 26, pixelX: 4032, pixelY: 3024}
	for _, c := range []struct {
		w, h    int
		cropped bool
	}{
		{4032, 3024, false}, {3024, 4032, false}, {2016, 1512, false}, {2000, 1504, false},
		{3024, 3024, true}, {4032, 2268, true},
	} {
		p := Photo{Width: c.w, Height: c.h}
		p.take(facts, c.w, c.h)
		if got := p.FocalPx() == 0; got != c.cropped || (len(p.Warnings) == 1) != c.cropped {
			t.Errorf("%d × %d: focal %g px, warnings %v; want cropped %v", c.w, c.h, p.FocalPx(), p.Warnings, c.cropped)
		}
	}
}

func TestTimeTexts(t *testing.T) {
	for _, c := range []struct{ at, offset, want string }{
		{"2026:11:25 13:02:03", "+01:00", "2026-11-25T13:02:03+01:00"},
		{"2026:11:25 13:02:03", "", "2026-11-25T13:02:03"},
		{"2026:11:25 13:02:03", "CET", "2026-11-25T13:02:03"},
		{"0000:00:00 00:00:00", "", ""},
		{"    :  :     :  :  ", "", ""},
		{"2026:02:30 13:02:03", "", ""},
	} {
		b := block([]exifEntry{text(0x010f, "x")}, []exifEntry{text(0x9003, c.at+"\x00"), text(tagOffsetTimeOriginal, c.offset+"\x00")})
		if got := readExif(b, true).taken; got != c.want {
			t.Errorf("%q %q: %q, want %q", c.at, c.offset, got, c.want)
		}
	}
}

func TestTextsAreTidied(t *testing.T) {
	long := strings.Repeat("x", 200)
	for _, c := range []struct{ in, want string }{
		{"Phone 7\x00\x00\x00", "Phone 7"},
		{"  Phone\x1b[31m\n7 ", "Phone[31m7"},
		{"\xff\xfePhone", "Phone"},
		{long, long[:64]},
	} {
		if got := readExif(block([]exifEntry{text(0x0110, c.in)}, nil), true).camera; got != c.want {
			t.Errorf("%q: %q, want %q", c.in, got, c.want)
		}
	}
}

// What damage leaves readable is used; what it says is never believed.
func TestDamagedExifIsAWarning(t *testing.T) {
	good := block([]exifEntry{{tagOrientation, 3, 1, u16(6)}, text(0x0110, "a phone of the workshop")},
		[]exifEntry{{0xa405, 3, 1, u16(26)}, {0x920a, 5, 1, u32(54, 10)}})
	if f := readExif(good, true); f.damaged != "" || f.orientation != 6 || f.focal35MM != 26 || f.focalMM != 5.4 {
		t.Fatalf("the good block reads %+v", f)
	}
	// Entry 1 of the first directory is Model (tags are sorted): type at 12, count at 14, offset at 18.
	change := func(at int, v []byte) []byte {
		b := append([]byte(nil), good...)
		copy(b[at:], v)
		return b
	}
	for _, c := range []struct {
		name        string
		block       []byte
		orientation int
		f35         float64
	}{
		{"count of 2^30", change(14, u32(1<<30)), 6, 26},
		{"count that wraps in 32 bits", change(12, append(u16(12), u32(1<<29)...)), 6, 26},
		{"offset outside", change(18, u32(0xfffffff0)), 6, 26},
		{"unknown type", change(12, u16(99)), 6, 26},
		{"type 0", change(12, u16(0)), 6, 26},
		{"directory outside", change(4, u32(1<<31)), 0, 0},
		{"directory in the header", change(4, u32(2)), 0, 0},
		{"65535 entries", change(8, u16(65535)), 6, 26},
		{"cut off", good[:30], 0, 0},
		{"four bytes", good[:4], 0, 0},
		{"no TIFF", change(0, []byte("RIFF")), 0, 0},
		{"empty", nil, 0, 0},
	} {
		f := readExif(c.block, true)
		if f.damaged == "" {
			t.Errorf("%s: no damage seen", c.name)
		}
		if f.orientation != c.orientation || f.focal35MM != c.f35 {
			t.Errorf("%s: %+v, want orientation %d, 35 mm %g", c.name, f, c.orientation, c.f35)
		}
	}
	for name, b := range map[string][]byte{
		"orientation 9":     block([]exifEntry{{tagOrientation, 3, 1, u16(9)}}, nil),
		"orientation 0":     block([]exifEntry{{tagOrientation, 3, 1, u16(0)}}, nil),
		"orientation, text": block([]exifEntry{text(tagOrientation, "6")}, nil),
		"35 mm 0 (unknown)": block(nil, []exifEntry{{0xa405, 3, 1, u16(0)}}),
		"focal length x/0":  block(nil, []exifEntry{{0x920a, 5, 1, u32(54, 0)}}),
		"focal length 0/0":  block(nil, []exifEntry{{0x920a, 5, 1, u32(0, 0)}}),
	} {
		if f := readExif(b, true); f.orientation != 0 || f.focalMM != 0 || f.focal35MM != 0 {
			t.Errorf("%s is believed: %+v", name, f)
		}
	}
}

// goexif alone would ask for gigabytes at the first of these counts; the block that
// it is given never holds more than the kept entries.
func TestHostileCountsTakeNoMemory(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for shift := 20; shift < 32; shift++ {
		for typ := uint16(1); typ <= 12; typ++ {
			b := block([]exifEntry{text(0x0110, "a phone"), {tagOrientation, 3, 1, u16(6)}}, []exifEntry{text(0x9003, "x")})
			copy(b[12:], u16(typ))
			copy(b[14:], u32(1<<shift|1))
			readExif(b, true)
		}
	}
	runtime.ReadMemStats(&after)
	if mib := (after.TotalAlloc - before.TotalAlloc) >> 20; mib > 16 {
		t.Errorf("144 small blocks took %d MiB", mib)
	}
}
