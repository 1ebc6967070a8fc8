package photo

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/imaging/raster"
	"bucktail/qc"
)

const testdata = "../../testdata/"

func file(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(testdata, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func mustDecode(t testing.TB, name string) *Photo {
	t.Helper()
	p, err := Decode(file(t, name))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	checkPlanes(t, name, p)
	return p
}

// checkPlanes holds what every picture promises: planes of the sizes they claim.
func checkPlanes(t testing.TB, name string, p *Photo) {
	t.Helper()
	pic := p.Picture
	if pic.Y.W != p.Width || pic.Y.H != p.Height || len(pic.Y.Pix) != p.Width*p.Height {
		t.Fatalf("%s: luma %d × %d with %d bytes in a picture of %d × %d", name, pic.Y.W, pic.Y.H, len(pic.Y.Pix), p.Width, p.Height)
	}
	if (pic.Cb == nil) != (pic.Cr == nil) {
		t.Fatalf("%s: one chroma plane alone", name)
	}
	if pic.Cb == nil {
		return
	}
	for _, c := range []*raster.Grey{pic.Cb, pic.Cr} {
		w, h := (p.Width+pic.ChromaX-1)/pic.ChromaX, (p.Height+pic.ChromaY-1)/pic.ChromaY
		if c.W != w || c.H != h || len(c.Pix) != w*h {
			t.Fatalf("%s: chroma %d × %d with %d bytes, want %d × %d", name, c.W, c.H, len(c.Pix), w, h)
		}
	}
}

// rgbAt gives the colour at a pixel of the upright picture.
func rgbAt(p *Photo, x, y int) [3]int {
	m := full(p.Picture)
	c := m.NRGBAAt(x, y)
	return [3]int{int(c.R), int(c.G), int(c.B)}
}

func near(a, b [3]int, tol int) bool {
	for i := range a {
		if d := a[i] - b[i]; d > tol || d < -tol {
			return false
		}
	}
	return true
}

// The corners of the upright picture are red, green, blue and white whatever way it
// is stored. ImageMagick turned the pictures and exiftool named the orientation
// (testdata/exif/make.sh), so neither side of this check is ours.
func TestCornersStandUprightInAllOrientations(t *testing.T) {
	corners := []struct {
		x, y int
		rgb  [3]int
	}{
		{5, 5, [3]int{255, 0, 0}}, {40, 5, [3]int{0, 255, 0}}, {5, 28, [3]int{0, 0, 255}}, {40, 28, [3]int{255, 255, 255}},
		{0, 0, [3]int{255, 0, 0}}, {46, 0, [3]int{0, 255, 0}}, {0, 32, [3]int{0, 0, 255}}, {46, 32, [3]int{255, 255, 255}},
	}
	for n := 1; n <= 8; n++ {
		for _, ext := range []string{"png", "jpg"} {
			name := "exif/corners_" + string(rune('0'+n)) + "." + ext
			p := mustDecode(t, name)
			if p.Orientation != n || p.Width != 47 || p.Height != 33 || len(p.Warnings) != 0 {
				t.Errorf("%s: orientation %d, %d × %d, warnings %v", name, p.Orientation, p.Width, p.Height, p.Warnings)
			}
			for _, c := range corners {
				if got := rgbAt(p, c.x, c.y); !near(got, c.rgb, 6) {
					t.Errorf("%s: (%d, %d) is %v, want %v", name, c.x, c.y, got, c.rgb)
				}
			}
		}
	}
}

// OpenCV decodes and turns the same files with libjpeg-turbo and libpng
// (testdata/exif/opencv-luma.py). Means of cells of JPEGs agree within 0.6 grey levels:
// two decoders may differ by one level in a pixel, and either way. PNGs are given 1.1,
// since OpenCV cuts 16 bits to 8 where we round, and rounds luma down.
func TestLumaAgreesWithOpenCV(t *testing.T) {
	var want struct {
		Pictures map[string]struct {
			Width, Height int
			MeanLuma      []float64 `json:"mean_luma"`
		}
	}
	if err := json.Unmarshal(file(t, "exif/opencv-luma.json"), &want); err != nil {
		t.Fatal(err)
	}
	if len(want.Pictures) < 30 {
		t.Fatalf("only %d pictures to compare", len(want.Pictures))
	}
	for name, w := range want.Pictures {
		p := mustDecode(t, name)
		if p.Width != w.Width || p.Height != w.Height {
			t.Errorf("%s: %d × %d, want %d × %d", name, p.Width, p.Height, w.Width, w.Height)
			continue
		}
		tol := 0.6
		if p.Format == "png" {
			tol = 1.1
		}
		for k, m := range w.MeanLuma {
			i, j := k%4, k/4
			sum, n := 0, 0
			for y := p.Height * j / 4; y < p.Height*(j+1)/4; y++ {
				for x := p.Width * i / 4; x < p.Width*(i+1)/4; x++ {
					sum += int(p.Picture.Y.At(x, y))
					n++
				}
			}
			if got := float64(sum) / float64(n); math.Abs(got-m) > tol {
				t.Errorf("%s: cell (%d, %d) has mean luma %.2f, want %.2f", name, i, j, got, m)
			}
		}
	}
}

// The same frame as CMYK JPEG and as the PNG that the Go project made of it with
// another program; colours agree within what compression at this quality costs.
func TestCMYKLooksLikeItsPNG(t *testing.T) {
	cmyk, want := mustDecode(t, "variants/video-001.cmyk.jpeg"), mustDecode(t, "variants/video-001.cmyk.png")
	if cmyk.Width != want.Width || cmyk.Height != want.Height {
		t.Fatalf("%d × %d, want %d × %d", cmyk.Width, cmyk.Height, want.Width, want.Height)
	}
	a, b := full(cmyk.Picture), full(want.Picture)
	sum := 0.0
	for i := range a.Pix {
		sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]))
	}
	if mean := sum / float64(len(a.Pix)); mean > 4 {
		t.Errorf("colours differ by %.1f levels on average", mean)
	}
}

