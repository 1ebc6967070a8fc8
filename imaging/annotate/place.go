package annotate

import (
	"math"

	"bucktail/imaging/geom"
)

// A place for a value or a tag is tried in a fixed order, so that a redraw moves nothing. What
// it may not cover: a head or hole, a card ring, another value or tag, the picture's border.
// Lines of others only make it worse.

// blame is what a place covers that it may not: 0 for a free one. A head of its own is no
// exception. It can't be outside the picture at any price.
func (d *drawing) blame(b box) (cost float64) {
	for _, o := range d.boxes {
		if b.grown(3).meets(o) {
			cost += 2000 // two values in one place are none
		}
	}
	for _, h := range d.heads {
		if b.round(h.c, h.r+3) {
			cost += 1500
		}
	}
	for _, r := range d.rings {
		if b.round(r.c, r.r) {
			cost += 150
		}
	}
	return cost
}

// cover is the length of others' lines under a box, CSS px.
func (d *drawing) cover(b box, own *dim) (sum float64) {
	for _, l := range d.lines {
		if l.of == nil || l.of != own {
			sum += b.grown(2).cut(l.a, l.b)
		}
	}
	return sum
}

// way is the cost of drawing a line from a to b: over values and heads it may hardly go.
func (d *drawing) way(a, b vec, from int) (cost float64) {
	for _, o := range d.boxes {
		if o.cut(a, b) > 0 {
			cost += 200
		}
	}
	for i, h := range d.heads {
		if i != from && nearLine(h.c, a, b) < h.r+3 {
			cost += 100
		}
	}
	for _, l := range d.lines {
		if crosses(a, b, l.a, l.b) {
			cost += 25
		}
	}
	return cost
}

func crosses(a, b, c, e vec) bool {
	side := func(p, q, r vec) float64 { return (q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x) }
	return side(a, b, c)*side(a, b, e) < 0 && side(c, e, a)*side(c, e, b) < 0
}

// candidate is a place with the line that leads to it.
type candidate struct {
	box  box
	lead []vec   // drawn to the value; nil where it stands in its line
	cost float64 // of being late in the order, and of what it covers
}

// dear is the cost from which a value of something within is better left out: its lead would
// run over a head or through several lines.
const dear = 100

// best chooses; must takes the least bad where no place is free. ok is false where there is none.
func (d *drawing) best(cs []candidate, own *dim, from int, must bool) (candidate, bool) {
	var pick candidate
	least, ok := math.Inf(1), false
	for i, c := range cs {
		if !d.f.box(3).holds(c.box) {
			continue
		}
		cost := c.cost + float64(i) + 2*d.cover(c.box, own) + d.blame(c.box)
		for k := 0; k+1 < len(c.lead); k++ {
			cost += d.way(c.lead[k], c.lead[k+1], from)
		}
		if cost >= least || !must && cost > dear {
			continue
		}
		least, pick, ok = cost, c, true
	}
	return pick, ok
}

// put draws the value of a dimension in the place chosen for it.
func (d *drawing) put(m *dim, c candidate) {
	col := colourOf(m.verdict)
	for k := 0; k+1 < len(c.lead); k++ {
		d.line(m, c.lead[k], c.lead[k+1], dimensionWidth, col)
	}
	d.boxes = append(d.boxes, c.box)
	d.plaques = append(d.plaques, plaque{c.box, m.text, col})
}

func (d *drawing) halfWidth(m *dim) float64 { return textWidth(m.text, valueFace)/2 + plaquePad }

