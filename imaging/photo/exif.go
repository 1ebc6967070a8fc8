package photo

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode"

	"github.com/rwcarlsen/goexif/exif"
	"github.com/rwcarlsen/goexif/tiff"
)

// exifFacts is what is taken from EXIF; zero is unknown.
type exifFacts struct {
	orientation         int
	focalMM, focal35MM  float64
	zoom                float64
	planeRes, planeUnit float64 // pixels per unit on the sensor, mm per unit
	pixelX, pixelY      int     // size that the camera recorded, before any turning
	camera, lens, taken string
	damaged             string // what was wrong; "" when nothing was
}

// readExif reads an EXIF block (TIFF, without the "Exif\0\0" before it).
//
// goexif believes the counts in a file and asks for gigabytes, which nothing
// recovers from. So it never sees the file: cleanExif walks the block first and
// writes a new one with the few entries that are wanted here, and only that is handed on.
func readExif(block []byte, seen bool) (f exifFacts) {
	if !seen {
		return f
	}
	clean, damage := cleanExif(block)
	f.damaged = damage
	if clean == nil {
		return f
	}
	defer func() { // goexif has panicked on odd files before; EXIF is never worth a photo
		if r := recover(); r != nil {
			f = exifFacts{damaged: fmt.Sprintf("its reader failed: %v", r)}
		}
	}()
	x, err := exif.Decode(bytes.NewReader(clean))
	if err != nil && (x == nil || exif.IsCriticalError(err)) {
		f.damaged = err.Error()
		return f
	}
	f.orientation = intTag(x, exif.Orientation, 1, 8)
	f.focalMM = numTag(x, exif.FocalLength, 0.5, 2000)
	f.focal35MM = numTag(x, exif.FocalLengthIn35mmFilm, 5, 5000)
	f.zoom = numTag(x, exif.DigitalZoomRatio, 1, 100)
	f.planeRes = numTag(x, exif.FocalPlaneXResolution, 1, 1e6)
	switch intTag(x, exif.FocalPlaneResolutionUnit, 1, 5) {
	case 3:
		f.planeUnit = 10
	case 4:
		f.planeUnit = 1
	case 5:
		f.planeUnit = 0.001
	default:
		f.planeUnit = 25.4 // 2, and the default (CIPA DC-008, tag 0xA210)
	}
	f.pixelX = intTag(x, exif.PixelXDimension, 1, 1<<20)
	f.pixelY = intTag(x, exif.PixelYDimension, 1, 1<<20)
	f.camera = joinCamera(textTag(x, exif.Make), textTag(x, exif.Model))
	f.lens = textTag(x, exif.LensModel)
	f.taken = takenAt(textTag(x, exif.DateTimeOriginal), offsetTag(x, clean))
	return f
}

func number(t *tiff.Tag) (float64, bool) {
	switch t.Format() {
	case tiff.IntVal:
		v, err := t.Int64(0)
		return float64(v), err == nil
	case tiff.RatVal:
		num, den, err := t.Rat2(0)
		if err != nil || den == 0 {
			return 0, false
		}
		return float64(num) / float64(den), true
	case tiff.FloatVal:
		v, err := t.Float(0)
		return v, err == nil && !math.IsNaN(v)
	}
	return 0, false
}

// numTag gives a number within [lo, hi], else 0: what is outside is a camera's way
// of saying unknown, or damage.
func numTag(x *exif.Exif, name exif.FieldName, lo, hi float64) float64 {
	t, err := x.Get(name)
	if err != nil {
		return 0
	}
	v, ok := number(t)
	if !ok || v < lo || v > hi {
		return 0
	}
	return v
}

func intTag(x *exif.Exif, name exif.FieldName, lo, hi int) int {
	return int(numTag(x, name, float64(lo), float64(hi)))
}

// textTag gives a text without control characters, cut at 64 letters.
func textTag(x *exif.Exif, name exif.FieldName) string {
	t, err := x.Get(name)
	if err != nil || t.Format() != tiff.StringVal {
		return ""
	}
	s, err := t.StringVal()
	if err != nil {
		return ""
	}
	return tidy(s)
}

func tidy(s string) string {
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	if r := []rune(s); len(r) > 64 {
		s = string(r[:64])
	}
	return strings.TrimSpace(s)
}

// joinCamera puts maker and model together; many models repeat the maker's name.
func joinCamera(maker, model string) string {
	if maker == "" || strings.HasPrefix(strings.ToLower(model), strings.ToLower(maker)) {
		return model
	}
	return strings.TrimSpace(maker + " " + model)
}

