package report

import (
	"bucktail/qc"
	"bucktail/qc/drawing"
	"bucktail/qc/paper"
)

// show puts a finding's picture into a place on the page, with what is drawn over it as lines and
// text.
func (w *writer) show(pic Picture, x, y, width, height float64) error {
	d := w.sheet.d
	px, py, pw, ph, err := d.Picture(pic.Data, x, y, width, height)
	if err == nil && pic.Drawing != nil {
		d.Clip(px, py, pw, ph, func() { newOver(d, pic.Drawing(pw), px, py, pw).draw() })
	}
	return err
}

// over lays a drawing over a picture.
type over struct {
	doc  *paper.Doc
	from *drawing.Drawing
	x, y float64 // its top left corner on the page, mm
	k    float64 // mm a unit
	text paper.Style
}

func newOver(d *paper.Doc, from *drawing.Drawing, x, y, width float64) *over {
	k := width / from.Width
	return &over{d, from, x, y, k, paper.Style{Font: paper.Bold, SizePt: from.TextSize * k / paper.MMPerPt}}
}

func (o *over) draw() {
	for _, l := range o.from.Lines {
		path := o.path(l.Under(), l.Closed)
		if l.Width == 0 {
			o.doc.Fill(path, white)
		}
		o.doc.Stroke(path, paper.Pen{WidthMM: l.Halo * o.k, Colour: white, Round: true})
	}
	for _, l := range o.from.Lines {
		path, col := o.path(l.Points, l.Closed), inkColour(l.Ink)
		if l.Width == 0 {
			o.doc.Fill(path, col)
			continue
		}
		pen := paper.Pen{WidthMM: l.Width * o.k, Colour: col, Round: true}
		if l.Dashed {
			pen.DashMM = []float64{drawing.DashOn * o.k, drawing.DashOff * o.k}
		}
		o.doc.Stroke(path, pen)
	}
	for _, v := range o.from.Values {
		o.fill(v.Box, white)
		x, y := o.at(v.Box.Centre())
		o.doc.TextCentre(x, y+o.rise(), v.Text, inked(o.text, inkColour(v.Ink)))
	}
	for _, t := range o.from.Tags {
		o.fill(t.Box.Grown(1.5), white)
		o.fill(t.Box, inkColour(t.Ink))
		middle := t.Box.Centre().Y
		x, y := o.at(drawing.Point{X: t.ShapeX, Y: middle})
		if t.Verdict != "" {
			verdictShapeIn(o.doc, t.Verdict, x, y, drawing.ShapeSide*o.k, white)
		}
		x, y = o.at(drawing.Point{X: t.TextX, Y: middle})
		o.doc.Text(x, y+o.rise(), t.Text, inked(o.text, white))
	}
}

// rise is how far a baseline lies under the middle of its figures; they are 0.72 of the size high
// in the bold font.
func (o *over) rise() float64 { return o.from.TextSize * 0.72 / 2 * o.k }

func (o *over) at(p drawing.Point) (x, y float64) { return o.x + p.X*o.k, o.y + p.Y*o.k }

func (o *over) path(points drawing.Path, closed bool) *paper.Path {
	p := new(paper.Path)
	for i, q := range points {
		if x, y := o.at(q); i == 0 {
			p.Move(x, y)
		} else {
			p.Line(x, y)
		}
	}
	if closed {
		p.Close()
	}
	return p
}

func (o *over) fill(b drawing.Box, c paper.Colour) {
	o.doc.Fill(o.path(b.Corners(), true), c)
}

func inkColour(i drawing.Ink) paper.Colour {
	switch i {
	case drawing.Plain:
		return ink
	case drawing.Pencil:
		return pencil
	}
	return verdictColour(qc.Verdict(i))
}
