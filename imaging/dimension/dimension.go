// Package dimension plans what is drawn on a photo, as a shop drawing would have it: fitted
// outlines, dimension lines with arrowheads and extension lines in the sheet's perspective, values
// that stand upright in their lines, and a tag with its verdict for each location. It measures,
// judges and paints nothing: the app, the report and the picture draw the same plan.
//
// The manner is that of ISO 129-1: a dimension line is broken for its value (the standard's second
// method), arrowheads stand outside where there is no room between them, and extension lines begin
// off the feature and pass the dimension line.
//
// [Of] says what there is to draw, on the sheet, for every view; [Plan.Fit] chooses a part of the
// photo that shows it well, and [Plan.Draw] finds the place of everything in any part.
package dimension

import (
	"errors"
	"image"
	"math"
	"strconv"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/qc"
	"bucktail/qc/drawing"
)

// What says what is drawn of a document, and how values are written. The zero value is all
// locations, numbered from 1, in millimetres.
type What struct {
	Tags      []string // names of the locations, in the document's order; numbers for those it lacks
	Units     qc.Units // "" means millimetres
	Fractions bool     // of an inch, with their remainder; goes with inches
	// Chosen is the number, from 1, of the one location whose dimensions are drawn: its values
	// with their U, its diameter between extension lines, and of the others the outlines alone.
	// 0: all.
	Chosen int
}

// View says which part of the photo a frame shows. Place (0, 0) of the photo is the middle of its
// first pixel.
type View struct {
	Scale         float64 // units of the frame a px
	X, Y          float64 // where the photo's top left corner lies in the frame
	Width, Height float64 // of the frame
}

// At turns a place in the photo into one in the frame.
func (v View) At(p geom.PxPoint) drawing.Point {
	return drawing.Point{X: (p.U+0.5)*v.Scale + v.X, Y: (p.V+0.5)*v.Scale + v.Y}
}

// Part gives the whole pixels of a photo of w by h that the frame shows, and the view of just
// these in a frame of the same width.
func (v View) Part(w, h int) (View, image.Rectangle) {
	at := func(place, shift float64, most int) int {
		return int(min(max(math.Round((place-shift)/v.Scale), 0), float64(most)))
	}
	r := image.Rect(at(0, v.X, w), at(0, v.Y, h), at(v.Width, v.X, w), at(v.Height, v.Y, h))
	if r.Empty() {
		return v, image.Rectangle{}
	}
	k := v.Width / float64(r.Dx())
	return View{Scale: k, X: -float64(r.Min.X) * k, Y: -float64(r.Min.Y) * k, Width: v.Width, Height: float64(r.Dy()) * k}, r
}

// Wide is the same view in a frame of another width.
func (v View) Wide(width float64) View {
	k := width / v.Width
	return View{Scale: v.Scale * k, X: v.X * k, Y: v.Y * k, Width: width, Height: v.Height * k}
}

// Look is how it is drawn where it is shown.
type Look struct {
	TextSize float64 // of values and tags; 0: [TextSize]
	Heavier  float64 // by how much all lines are wider than usual
	// TextWidth is the width of a text in the bold face, in units of its size.
	TextWidth func(text string) float64
	Covered   []drawing.Box // parts of the frame that something else stands over
	Choosing  bool          // others can be chosen, so that the chosen one's tag is marked as such
}

// TextSize is the usual size of values and tags.
const TextSize = 15

// Widths and sizes in units of the frame, CSS px on a screen.
const (
	extensionWidth = 1.2
	dimensionWidth = 1.5
	outlineWidth   = 2.2
	chosenWidth    = 2.5
	markWidth      = 1.2
	haloAdd        = 3.5
	arrowLength    = 11
	arrowWidth     = 3.6
	outsideTail    = 22 // of an arrow that points from outside
	leastBetween   = 2*arrowLength + 8
	leastHead      = 34 // a smaller head shows what is not within, its diameter and its tag
	leastHit       = 24 // radius for a finger
	plaquePad      = 4
	tagHalf        = 14
	chosenRing     = 5 // of pencil round the tag of a chosen one
	border         = 3 // of the frame that values keep clear of
)

// capHeight is the height of figures over the baseline as a fraction of the size: 0.72 in Go's
// bold face (1466 of 2048 units), within 0.02 of it in the faces of phones.
const capHeight = 0.72

// Sizes on the sheet, mm.
const (
	extensionOff  = 0.8 // an extension line starts off the feature
	extensionPast = 0.8 // and passes the dimension line
	markArm       = 0.9
	chainOff      = 6 // pitch chain off the heads, least
)

// mostValues bounds the values of what is within.
const mostValues = 12

// Plan is what there is to draw of one photo, on the sheet. It is not changed by drawing.
type Plan struct {
	doc  *answer.Document
	what What
	cam  *geom.Camera
	all  []*fastener
	// dims stand in the order in which they are placed; rows are the chains of pitches.
	dims  []*dim
	rows  []*row
	rings []ring
}

// Of plans the drawing of a document. It fails where the document has no scale.
func Of(doc *answer.Document, what What) (*Plan, error) {
	if doc.Scale == nil {
		return nil, errors.New("without a scale there are no dimensions to draw")
	}
	if what.Units == "" {
		what.Units = qc.Millimetres
	}
	p := &Plan{doc: doc, what: what, cam: doc.Scale.Camera.Geom()}
	for i := range doc.Locations {
		l := &doc.Locations[i]
		p.all = append(p.all, &fastener{i: i, loc: l, at: geom.SheetPoint{X: l.SheetMM[0], Y: l.SheetMM[1]}, r: l.RadiusMM,
			verdict: l.Whole, ask: l.Ask != nil})
	}
	p.cardRings()
	for _, f := range p.shown() {
		if !f.ask {
			p.diameter(f)
			p.edges(f)
		}
	}
	p.pitches()
	p.tags()
	p.keepWorst()
	return p, nil
}

// shown gives the fasteners that are dimensioned.
func (p *Plan) shown() []*fastener {
	if c := p.what.Chosen; c > 0 && c <= len(p.all) {
		return p.all[c-1 : c]
	}
	return p.all
}

// alone tells that one fastener has all the room: its values carry their U.
func (p *Plan) alone() bool { return len(p.shown()) == 1 }

// tag names a location.
func (w *What) tag(i int) string {
	if i < len(w.Tags) && w.Tags[i] != "" {
		return w.Tags[i]
	}
	return strconv.Itoa(i + 1)
}

// number writes a length for a dimension; with its U where it stands alone.
func (p *Plan) number(valueMM, uMM float64) string {
	unit := " " + string(p.what.Units)
	s := p.what.Units.Number(valueMM)
	if p.what.Fractions {
		s = strings.TrimSuffix(qc.NearestFraction(valueMM).Exact(), unit)
	}
	if p.alone() {
		_, u, _ := strings.Cut(p.what.Units.WithU(valueMM, uMM), " ± ")
		s += " ± " + strings.TrimSuffix(u, unit)
	}
	return s
}
