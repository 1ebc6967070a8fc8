package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// CardPlacement says how a printed card lies on the sheet.
type CardPlacement struct {
	Layout      *card.Layout
	OriginMM    geom.SheetPoint // where the card's origin lies
	AngleDeg    float64         // the card's x axis, counterclockwise from the sheet's
	PrintScale  [2]float64      // true size over printed size, along card x and y
	ThicknessMM float64
	InkGainMM   float64 // how far black spreads at every border
}

// ToSheet turns a point of the card into sheet millimetres.
func (c *CardPlacement) ToSheet(p geom.CardPoint) geom.SheetPoint {
	s, k := math.Sincos(c.AngleDeg * math.Pi / 180)
	x, y := p.X*c.PrintScale[0], p.Y*c.PrintScale[1]
	return geom.SheetPoint{X: c.OriginMM.X + x*k + y*s, Y: c.OriginMM.Y + x*s - y*k}
}

// ToCard is the inverse of ToSheet.
func (c *CardPlacement) ToCard(p geom.SheetPoint) geom.CardPoint {
	s, k := math.Sincos(c.AngleDeg * math.Pi / 180)
	x, y := p.X-c.OriginMM.X, p.Y-c.OriginMM.Y
	return geom.CardPoint{X: (x*k + y*s) / c.PrintScale[0], Y: (x*s - y*k) / c.PrintScale[1]}
}

// paper is a card ready for tracing.
type paper struct {
	CardPlacement
	ticks *decal // ruler marks, figures and label, in card millimetres (y down)
	walls [][2]geom.SheetPoint
	box   [4]float64 // bounds in card millimetres
	// ToCard as two rows: x = cx0 + cxx X + cxy Y and so on.
	cx0, cxx, cxy, cy0, cyx, cyy float64
	noise                        *tile
}

func newPaper(c CardPlacement, noise *tile) *paper {
	p := &paper{CardPlacement: c, noise: noise, box: [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}}
	for _, loop := range [][]geom.CardPoint{c.Layout.Outline, c.Layout.Window} {
		for i := range loop {
			q := loop[i]
			p.walls = append(p.walls, [2]geom.SheetPoint{c.ToSheet(q), c.ToSheet(loop[(i+1)%len(loop)])})
			p.box[0], p.box[1] = min(p.box[0], q.X), min(p.box[1], q.Y)
			p.box[2], p.box[3] = max(p.box[2], q.X), max(p.box[3], q.Y)
		}
	}
	o, x, y := c.ToCard(geom.SheetPoint{}), c.ToCard(geom.SheetPoint{X: 1}), c.ToCard(geom.SheetPoint{Y: 1})
	p.cx0, p.cxx, p.cxy = o.X, x.X-o.X, y.X-o.X
	p.cy0, p.cyx, p.cyy = o.Y, x.Y-o.Y, y.Y-o.Y
	p.print()
	return p
}

// onCard is ToCard without its trigonometry.
func (p *paper) onCard(q vec) geom.CardPoint {
	return geom.CardPoint{X: p.cx0 + p.cxx*q.x + p.cxy*q.y, Y: p.cy0 + p.cyx*q.x + p.cyy*q.y}
}

// covers is Covers, quick where the point is far off.
func (p *paper) covers(q vec) bool {
	c := p.onCard(q)
	if c.X < p.box[0] || c.Y < p.box[1] || c.X > p.box[2] || c.Y > p.box[3] {
		return false
	}
	return insideLoop(p.Layout.Outline, c) && !insideLoop(p.Layout.Window, c)
}

// print draws what is not a target: ruler marks, figures and the card's name.
func (p *paper) print() {
	d := newDecal(p.box[0], p.box[1], p.box[2], p.box[3], 25)
	p.ticks = d
	const line, figure = 0.22, 2.0
	for _, r := range p.Layout.Rulers {
		dx, dy := r.To.X-r.From.X, r.To.Y-r.From.Y
		l := math.Hypot(dx, dy)
		ux, uy := dx/l, dy/l
		sx, sy := 0.0, -1.0
		if r.Side == "left" {
			sx, sy = -1, 0
		}
		for i := 0; float64(i) <= l+1e-9; i++ {
			n := 1.8
			if i%5 == 0 {
				n = 2.6
			}
			if i%10 == 0 {
				n = 3.8
			}
			x, y := r.From.X+ux*float64(i), r.From.Y+uy*float64(i)
			d.stroke(x, y, x+sx*n, y+sy*n, line, 1, 0, 0, p.noise)
			if i%10 == 0 && i > 0 && p.Layout.Name != "strip" {
				p.text(fmt.Sprint(i), x+sx*4.4, y+sy*4.4, figure, r.Side == "left")
			}
		}
	}
	at := map[string][2]float64{"corner": {36, 3}, "strip": {57, 9.6}, "window": {52, 3}}[p.Layout.Name]
	p.text("scale card . "+p.Layout.Name, at[0], at[1], 1.7, false)
}

