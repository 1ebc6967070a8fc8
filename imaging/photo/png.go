package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
)

// decodePNG decodes with the standard library after the header has passed the
// limits. Colour profiles and gamma are left aside, as for JPEG.
func decodePNG(data []byte) (*planes, error) {
	cfg, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, refusePNG(err)
	}
	rowBits, interlaced := pngRowBits(data, cfg.Width)
	pixels := int64(cfg.Width) * int64(cfg.Height)
	need := pixels * 6 // three planes of ours and their turned copies
	if halvesColours(cfg.Width, cfg.Height) {
		need = pixels * 3
	}
	switch cfg.ColorModel {
	case color.GrayModel:
		need = pixels * 6 // transparent grey is unpacked to four bytes
	case color.Gray16Model, color.RGBA64Model, color.NRGBA64Model:
		need += pixels * 8
	default:
		need += pixels * 4
	}
	if interlaced {
		need += pixels * 8 / 4 // the last and largest pass beside the whole (half of it), freed one by one
	}
	if err := checkSize(cfg.Width, cfg.Height, need); err != nil {
		return nil, err
	}
	// Deflate cannot shrink further than 1032 to 1 (258 bytes for two bits), so a
	// shorter file is cut off.
	if raw := int64(cfg.Height) * ((rowBits + 7) / 8); int64(len(data))*1032 < raw {
		return nil, refuse("photo-damaged",
			fmt.Sprintf("the file is only %d bytes long, too short for its %d × %d pixels", len(data), cfg.Width, cfg.Height), redo)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, refusePNG(err)
	}
	return planesOfPNG(img)
}

func refusePNG(err error) error {
	var unsupported png.UnsupportedError
	if errors.As(err, &unsupported) && unsupported == "dimension overflow" {
		return refuse("photo-too-many-pixels", fmt.Sprintf("the PNG claims more pixels than the limit of %d million", MaxPixels/1_000_000),
			"save a smaller copy")
	}
	return refuse("photo-damaged", "the picture's file is damaged or was cut off on its way", redo)
}

// pngRowBits gives the bits in one row of w pixels as the header declares them, and
// whether the picture is interlaced (PNG specification, third edition, §11.2.1).
func pngRowBits(data []byte, w int) (bits int64, interlaced bool) {
	if len(data) < 29 { // the decoder has read all of IHDR, so this does not happen
		return 0, false
	}
	depth, channels := int64(data[24]), int64(1)
	switch data[25] {
	case 2:
		channels = 3
	case 4:
		channels = 2
	case 6:
		channels = 4
	}
	return int64(w) * depth * channels, data[28] != 0
}

func planesOfPNG(img image.Image) (*planes, error) {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	switch m := img.(type) {
	case *image.Gray:
		return &planes{w: w, h: h, y: plane{m.Pix, m.Stride, w, h}, chromaX: 1, chromaY: 1}, nil
	case *image.Gray16:
		pix := make([]byte, w*h)
		for y := range h {
			row := m.Pix[y*m.Stride:]
			for x := range w {
				pix[y*w+x] = to8(binary.BigEndian.Uint16(row[2*x:]))
			}
		}
		return &planes{w: w, h: h, y: plane{pix, w, w, h}, chromaX: 1, chromaY: 1}, nil
	case *image.RGBA: // opaque, by the decoder's choice of type
		return planesOfRGB(w, h, func(x, y int) (r, g, b uint8) {
			i := y*m.Stride + 4*x
			return m.Pix[i], m.Pix[i+1], m.Pix[i+2]
		}), nil
	case *image.NRGBA:
		return planesOfRGB(w, h, func(x, y int) (r, g, b uint8) {
			i := y*m.Stride + 4*x
			a := m.Pix[i+3]
			return onWhite(m.Pix[i], a), onWhite(m.Pix[i+1], a), onWhite(m.Pix[i+2], a)
		}), nil
	case *image.RGBA64:
		return planesOfRGB(w, h, func(x, y int) (r, g, b uint8) {
			p := m.Pix[y*m.Stride+8*x:]
			return to8(binary.BigEndian.Uint16(p)), to8(binary.BigEndian.Uint16(p[2:])), to8(binary.BigEndian.Uint16(p[4:]))
		}), nil
	case *image.NRGBA64:
		return planesOfRGB(w, h, func(x, y int) (r, g, b uint8) {
			p := m.Pix[y*m.Stride+8*x:]
			a := to8(binary.BigEndian.Uint16(p[6:]))
			return onWhite(to8(binary.BigEndian.Uint16(p)), a), onWhite(to8(binary.BigEndian.Uint16(p[2:])), a),
				onWhite(to8(binary.BigEndian.Uint16(p[4:])), a)
		}), nil
	case *image.Paletted:
		return planesOfPalette(m), nil
	}
	return nil, refuse("photo-unsupported", fmt.Sprintf("this is a rare kind of PNG that cannot be read (%T)", img), "save it again as an ordinary PNG or JPEG")
}

func planesOfPalette(m *image.Paletted) *planes {
	// An index beyond the palette is refused by the decoder; the table of 256 keeps
	// that promise from becoming an index error here.
	var table [256][3]uint8
	for i, c := range m.Palette {
		n := color.NRGBAModel.Convert(c).(color.NRGBA)
		table[i] = [3]uint8{onWhite(n.R, n.A), onWhite(n.G, n.A), onWhite(n.B, n.A)}
	}
	return planesOfRGB(m.Rect.Dx(), m.Rect.Dy(), func(x, y int) (r, g, b uint8) {
		c := table[m.Pix[y*m.Stride+x]]
		return c[0], c[1], c[2]
	})
}

// to8 rounds 16 bits to 8.
func to8(v uint16) uint8 { return uint8((uint32(v)*255 + 32767) / 65535) }

// onWhite lays a value of opacity a over white paper.
func onWhite(v, a uint8) uint8 {
	return uint8((uint32(v)*uint32(a) + 255*(255-uint32(a)) + 127) / 255)
}

// exifOfPNG gives the TIFF block of the eXIf chunk (PNG specification, third
// edition, §11.3.3.3), and whether there is one. Sizes were checked by the decoder.
func exifOfPNG(data []byte) (block []byte, seen bool) {
	for c := range pngChunks(data) {
		if c.name == "eXIf" {
			return bytes.TrimPrefix(c.payload, []byte(exifHead)), true
		}
	}
	return nil, false
}

// chunk is one PNG chunk; whole includes length, name and checksum.
type chunk struct {
	name           string
	payload, whole []byte
}

// pngChunks walks the chunks behind the magic, up to IEND or the first that is cut off.
func pngChunks(data []byte) func(yield func(chunk) bool) {
	return func(yield func(chunk) bool) {
		i := len(pngMagic)
		for i+12 <= len(data) {
			n := int64(binary.BigEndian.Uint32(data[i:]))
			end := int64(i) + 12 + n
			if end > int64(len(data)) {
				return
			}
			c := chunk{name: string(data[i+4 : i+8]), payload: data[i+8 : end-4], whole: data[i:end]}
			if !yield(c) || c.name == "IEND" {
				return
			}
			i = int(end)
		}
	}
}
