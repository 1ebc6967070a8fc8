package photo

import (
	"image"

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

func shrink(pic *raster.Picture, r image.Rectangle, maxSide int) image.Image {
	maxSide = max(maxSide, 1)
	if r.Empty() {
		return image.NewRGBA(image.Rectangle{})
	}
	long := max(r.Dx(), r.Dy())
	if long <= maxSide {
		return Scaled(pic, r, r.Dx(), r.Dy())
	}
	size := func(side int) int { return max(1, (2*side*maxSide+long)/(2*long)) } // rounded
	return Scaled(pic, r, size(r.Dx()), size(r.Dy()))
}