// text prints with its lower middle at (x, y), or to the left of it when left is set.
func (p *paper) text(s string, x, y, size float64, left bool) {
	w := textStrokes(s, size, func(_, _, _, _ float64) {}) - size/4
	if left {
		x, y = x-w, y+size/2
	} else {
		x -= w / 2
	}
	textStrokes(s, size, func(ax, ay, bx, by float64) {
		p.ticks.stroke(x+ax, y-ay, x+bx, y-by, 0.2, 1, 0, 0, p.noise)
	})
}

func insideLoop(loop []geom.CardPoint, q geom.CardPoint) bool {
	in := false
	for i := range loop {
		a, b := loop[i], loop[(i+1)%len(loop)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(b.X-a.X)*(q.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// Covers tells whether the card lies over a sheet point.
func (c *CardPlacement) Covers(q geom.SheetPoint) bool {
	p := c.ToCard(q)
	return insideLoop(c.Layout.Outline, p) && !insideLoop(c.Layout.Window, p)
}

// ink is how black the print is at a card point, 0 to 1.
func (p *paper) ink(q geom.CardPoint) float64 {
	g := p.InkGainMM
	const soft = 0.012 // half the width of the print's own border
	step := func(d float64) float64 { return max(0, min(1, 0.5-d/(2*soft))) }
	for i := range p.Layout.Targets {
		t := &p.Layout.Targets[i]
		dx, dy := q.X-t.At.X, q.Y-t.At.Y
		if dx*dx+dy*dy > 9 {
			continue
		}
		r := math.Hypot(dx, dy)
		v := step(r-card.RingOuterRadiusMM-g) * step(card.RingInnerRadiusMM-g-r)
		if t.Full {
			v = max(v, step(r-card.DotRadiusMM-g))
		}
		return v
	}
	return p.ticks.at(q.X, q.Y)
}

// hit finds the card's face or its cut edge.
func (p *paper) hit(o, d vec, tMin, tMax float64) (t float64, n vec, face, ok bool) {
	lo, hi := tMin, tMax
	if d.z != 0 {
		a, b := (p.ThicknessMM-o.z)/d.z, -o.z/d.z
		e := 1.0
		if a > b {
			a, b, e = b, a, -1
		}
		if a > lo && a < hi {
			q := o.at(d, a)
			if p.covers(q) {
				return a, vec{0, 0, e}, e > 0, true
			}
		}
		lo, hi = max(lo, a), min(hi, b)
	} else if o.z < 0 || o.z > p.ThicknessMM {
		return
	}
	if lo >= hi {
		return
	}
	// Between the faces a ray moves little; leave the walls alone when it stays off the card.
	a, b := p.onCard(o.at(d, lo)), p.onCard(o.at(d, hi))
	if max(a.X, b.X) < p.box[0] || min(a.X, b.X) > p.box[2] || max(a.Y, b.Y) < p.box[1] || min(a.Y, b.Y) > p.box[3] {
		return
	}
	t = hi
	for _, w := range p.walls {
		ex, ey := w[1].X-w[0].X, w[1].Y-w[0].Y
		den := d.x*ey - d.y*ex
		if den == 0 {
			continue
		}
		tt := ((w[0].X-o.x)*ey - (w[0].Y-o.y)*ex) / den
		if tt < lo || tt >= t {
			continue
		}
		q := o.at(d, tt)
		if s := (q.x-w[0].X)*ex + (q.y-w[0].Y)*ey; s >= 0 && s <= ex*ex+ey*ey {
			l := math.Hypot(ex, ey)
			n = vec{ey / l, -ex / l, 0}
			if n.dot(d) > 0 {
				n = n.mul(-1)
			}
			t, ok = tt, true
		}
	}
	return t, n, false, ok
}
