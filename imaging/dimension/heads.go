package dimension

import (
	"math"

	"bucktail/qc/drawing"
)

// tag places a location's tag at the end of its extension line, else as near as it can.
func (d *placing) tag(g *fastener) {
	t, hw := d.tagOf(g)
	ring, hh := 0.0, float64(tagHalf)
	if t.Chosen {
		ring = chosenRing - border
		hw, hh = hw+ring, hh+ring
	}
	start := d.mm(g.at.Add(g.tagWay.Scale(g.r + extensionOff)))
	end := d.mm(g.at.Add(g.tagWay.Scale(g.tagOff)))
	u := end.Sub(start).Unit()
	var cs []candidate
	at := func(from, end, u vec, cost float64) {
		cs = append(cs, candidate{box: ahead(end.Add(u), u, hw, hh), lead: []vec{from, end}, cost: cost})
	}
	for _, more := range []float64{0, 12, 32, 60} {
		at(start, end.Add(u.Mul(more)), u, more/4)
	}
	h := d.heads[g.i]
	for _, more := range []float64{8, 24, 48} {
		for k := range 8 {
			a := float64(k)*math.Pi/4 + math.Atan2(u.Y, u.X)
			v := vec{X: math.Cos(a), Y: math.Sin(a)}
			at(h.c.Add(v.Mul(h.r+3)), h.c.Add(v.Mul(h.r+more)), v, 20+more/4)
		}
	}
	c, ok := d.best(cs, nil, g.i)
	if ok && c.covers > 0 { // crowded: a free place farther off, from the rim on its side
		rim := func(to vec) vec { return h.c.Add(to.Sub(h.c).Unit().Mul(h.r + 3)) }
		if far, found := d.best(d.everywhere(hw, hh, rim), nil, g.i); found {
			c = far
		}
	}
	if !ok { // the head lies at the border: its tag goes over it
		c.box = drawing.BoxAt(vec{X: min(max(h.c.X, d.in.X0+hw), d.in.X1-hw), Y: min(max(h.c.Y, d.in.Y0+hh), d.in.Y1-hh)}, hw, hh)
	}
	// The pitch chain needs the extension line also where the tag found another place.
	if g.tagOff > g.r+chainOff-1e-9 && (len(c.lead) == 0 || c.lead[0] != start) {
		d.line(nil, drawing.Extension, drawing.Plain, start, end)
	}
	if len(c.lead) > 0 {
		d.line(nil, drawing.Extension, drawing.Plain, c.lead...)
	}
	t.Box = c.box.Grown(-ring)
	t.TextX += t.Box.X0
	if t.Verdict != "" {
		t.ShapeX += t.Box.X0
	}
	d.boxes = append(d.boxes, c.box)
	d.out.Tags = append(d.out.Tags, t)
}

// tagOf makes a tag whose places are from its box's left side, and gives half its width.
func (d *placing) tagOf(g *fastener) (t drawing.Tag, hw float64) {
	const side, gap = 8, 6
	t = drawing.Tag{Of: g.i, Text: d.what.tag(g.i), TextX: side, Ink: drawing.Of(g.verdict), Chosen: d.look.Choosing && g.i == d.what.Chosen-1}
	switch {
	case g.ask:
		t.Text, t.Ink = "? "+t.Text, drawing.Pencil
	case g.verdict != "":
		t.Verdict, t.ShapeX, t.TextX = g.verdict, side+drawing.ShapeSide/2, side+drawing.ShapeSide+gap
	}
	return t, (t.TextX + d.look.TextWidth(t.Text)*d.look.TextSize + side) / 2
}

// Usual lengths of a leader and of its shelf, and how far off the head a true diameter stands.
const (
	leaderUsual = 20
	leaderShelf = 12
	trueOff     = 26
)

// leader draws a diameter by a leader from the rim at 45 degrees, up and to the outer side first.
func (d *placing) leader(m *dim) {
	h := d.heads[m.of]
	hw, hh := d.half(m.text)
	outer := d.outer(d.all[m.of])
	var cs []candidate
	for _, w := range [4]vec{{X: outer, Y: -1}, {X: -outer, Y: -1}, {X: outer, Y: 1}, {X: -outer, Y: 1}} {
		u := w.Mul(1 / math.Sqrt2)
		rim := d.rim(m.of, u)
		for _, l := range []float64{leaderUsual, 34, 50, 12, 70, 95} {
			knee := rim.Add(u.Mul(l))
			for _, shelf := range []float64{leaderShelf, 34} {
				end := knee.Add(vec{X: w.X * shelf})
				cs = append(cs, candidate{box: drawing.BoxAt(end.Add(vec{X: w.X * hw}), hw, hh), lead: []vec{rim, knee, end}, cost: l / 8})
			}
		}
	}
	// In a crowd also straight up or down.
	for _, u := range [2]vec{{Y: -1}, {Y: 1}} {
		rim := d.rim(m.of, u)
		for _, l := range []float64{20, 44, 68, 92} {
			end := rim.Add(u.Mul(l))
			cs = append(cs, candidate{box: drawing.BoxAt(end.Add(u.Mul(hh)), hw, hh), lead: []vec{rim, end}, cost: 15 + l/8})
		}
	}
	c, ok := d.choose(cs, m, func(to vec) vec { return d.rim(m.of, to.Sub(h.c).Unit()) })
	if !ok {
		return
	}
	d.put(m, c)
	d.arrow(c.lead[0], c.lead[0].Sub(c.lead[1]).Unit(), drawing.Of(m.verdict))
}

