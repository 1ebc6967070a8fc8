package annotate

import (
	"image/color"
	"math"

	"bucktail/qc"
	"bucktail/qc/drawing"
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

// frameWidth is that of all pictures, CSS px.
const frameWidth = 390

var (
	rowFace  = faceKey{true, 17}
	unitFace = faceKey{false, 17}
	noteFace = faceKey{false, 13}
)

// shapeSide is the side of the square that a verdict's shape in the list fills, CSS px.
const shapeSide = 18.0

func colourOf(v qc.Verdict) color.NRGBA { return colourIn(drawing.Of(v)) }

func colourIn(ink drawing.Ink) color.NRGBA {
	if c, ok := verdictColour[qc.Verdict(ink)]; ok {
		return c
	}
	if ink == drawing.Pencil {
		return pencilColour
	}
	return inkColour
}

// verdictShape draws the decision itself in a square of side CSS px about c: upright strokes
// are limits, the round is the value. Drawn on a field of 24 units.
func verdictShape(v qc.Verdict, c vec, side float64) shape {
	var s shape
	k := side / 24
	at := func(x, y float64) vec { return vec{X: c.X + (x-12)*k, Y: c.Y + (y-12)*k} }
	bar := func(x, y, w, h float64) {
		a, b := at(x, y), at(x+w, y+h)
		s.box(box{X0: a.X, Y0: a.Y, X1: b.X, Y1: b.Y})
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
			a, b := vec{X: e[0], Y: e[1]}, vec{X: e[2], Y: e[3]}
			u := b.Sub(a).Unit().Mul(d / 2)
			p, q := a.Add(u), b.Sub(u)
			s.line(at(p.X, p.Y), at(q.X, q.Y), 3*k)
		}
	}
	return s
}
