// Package annotate draws the answer to a photo upon it, as a shop drawing would: fitted
// outlines, dimension lines with arrowheads and extension lines in the sheet's perspective,
// values that stand upright in their lines, and each location's verdict by shape, word and
// colour, with the list of them below. It measures and judges nothing.
//
// The manner is that of ISO 129-1: a dimension line is broken for its value (the standard's
// second method), arrowheads stand outside where there is no room between them, and extension
// lines begin off the feature and pass the dimension line. Sizes are in CSS px of a picture
// that is 390 px wide, as a phone shows it; the picture itself is several times finer.
//
// Start with [Draw] and [Options].
package annotate

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"math"
	"strconv"

	"bucktail/imaging/answer"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Options say how a picture is drawn. The zero value is a whole picture in millimetres with
// locations numbered from 1.
type Options struct {
	Units qc.Units // "" means millimetres
	Tags  []string // names of the locations, in the document's order; numbers for those it lacks
	// PhotoAlone leaves the list of verdicts below the photo away, for a page that has its
	// own. The values on the photo carry no ± U unless there is only one fastener, so that page
	// must give it.
	PhotoAlone bool
	MaxSide    int // longer side of the picture, px; 0: 2000
	// Aspect is width over height of the photo's part, as far as the photo goes and values find
	// room; 0: as it comes.
	Aspect float64
}

const usualSide = 2000

// smallerCopy says whether a picture of w by h may be one of ofW by ofH made smaller, both sides
// rounded to pixels.
func smallerCopy(w, h, ofW, ofH int) bool {
	if w == ofW && h == ofH {
		return true
	}
	return w > 0 && w < ofW && math.Abs(float64(h)-float64(ofH)*float64(w)/float64(ofW)) <= 1+float64(ofH)/float64(ofW)
}

// Photo is an upright photo of which parts can be had.
type Photo interface {
	// Bounds gives its width and height, px.
	Bounds() (w, h int)
	// Part gives a picture that covers r, and where its first pixel lies in the photo.
	Part(r image.Rectangle) (pic *raster.Picture, at image.Point, err error)
}

// whole is a photo that is decoded already.
type whole struct{ *raster.Picture }

func (p whole) Part(image.Rectangle) (*raster.Picture, image.Point, error) {
	return p.Picture, image.Point{}, nil
}

// Draw gives the part of the photo that the answer speaks of, with its dimensions, and below
// it the list of verdicts. pic is the upright photo that the document was made from, or a smaller
// copy of it where the photo itself is not at hand.
//
// It fails where the document has no scale, or is not of a picture of this shape.
func Draw(doc *answer.Document, pic *raster.Picture, opt Options) (*image.RGBA, error) {
	return DrawOn(doc, whole{pic}, opt)
}

// DrawOn is [Draw] on a photo of which only the part that is shown is asked for.
func DrawOn(doc *answer.Document, photo Photo, opt Options) (*image.RGBA, error) {
	if doc.Scale == nil {
		return nil, errors.New("without a scale there are no dimensions to draw")
	}
	if w, h := photo.Bounds(); !smallerCopy(w, h, doc.Width, doc.Height) {
		return nil, fmt.Errorf("the answer is for a photo of %d × %d px, this one has %d × %d", doc.Width, doc.Height, w, h)
	}
	if opt.Units == "" {
		opt.Units = qc.Millimetres
	}
	if opt.MaxSide <= 0 {
		opt.MaxSide = usualSide
	}
	p := newPlan(doc, &opt)
	f := newFrame(p)
	var rows *list
	height := f.height
	if !opt.PhotoAlone {
		rows = newList(doc, &opt)
		height += rows.height
	}
	// Below leastFine picture px a CSS px letters fray; above four the photo is only blown up.
	s := min(max(float64(opt.MaxSide)/max(frameWidth, height), leastFine), 4)
	part, err := photoPart(photo, f, doc.Width, s)
	if err != nil {
		return nil, err
	}
	c := canvasOn(part, s)
	if rows != nil {
		c = newCanvas(frameWidth, height, s)
		draw.Draw(c.img, part.Rect, part, image.Point{}, draw.Src)
	}
	d := newDrawing(p, f)
	d.place()
	d.paint(c)
	if rows != nil {
		rows.draw(c, f.height)
	}
	return c.img, nil
}

