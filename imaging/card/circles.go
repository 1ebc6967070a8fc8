package card

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// Circle is a ring of known size, printed beside the cards on a piece of its own: a phone is proven on
// these, see package gaugestudy. The middle of its line counts, for there the ink that spreads on both
// sides of it cancels.
type Circle struct {
	At         geom.CardPoint // its middle on the piece, printed mm from its top left corner
	DiameterMM float64        // of the middle of the line, as printed
}

// Circles are those of the piece. No two are alike and none is like a target, so that each is known by
// its size. Large and small ones lie mixed, so that no place goes with a size.
var Circles = []Circle{
	{geom.CardPoint{X: 9.5, Y: 12}, 10}, {geom.CardPoint{X: 26, Y: 12}, 5.2}, {geom.CardPoint{X: 42, Y: 12}, 7.6},
	{geom.CardPoint{X: 9.5, Y: 29}, 6.4}, {geom.CardPoint{X: 26, Y: 29}, 8.8}, {geom.CardPoint{X: 42, Y: 29}, 3.2},
}

// The piece's printed size, mm.
const (
	CirclesWidthMM  = 52.0
	CirclesHeightMM = 42.0
)

// halfLine is half the width of a circle's line, as a part of its diameter: that of the targets, which
// the finder is made for.
const halfLine = 0.11

// Radii gives the printed radii of both borders of its line, mm.
func (c Circle) Radii() (outer, inner float64) {
	r := c.DiameterMM / 2
	return r * (1 + 2*halfLine), r * (1 - 2*halfLine)
}

// Ring is a dark ring that is none of the card's targets.
type Ring struct {
	CentrePx geom.PxPoint
	RadiusPx float64 // of its outer border, on the average
}

// FindAll is [Find], and gives the other rings that the picture shows.
func FindAll(pic *raster.Picture) (*Match, []Ring, error) {
	f := Finder{pic: pic}
	m, err := f.FindIn(pic.Y)
	if err != nil {
		return nil, nil, err
	}
	// The search ends with the card; smaller rings show in a finer picture.
	if lv := f.level(pic.Y, max(1, baseFactor(pic.Y, photoWorkPx)/2)); f.seg.segment(&lv.g, 30, darkPer256, darkOffset) {
		f.seg.fill()
		f.rings = f.seg.rings(f.rings, &lv)
	}
	var out []Ring
	for _, r := range cleanest(f.rings) {
		at := geom.PxPoint{U: r.x, V: r.y}
		own := false
		for _, t := range m.Targets {
			own = own || t.CentrePx.Sub(at).Norm() < t.MajorPx
		}
		if !own && !r.full {
			out = append(out, Ring{at, 2 * math.Sqrt((r.xx+r.yy)/2)})
		}
	}
	return m, out, nil
}
