package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/paper"
	"bucktail/qc/sketch"
)

// layout draws the part's layout picture or grid into a box, with a pin for each location.
func (w *writer) layout(p *Part, x, y, width, height float64) error {
	d := w.sheet.d
	if err := w.step(); err != nil {
		return err
	}
	d.Tag(paper.Figure, layoutWords(p), func() {
		d.Stroke(new(paper.Path).Rect(x, y, width, height), thin)
		px, py, pw, ph := x, y, width, height
		switch {
		case p.Layout == nil:
			words := "no layout picture, no pins"
			if pinned(p) {
				words = "no layout picture: pins stand on a blank sheet"
			}
			d.TextCentre(x+width/2, y+7, words, pale)
		case p.Layout.Photo == "":
			px, py, pw, ph = w.grid(p, x, y, width, height)
		case w.counting:
		case w.o.Layout == nil:
			d.TextCentre(x+width/2, y+7, "layout photo left out", pale)
		default:
			data, err := w.o.Layout(w.ctx, p, pixels(width))
			if err == nil {
				px, py, pw, ph, err = d.Picture(data, x, y, width, height)
			}
			if err != nil {
				px, py, pw, ph = x, y, width, height
				w.missing(x, y, width, "The layout photo is not here", err)
			}
			d.Stroke(new(paper.Path).Rect(x, y, width, height), thin)
		}
		w.pins(p, px, py, pw, ph)
	})
	return nil
}

func pinned(p *Part) bool {
	return slices.ContainsFunc(p.Locations, func(l Location) bool { return l.Pin != nil && !l.Out })
}

// missing writes why a picture is not there.
func (w *writer) missing(x, y, width float64, what string, err error) {
	d := w.sheet.d
	for i, l := range d.Wrap(what+": "+err.Error()+".", width-8, pale) {
		if i < 6 {
			d.Text(x+4, y+7+float64(i)*pale.LeadMM(), l, pale)
		}
	}
}

// layoutWords is the alternative text: what each pin says.
func layoutWords(p *Part) string {
	var pins []string
	for i := range p.Locations {
		if l := &p.Locations[i]; l.Pin != nil && !l.Out {
			pins = append(pins, l.Tag+" "+qc.Headline(l.Whole, len(l.NotRead)))
		}
	}
	if len(pins) == 0 {
		return "Layout of " + p.Name + ", no pins set"
	}
	const most = 60
	more := ""
	if len(pins) > most {
		more = fmt.Sprintf(" and %d more, all in the table of locations", len(pins)-most)
		pins = pins[:most]
	}
	return "Layout of " + p.Name + " with a pin for each location: " + strings.Join(pins, ", ") + more
}

// grid draws a drawn layout: its outline, and lines at each step.
func (w *writer) grid(p *Part, x, y, width, height float64) (gx, gy, gw, gh float64) {
	d, l := w.sheet.d, p.Layout
	const inset = 6.0
	k := math.Min((width-2*inset)/l.WidthMM, (height-2*inset)/l.HeightMM)
	gw, gh = l.WidthMM*k, l.HeightMM*k
	gx, gy = x+(width-gw)/2, y+(height-gh)/2
	step := l.StepMM * k
	if step > 0.8 { // nearer lines would be a grey patch
		var lines paper.Path
		for t := step; t < gw-1e-6; t += step {
			lines.Move(gx+t, gy).Line(gx+t, gy+gh)
		}
		for t := step; t < gh-1e-6; t += step {
			lines.Move(gx, gy+t).Line(gx+gw, gy+t)
		}
		d.Stroke(&lines, hair)
	}
	words := "to scale, "
	if l.StepMM > 0 {
		words = "grid " + w.u.Value(l.StepMM) + ", "
	}
	if !w.plan(l, gx, gy, k) {
		d.Stroke(new(paper.Path).Rect(gx, gy, gw, gh), paper.Pen{WidthMM: 0.35, Colour: ink})
	}
	d.Text(x+1.5, y+height-1.6, fmt.Sprintf("%s%s × %s", words, w.u.Number(l.WidthMM), w.u.Value(l.HeightMM)), small)
	return gx, gy, gw, gh
}

// plan draws the outline and the bends of a layout that was laid out, k page millimetres to one of the
// part; false where there is none.
func (w *writer) plan(l *history.LayoutData, gx, gy, k float64) bool {
	if l.Plan == nil {
		return false
	}
	a, err := layout.Lay(*l.Plan)
	if err != nil {
		return false // laid out by another version's rules
	}
	for _, line := range a.Sketch.Lines {
		pen := paper.Pen{WidthMM: 0.35, Colour: ink, Round: true}
		switch line.Role {
		case sketch.Outline:
		case sketch.Bend, sketch.Behind:
			pen = paper.Pen{WidthMM: 0.15, Colour: ink2, DashMM: []float64{2, 1}}
		default:
			continue
		}
		var p paper.Path
		for i, q := range line.Points {
			x, y := gx+k*(q[0]-a.Sketch.Min[0]), gy+k*(q[1]-a.Sketch.Min[1])
			if i == 0 {
				p.Move(x, y)
			} else {
				p.Line(x, y)
			}
		}
		if line.Closed {
			p.Close()
		}
		w.sheet.d.Stroke(&p, pen)
	}
	return true
}

