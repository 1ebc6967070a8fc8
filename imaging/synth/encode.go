package synth

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"io"
)

// Encode writes an upright rendering as the phone's JPEG: turned back by its orientation,
// with the EXIF facts of the scene.
func (s *Scene) Encode(w io.Writer, upright *image.RGBA) error {
	b, err := s.Compress(unturn(upright, s.Orientation))
	if err != nil {
		return err
	}
	if s.Stripped {
		if _, err := w.Write(b); err != nil {
			return fmt.Errorf("write the rendering: %w", err)
		}
		return nil
	}
	app1 := s.exif()
	head := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(app1)+2))...)
	for _, part := range [][]byte{head, app1, b[2:]} {
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("write the rendering: %w", err)
		}
	}
	return nil
}

// Compress gives a picture as JPEG without EXIF facts, by way of the qualities that it is
// said to have gone through before.
func (s *Scene) Compress(img image.Image) ([]byte, error) {
	var body bytes.Buffer
	for _, q := range s.Processing.Earlier {
		body.Reset()
		if err := jpeg.Encode(&body, img, &jpeg.Options{Quality: q}); err != nil {
			return nil, fmt.Errorf("encode the rendering: %w", err)
		}
		again, err := jpeg.Decode(&body)
		if err != nil {
			return nil, fmt.Errorf("decode the rendering: %w", err)
		}
		img = again
	}
	body.Reset()
	if err := jpeg.Encode(&body, img, &jpeg.Options{Quality: s.Sensor.JPEGQuality}); err != nil {
		return nil, fmt.Errorf("encode the rendering: %w", err)
	}
	return body.Bytes(), nil
}

// unturn gives the picture as the sensor lies: showing it by EXIF orientation o (1, 6 or 8)
// makes it upright again.
func unturn(p *image.RGBA, o int) *image.RGBA {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	if o != 6 && o != 8 {
		return p
	}
	q := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			// Orientation 6 is shown turned 90 degrees clockwise, 8 counterclockwise.
			i, j := y, w-1-x
			if o == 8 {
				i, j = h-1-y, x
			}
			copy(q.Pix[4*(j*h+i):4*(j*h+i)+4], p.Pix[4*(y*w+x):])
		}
	}
	return q
}

// exif builds the APP1 payload: TIFF, little endian (CIPA DC-008, Exif 2.32).
func (s *Scene) exif() []byte {
	type field struct {
		tag, kind uint16
		count     uint32
		value     []byte
	}
	le := binary.LittleEndian
	short := func(tag uint16, v int) field {
		return field{tag, 3, 1, le.AppendUint16(nil, uint16(v))}
	}
	long := func(tag uint16, v uint32) field { return field{tag, 4, 1, le.AppendUint32(nil, v)} }
	text := func(tag uint16, v string) field {
		return field{tag, 2, uint32(len(v) + 1), append([]byte(v), 0)}
	}
	ratio := func(tag uint16, v float64) field {
		b := le.AppendUint32(nil, uint32(v*1000+0.5))
		return field{tag, 5, 1, le.AppendUint32(b, 1000)}
	}
	dir := func(at int, fs []field) []byte {
		b := le.AppendUint16(nil, uint16(len(fs)))
		data := at + 2 + 12*len(fs) + 4
		var rest []byte
		for _, f := range fs {
			b = le.AppendUint16(b, f.tag)
			b = le.AppendUint16(b, f.kind)
			b = le.AppendUint32(b, f.count)
			if len(f.value) <= 4 {
				b = append(b, append(f.value, make([]byte, 4-len(f.value))...)...)
				continue
			}
			b = le.AppendUint32(b, uint32(data+len(rest)))
			rest = append(rest, f.value...)
			if len(rest)%2 == 1 {
				rest = append(rest, 0)
			}
		}
		return append(le.AppendUint32(b, 0), rest...)
	}
	main := []field{text(0x010f, "Synthetic"), text(0x0110, "Render"), short(0x0112, s.Orientation), long(0x8769, 0)}
	at := 8 + len(dir(8, main))
	main[3] = long(0x8769, uint32(at))
	sub := []field{text(0x9003, s.Taken), ratio(0x920a, s.FocalMM)}
	if s.DigitalZoom > 0 {
		sub = append(sub, ratio(0xa404, s.DigitalZoom))
	}
	sub = append(sub, short(0xa405, s.Focal35MM))
	b := append([]byte("Exif\x00\x00II*\x00"), 8, 0, 0, 0)
	b = append(b, dir(8, main)...)
	return append(b, dir(at, sub)...)
}
