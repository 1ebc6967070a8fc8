package photo

import (
	"image"

	"bucktail/imaging/raster"
)

// Source is a photo of which parts are decoded as they are wanted: a picture of one fastener
// needs a tenth of the pixels. It may be used by several goroutines.
type Source struct {
	index       *jpegIndex      // nil: whole is decoded already
	whole       *raster.Picture // upright
	orientation int
	data        []byte
	w, h        int // upright, px
}

// Open looks through a photo. An error is as of [Decode]; damage inside a part may show only
// when the part is decoded. data is kept and may not be changed.
func Open(data []byte) (*Source, error) {
	if err := checkBytes(data); err != nil {
		return nil, err
	}
	if sniff(data) == kindJPEG {
		head := scanJPEG(data)
		if err := checkJPEG(data, head); err != nil {
			return nil, err
		}
		if x := indexJPEG(data); x != nil {
			s := &Source{index: x, data: data, orientation: 1, w: x.w, h: x.h}
			if o := readExif(head.exif, head.exifSeen).orientation; o != 0 {
				s.orientation = o
			}
			if _, _, swap := mirrors(s.orientation); swap {
				s.w, s.h = s.h, s.w
			}
			return s, nil
		}
	}
	p, err := Decode(data)
	if err != nil {
		return nil, err
	}
	return &Source{whole: p.Picture, w: p.Width, h: p.Height}, nil
}

// Bounds gives the upright photo's width and height in pixels.
func (s *Source) Bounds() (w, h int) { return s.w, s.h }

// Bytes is what the source holds in memory.
func (s *Source) Bytes() int {
	if s.whole == nil {
		return len(s.data) + s.index.bytes()
	}
	n := len(s.whole.Y.Pix)
	if s.whole.Cb != nil {
		n += len(s.whole.Cb.Pix) + len(s.whole.Cr.Pix)
	}
	return n
}

// Part decodes what of the photo lies inside r (px of the upright photo) and as much around it
// as the file's blocks bring along: at is where the part's first pixel lies in the photo. Its
// pixels are those of [Decode]. It is empty where r misses the photo.
func (s *Source) Part(r image.Rectangle) (pic *raster.Picture, at image.Point, err error) {
	if s.whole != nil {
		return s.whole, image.Point{}, nil
	}
	r = r.Intersect(image.Rect(0, 0, s.w, s.h))
	if r.Empty() {
		return &raster.Picture{Y: &raster.Grey{}, ChromaX: 1, ChromaY: 1}, image.Point{}, nil
	}
	stored := storedRect(r, s.orientation, s.index.w, s.index.h)
	if 2*r.Dx()*r.Dy() < s.w*s.h { // else the standard decoder alone is faster
		cut, from, err := s.index.cut(s.data, stored)
		if err == nil {
			at = uprightRect(image.Rectangle{Min: from, Max: from.Add(image.Pt(cut.w, cut.h))}, s.orientation, s.index.w, s.index.h).Min
			return cut.upright(s.orientation), at, nil
		}
		// What is wrong with the file is said by the decoder of the whole.
	}
	p, err := Decode(s.data)
	if err != nil {
		return nil, image.Point{}, err
	}
	return p.Picture, image.Point{}, nil
}

// storedRect says where a rectangle of the upright picture lies in the w × h stored one.
func storedRect(r image.Rectangle, orientation, w, h int) image.Rectangle {
	mirrorX, mirrorY, swap := mirrors(orientation)
	if swap {
		r = image.Rect(r.Min.Y, r.Min.X, r.Max.Y, r.Max.X)
	}
	return mirrored(r, mirrorX, mirrorY, w, h)
}

// uprightRect is the way back.
func uprightRect(r image.Rectangle, orientation, w, h int) image.Rectangle {
	mirrorX, mirrorY, swap := mirrors(orientation)
	r = mirrored(r, mirrorX, mirrorY, w, h)
	if swap {
		r = image.Rect(r.Min.Y, r.Min.X, r.Max.Y, r.Max.X)
	}
	return r
}

func mirrored(r image.Rectangle, x, y bool, w, h int) image.Rectangle {
	if x {
		r.Min.X, r.Max.X = w-r.Max.X, w-r.Min.X
	}
	if y {
		r.Min.Y, r.Max.Y = h-r.Max.Y, h-r.Min.Y
	}
	return r
}