// Chroma is kept as stored, and its grid follows the turning.
func TestChromaKeepsItsGrid(t *testing.T) {
	for name, want := range map[string][2]int{
		"variants/video-001.q50.444.progressive.jpeg": {1, 1},
		"variants/video-001.q50.440.progressive.jpeg": {1, 2},
		"variants/video-001.q50.422.progressive.jpeg": {2, 1},
		"variants/video-001.q50.420.progressive.jpeg": {2, 2},
		"variants/video-001.q50.411.progressive.jpeg": {4, 1},
		"variants/video-001.q50.410.progressive.jpeg": {4, 2},
	} {
		p := mustDecode(t, name)
		if got := [2]int{p.Picture.ChromaX, p.Picture.ChromaY}; got != want || p.Picture.Cb == nil {
			t.Errorf("%s: chroma %v, want %v", name, got, want)
		}
	}
	if p := mustDecode(t, "variants/video-005.gray.q50.2x2.jpeg"); p.Picture.Cb != nil {
		t.Error("a grey JPEG has chroma")
	}
	for _, name := range []string{"nasty/irs_basi0g16.png", "nasty/pngsuite_basn0g16.png"} {
		if p := mustDecode(t, name); p.Picture.Cb != nil {
			t.Errorf("%s: a grey PNG has chroma", name)
		}
	}
}

// ImageMagick 6.9.11: convert X -depth 8 -background white -alpha remove, pixels.
func TestSixteenBitAndTransparentPNG(t *testing.T) {
	for _, c := range []struct {
		name string
		x, y int
		rgb  [3]int
	}{
		{"nasty/pngsuite_basn2c16.png", 3, 5, [3]int{230, 213, 0}},
		{"nasty/pngsuite_basn2c16.png", 16, 16, [3]int{123, 123, 8}},
		{"nasty/pngsuite_basn2c16.png", 28, 9, [3]int{24, 180, 49}},
		{"nasty/pngsuite_basn6a16.png", 3, 5, [3]int{255, 251, 205}},
		{"nasty/pngsuite_basn6a16.png", 16, 16, [3]int{8, 8, 255}},
		{"nasty/pngsuite_basn6a16.png", 28, 9, [3]int{205, 243, 217}},
		{"nasty/pngsuite_tbbn2c16.png", 3, 5, [3]int{255, 255, 255}},
		{"nasty/pngsuite_tbbn2c16.png", 16, 16, [3]int{158, 158, 158}},
		{"nasty/pngsuite_tbbn2c16.png", 28, 9, [3]int{76, 76, 76}},
	} {
		if got := rgbAt(mustDecode(t, c.name), c.x, c.y); !near(got, c.rgb, 2) {
			t.Errorf("%s: (%d, %d) is %v, want %v", c.name, c.x, c.y, got, c.rgb)
		}
	}
}

