package template

import (
	"fmt"

	"bucktail/qc/paper"
	"bucktail/qc/sketch"
)

// pens by role. The outline is drawn about its true place, so its middle is the edge.
var pens = map[sketch.Role]paper.Pen{
	sketch.Outline: {WidthMM: 0.35, Colour: black, Round: true},
	sketch.Behind:  {WidthMM: 0.2, Colour: soft, DashMM: []float64{2, 1.2}},
	sketch.Bend:    {WidthMM: 0.25, Colour: black, DashMM: []float64{4, 1, 1, 1}},
	sketch.Sight:   {WidthMM: 0.2, Colour: pencil, DashMM: []float64{1, 1}},
	sketch.Centre:  {WidthMM: 0.15, Colour: soft, DashMM: []float64{6, 1, 1, 1}},
	sketch.Band:    {WidthMM: 0.15, Colour: pencil},
}

func draw(d *paper.Doc, s sketch.Sketch, t Tile) {
	for _, l := range s.Lines {
		var p paper.Path
		for i, q := range l.Points {
			x, y := t.At(q)
			if i == 0 {
				p.Move(x, y)
			} else {
				p.Line(x, y)
			}
		}
		if l.Closed {
			p.Close()
		}
		d.Stroke(&p, pens[l.Role])
	}
	for _, h := range s.Holes {
		x, y := t.At(h.At)
		target(d, x, y, h.DMM/2)
		if h.Tag != "" {
			d.Text(x+h.DMM/2+0.9, y-h.DMM/2-0.4, h.Tag, tag)
		}
	}
}

// target draws where to centre-punch: a dot of 0.5 mm in the middle of the drill's circle, with a
// cross that stops short of it.
func target(d *paper.Doc, x, y, r float64) {
	d.Fill(new(paper.Path).Circle(x, y, DotMM/2), black)
	d.Stroke(new(paper.Path).Circle(x, y, r), paper.Pen{WidthMM: 0.12, Colour: soft})
	var cross paper.Path
	const gap = 0.7
	reach := r + 2.2
	cross.Move(x-reach, y).Line(x-gap, y).Move(x+gap, y).Line(x+reach, y).Move(x, y-reach).Line(x, y-gap).Move(x, y+gap).Line(x, y+reach)
	d.Stroke(&cross, paper.Pen{WidthMM: 0.12, Colour: black})
}

// DotMM is how wide the dot at a hole's centre is.
const DotMM = 0.5

// joins draws the window of a page of several: where the next one is laid, both show the same.
func joins(d *paper.Doc, t Tile, of int) {
	if of == 1 {
		return
	}
	pen := paper.Pen{WidthMM: 0.15, Colour: pencil, DashMM: []float64{3, 1.5}}
	style := paper.Style{Font: paper.Regular, SizePt: 7.5, Colour: pencil}
	number := func(col, row int) int { return row*t.Cols + col + 1 }
	x, y := float64(leftMM), float64(topMM)
	words := func(n int) string { return fmt.Sprintf("lay page %d on this line", n) }
	if t.Col+1 < t.Cols {
		d.Line(x+t.W-overlapMM/2, y, x+t.W-overlapMM/2, y+t.H, pen)
		d.TextUp(x+t.W-overlapMM/2-0.8, y+t.H-4, words(number(t.Col+1, t.Row)), style)
	}
	if t.Col > 0 {
		d.Line(x+overlapMM/2, y, x+overlapMM/2, y+t.H, pen)
	}
	if t.Row+1 < t.Rows {
		d.Line(x, y+t.H-overlapMM/2, x+t.W, y+t.H-overlapMM/2, pen)
		d.Text(x+4, y+t.H-overlapMM/2-0.8, words(number(t.Col, t.Row+1)), style)
	}
	if t.Row > 0 {
		d.Line(x, y+overlapMM/2, x+t.W, y+overlapMM/2, pen)
	}
}
