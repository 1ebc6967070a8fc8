package annotate

import (
	"image/color"
	"math"

	"bucktail/qc"
)

// Ink on a photo is the same in all themes, because the photo is; the pale halo carries the
// contrast on bare metal, primer, wood and black alike.
var (
	inkColour     = color.NRGBA{0x0a, 0x15, 0x1d, 0xff}
	haloColour    = color.NRGBA{0xff, 0xff, 0xff, 0xeb}
	plaqueColour  = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	sheetColour   = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	secondColour  = color.NRGBA{0x46, 0x57, 0x63, 0xff}
	softRule      = color.NRGBA{0xd3, 0xdc, 0xdf, 0xff}
	pencilColour  = color.NRGBA{0x0b, 0x4f, 0x98, 0xff} // what the program asks
	verdictColour = map[qc.Verdict]color.NRGBA{
		qc.Within:   {0x00, 0x5c, 0x47, 0xff},
		qc.TooClose: {0x6b, 0x43, 0x00, 0xff},
		qc.Out:      {0xa8, 0x1e, 0x12, 0xff},
	}
)

// Line widths and sizes, CSS px.
const (
	frameWidth     = 390
	extensionWidth = 1.2
	dimensionWidth = 1.5
	outlineWidth   = 2.2
	haloAdd        = 3.5
	arrowLength    = 11
	arrowWidth     = 3.6
	outsideTail    = 22 // of an arrow that points from outside
	leastBetween   = 2*arrowLength + 8
	leastHead      = 34 // a smaller head shows what is not within, and its tag
	markWidth      = 1.2
)

// Sizes on the sheet, mm.
const (
	extensionOff  = 0.8 // an extension line starts off the feature
	extensionPast = 0.8 // and passes the dimension line
	markArm       = 0.9
	chainOff      = 6 // pitch chain off the heads, least
)

const mostValues = 12

var (
	valueFace = faceKey{true, 15}
	tagFace   = faceKey{true, 15}
	rowFace   = faceKey{true, 17}
	unitFace  = faceKey{false, 17}
	noteFace  = faceKey{false, 13}
)

const (
	plaquePad  = 4.0
	plaqueHalf = 15*capHeight/2 + plaquePad // half height
	tagHalf    = 14.0
	shapeSide  = 18.0
)

func colourOf(v qc.Verdict) color.NRGBA {
	if v == qc.Unread {
		v = qc.Within // told apart by its shape and word
	}
	if c, ok := verdictColour[v]; ok {
		return c
	}
	return inkColour
}

// verdictShape draws the decision itself in a square of side CSS px about c: upright strokes
// are limits, the round is the value. Drawn on a field of 24 units.
func verdictShape(v qc.Verdict, c vec, side float64) shape {
	var s shape
	k := side / 24
	at := func(x, y float64) vec { return vec{c.x + (x-12)*k, c.y + (y-12)*k} }
	bar := func(x, y, w, h float64) {
		a, b := at(x, y), at(x+w, y+h)
		s.box(box{a.x, a.y, b.x, b.y})
	}
	switch v {
	case qc.Within:
		bar(2, 2, 3, 20)
		bar(19, 2, 3, 20)
		s.disc(at(12, 12), 5.6*k)
	case qc.Unread: // one limit is broken, the value is not whole
		bar(2, 2, 3, 20)
		bar(19, 2, 3, 5)
		bar(19, 17, 3, 5)
		s.curve(arc(at(12, 12), 4.6*k, 0, 2*math.Pi), 1.8*k, true)
	case qc.TooClose:
		bar(10.5, 0, 3, 24)
		s.add(arc(at(12, 12), 7.8*k, math.Pi/2, 3*math.Pi/2))
		s.curve(arc(at(12, 12), 6.8*k, 0, 2*math.Pi), 2.4*k, true)
	case qc.Out:
		bar(1, 2, 3, 20)
		d := 3 / math.Sqrt2
		for _, e := range [2][4]float64{{8.2, 4.2, 23, 19.8}, {8.2, 19.8, 23, 4.2}} {
			a, b := vec{e[0], e[1]}, vec{e[2], e[3]}
			u := b.sub(a).unit().mul(d / 2)
			p, q := a.add(u), b.sub(u)
			s.line(at(p.x, p.y), at(q.x, q.y), 3*k)
		}
	}
	return s
}
