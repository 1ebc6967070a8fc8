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