// offsetTag finds OffsetTimeOriginal (Exif 2.31), which goexif has no name for and
// so leaves out, in the Exif directory of the clean block.
func offsetTag(x *exif.Exif, clean []byte) string {
	r := bytes.NewReader(clean)
	if _, err := r.Seek(int64(intTag(x, exif.ExifIFDPointer, 8, len(clean))), io.SeekStart); err != nil {
		return ""
	}
	dir, _, err := tiff.DecodeDir(r, x.Tiff.Order)
	if err != nil {
		return ""
	}
	for _, t := range dir.Tags {
		if t.Id == tagOffsetTimeOriginal && t.Format() == tiff.StringVal {
			s, _ := t.StringVal()
			return tidy(s)
		}
	}
	return ""
}

// takenAt rewrites EXIF's "2006:01:02 15:04:05" and its offset "+01:00".
// A clock that was never set ("0000:00:00") gives "".
func takenAt(at, offset string) string {
	t, err := time.Parse("2006:01:02 15:04:05", at)
	if err != nil {
		return ""
	}
	s := t.Format("2006-01-02T15:04:05")
	if _, err := time.Parse("-07:00", offset); err == nil {
		s += offset
	}
	return s
}

// take copies the facts over; w and h are the stored picture's size before turning.
func (p *Photo) take(f exifFacts, w, h int) {
	if f.orientation != 0 {
		p.Orientation = f.orientation
	}
	p.FocalMM, p.Focal35MM, p.DigitalZoom = f.focalMM, f.focal35MM, f.zoom
	p.Camera, p.Lens, p.Taken = f.camera, f.lens, f.taken
	if f.damaged != "" {
		p.warn("exif-damaged", "the camera data in the file are damaged ("+f.damaged+"); what could be read is used")
	}
	if f.planeRes > 0 {
		p.FocalPlanePxPerMM = f.planeRes / f.planeUnit
		if f.pixelX > 0 { // a reduced copy keeps the resolution of the camera's own size
			p.FocalPlanePxPerMM *= float64(w) / float64(f.pixelX)
		}
	}
	if cropped(w, h, f.pixelX, f.pixelY) {
		p.warn("cropped", fmt.Sprintf("the camera recorded %d × %d pixels, the picture has %d × %d: it was cropped, "+
			"so its focal length is treated as unknown", f.pixelX, f.pixelY, w, h))
		p.FocalMM, p.Focal35MM, p.FocalPlanePxPerMM, p.DigitalZoom = 0, 0, 0, 0
	}
}

func (p *Photo) warn(code, text string) { p.Warnings = append(p.Warnings, Warning{code, text}) }

// cropped tells that a w × h picture is no scaled copy of x × y, upright or turned.
// 2 % allows for editors that round to whole blocks of 16.
func cropped(w, h, x, y int) bool {
	if x == 0 || y == 0 || w < 64 || h < 64 {
		return false
	}
	got, want := math.Log(float64(w)/float64(h)), math.Log(float64(x)/float64(y))
	return math.Abs(got-want) > 0.02 && math.Abs(got+want) > 0.02
}

// diagonal35MM is the diagonal of a 36 × 24 mm film frame.
const diagonal35MM = 43.266615305567875

// FocalPx gives the focal length in pixels of the picture, 0 if unknown.
//
// The 35 mm equivalent goes by the frame's diagonal (CIPA DCG-001: equal diagonal
// angle of view); makers that go by its width differ by 4 % on a 4:3 sensor, and
// lens correction and rounding add a few more, so take it as good to 3.5 %.
func (p *Photo) FocalPx() float64 {
	if p.Focal35MM > 0 {
		return p.Focal35MM * math.Hypot(float64(p.Width), float64(p.Height)) / diagonal35MM
	}
	return p.FocalMM * p.FocalPlanePxPerMM
}

// FocalsPx gives what the focal length may be, in pixels of the picture: nothing where it is unknown,
// one value, or two where the picture is the enlarged middle of the sensor's. Exif 2.32 does
// not say whether the 35 mm equivalent is that of the lens or of the enlarged picture, and makers
// differ.
func (p *Photo) FocalsPx() []float64 {
	const noZoom = 1.05 // below it the two are as good as one
	f := p.FocalPx()
	switch {
	case f == 0:
		return nil
	case p.DigitalZoom < noZoom:
		return []float64{f}
	}
	return []float64{f, f * p.DigitalZoom}
}
