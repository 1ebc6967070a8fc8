package photo

import "bucktail/imaging/raster"

// plane is one channel as a decoder left it: rows of stride bytes.
type plane struct {
	pix    []byte
	stride int
	w, h   int
}

// planes is a decoded picture that is not yet upright. cb and cr have no pix in a
// grey picture; chromaX and chromaY are full pixels a chroma pixel.
type planes struct {
	w, h             int
	y, cb, cr        plane
	chromaX, chromaY int
}

// upright applies an EXIF orientation. Rows are taken over without copying where
// the picture lies right and its rows have no gaps.
func (p *planes) upright(orientation int) *raster.Picture {
	out := &raster.Picture{Y: p.y.turned(orientation), ChromaX: p.chromaX, ChromaY: p.chromaY}
	if p.cb.pix == nil {
		out.ChromaX, out.ChromaY = 1, 1
		return out
	}
	// A chroma pixel covers full pixels from the left and the top. Mirrored, that
	// still holds only if the size is a whole number of chroma pixels; if not
	// (rare), chroma goes to full size on that axis first.
	mirrorX, mirrorY, swap := mirrors(orientation)
	cb, cr, cx, cy := p.cb, p.cr, p.chromaX, p.chromaY
	if mirrorX && p.w%cx != 0 {
		cb, cr, cx = cb.widened(p.w, cx), cr.widened(p.w, cx), 1
	}
	if mirrorY && p.h%cy != 0 {
		cb, cr, cy = cb.heightened(p.h, cy), cr.heightened(p.h, cy), 1
	}
	if swap {
		cx, cy = cy, cx
	}
	out.Cb, out.Cr = cb.turned(orientation), cr.turned(orientation)
	out.ChromaX, out.ChromaY = cx, cy
	return out
}

// mirrors splits an orientation into mirroring the stored columns, mirroring the
// stored rows, and then exchanging x and y.
// Source: CIPA DC-008 (Exif), tag 0x0112, which is TIFF 6.0 p. 36: the value names
// where row 0 and column 0 of the stored picture lie in the upright one.
func mirrors(orientation int) (x, y, swap bool) {
	switch orientation {
	case 2: // row 0 top, column 0 right
		return true, false, false
	case 3: // bottom, right
		return true, true, false
	case 4: // bottom, left
		return false, true, false
	case 5: // left, top
		return false, false, true
	case 6: // right, top
		return false, true, true
	case 7: // right, bottom
		return true, true, true
	case 8: // left, bottom
		return true, false, true
	}
	return false, false, false
}

// turned gives the plane upright.
func (p plane) turned(orientation int) *raster.Grey {
	mirrorX, mirrorY, swap := mirrors(orientation)
	if !mirrorX && !mirrorY && !swap && p.stride == p.w {
		return &raster.Grey{W: p.w, H: p.h, Pix: p.pix[: p.w*p.h : p.w*p.h]}
	}
	if swap {
		return p.transposed(mirrorX, mirrorY)
	}
	out := raster.NewGrey(p.w, p.h)
	for y := range p.h {
		row := p.row(y, mirrorY)
		dst := out.Pix[y*p.w : (y+1)*p.w]
		if !mirrorX {
			copy(dst, row)
			continue
		}
		for x, v := range row {
			dst[len(dst)-1-x] = v
		}
	}
	return out
}

// row gives stored row y, counted from the bottom if mirrored.
func (p plane) row(y int, mirrored bool) []byte {
	if mirrored {
		y = p.h - 1 - y
	}
	return p.pix[y*p.stride : y*p.stride+p.w]
}

// transposed exchanges x and y after mirroring. It works in square tiles: both the
// 32 rows read and the 32 rows written then stay in the first cache (64 lines of 64
// bytes), where whole columns would miss on every pixel.
func (p plane) transposed(mirrorX, mirrorY bool) *raster.Grey {
	const tile = 32
	out := raster.NewGrey(p.h, p.w)
	for y0 := 0; y0 < p.h; y0 += tile {
		y1 := min(y0+tile, p.h)
		for x0 := 0; x0 < p.w; x0 += tile {
			x1 := min(x0+tile, p.w)
			// Stored pixel (x, y) goes to column y, row x, each counted from the far
			// end where mirrored.
			first, step := y0*p.stride, p.stride
			if mirrorY {
				first, step = (p.h-1-y0)*p.stride, -p.stride
			}
			for x := x0; x < x1; x++ {
				i := first + x
				if mirrorX {
					i = first + p.w - 1 - x
				}
				for k := x*p.h + y0; k < x*p.h+y1; k++ {
					out.Pix[k] = p.pix[i]
					i += step
				}
			}
		}
	}
	return out
}

// widened repeats each pixel factor times across, up to w.
func (p plane) widened(w, factor int) plane {
	out := plane{pix: make([]byte, w*p.h), stride: w, w: w, h: p.h}
	for y := range p.h {
		row := p.row(y, false)
		for x := range w {
			out.pix[y*w+x] = row[x/factor]
		}
	}
	return out
}

// heightened repeats each row factor times, up to h.
func (p plane) heightened(h, factor int) plane {
	out := plane{pix: make([]byte, p.w*h), stride: p.w, w: p.w, h: h}
	for y := range h {
		copy(out.pix[y*p.w:(y+1)*p.w], p.row(y/factor, false))
	}
	return out
}