// outer is 1 where the outer side, to which a leader goes, is the right one, else -1.
func (d *placing) outer(g *fastener) float64 {
	if e := d.mm(g.at.Add(g.out)).Sub(d.mm(g.at)); e.X < -0.3*e.Len() {
		return -1
	}
	return 1
}

// rim is where the ray from a head's middle along u leaves its outline.
func (d *placing) rim(i int, u vec) vec {
	h := d.heads[i]
	best, at := -2.0, h.c.Add(u.Mul(h.r))
	for _, v := range d.outlines[i] {
		if c := v.Sub(h.c).Unit().Dot(u); c > best {
			best, at = c, v
		}
	}
	return at
}

// trueDiameter draws a diameter as a dimension between extension lines that touch the outline
// where it is widest along the line.
func (d *placing) trueDiameter(m *dim) {
	hw, hh := d.half(m.text)
	u, n := d.axes(d.all[m.of])
	var lines []acrossLine
	var cs []candidate
	for _, w := range []vec{n, n.Mul(-1)} {
		for _, gap := range []float64{trueOff, trueOff + 22} {
			l := d.across(m.of, u, w, gap)
			cost := gap/4 + d.way(l.a, l.b, m, m.of) + d.way(l.left, l.a, m, m.of) + d.way(l.right, l.b, m, m.of)
			if d.in.Near(l.a)+d.in.Near(l.b) > 0 {
				cost += dear
			}
			own := d.inLine(l.a, l.b, hw, hh, 0.5)
			tail := 12.0
			if l.b.Sub(l.a).Len() < leastBetween {
				tail = outsideTail + 4
			}
			for _, e := range [2][2]vec{{l.b, u}, {l.a, u.Mul(-1)}} {
				for _, t := range []float64{tail, tail + 24} {
					end := e[0].Add(e[1].Mul(t))
					own = append(own, candidate{box: ahead(end, e[1], hw, hh), lead: []vec{e[0], end}, cost: t / 8})
				}
			}
			mid := l.a.On(l.b, 0.5)
			end := mid.Add(w.Mul(14))
			own = append(own, candidate{box: ahead(end, w, hw, hh), lead: []vec{mid, end}, cost: 12})
			for _, c := range own {
				c.cost, c.of = c.cost+cost, len(lines)
				cs = append(cs, c)
			}
			lines = append(lines, l)
		}
	}
	c, ok := d.choose(cs, m, func(vec) vec { return lines[0].a.On(lines[0].b, 0.5) })
	if !ok {
		return
	}
	l := lines[c.of]
	for _, e := range [2][2]vec{{l.left, l.a}, {l.right, l.b}} {
		way := e[1].Sub(e[0]).Unit()
		d.line(m, drawing.Extension, drawing.Plain, e[0].Add(way.Mul(d.perMM(m.of)*extensionOff)), e[1].Add(way.Mul(d.perMM(m.of)*extensionPast)))
	}
	d.measured(m, l.a, l.b)
	d.put(m, c)
}

// perMM is the scale at a head, units of the frame a mm.
func (d *placing) perMM(i int) float64 { return d.heads[i].r / d.all[i].r }

// acrossLine is a dimension line from a to b beside a head, and where the extension lines to its
// ends touch the outline.
type acrossLine struct{ a, b, left, right vec }

// across is the line along u that stands off a head by a gap on the side of n.
func (d *placing) across(i int, u, n vec, gap float64) (l acrossLine) {
	h := d.heads[i]
	at := h.c.Add(n.Mul(h.r + gap))
	l.left, l.right = d.touch(i, n)
	if l.left.Dot(u) > l.right.Dot(u) {
		l.left, l.right = l.right, l.left
	}
	l.a, l.b = meet(l.left, n, at, u), meet(l.right, n, at, u)
	return l
}

// axes gives the directions in the frame along which a diameter is drawn and in which its line
// stands off: along and square to the nearest edge on the sheet, the more level one first, the
// other upward.
func (d *placing) axes(g *fastener) (u, n vec) {
	w := g.out
	if !(w.Norm() > 0) {
		w = d.screenLeft(g)
	}
	c := d.mm(g.at)
	u = d.mm(g.at.Add(w)).Sub(c).Unit()
	w.X, w.Y = -w.Y, w.X
	n = d.mm(g.at.Add(w)).Sub(c).Unit()
	if math.Abs(u.X) < math.Abs(n.X) {
		u, n = n, u
	}
	if u.X < 0 {
		u = u.Mul(-1)
	}
	if n.Y > 0 {
		n = n.Mul(-1)
	}
	return u, n
}

// touch gives where lines along n touch an outline, on both sides.
func (d *placing) touch(i int, n vec) (p, q vec) {
	side := n.Turned()
	least, most := math.Inf(1), math.Inf(-1)
	for _, v := range d.outlines[i] {
		t := v.Dot(side)
		if t < least {
			least, p = t, v
		}
		if t > most {
			most, q = t, v
		}
	}
	return p, q
}

// meet is where the line through p along v meets that through q along u; p where they are parallel.
func meet(p, v, q, u vec) vec {
	det := v.X*u.Y - v.Y*u.X
	if math.Abs(det) < 1e-9 {
		return p
	}
	r := q.Sub(p)
	return p.Add(v.Mul((r.X*u.Y - r.Y*u.X) / det))
}
