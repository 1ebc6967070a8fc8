package paper

import (
	"fmt"
	"math"
	"strings"
)

// Path is a line or an outline in page millimetres. The zero value is empty.
type Path struct{ ops []op }

type op struct {
	code byte // 'm', 'l', 'c', 'h'
	p    [6]float64
}

// Move begins a new piece.
func (p *Path) Move(x, y float64) *Path { return p.add('m', x, y) }

// Line goes straight on.
func (p *Path) Line(x, y float64) *Path { return p.add('l', x, y) }

// Close returns to the beginning of the piece.
func (p *Path) Close() *Path { return p.add('h') }

func (p *Path) add(code byte, at ...float64) *Path {
	o := op{code: code}
	copy(o.p[:], at)
	p.ops = append(p.ops, o)
	return p
}

// Poly adds a closed polygon, x and y in turn.
func (p *Path) Poly(xy ...float64) *Path {
	if len(xy) < 2 {
		return p
	}
	for i := 0; i+1 < len(xy); i += 2 {
		if i == 0 {
			p.Move(xy[i], xy[i+1])
		} else {
			p.Line(xy[i], xy[i+1])
		}
	}
	return p.Close()
}

// Rect adds a rectangle.
func (p *Path) Rect(x, y, w, h float64) *Path { return p.Poly(x, y, x+w, y, x+w, y+h, x, y+h) }

// kappa places the control points of a Bézier curve for a quarter of a circle; the curve
// leaves the circle by at most 2.7e-4 of the radius, 0.0007 mm on the card's rings (common
// practice).
const kappa = 0.5522847498

// Circle adds a full circle.
func (p *Path) Circle(x, y, r float64) *Path {
	k := kappa * r
	p.Move(x+r, y)
	p.add('c', x+r, y+k, x+k, y+r, x, y+r)
	p.add('c', x-k, y+r, x-r, y+k, x-r, y)
	p.add('c', x-r, y-k, x-k, y-r, x, y-r)
	p.add('c', x+k, y-r, x+r, y-k, x+r, y)
	return p.Close()
}

// LeftHalf adds the left half of a disc.
func (p *Path) LeftHalf(x, y, r float64) *Path {
	k := kappa * r
	p.Move(x, y-r)
	p.add('c', x-k, y-r, x-r, y-k, x-r, y)
	p.add('c', x-r, y+k, x-k, y+r, x, y+r)
	return p.Close()
}

// Pen is how a line is drawn.
type Pen struct {
	WidthMM float64
	Colour  Colour
	DashMM  []float64
	Round   bool // where the path bends
}

// write gives the path's operators. Four decimals of a point are 0.00004 mm: the library's
// own two would move a card's rings by 0.002 mm.
func (d *Doc) write(p *Path, before, paint string) {
	d.open()
	var b strings.Builder
	b.WriteString("q " + before)
	const k = 1 / MMPerPt
	for _, o := range p.ops {
		n := map[byte]int{'m': 1, 'l': 1, 'c': 3}[o.code]
		for i := range n {
			fmt.Fprintf(&b, " %.4f %.4f", o.p[2*i]*k, (d.Size.HeightMM-o.p[2*i+1])*k)
		}
		b.WriteByte(' ')
		b.WriteByte(o.code)
	}
	b.WriteString(" " + paint + " Q")
	d.pdf.RawWriteStr(b.String())
}

func (c Colour) op(name string) string {
	return fmt.Sprintf("%.4f %.4f %.4f %s", float64(c.R)/255, float64(c.G)/255, float64(c.B)/255, name)
}

func (n Pen) ops() string {
	dash := ""
	for _, mm := range n.DashMM {
		dash += fmt.Sprintf("%.4f ", mm/MMPerPt)
	}
	join := 0
	if n.Round {
		join = 1
	}
	return fmt.Sprintf("%s %.4f w 0 J %d j [%s] 0 d", n.Colour.op("RG"), n.WidthMM/MMPerPt, join, strings.TrimSpace(dash))
}

// Stroke draws along a path.
func (d *Doc) Stroke(p *Path, pen Pen) {
	if !d.draft {
		d.write(p, pen.ops(), "S")
	}
}

// Fill fills a path; where two of its outlines overlap, it stays empty.
func (d *Doc) Fill(p *Path, c Colour) {
	if !d.draft {
		d.write(p, c.op("rg"), "f*")
	}
}

// Clip draws what lies inside a rectangle and nothing of what lies outside.
func (d *Doc) Clip(x, y, w, h float64, draw func()) {
	if d.draft {
		draw()
		return
	}
	d.open()
	const k = 1 / MMPerPt
	d.pdf.RawWriteStr(fmt.Sprintf("q %.4f %.4f %.4f %.4f re W n", x*k, (d.Size.HeightMM-y-h)*k, w*k, h*k))
	draw()
	d.pdf.RawWriteStr("Q")
	d.sizePt = 0 // the font is the former one again
}

// Line draws one straight line.
func (d *Doc) Line(x1, y1, x2, y2 float64, pen Pen) {
	d.Stroke(new(Path).Move(x1, y1).Line(x2, y2), pen)
}

// Hatch fills a rectangle with lines at 45 degrees, step millimetres apart across the line.
func (d *Doc) Hatch(x, y, w, h, step float64, pen Pen) {
	var p Path
	s := step * math.Sqrt2
	for t := s / 2; t < w+h; t += s { // the line from (x+t, y) down to the left
		x1, y1 := x+math.Min(t, w), y+math.Max(0, t-w)
		x2, y2 := x+math.Max(0, t-h), y+math.Min(t, h)
		p.Move(x1, y1).Line(x2, y2)
	}
	d.Stroke(&p, pen)
}