// tag places a location's tag at the end of its extension line, else as near as it can.
func (d *drawing) tag(g *fastener) {
	t := tagBox{text: d.p.opt.tag(g.i), verdict: g.verdict, ask: g.ask}
	hw := tagWidth(t) / 2
	start := d.f.mm(g.at.Add(g.tagWay.Scale(g.r + extensionOff)))
	end := d.f.mm(g.at.Add(g.tagWay.Scale(g.tagOff)))
	u := end.sub(start).unit()
	var cs []candidate
	at := func(from, end, u vec, cost float64) {
		cs = append(cs, candidate{box: boxAt(end.add(u.mul(reach(hw, tagHalf, u)+1)), hw, tagHalf), lead: []vec{from, end}, cost: cost})
	}
	for _, more := range []float64{0, 12, 32, 60} {
		at(start, end.add(u.mul(more)), u, more/4)
	}
	h := d.heads[g.i]
	for _, more := range []float64{8, 24, 48} {
		for k := range 8 {
			a := float64(k)*math.Pi/4 + math.Atan2(u.y, u.x)
			v := vec{math.Cos(a), math.Sin(a)}
			at(h.c.add(v.mul(h.r+3)), h.c.add(v.mul(h.r+more)), v, 20+more/4)
		}
	}
	c, ok := d.best(cs, nil, g.i, true)
	if !ok { // the head lies at the border: its tag goes over it
		lim := d.f.box(3)
		at := vec{min(max(h.c.x, lim.x0+hw), lim.x1-hw), min(max(h.c.y, lim.y0+tagHalf), lim.y1-tagHalf)}
		c = candidate{box: boxAt(at, hw, tagHalf)}
	}
	// The pitch chain needs the extension line also where the tag found another place.
	if g.tagOff > g.r+chainOff-1e-9 && (len(c.lead) == 0 || c.lead[0] != start) {
		d.line(nil, start, end, extensionWidth, inkColour)
	}
	for k := 0; k+1 < len(c.lead); k++ {
		d.line(nil, c.lead[k], c.lead[k+1], extensionWidth, inkColour)
	}
	t.box = c.box
	d.boxes = append(d.boxes, c.box)
	d.tagged = append(d.tagged, t)
}

// diameter draws a leader from the rim at 45 degrees, up and to the outer side first.
func (d *drawing) diameter(m *dim) {
	g := d.p.all[m.of]
	h := d.heads[m.of]
	hw := d.halfWidth(m)
	outer := 1.0
	if e := d.f.mm(g.at.Add(g.out)).sub(d.f.mm(g.at)); e.x < -0.3*e.len() {
		outer = -1
	}
	o := outlineOf(g, d.f)
	var cs []candidate
	for _, w := range [4]vec{{outer, -1}, {-outer, -1}, {outer, 1}, {-outer, 1}} {
		u := w.mul(1 / math.Sqrt2)
		rim := rimAlong(o, h, u)
		for _, l := range []float64{20, 34, 50, 12, 70, 95} {
			knee := rim.add(u.mul(l))
			for _, shelf := range []float64{12, 34} {
				end := knee.add(vec{w.x * shelf, 0})
				cs = append(cs, candidate{box: boxAt(end.add(vec{w.x * hw, 0}), hw, plaqueHalf), lead: []vec{rim, knee, end}, cost: l / 8})
			}
		}
	}
	// In a crowd also straight up or down.
	for _, u := range [2]vec{{0, -1}, {0, 1}} {
		rim := rimAlong(o, h, u)
		for _, l := range []float64{20, 44, 68, 92} {
			end := rim.add(u.mul(l))
			cs = append(cs, candidate{box: boxAt(end.add(u.mul(plaqueHalf)), hw, plaqueHalf), lead: []vec{rim, end}, cost: 15 + l/8})
		}
	}
	c, ok := d.best(cs, m, m.of, m.keep == keepBad)
	if !ok {
		return
	}
	d.put(m, c)
	d.arrow(c.lead[0], c.lead[0].sub(c.lead[1]).unit(), colourOf(m.verdict))
}

// rimAlong is where the ray from the head's middle along u leaves its outline.
func rimAlong(o []vec, h disc, u vec) vec {
	best, at := -2.0, h.c.add(u.mul(h.r))
	for _, v := range o {
		if c := v.sub(h.c).unit().dot(u); c > best {
			best, at = c, v
		}
	}
	return at
}

// edge draws the distance to an edge on the fastener's own line, its value outside the part.
func (d *drawing) edge(m *dim) {
	col := colourOf(m.verdict)
	a, b := d.f.mm(m.a), d.f.mm(m.b)
	u := b.sub(a).unit()
	hw := d.halfWidth(m)
	need := reach(hw, plaqueHalf, u)
	if m.keep == keepEdge && d.overHead(a, b, m.of) {
		return // a farther edge is not worth a line through the neighbours
	}
	l := b.sub(a).len()
	tail := 14.0
	if l < leastBetween {
		tail = outsideTail
	}
	var cs []candidate
	for _, t := range []float64{tail, tail + 16, tail + 40, tail + 64, tail + 90} {
		end := b.add(u.mul(t))
		cs = append(cs, candidate{box: boxAt(end.add(u.mul(need)), hw, plaqueHalf), lead: []vec{b, end}, cost: (t - tail) / 4})
	}
	cs = append(cs, inLine(a, b, hw, 0.5, 0.35, 0.65)...)
	for _, t := range []float64{tail, tail + 20} {
		knee := b.add(u.mul(t))
		cs = append(cs, shelves(knee, []vec{b, knee}, u, hw, 30)...)
	}
	c, ok := d.best(cs, m, m.of, m.keep == keepBad)
	if !ok {
		return
	}
	d.footLine(m)
	d.measured(m, a, b, col)
	d.put(m, c)
}

