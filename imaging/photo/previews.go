package photo

import (
	"image"
	"image/color"

	dimaging "github.com/disintegration/imaging"

	"bucktail/imaging/raster"
)

// Preview gives the picture for people, its longer side at most maxSide px (at least
// 1). A smaller picture keeps its size.
func Preview(pic *raster.Picture, maxSide int) image.Image {
	w, h := pic.Bounds()
	return shrink(pic, image.Rect(0, 0, w, h), maxSide)
}

// Crop gives the part of the picture inside r (px of the upright picture, clipped to
// it), its longer side at most maxSide px. It is empty where r misses the picture.
func Crop(pic *raster.Picture, r image.Rectangle, maxSide int) image.Image {
	w, h := pic.Bounds()
	return shrink(pic, r.Intersect(image.Rect(0, 0, w, h)), maxSide)
}

// shrink averages whole blocks down to one to two times the wanted size, which is
// cheap and free of aliasing, and leaves the rest to a good filter. The filter only
// ever sees pictures made here: it works in goroutines of its own, where a panic
// over a bad picture could not be caught.
func shrink(pic *raster.Picture, r image.Rectangle, maxSide int) image.Image {
	maxSide = max(maxSide, 1)
	if r.Empty() {
		return image.NewNRGBA(image.Rectangle{})
	}
	long := max(r.Dx(), r.Dy())
	if long <= maxSide {
		return reduce(pic, r, 1)
	}
	size := func(side int) int { return max(1, (2*side*maxSide+long)/(2*long)) } // rounded
	return dimaging.Resize(reduce(pic, r, long/maxSide), size(r.Dx()), size(r.Dy()), dimaging.Lanczos)
}

// reduce averages blocks of block × block pixels of r and converts them to RGB. A
// last block that r cuts is averaged over what there is of it.
func reduce(pic *raster.Picture, r image.Rectangle, block int) *image.NRGBA {
	out := image.NewNRGBA(image.Rect(0, 0, (r.Dx()+block-1)/block, (r.Dy()+block-1)/block))
	for oy := range out.Rect.Dy() {
		y0 := r.Min.Y + oy*block
		y1 := min(y0+block, r.Max.Y)
		dst := out.Pix[oy*out.Stride:]
		for ox := range out.Rect.Dx() {
			x0 := r.Min.X + ox*block
			x1 := min(x0+block, r.Max.X)
			y := mean(pic.Y, x0, y0, x1, y1)
			p := dst[4*ox : 4*ox+4]
			if pic.Cb == nil {
				p[0], p[1], p[2], p[3] = y, y, y, 255
				continue
			}
			// The chroma pixels that lie under the block.
			cx0, cx1 := x0/pic.ChromaX, (x1-1)/pic.ChromaX+1
			cy0, cy1 := y0/pic.ChromaY, (y1-1)/pic.ChromaY+1
			p[0], p[1], p[2] = color.YCbCrToRGB(y, mean(pic.Cb, cx0, cy0, cx1, cy1), mean(pic.Cr, cx0, cy0, cx1, cy1))
			p[3] = 255
		}
	}
	return out
}

// mean averages the pixels x0 <= x < x1, y0 <= y < y1, which are inside g.
func mean(g *raster.Grey, x0, y0, x1, y1 int) uint8 {
	if x1-x0 == 1 && y1-y0 == 1 {
		return g.Pix[y0*g.W+x0]
	}
	sum := 0
	for y := y0; y < y1; y++ {
		for _, v := range g.Pix[y*g.W+x0 : y*g.W+x1] {
			sum += int(v)
		}
	}
	n := (x1 - x0) * (y1 - y0)
	return uint8((sum + n/2) / n)
}