// TestNastyPictures answers every file of testdata/nasty: read (code ""), or refused
// for the stated reason, with something to do.
func TestNastyPictures(t *testing.T) {
	want := map[string]string{
		"irs_Bad_badbitcount.bmp": "photo-bmp", "irs_Bad_clrsUsed.bmp": "photo-bmp", "irs_Bad_height.bmp": "photo-bmp",
		"irs_Bad_reallybig.bmp": "photo-bmp", "irs_Bad_shortfile.bmp": "photo-bmp",
		"irs_Bad_unusual_extend_buffer_usage.bmp": "photo-bmp", "irs_Bad_width.bmp": "photo-bmp",
		"irs_basi0g16.png": "", "pngsuite_basn0g16.png": "", "pngsuite_basn2c16.png": "", "pngsuite_basn6a16.png": "",
		"pngsuite_tbbn2c16.png": "",
		"ljt_monkey12.jpg":      "photo-unsupported", "ljt_testimgari.jpg": "photo-unsupported", "ljt_testimgint.jpg": "",
		"made_cut_half.jpg": "photo-damaged", "made_empty.jpg": "photo-empty", "made_header_only.jpg": "photo-damaged",
		"made_huge_ihdr_2e9.png": "photo-too-many-pixels", "made_huge_ihdr_60000.png": "photo-too-many-pixels",
		"made_huge_sof.jpg": "photo-too-many-pixels", "made_png_named.jpg": "",
		"pil_broken.png": "photo-damaged", "pil_broken_data_stream.png": "photo-damaged",
		"pil_decompression_bomb.gif": "photo-gif", "pil_zero_width.gif": "photo-gif",
		"pil_exif-dpi-zerodivision.jpg": "", "pil_exif-ifd-offset.jpg": "", "pil_exif_imagemagick_orientation.png": "",
		"pil_exif_typeerror.jpg": "", "pil_hopper_16bit_qtables.jpg": "", "pil_hopper_bad_exif.jpg": "photo-damaged",
		"pil_hopper_orientation_7.jpg": "", "pil_ignore_frame_size.mpo": "", "pil_invalid-exif-without-x-resolution.jpg": "",
		"pil_jpeg_ff00_header.jpg": "", "pil_multiple_exif.jpg": "", "pil_no-dpi-in-exif.jpg": "", "pil_padded_idat.png": "",
		"pil_photoshop-200dpi-broken.jpg": "", "pil_pil_sample_cmyk.jpg": "", "pil_truncated_app14.jpg": "",
		"pil_truncated_end_chunk.png": "photo-damaged", "pil_truncated_exif_dpi.jpg": "", "pil_truncated_jpeg.jpg": "photo-damaged",
		"pil_xmp_padded.jpg": "", "pil_xmp_tags_orientation.png": "",
		"pngsuite_xc1n0g08.png": "photo-damaged", "pngsuite_xc9n2c08.png": "photo-damaged", "pngsuite_xcsn0g01.png": "photo-damaged",
		"pngsuite_xd0n2c08.png": "photo-damaged", "pngsuite_xd3n2c08.png": "photo-damaged", "pngsuite_xdtn0g01.png": "photo-damaged",
		"pngsuite_xhdn0g08.png": "photo-damaged", "pngsuite_xlfn0g04.png": "photo-damaged", "pngsuite_xs1n0g01.png": "photo-damaged",
		"pngsuite_xs4n0g01.png": "photo-damaged", "pngsuite_xs7n0g01.png": "photo-damaged",
	}
	names, err := filepath.Glob(testdata + "nasty/*.*")
	if err != nil || len(names) == 0 {
		t.Fatal("no pictures", err)
	}
	for _, path := range names {
		name := filepath.Base(path)
		if name == "MANIFEST.csv" {
			continue
		}
		code, known := want[name]
		if !known {
			t.Errorf("%s has no expectation", name)
			continue
		}
		delete(want, name)
		p, err := Decode(file(t, "nasty/"+name))
		if code == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			checkPlanes(t, name, p)
			continue
		}
		checkRefusal(t, name, err, code)
	}
	for name := range want {
		t.Errorf("%s is missing", name)
	}
}