// pins draws all pins, the bad ones last so that they lie on top.
func (w *writer) pins(p *Part, x, y, width, height float64) {
	type spot struct {
		x, y float64
		l    *Location
	}
	var spots []spot
	for i := range p.Locations {
		if l := &p.Locations[i]; l.Pin != nil && !l.Out {
			spots = append(spots, spot{x + l.Pin.X*width, y + l.Pin.Y*height, l})
		}
	}
	near := math.Inf(1)
	for i, a := range spots {
		for _, b := range spots[:i] {
			near = math.Min(near, math.Hypot(a.x-b.x, a.y-b.y))
		}
	}
	r := clamp(0.42*near, 1.3, 3.3)
	slices.SortStableFunc(spots, func(a, b spot) int { return order(b.l.Whole) - order(a.l.Whole) })
	for _, s := range spots {
		w.pin(s.l, s.x, s.y, r)
	}
}

func (w *writer) pin(l *Location, x, y, r float64) {
	d := w.sheet.d
	disc := func(r float64) *paper.Path { return new(paper.Path).Circle(x, y, r) }
	k := r / 3.3
	number := white
	switch {
	case l.Whole == qc.Within || l.Whole == qc.Unread:
		d.Fill(disc(r+0.5*k).Rect(x-r-2.1*k, y-1.3*r, 1.5*k, 2.6*r).Rect(x+r+0.6*k, y-1.3*r, 1.5*k, 2.6*r), white)
		if d.Fill(disc(r), green); l.Whole == qc.Unread {
			number = ink
			d.Fill(disc(r-0.8*k), white)
		}
		for _, sx := range []float64{-1, 1} {
			d.Line(x+sx*(r+1.1*k), y-0.9*r, x+sx*(r+1.1*k), y+0.9*r, paper.Pen{WidthMM: 0.6 * k, Colour: green})
		}
	case l.Whole == qc.TooClose:
		number = ink
		pen := paper.Pen{WidthMM: 0.65 * k, Colour: ochre}
		d.Line(x, y-1.5*r, x, y+1.5*r, pen)
		d.Fill(disc(r), white)
		d.Fill(new(paper.Path).LeftHalf(x, y, r), yellow)
		d.Stroke(disc(r), pen)
	case l.Whole == qc.Out:
		a := 0.78 * r
		pen := paper.Pen{WidthMM: 1.5 * k, Colour: vermilion}
		d.Fill(new(paper.Path).Rect(x-a, y-a, 2*a, 2*a), vermilion)
		d.Line(x-1.12*a, y-1.12*a, x+1.12*a, y+1.12*a, pen)
		d.Line(x-1.12*a, y+1.12*a, x+1.12*a, y-1.12*a, pen)
		d.Line(x-r-1.3*k, y-1.1*r, x-r-1.3*k, y+1.1*r, paper.Pen{WidthMM: 0.65 * k, Colour: vermilion})
	case l.Stage == qc.DrilledOut:
		number = ink
		d.Fill(disc(r), white)
		d.Stroke(disc(r), paper.Pen{WidthMM: 0.5 * k, Colour: ink})
		for _, t := range []float64{-0.75, -0.25, 0.25, 0.75} { // chords at 45 degrees
			o, h := t*r/math.Sqrt2, math.Sqrt(1-t*t)*r/math.Sqrt2
			d.Line(x+o-h, y+o+h, x+o+h, y+o-h, paper.Pen{WidthMM: 0.2 * k, Colour: rule})
		}
	default:
		number = ink
		d.Fill(disc(r), white)
		p := disc(r)
		for _, s := range [][2]float64{{0, -1}, {0, 1}, {-1, 0}, {1, 0}} {
			p.Move(x+s[0]*r, y+s[1]*r).Line(x+s[0]*1.4*r, y+s[1]*1.4*r)
		}
		d.Stroke(p, paper.Pen{WidthMM: 0.3 * k, Colour: ink})
	}
	st := paper.Style{Font: paper.Bold, SizePt: 7.6 * k, Colour: number}
	if wide := d.Width(l.Tag, st); wide > 1.75*r {
		st.SizePt *= 1.75 * r / wide
	}
	d.TextCentre(x, y+0.36*st.SizePt*paper.MMPerPt, l.Tag, st)
}
