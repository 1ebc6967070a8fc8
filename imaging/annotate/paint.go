package annotate

import (
	"math"

	"bucktail/qc/drawing"
)

// paint draws a drawing.
func (c *canvas) paint(d *drawing.Drawing) {
	var halo shape
	for _, l := range d.Lines {
		if l.Width == 0 {
			halo.add(l.Points)
		}
		halo.curve(l.Under(), l.Halo, l.Closed)
	}
	c.fill(halo, haloColour)
	for i := 0; i < len(d.Lines); { // those of one ink at once: they may not show where they overlap
		var s shape
		ink := d.Lines[i].Ink
		for ; i < len(d.Lines) && d.Lines[i].Ink == ink; i++ {
			s.stroke(d.Lines[i])
		}
		c.fill(s, colourIn(ink))
	}
	face := faceKey{true, d.TextSize}
	for _, v := range d.Values {
		var s shape
		s.box(v.Box)
		c.fill(s, plaqueColour)
		m := v.Box.Centre()
		c.text(vec{X: m.X - textWidth(v.Text, face)/2, Y: m.Y + face.size*capHeight/2}, v.Text, face, colourIn(v.Ink))
	}
	for _, t := range d.Tags {
		c.tag(t, face)
	}
}

func (s *shape) stroke(l drawing.Line) {
	switch {
	case l.Width == 0:
		s.add(l.Points)
	case l.Dashed:
		s.dashes(l.Points, l.Width)
	default:
		s.curve(l.Points, l.Width, l.Closed)
	}
}

// dashes adds a closed line that is not certain.
func (s *shape) dashes(o drawing.Path, width float64) {
	left, on := float64(drawing.DashOn), true
	for i := range o {
		a, b := o[i], o[(i+1)%len(o)]
		for l := b.Sub(a).Len(); l > 0; l = b.Sub(a).Len() {
			step := min(left, l)
			e := a.Add(b.Sub(a).Unit().Mul(step))
			if on {
				s.line(a, e, width)
			}
			if left -= step; left <= 1e-9 {
				if on = !on; on {
					left = drawing.DashOn
				} else {
					left = drawing.DashOff
				}
			}
			if step == l {
				break
			}
			a = e
		}
	}
}

// tag paints a location's name on its verdict. In a picture none is chosen.
func (c *canvas) tag(t drawing.Tag, face faceKey) {
	var border, s shape
	border.box(t.Box.Grown(1.5))
	c.fill(border, plaqueColour)
	s.box(t.Box)
	c.fill(s, colourIn(t.Ink))
	y := t.Box.Centre().Y
	if t.Verdict != "" {
		c.fill(verdictShape(t.Verdict, vec{X: t.ShapeX, Y: y}, drawing.ShapeSide), plaqueColour)
	}
	c.text(vec{X: t.TextX, Y: math.Round((y+face.size*capHeight/2)*c.s) / c.s}, t.Text, face, plaqueColour)
}
