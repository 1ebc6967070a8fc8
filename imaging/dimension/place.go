package dimension

import (
	"math"

	"bucktail/qc/drawing"
)

// A place for a value or a tag is tried in a fixed order, so that a redraw moves nothing. What it
// may not cover: a head or hole, a card ring, another value or tag, the frame's border. Lines of
// others only make it worse.

// candidate is a place with the line that leads to it.
type candidate struct {
	box    box
	lead   []vec   // drawn to the value; nil where it stands in its line
	cost   float64 // of being late in the order, and of what it makes worse
	covers int     // how many things it covers that it may not
	of     int     // what else it belongs to, where several lines are tried
}

// covers counts what a place covers that it may not. A head of its own is no exception.
func (d *placing) covers(b box) (n int) {
	for _, o := range d.boxes {
		if b.Grown(3).Meets(o) {
			n += 2 // two values in one place are none
		}
	}
	for i := range d.heads {
		if d.onHead(b, i) {
			n += 2
		}
	}
	for _, r := range d.discs {
		if b.Near(r.c) < r.r {
			n++
		}
	}
	return n
}

// fills is the fraction of the frame's lesser side from which on a head fills it.
const fills = 0.6

// onHead tells whether a box covers a head; its rim alone where the head fills the frame, for then
// there is nothing else to stand on.
func (d *placing) onHead(b box, i int) bool {
	h := d.heads[i]
	if b.Near(h.c) >= h.r+3 {
		return false
	}
	if 2*h.r < fills*min(d.view.Width, d.view.Height) {
		return true
	}
	o := d.outlines[i]
	for k := range o {
		if b.Grown(3).Length(o[k], o[(k+1)%len(o)]) > 0 {
			return true
		}
	}
	return false
}

// under is the length of others' lines under a box.
func (d *placing) under(b box, own *dim) (sum float64) {
	b = b.Grown(2)
	for i := range d.lines {
		if l := &d.lines[i]; (l.of == nil || l.of != own) && l.in.Meets(b) {
			sum += b.Length(l.a, l.b)
		}
	}
	return sum
}

// way is the cost of drawing a line of a dimension from a to b: over values and heads it may
// hardly go.
func (d *placing) way(a, b vec, own *dim, from int) (cost float64) {
	for _, o := range d.boxes {
		if o.Length(a, b) > 0 {
			cost += 200
		}
	}
	for i, h := range d.heads {
		if i != from && nearLine(h.c, a, b) < h.r+3 {
			cost += 100
		}
	}
	in := boxOf(a, b)
	for i := range d.lines {
		if l := &d.lines[i]; (own == nil || l.of != own) && l.in.Meets(in) && crosses(a, b, l.a, l.b) {
			cost += 25
		}
	}
	return cost
}

// crosses tells whether two lines cross, more than a unit from the ends of both: lines that meet
// at an end, or lie upon each other, don't.
func crosses(a, b, c, e vec) bool {
	p, q, r := b.Sub(a), e.Sub(c), c.Sub(a)
	det := p.X*q.Y - p.Y*q.X
	if math.Abs(det) < 1e-6*p.Len()*q.Len() {
		return false
	}
	inside := func(t, length float64) bool { return t*length > 1 && (1-t)*length > 1 }
	return inside((r.X*q.Y-r.Y*q.X)/det, p.Len()) && inside((r.X*p.Y-r.Y*p.X)/det, q.Len())
}

// nearLine is the distance of p from the line between a and b.
func nearLine(p, a, b vec) float64 {
	u := b.Sub(a)
	t := 0.0
	if l := u.Dot(u); l > 0 {
		t = min(max(p.Sub(a).Dot(u)/l, 0), 1)
	}
	return p.Sub(a.On(b, t)).Len()
}

// overHead tells whether a line runs over a head that is not its own.
func (d *placing) overHead(a, b vec, own int) bool {
	for i, h := range d.heads {
		if i != own && nearLine(h.c, a, b) < h.r+3 {
			return true
		}
	}
	return false
}

// best chooses the candidate that covers least, and of these the cheapest; ok is false where none
// lies in the frame.
func (d *placing) best(cs []candidate, own *dim, from int) (pick candidate, ok bool) {
	for i, c := range cs {
		if !d.in.Holds(c.box) {
			continue
		}
		c.cost += float64(i)
		if ok && pick.covers == 0 && c.cost >= pick.cost {
			continue // what comes only adds to it
		}
		c.covers = d.covers(c.box)
		if ok && (c.covers > pick.covers || c.covers == pick.covers && c.cost >= pick.cost) {
			continue
		}
		c.cost += 2 * d.under(c.box, own)
		for k := 0; k+1 < len(c.lead); k++ {
			c.cost += d.way(c.lead[k], c.lead[k+1], own, from)
		}
		if !ok || c.covers < pick.covers || c.cost < pick.cost {
			pick, ok = c, true
		}
	}
	return pick, ok
}

// dear is the cost from which a value of something within is better left out: its lead would run
// over a head or through several lines.
const dear = 100

