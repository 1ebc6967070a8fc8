package dimension

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc/drawing"
)

// edge draws the distance to an edge on the fastener's own line, its value outside the part. Where
// other heads stand in the way the line runs beside them, between extension lines.
func (d *placing) edge(m *dim) {
	g := d.all[m.of]
	along := m.edge[1].Sub(m.edge[0])
	along = along.Scale(1 / along.Norm())
	offs := []float64{0}
	if d.overHead(d.mm(m.a), d.mm(m.b), m.of) {
		offs = []float64{g.r + 2.5, -g.r - 2.5, g.r + 5, -g.r - 5}
	}
	hw, hh := d.half(m.text)
	var cs []candidate
	for i, off := range offs {
		a, b := d.mm(m.a.Add(along.Scale(off))), d.mm(m.b.Add(along.Scale(off)))
		u := b.Sub(a).Unit()
		var own []candidate
		tail := edgeTail(b.Sub(a).Len())
		for _, t := range []float64{0, 16, 40, 64, 90} {
			end := b.Add(u.Mul(tail + t))
			own = append(own, candidate{box: ahead(end, u, hw, hh), lead: []vec{b, end}, cost: t / 4})
		}
		own = append(own, d.inLine(a, b, hw, hh, 0.5, 0.35, 0.65)...)
		for _, t := range []float64{0, 20} {
			knee := b.Add(u.Mul(tail + t))
			own = append(own, shelves(knee, []vec{b, knee}, u, hw, hh, 30)...)
		}
		own = append(own, d.beside(a, b, u.Turned(), hw, hh, 40)...)
		for _, c := range own {
			if c.of = i; off != 0 {
				c.cost += d.way(a, b, m, m.of) + float64(i)
			}
			cs = append(cs, c)
		}
	}
	c, ok := d.choose(cs, m, func(vec) vec {
		off := along.Scale(offs[0])
		return d.middle(d.mm(m.a.Add(off)), d.mm(m.b.Add(off)))
	})
	if !ok {
		return
	}
	if off := offs[c.of]; off != 0 {
		side := along.Scale(math.Copysign(1, off))
		d.line(m, drawing.Extension, drawing.Plain, d.mm(m.a.Add(side.Scale(markArm+extensionOff))), d.mm(m.a.Add(side.Scale(math.Abs(off)+extensionPast))))
		m = &dim{of: m.of, text: m.text, verdict: m.verdict, edge: m.edge, a: m.a.Add(along.Scale(off)), b: m.b.Add(along.Scale(off))}
	}
	d.footLine(m)
	d.measured(m, d.mm(m.a), d.mm(m.b))
	d.put(m, c)
}

// edgeTail is how far beyond its edge a dimension line of this length goes on before its value.
func edgeTail(length float64) float64 {
	if length < leastBetween {
		return outsideTail
	}
	return 14
}

// footLine is an extension line to a foot that lies beyond the edge's seen ends.
func (d *placing) footLine(m *dim) {
	e := m.edge[1].Sub(m.edge[0])
	l := e.Norm()
	if !(l > 0) {
		return
	}
	e = e.Scale(1 / l)
	t := m.b.Sub(m.edge[0]).Dot(e)
	from := m.edge[0]
	switch {
	case t < 0:
		e = e.Scale(-1)
	case t > l:
		from = m.edge[1]
	default:
		return
	}
	d.line(m, drawing.Extension, drawing.Of(m.verdict), d.mm(from.Add(e.Scale(extensionOff))), d.mm(m.b.Add(e.Scale(extensionPast))))
}

// pitch draws one link of a chain.
func (d *placing) pitch(m *dim) {
	a, b := d.mm(m.a), d.mm(m.b)
	u := b.Sub(a).Unit()
	hw, hh := d.half(m.text)
	cs := d.inLine(a, b, hw, hh, 0.5, 0.25, 0.75, 0.35, 0.65, 0.15, 0.85)
	// Off the line, away from the heads first.
	n := u.Turned()
	if away := a.Sub(d.mm(d.all[m.of].at)); away.Dot(n) < 0 {
		n = n.Mul(-1)
	}
	cs = append(cs, d.beside(a, b, n, hw, hh, 10)...)
	c, ok := d.choose(cs, m, func(vec) vec { return d.middle(a, b) })
	if !ok {
		return
	}
	d.chainEnd(m, m.of, m.a)
	d.chainEnd(m, m.to, m.b)
	d.measured(m, a, b)
	d.put(m, c)
}

// chainEnd draws the extension line at one end of a pitch, where it is not the tag's own.
func (d *placing) chainEnd(m *dim, i int, end geom.SheetPoint) {
	g := d.all[i]
	w := end.Sub(g.at)
	off := w.Norm()
	if !(off > 0) {
		return
	}
	w = w.Scale(1 / off)
	if d.tagged(i) && w.Dot(g.tagWay) > 0.999 && math.Abs(off+extensionPast-g.tagOff) < 0.01 {
		return
	}
	d.line(m, drawing.Extension, drawing.Plain, d.mm(g.at.Add(w.Scale(g.r+extensionOff))), d.mm(end.Add(w.Scale(extensionPast))))
}

// tagged tells whether a fastener has its tag, and so the line to it, in this drawing.
func (d *placing) tagged(i int) bool {
	for _, t := range d.out.Tags {
		if t.Of == i {
			return true
		}
	}
	return false
}