const leastFine = 1.6

// tag names a location.
func (o *Options) tag(i int) string {
	if i < len(o.Tags) && o.Tags[i] != "" {
		return o.Tags[i]
	}
	return strconv.Itoa(i + 1)
}

// vec is a place or a way in CSS px of the picture, x right, y down, from its top left.
type vec struct{ x, y float64 }

func (a vec) add(b vec) vec           { return vec{a.x + b.x, a.y + b.y} }
func (a vec) sub(b vec) vec           { return vec{a.x - b.x, a.y - b.y} }
func (a vec) mul(k float64) vec       { return vec{a.x * k, a.y * k} }
func (a vec) dot(b vec) float64       { return a.x*b.x + a.y*b.y }
func (a vec) len() float64            { return math.Hypot(a.x, a.y) }
func (a vec) turned() vec             { return vec{-a.y, a.x} }
func (a vec) mid(b vec) vec           { return a.add(b).mul(0.5) }
func (a vec) on(b vec, t float64) vec { return a.add(b.sub(a).mul(t)) }

// unit is a's direction; to the right where a has none.
func (a vec) unit() vec {
	l := a.len()
	if !(l > 1e-9) {
		return vec{1, 0}
	}
	return a.mul(1 / l)
}

// box is an upright rectangle in CSS px.
type box struct{ x0, y0, x1, y1 float64 }

func boxAt(c vec, hw, hh float64) box { return box{c.x - hw, c.y - hh, c.x + hw, c.y + hh} }

func (b box) grown(m float64) box { return box{b.x0 - m, b.y0 - m, b.x1 + m, b.y1 + m} }
func (b box) centre() vec         { return vec{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2} }
func (b box) meets(o box) bool    { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }
func (b box) holds(o box) bool {
	return b.x0 <= o.x0 && b.y0 <= o.y0 && b.x1 >= o.x1 && b.y1 >= o.y1
}

// round tells whether a circle reaches into the box.
func (b box) round(c vec, r float64) bool {
	dx := max(b.x0-c.x, 0, c.x-b.x1)
	dy := max(b.y0-c.y, 0, c.y-b.y1)
	return math.Hypot(dx, dy) < r
}

// cut gives the length of the line from p to q inside the box.
//
// Source: Y.-D. Liang and B. A. Barsky, ACM Trans. Graphics 3 (1984) 1-22.
func (b box) cut(p, q vec) float64 {
	t0, t1 := 0.0, 1.0
	d := q.sub(p)
	for _, e := range [4][2]float64{{-d.x, p.x - b.x0}, {d.x, b.x1 - p.x}, {-d.y, p.y - b.y0}, {d.y, b.y1 - p.y}} {
		switch {
		case e[0] == 0:
			if e[1] < 0 {
				return 0
			}
		case e[0] < 0:
			t0 = max(t0, e[1]/e[0])
		default:
			t1 = min(t1, e[1]/e[0])
		}
	}
	return max(0, t1-t0) * d.len()
}

// reach is how far a box of these half sizes extends from its middle along u.
func reach(hw, hh float64, u vec) float64 {
	return min(hw/max(math.Abs(u.x), 1e-9), hh/max(math.Abs(u.y), 1e-9))
}

// nearLine is the distance of p from the line between a and b.
func nearLine(p, a, b vec) float64 {
	d := b.sub(a)
	t := 0.0
	if l := d.dot(d); l > 0 {
		t = min(max(p.sub(a).dot(d)/l, 0), 1)
	}
	return p.sub(a.add(d.mul(t))).len()
}