// choose is [placing.best] for a dimension's value. What is not within is not left out as long as
// there is a free place anywhere in the frame, to which a line leads from where start says.
func (d *placing) choose(cs []candidate, m *dim, start func(to vec) vec) (candidate, bool) {
	c, ok := d.best(cs, m, m.of)
	free := ok && c.covers == 0
	if m.keep != keepBad {
		return c, free && c.cost <= dear
	}
	if !free {
		hw, hh := d.half(m.text)
		c, ok = d.best(d.everywhere(hw, hh, start), m, m.of)
		free = ok && c.covers == 0
	}
	return c, free
}

// everywhere gives the free places of a value or tag with these half sides all over the frame, dearer
// the farther they are.
func (d *placing) everywhere(hw, hh float64, start func(to vec) vec) (cs []candidate) {
	const step = 12
	for y := d.in.Y0 + hh; y <= d.in.Y1-hh; y += step {
		for x := d.in.X0 + hw; x <= d.in.X1-hw; x += step {
			b := drawing.BoxAt(vec{X: x, Y: y}, hw, hh)
			if d.covers(b) > 0 {
				continue
			}
			from := start(b.Centre())
			to := vec{X: min(max(from.X, b.X0), b.X1), Y: min(max(from.Y, b.Y0), b.Y1)}
			// The order in which they are tried is no reason to take one.
			cs = append(cs, candidate{box: b, lead: []vec{from, to}, cost: to.Sub(from).Len() - float64(len(cs))})
		}
	}
	return cs
}

// half gives half the sides of a value's plaque.
func (d *placing) half(text string) (hw, hh float64) {
	return d.look.TextWidth(text)*d.look.TextSize/2 + plaquePad, d.look.TextSize*capHeight/2 + plaquePad
}

// reach is how far a box of these half sides extends from its middle along u.
func reach(hw, hh float64, u vec) float64 {
	return min(hw/max(math.Abs(u.X), 1e-9), hh/max(math.Abs(u.Y), 1e-9))
}

// ahead is a place whose middle lies on the line from along u, so that it begins at end.
func ahead(end, u vec, hw, hh float64) box {
	return drawing.BoxAt(end.Add(u.Mul(reach(hw, hh, u))), hw, hh)
}

// inLine gives places in the gap of a line, as far as the frame shows it, where it is long enough
// for value and arrowheads.
func (d *placing) inLine(a, b vec, hw, hh float64, ts ...float64) (cs []candidate) {
	t0, t1 := d.in.Cut(a, b)
	if !(t1 > t0) {
		return nil
	}
	need := reach(hw, hh, b.Sub(a).Unit())
	from, to := a.On(b, t0), a.On(b, t1)
	room := func(t float64, cut bool) float64 {
		if cut { // the arrowhead is outside
			return t * to.Sub(from).Len()
		}
		return t*to.Sub(from).Len() - arrowLength - 3
	}
	for _, t := range ts {
		if room(t, t0 > 0) >= need && room(1-t, t1 < 1) >= need {
			cs = append(cs, candidate{box: drawing.BoxAt(from.On(to, t), hw, hh)})
		}
	}
	return cs
}

// beside gives places off a line, on the side of n first, with a lead from its visible middle.
func (d *placing) beside(a, b, n vec, hw, hh, cost float64) (cs []candidate) {
	mid := d.middle(a, b)
	for _, w := range []vec{n, n.Mul(-1)} {
		for _, t := range []float64{12, 30} {
			end := mid.Add(w.Mul(t))
			cs = append(cs, candidate{box: ahead(end, w, hw, hh), lead: []vec{mid, end}, cost: cost + t/4})
		}
		knee := mid.Add(w.Mul(14))
		cs = append(cs, shelves(knee, []vec{mid, knee}, w, hw, hh, cost+10)...)
	}
	return cs
}

// middle is the middle of a line as far as the frame shows it.
func (d *placing) middle(a, b vec) vec {
	t0, t1 := d.in.Cut(a, b)
	if !(t1 > t0) {
		return a.On(b, 0.5)
	}
	return a.On(b, (t0+t1)/2)
}

// shelves gives places at the end of a level line to the right and to the left of a knee, and of
// knees above and below it; never back against u, over the line that they belong to.
func shelves(knee vec, lead []vec, u vec, hw, hh, cost float64) (cs []candidate) {
	for _, w := range []vec{{X: 1}, {X: -1}} {
		if w.Dot(u) < -0.3 {
			continue
		}
		for _, dy := range []float64{0, -22, 22, -40, 40} {
			k := knee.Add(vec{X: w.X * math.Abs(dy) * 0.5, Y: dy})
			end := k.Add(vec{X: w.X * 10})
			cs = append(cs, candidate{box: drawing.BoxAt(end.Add(vec{X: w.X * hw}), hw, hh),
				lead: append(append([]vec{}, lead...), k, end), cost: cost + math.Abs(dy)/4})
		}
	}
	return cs
}
