package annotate

import (
	"image/color"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// drawing gathers what is drawn on the photo, so that all halos lie under all ink, values
// over ink and tags over values.
type drawing struct {
	p *plan
	f *frame
	// heads in CSS px: middle and reach of each outline, in the document's order.
	heads []disc
	rings []disc
	lines []inkLine
	boxes []box // values and tags that have their place

	halo    shape
	ink     map[color.NRGBA]*shape
	plaques []plaque
	tagged  []tagBox
}

type disc struct {
	c vec
	r float64
}

// inkLine is a line that stands already, with the dimension that it belongs to.
type inkLine struct {
	a, b vec
	of   *dim // nil: an extension line of a tag
}

type plaque struct {
	box  box
	text string
	col  color.NRGBA
}

type tagBox struct {
	box     box
	text    string
	verdict qc.Verdict
	ask     bool
}

func newDrawing(p *plan, f *frame) *drawing {
	d := &drawing{p: p, f: f, ink: map[color.NRGBA]*shape{}}
	for _, g := range p.all {
		o := outlineOf(g, f)
		h := disc{}
		for _, v := range o {
			h.c = h.c.add(v.mul(1 / float64(len(o))))
		}
		for _, v := range o {
			h.r = max(h.r, v.sub(h.c).len())
		}
		d.heads = append(d.heads, h)
	}
	at, r := f.rings(p.doc.Scale.Layout)
	for i := range at {
		d.rings = append(d.rings, disc{at[i], r[i]})
	}
	return d
}

// outlineOf is a fastener's outline in CSS px; a circle on the sheet where it has none.
func outlineOf(g *fastener, f *frame) []vec {
	var o []vec
	for _, q := range g.loc.OutlinePx {
		o = append(o, f.px(geom.PxPoint{U: q[0], V: q[1]}))
	}
	if len(o) < 3 {
		o = nil
		for _, q := range arc(vec{}, g.r, 0, 6.2832) {
			o = append(o, f.mm(g.at.Add(geom.SheetPoint{X: q.x, Y: q.y})))
		}
	}
	return o
}

// place finds room for everything; paint then draws it.
func (d *drawing) place() {
	d.standing()
	d.reserve()
	for _, g := range d.served() {
		d.tag(g)
	}
	for _, m := range d.p.dims {
		if d.small(m) {
			continue
		}
		switch m.kind {
		case diameter:
			d.diameter(m)
		case edge:
			d.edge(m)
		case pitch:
			d.pitch(m)
		}
	}
}

func (d *drawing) paint(c *canvas) {
	c.fill(d.halo, haloColour)
	// Ink under colour: what makes a verdict lies on top.
	for _, col := range []color.NRGBA{inkColour, pencilColour, colourOf(qc.Within), colourOf(qc.TooClose), colourOf(qc.Out)} {
		if s := d.ink[col]; s != nil {
			c.fill(*s, col)
		}
	}
	for _, q := range d.plaques {
		c.plaque(q)
	}
	for _, t := range d.tagged {
		c.tag(t)
	}
	// The frame's lower border, as between cells.
	var rule shape
	rule.box(box{0, d.f.height - 1.5, frameWidth, d.f.height})
	c.fill(rule, inkColour)
}

// served gives the fasteners in the order in which they are placed.
func (d *drawing) served() []*fastener {
	var out []*fastener
	for _, v := range append(slices.Clone(qc.Verdicts), "") {
		for _, g := range d.p.all {
			if g.verdict == v {
				out = append(out, g)
			}
		}
	}
	return out
}

// small tells that a dimension is left out because its heads are too small in the picture for
// more than what is not within.
func (d *drawing) small(m *dim) bool {
	return m.keep != keepBad && 2*d.heads[m.of].r < leastHead
}

// standing draws what has its place on the metal: outlines and centre marks.
func (d *drawing) standing() {
	for i, g := range d.p.all {
		col := colourOf(g.verdict)
		o := outlineOf(g, d.f)
		if g.ask {
			d.dashed(o, pencilColour)
			continue
		}
		d.halo.curve(o, outlineWidth+haloAdd, true)
		d.stroke(col).curve(o, outlineWidth, true)
		if 2*d.heads[i].r < leastHead/2 {
			continue // a mark would fill it
		}
		for _, w := range [2]geom.SheetPoint{{X: markArm}, {Y: markArm}} {
			d.inkAlone(d.f.mm(g.at.Sub(w)), d.f.mm(g.at.Add(w)), markWidth, inkColour)
		}
	}
}

// reserve lets every place know of the dimension lines that are to come.
func (d *drawing) reserve() {
	for _, m := range d.p.dims {
		a, b := d.f.mm(m.a), d.f.mm(m.b)
		if m.kind != diameter && !d.small(m) && !(m.keep == keepEdge && d.overHead(a, b, m.of)) {
			d.lines = append(d.lines, inkLine{a, b, m})
		}
	}
}

// dashed draws an outline that is not certain.
func (d *drawing) dashed(o []vec, col color.NRGBA) {
	const dash, gap = 6, 4
	d.halo.curve(o, outlineWidth+haloAdd, true)
	left, on := float64(dash), true
	for i := range o {
		a, b := o[i], o[(i+1)%len(o)]
		for l := b.sub(a).len(); l > 0; l = b.sub(a).len() {
			step := min(left, l)
			e := a.add(b.sub(a).unit().mul(step))
			if on {
				d.stroke(col).line(a, e, outlineWidth)
			}
			if left -= step; left <= 1e-9 {
				if on = !on; on {
					left = dash
				} else {
					left = gap
				}
			}
			if step == l {
				break
			}
			a = e
		}
	}
}

func (d *drawing) stroke(col color.NRGBA) *shape {
	if d.ink[col] == nil {
		d.ink[col] = &shape{}
	}
	return d.ink[col]
}

// inkAlone draws a line that values may cover.
func (d *drawing) inkAlone(a, b vec, width float64, col color.NRGBA) {
	d.halo.curve(longer(a, b, haloAdd/2), width+haloAdd, false)
	d.stroke(col).line(a, b, width)
}

// longer gives the line with m more at both ends.
func longer(a, b vec, m float64) []vec {
	u := b.sub(a).unit().mul(m)
	return []vec{a.sub(u), b.add(u)}
}

// line draws a line of a dimension (nil: of a tag), which values keep clear of.
func (d *drawing) line(of *dim, a, b vec, width float64, col color.NRGBA) {
	d.inkAlone(a, b, width, col)
	d.lines = append(d.lines, inkLine{a, b, of})
}

// arrow draws an arrowhead with its tip at tip.
func (d *drawing) arrow(tip, u vec, col color.NRGBA) {
	back, n := tip.sub(u.mul(arrowLength)), u.turned()
	d.halo.add(polygon{tip.add(u.mul(haloAdd)), back.add(n.mul(arrowWidth/2 + haloAdd/2)), back.sub(n.mul(arrowWidth/2 + haloAdd/2))})
	d.stroke(col).arrow(tip, u)
}

// measured draws a dimension line from a to b with its arrowheads: between the ends, or from
// outside where there is no room. It gives how far beyond b the line goes on.
func (d *drawing) measured(m *dim, a, b vec, col color.NRGBA) (beyond float64) {
	u := b.sub(a).unit()
	if b.sub(a).len() >= leastBetween {
		d.inkAlone(a, b, dimensionWidth, col) // reserved already
		d.arrow(a, u.mul(-1), col)
		d.arrow(b, u, col)
		return 0
	}
	d.line(m, a.sub(u.mul(outsideTail)), b.add(u.mul(outsideTail)), dimensionWidth, col)
	d.arrow(a, u, col)
	d.arrow(b, u.mul(-1), col)
	return outsideTail
}

// plaque paints a value.
func (c *canvas) plaque(q plaque) {
	var s shape
	s.box(q.box)
	c.fill(s, plaqueColour)
	c.text(vec{q.box.x0 + plaquePad, q.box.centre().y + valueFace.size*capHeight/2}, q.text, valueFace, q.col)
}

// tag paints a location's name on its verdict.
func (c *canvas) tag(t tagBox) {
	col := colourOf(t.verdict)
	if t.ask {
		col = pencilColour
	}
	var s shape
	s.box(t.box.grown(1.5))
	c.fill(s, plaqueColour)
	s = nil
	s.box(t.box)
	c.fill(s, col)
	x := t.box.x0 + 8
	y := t.box.centre().y
	base := y + tagFace.size*capHeight/2
	switch {
	case t.ask:
		x = c.text(vec{x, base}, "?", tagFace, plaqueColour).x + 6
	case t.verdict != "":
		c.fill(verdictShape(t.verdict, vec{x + shapeSide/2, y}, shapeSide), plaqueColour)
		x += shapeSide + 6
	}
	c.text(vec{x, base}, t.text, tagFace, plaqueColour)
}

// tagWidth is the width of a tag.
func tagWidth(t tagBox) float64 {
	w := 16 + textWidth(t.text, tagFace)
	switch {
	case t.ask:
		w += textWidth("?", tagFace) + 6
	case t.verdict != "":
		w += shapeSide + 6
	}
	return w
}
