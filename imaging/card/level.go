package card

import "bucktail/imaging/raster"

// level is the picture reduced by a whole factor; one of its pixels is the mean of
// factor × factor of the full picture.
type level struct {
	g      raster.Grey
	factor int
}

// toFull turns a coordinate of the level into one of the full picture: both count from
// the centre of their first pixel.
func (l *level) toFull(x float64) float64 {
	s := float64(l.factor)
	return (x+0.5)*s - 0.5
}

// halve fills dst with src reduced by two, taking dst's memory if it is large enough.
// A last odd row or column is left out.
func halve(dst, src *raster.Grey) {
	w, h := src.W/2, src.H/2
	if cap(dst.Pix) < w*h {
		dst.Pix = make([]uint8, w*h)
	}
	dst.W, dst.H, dst.Pix = w, h, dst.Pix[:w*h]
	for y := 0; y < h; y++ {
		a := src.Pix[2*y*src.W:][:2*w]
		b := src.Pix[(2*y+1)*src.W:][:2*w]
		d := dst.Pix[y*w:][:w]
		for x := range d {
			i := 2 * x
			d[x] = uint8((uint32(a[i]) + uint32(a[i+1]) + uint32(b[i]) + uint32(b[i+1]) + 2) >> 2)
		}
	}
}
