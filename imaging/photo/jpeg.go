package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
)

// checkJPEG refuses a JPEG by the standard library's reading of its header. head says what the
// decoder will need.
func checkJPEG(data []byte, head jpegHead) error {
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return refuseJPEG(err)
	}
	if cfg.Width != head.w || cfg.Height != head.h {
		head = jpegHead{w: cfg.Width, h: cfg.Height, scans: head.scans} // disagreement: take the worst case
	}
	if err := checkSize(cfg.Width, cfg.Height, head.memory()); err != nil {
		return err
	}
	// Each block of 8 × 8 luma samples takes at least one bit (a one-bit code for
	// "no change", progressive; baseline takes two), so a shorter file is cut off.
	if blocks := int64(cfg.Width+7) / 8 * (int64(cfg.Height+7) / 8); int64(len(data))*8 < blocks {
		return refuse("photo-damaged",
			fmt.Sprintf("the file is only %d bytes long, too short for its %d × %d pixels", len(data), cfg.Width, cfg.Height), redo)
	}
	// Every scan walks over the whole picture even if it holds next to nothing, so
	// their number bounds the time. Encoders write about ten.
	if head.scans > maxScans {
		return refuse("photo-damaged", "the photo's file is damaged, or no camera wrote it", redo)
	}
	return nil
}

// decodeJPEG decodes with the standard library what has passed the limits.
func decodeJPEG(data []byte, head jpegHead) (*planes, error) {
	if err := checkJPEG(data, head); err != nil {
		return nil, err
	}
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, refuseJPEG(err)
	}
	return planesOfJPEG(img)
}

// maxScans is far above what encoders write: a progressive picture of three
// components fully split by bit takes under 40.
const maxScans = 100

func refuseJPEG(err error) error {
	var unsupported jpeg.UnsupportedError
	if errors.As(err, &unsupported) {
		return refuse("photo-unsupported", "this is a rare kind of JPEG that cannot be read",
			"save it again as an ordinary JPEG with 8 bits per channel")
	}
	return refuse("photo-damaged", "the photo's file is damaged or was cut off on its way", redo)
}

func planesOfJPEG(img image.Image) (*planes, error) {
	switch m := img.(type) {
	case *image.Gray:
		w, h := m.Rect.Dx(), m.Rect.Dy()
		return &planes{w: w, h: h, y: plane{m.Pix, m.Stride, w, h}, chromaX: 1, chromaY: 1}, nil
	case *image.YCbCr:
		w, h := m.Rect.Dx(), m.Rect.Dy()
		cx, cy := subsampling(m.SubsampleRatio)
		cw, ch := (w+cx-1)/cx, (h+cy-1)/cy
		return &planes{
			w: w, h: h, chromaX: cx, chromaY: cy,
			y:  plane{m.Y, m.YStride, w, h},
			cb: plane{m.Cb, m.CStride, cw, ch},
			cr: plane{m.Cr, m.CStride, cw, ch},
		}, nil
	case *image.RGBA: // a JPEG that stores RGB
		return planesOfRGB(m.Rect.Dx(), m.Rect.Dy(), func(x, y int) (r, g, b uint8) {
			i := y*m.Stride + 4*x
			return m.Pix[i], m.Pix[i+1], m.Pix[i+2]
		}), nil
	case *image.CMYK: // the decoder has undone the inversion of Adobe files
		return planesOfRGB(m.Rect.Dx(), m.Rect.Dy(), func(x, y int) (r, g, b uint8) {
			i := y*m.Stride + 4*x
			return color.CMYKToRGB(m.Pix[i], m.Pix[i+1], m.Pix[i+2], m.Pix[i+3])
		}), nil
	}
	return nil, refuse("photo-unsupported", fmt.Sprintf("this is a rare kind of JPEG that cannot be read (%T)", img),
		"save it again as an ordinary JPEG with 8 bits per channel")
}

func subsampling(r image.YCbCrSubsampleRatio) (x, y int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}

// halvesColours says whether a picture that stores red, green and blue gets chroma of half the
// size, as nearly all JPEGs have it: in a large one three whole planes take too much memory.
func halvesColours(w, h int) bool { return int64(w)*int64(h) > 12_500_000 }

// planesOfRGB converts to luma and chroma (JFIF, that is ITU-R BT.601).
func planesOfRGB(w, h int, at func(x, y int) (r, g, b uint8)) *planes {
	if halvesColours(w, h) {
		return halvedPlanes(w, h, at)
	}
	n := w * h
	buf := make([]byte, 3*n)
	p := &planes{
		w: w, h: h, chromaX: 1, chromaY: 1,
		y:  plane{buf[:n:n], w, w, h},
		cb: plane{buf[n : 2*n : 2*n], w, w, h},
		cr: plane{buf[2*n:], w, w, h},
	}
	i := 0
	for y := range h {
		for x := range w {
			p.y.pix[i], p.cb.pix[i], p.cr.pix[i] = color.RGBToYCbCr(at(x, y))
			i++
		}
	}
	return p
}

// halvedPlanes is planesOfRGB with chroma of half the width and height, each the mean of the
// pixels that it covers.
func halvedPlanes(w, h int, at func(x, y int) (r, g, b uint8)) *planes {
	cw, ch := (w+1)/2, (h+1)/2
	p := &planes{
		w: w, h: h, chromaX: 2, chromaY: 2,
		y:  plane{make([]byte, w*h), w, w, h},
		cb: plane{make([]byte, cw*ch), cw, cw, ch},
		cr: plane{make([]byte, cw*ch), cw, cw, ch},
	}
	for y := 0; y < h; y += 2 {
		for x := 0; x < w; x += 2 {
			n, b, r := 0, 0, 0
			for v := y; v < min(y+2, h); v++ {
				for u := x; u < min(x+2, w); u++ {
					luma, cb, cr := color.RGBToYCbCr(at(u, v))
					p.y.pix[v*w+u] = luma
					n, b, r = n+1, b+int(cb), r+int(cr)
				}
			}
			i := y/2*cw + x/2
			p.cb.pix[i], p.cr.pix[i] = uint8((b+n/2)/n), uint8((r+n/2)/n)
		}
	}
	return p
}