// overHead tells whether a line runs over a head that is not its own.
func (d *drawing) overHead(a, b vec, own int) bool {
	for i, h := range d.heads {
		if i != own && nearLine(h.c, a, b) < h.r+3 {
			return true
		}
	}
	return false
}

// footLine is an extension line to a foot that lies beyond the edge's seen ends.
func (d *drawing) footLine(m *dim) {
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
	d.line(m, d.f.mm(from.Add(e.Scale(extensionOff))), d.f.mm(m.b.Add(e.Scale(extensionPast))), extensionWidth, colourOf(m.verdict))
}

// pitch draws one link of a chain.
func (d *drawing) pitch(m *dim) {
	col := colourOf(m.verdict)
	a, b := d.f.mm(m.a), d.f.mm(m.b)
	u := b.sub(a).unit()
	hw := d.halfWidth(m)
	cs := inLine(a, b, hw, 0.5, 0.25, 0.75, 0.35, 0.65, 0.15, 0.85)
	// Off the line, away from the heads first.
	n := u.turned()
	if away := a.sub(d.f.mm(d.p.all[m.of].at)); away.dot(n) < 0 {
		n = n.mul(-1)
	}
	mid := a.mid(b)
	for _, w := range []vec{n, n.mul(-1)} {
		for _, t := range []float64{12, 30} {
			end := mid.add(w.mul(t))
			cs = append(cs, candidate{box: boxAt(end.add(w.mul(reach(hw, plaqueHalf, w))), hw, plaqueHalf), lead: []vec{mid, end}, cost: 10 + t/4})
		}
		knee := mid.add(w.mul(14))
		cs = append(cs, shelves(knee, []vec{mid, knee}, w, hw, 20)...)
	}
	c, ok := d.best(cs, m, m.of, m.keep == keepBad)
	if !ok {
		return
	}
	for _, i := range [2]int{m.of, m.to} {
		d.chainEnd(m, i)
	}
	d.measured(m, a, b, col)
	d.put(m, c)
}

// chainEnd draws the extension line at one end of a pitch, where the tag's own is another.
func (d *drawing) chainEnd(m *dim, i int) {
	g := d.p.all[i]
	end := m.a
	if i == m.to {
		end = m.b
	}
	w := end.Sub(g.at)
	off := w.Norm()
	if !(off > 0) {
		return
	}
	w = w.Scale(1 / off)
	if w.Dot(g.tagWay) > 0.999 && math.Abs(off+extensionPast-g.tagOff) < 0.01 {
		return
	}
	d.line(m, d.f.mm(g.at.Add(w.Scale(g.r+extensionOff))), d.f.mm(geom.SheetPoint(end.Add(w.Scale(extensionPast)))), extensionWidth, inkColour)
}

// inLine gives places in the gap of a line, where it is long enough for value and arrowheads.
func inLine(a, b vec, hw float64, ts ...float64) (cs []candidate) {
	u := b.sub(a).unit()
	l := b.sub(a).len()
	need := reach(hw, plaqueHalf, u)
	for _, t := range ts {
		if near := l * min(t, 1-t); near >= need+arrowLength+3 {
			cs = append(cs, candidate{box: boxAt(a.on(b, t), hw, plaqueHalf)})
		}
	}
	return cs
}

// shelves gives places at the end of a level line to the right and to the left of a knee, and
// of knees above and below it; never back against u, over the line that they belong to.
func shelves(knee vec, lead []vec, u vec, hw, cost float64) (cs []candidate) {
	for _, w := range []vec{{1, 0}, {-1, 0}} {
		if w.dot(u) < -0.3 {
			continue
		}
		for _, dy := range []float64{0, -22, 22, -40, 40} {
			k := knee.add(vec{w.x * math.Abs(dy) * 0.5, dy})
			end := k.add(vec{w.x * 10, 0})
			cs = append(cs, candidate{box: boxAt(end.add(vec{w.x * hw, 0}), hw, plaqueHalf),
				lead: append(append([]vec{}, lead...), k, end), cost: cost + math.Abs(dy)/4})
		}
	}
	return cs
}
