package paper

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
)

// maxPictureBytes bounds one embedded picture, maxPicturePx its pixels: a report of hundreds
// of them is kept in memory.
const (
	maxPictureBytes = 8 << 20
	maxPicturePx    = 16 << 20
)

// picture is an image object of the file. They are written here and not by the PDF library,
// which keeps a second copy of each in memory and orders those of one width at random.
type picture struct {
	w, h   int
	grey   bool
	filter string // DCTDecode, FlateDecode
	data   []byte
}

// head is the image's dictionary.
func (p *picture) head() string {
	space := "DeviceRGB"
	if p.grey {
		space = "DeviceGray"
	}
	return fmt.Sprintf("<</Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /%s /BitsPerComponent 8 /Filter /%s /Length %d>>",
		p.w, p.h, space, p.filter, len(p.data))
}

// pictureConfig reads the size of a JPEG or PNG in pixels from its head, or says why it can't
// be put on a page.
func pictureConfig(data []byte) (c image.Config, isJPEG bool, err error) {
	switch {
	case len(data) > maxPictureBytes:
		return c, false, fmt.Errorf("picture of %d bytes is larger than %d: make it smaller first", len(data), maxPictureBytes)
	case bytes.HasPrefix(data, []byte("\xff\xd8")):
		c, err = jpeg.DecodeConfig(bytes.NewReader(data))
		isJPEG = true
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		c, err = png.DecodeConfig(bytes.NewReader(data))
	default:
		return c, false, fmt.Errorf("picture is neither JPEG nor PNG")
	}
	switch {
	case err != nil:
		return c, isJPEG, fmt.Errorf("picture can't be read: %w", err)
	case c.Width < 1 || c.Height < 1 || c.Width > maxPicturePx/c.Height:
		return c, isJPEG, fmt.Errorf("picture of %d by %d pixels is empty or larger than %d million pixels: make it smaller first", c.Width, c.Height, maxPicturePx>>20)
	}
	return c, isJPEG, nil
}

// Picture puts a JPEG or PNG into a rectangle, as large as fits without distortion, in the
// middle. It returns the rectangle that the picture covers. A JPEG is embedded as it is; its
// EXIF orientation has no effect. The same bytes twice are embedded once.
func (d *Doc) Picture(data []byte, x, y, w, h float64) (px, py, pw, ph float64, err error) {
	c, isJPEG, err := pictureConfig(data)
	if err != nil {
		return 0, 0, 0, 0, err
	}
	sum := sha256.Sum256(data)
	n, known := d.pics[sum]
	if !known {
		p, err := embed(data, c, isJPEG)
		if err != nil {
			return 0, 0, 0, 0, err
		}
		n = len(d.tags.pictures)
		d.pics[sum], d.tags.pictures = n, append(d.tags.pictures, p)
	}
	scale := math.Min(w/float64(c.Width), h/float64(c.Height))
	pw, ph = float64(c.Width)*scale, float64(c.Height)*scale
	px, py = x+(w-pw)/2, y+(h-ph)/2
	d.open()
	const k = 1 / MMPerPt
	d.pdf.RawWriteStr(fmt.Sprintf("q %.4f 0 0 %.4f %.4f %.4f cm /Bt%d Do Q", pw*k, ph*k, px*k, (d.Size.HeightMM-py-ph)*k, n))
	return px, py, pw, ph, nil
}

func embed(data []byte, c image.Config, isJPEG bool) (*picture, error) {
	p := &picture{w: c.Width, h: c.Height}
	if isJPEG {
		if c.ColorModel == color.CMYKModel {
			return nil, fmt.Errorf("picture is a CMYK JPEG: make it RGB or grey first")
		}
		p.grey, p.filter, p.data = c.ColorModel == color.GrayModel, "DCTDecode", data
		return p, nil
	}
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("picture can't be read: %w", err)
	}
	var b bytes.Buffer
	z := zlib.NewWriter(&b)
	row := make([]byte, 3*c.Width)
	r := m.Bounds()
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			red, green, blue, alpha := m.At(x, y).RGBA() // premultiplied: what shines through is white paper
			for i, v := range []uint32{red, green, blue} {
				row[3*(x-r.Min.X)+i] = byte((v + 0xffff - alpha) >> 8)
			}
		}
		if _, err := z.Write(row); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	p.filter, p.data = "FlateDecode", b.Bytes()
	return p, nil
}