// checkRefusal wants a complete answer: code, what is, what to do.
func checkRefusal(t testing.TB, name string, err error, code string) {
	t.Helper()
	var r *qc.Refusal
	switch {
	case err == nil:
		t.Errorf("%s: read, want %s", name, code)
	case !errors.As(err, &r):
		t.Errorf("%s: %T %v, want a refusal", name, err, err)
	case code != "" && r.Code != code:
		t.Errorf("%s: %s (%v), want %s", name, r.Code, r, code)
	case r.Code == "" || r.Text == "" || r.Do == "":
		t.Errorf("%s: incomplete refusal %+v", name, r)
	}
}

// Heads of formats as their specifications give them.
func TestOtherFormatsAreNamed(t *testing.T) {
	for _, c := range []struct{ name, head, code string }{
		{"HEIC", "\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "photo-heic"},
		{"HEIC by compatible brand", "\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00mif1heic", "photo-heic"},
		{"AVIF behind mif1", "\x00\x00\x00\x1cftypmif1\x00\x00\x00\x00mif1avifmiaf", "photo-avif"},
		{"AVIF", "\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1miaf", "photo-avif"},
		{"MP4", "\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00isommp42", "photo-video"},
		{"QuickTime", "\x00\x00\x00\x14ftypqt  \x00\x00\x00\x00qt  ", "photo-video"},
		{"ftyp alone", "\x00\x00\x00\x08ftyp", "photo-video"},
		{"WebP", "RIFF\x24\x00\x00\x00WEBPVP8 ", "photo-webp"},
		{"TIFF, little", "II*\x00\x08\x00\x00\x00", "photo-tiff"},
		{"TIFF, big", "MM\x00*\x00\x00\x00\x08", "photo-tiff"},
		{"PDF", "%PDF-1.7\n", "photo-pdf"},
		{"JPEG XL", "\xff\x0a\x00\x00", "photo-jxl"},
		{"JPEG XL in boxes", "\x00\x00\x00\x0cJXL \r\n\x87\n", "photo-jxl"},
		{"JPEG 2000", "\x00\x00\x00\x0cjP  \r\n\x87\n", "photo-jp2"},
		{"page", "<!doctype html><html>", "photo-text"},
		{"noise", "\x01\x02\x03\x04\x05", "photo-unknown"},
		{"one byte", "\xff", "photo-unknown"},
		{"SOI alone", "\xff\xd8", "photo-damaged"},
		{"PNG magic alone", pngMagic, "photo-damaged"},
	} {
		_, err := Decode([]byte(c.head))
		checkRefusal(t, c.name, err, c.code)
	}
	_, err := Decode([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"))
	if !strings.Contains(err.Error(), "Most Compatible") || !strings.Contains(err.Error(), "Android") {
		t.Errorf("the answer to HEIC does not name the camera's settings: %v", err)
	}
}

// The hash is that of the bytes: sha256sum testdata/exif/corners_1.png.
func TestPhotoIsNamedByItsBytes(t *testing.T) {
	const want = "fa1a7cd239e48dd1cab5a89fdb7b763ab23976a40f9662d8ac8fb4f41a045926"
	if got := mustDecode(t, "exif/corners_1.png").SHA256; got != want {
		t.Errorf("SHA-256 %s, want %s", got, want)
	}
}

// Luma of a colour PNG and of the same picture as 4:4:4 JPEG at full quality agree;
// one goes through our conversion, the other through the encoder's.
func TestPNGAndJPEGAgree(t *testing.T) {
	img, err := png.Decode(bytes.NewReader(file(t, "nasty/made_png_named.jpg")))
	if err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	a := mustDecode(t, "nasty/made_png_named.jpg")
	b, err := Decode(buf.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range a.Picture.Y.Pix {
		if d := int(v) - int(b.Picture.Y.Pix[i]); d > 3 || d < -3 {
			t.Fatalf("pixel %d: luma %d in PNG, %d in JPEG", i, v, b.Picture.Y.Pix[i])
		}
	}
}

// full gives each pixel's colour as it is stored, without a filter.
func full(pic *raster.Picture) *image.NRGBA {
	w, h := pic.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := colourAt(pic, x, y)
			if pic.Cb == nil {
				c[1], c[2] = 128, 128
			}
			r, g, b := color.YCbCrToRGB(c[0], c[1], c[2])
			out.SetNRGBA(x, y, color.NRGBA{r, g, b, 255})
		}
	}
	return out
}
