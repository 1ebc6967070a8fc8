package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image/jpeg"
	"image/png"
	"math"
	"path/filepath"
	"testing"
)

// FuzzDecode holds for any bytes: no panic; a refusal that is complete, or planes of
// the sizes they claim; and a stripped copy, if one can be made, shows the same picture.
func FuzzDecode(f *testing.F) {
	for _, pattern := range []string{"nasty/*.*", "variants/*", "exif/corners_*"} {
		names, err := filepath.Glob(testdata + pattern)
		if err != nil || len(names) == 0 {
			f.Fatal("no seeds", err)
		}
		for _, name := range names {
			if data := file(f, pattern[:bytes.IndexByte([]byte(pattern), '/')+1]+filepath.Base(name)); len(data) < 40_000 {
				f.Add(data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		// Large pictures are slow, not interesting; the limits have tests of their own.
		if cfg, err := jpeg.DecodeConfig(bytes.NewReader(data)); err == nil && cfg.Width*cfg.Height > 1<<20 {
			t.Skip()
		}
		if cfg, err := png.DecodeConfig(bytes.NewReader(data)); err == nil && cfg.Width*cfg.Height > 1<<20 {
			t.Skip()
		}
		p, err := Decode(data)
		out, stripErr := StripLocation(data)
		if stripErr != nil {
			checkRefusal(t, "strip", stripErr, "")
		}
		if err != nil {
			checkRefusal(t, "decode", err, "")
			return
		}
		checkPlanes(t, "decoded", p)
		if q := Assess(p.Picture); q.Bright < 0 || q.Bright > 1 || q.Dark < 0 || q.Dark > 1 || q.MedianLuma > 255 || math.IsNaN(q.EdgePx) {
			t.Errorf("quality %+v", q)
		}
		if stripErr == nil {
			b, err := Decode(out)
			if err != nil {
				t.Fatalf("the copy: %v", err)
			}
			if !bytes.Equal(p.Picture.Y.Pix, b.Picture.Y.Pix) || p.Orientation != b.Orientation {
				t.Error("the copy shows another picture")
			}
		}
	})
}

// FuzzExif holds for any EXIF block: no panic, no value that is out of its range, and
// what is handed to goexif is sound by a reading that shares nothing with the guard:
// goexif multiplies sizes and counts in 32 bits and allocates before it looks.
func FuzzExif(f *testing.F) {
	for _, name := range []string{"exif/iphone5.exif", "exif/samsung_j327.exif"} {
		f.Add(file(f, name))
	}
	for _, pattern := range []string{"nasty/*.jpg", "exif/corners_*.jpg"} {
		names, _ := filepath.Glob(testdata + pattern)
		for _, name := range names {
			if head := scanJPEG(file(f, filepath.Join(filepath.Dir(pattern), filepath.Base(name)))); head.exifSeen {
				f.Add(head.exif)
			}
		}
	}
	f.Add(block([]exifEntry{{tagOrientation, 3, 1, u16(6)}}, []exifEntry{{0x920a, 5, 1, u32(54, 10)}, text(0x9003, "2026:11:25 13:02:03")}))
	f.Fuzz(func(t *testing.T, data []byte) {
		facts := readExif(data, true)
		if facts.orientation < 0 || facts.orientation > 8 || facts.focalMM < 0 || facts.focalMM > 2000 ||
			facts.focal35MM < 0 || facts.focal35MM > 5000 || math.IsNaN(facts.planeRes) || math.IsInf(facts.planeRes, 0) {
			t.Errorf("%+v", facts)
		}
		clean, damage := cleanExif(data)
		if clean == nil {
			return
		}
		if err := soundTIFF(clean); err != nil {
			t.Error(err)
		}
		again, secondDamage := cleanExif(clean)
		if !bytes.Equal(again, clean) || secondDamage != "" {
			t.Errorf("cleaning twice changes something (%q, then %q)", damage, secondDamage)
		}
	})
}

// soundTIFF follows every directory of a TIFF block from its end backwards.
func soundTIFF(b []byte) error {
	var order binary.ByteOrder = binary.LittleEndian
	if b[0] == 'M' {
		order = binary.BigEndian
	}
	if len(b) > 16<<10 {
		return errors.New("more than 16 KiB")
	}
	sizes := map[uint16]int64{1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
	todo := []int64{int64(order.Uint32(b[4:]))}
	for steps := 0; len(todo) > 0; steps++ {
		at := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if steps > 2 || at < 8 || at+2 > int64(len(b)) {
			return errors.New("a directory too many, or outside")
		}
		n := int64(order.Uint16(b[at:]))
		end := at + 2 + 12*n + 4
		if n > 64 || end > int64(len(b)) {
			return errors.New("a directory that is cut off")
		}
		if next := order.Uint32(b[end-4:]); next != 0 {
			return errors.New("a further directory")
		}
		for e := at + 2; e < end-4; e += 12 {
			size, ok := sizes[order.Uint16(b[e+2:])]
			count := int64(order.Uint32(b[e+4:]))
			if !ok || count < 1 || count*size > maxExifValue {
				return errors.New("an entry of a bad type or size")
			}
			value := int64(order.Uint32(b[e+8:]))
			if count*size > 4 && value+count*size > int64(len(b)) {
				return errors.New("an entry that reaches outside")
			}
			switch order.Uint16(b[e:]) {
			case tagExifIFD:
				todo = append(todo, value)
			case 0x8825, 0xa005, 0x927c:
				return errors.New("place, interoperability or maker notes are left")
			}
		}
	}
	return nil
}
