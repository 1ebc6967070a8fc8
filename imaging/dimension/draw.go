package dimension

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/qc"
	"bucktail/qc/drawing"
)

type (
	vec = drawing.Point
	box = drawing.Box
)

// placing is a drawing in the making.
type placing struct {
	*Plan
	view View
	look Look
	in   box // the frame, less its border

	outlines []drawing.Path // in the document's order
	heads    []disc         // middle and reach of each outline
	discs    []disc         // the card's rings
	lines    []inkLine      // that values keep clear of
	boxes    []box          // what has its place

	out *drawing.Drawing
}

type disc struct {
	c vec
	r float64
}

// inkLine is a line that stands already, with the dimension that it belongs to.
type inkLine struct {
	a, b vec
	of   *dim // nil: an extension line of a tag
	in   box
}

func lineOf(a, b vec, of *dim) inkLine { return inkLine{a, b, of, boxOf(a, b)} }

// boxOf is the box that a line goes through from corner to corner, with some room so that it is
// never empty.
func boxOf(a, b vec) box {
	return box{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}.Grown(0.5)
}

// Draw finds the place of everything in a view. The same plan in the same view is the same drawing.
func (p *Plan) Draw(v View, l Look) *drawing.Drawing {
	d := p.placing(v, l)
	d.standing()
	d.reserve()
	for _, g := range d.served() {
		d.tag(g)
	}
	for _, m := range d.dims {
		if d.leftOut(m) {
			continue
		}
		switch {
		case m.kind == edge:
			d.edge(m)
		case m.kind == pitch:
			d.pitch(m)
		case d.alone():
			d.trueDiameter(m)
		default:
			d.leader(m)
		}
	}
	d.finish()
	return d.out
}

func (p *Plan) placing(v View, l Look) *placing {
	if l.TextSize == 0 {
		l.TextSize = TextSize
	}
	d := &placing{Plan: p, view: v, look: l, in: box{X1: v.Width, Y1: v.Height}.Grown(-border), boxes: slices.Clone(l.Covered),
		out: &drawing.Drawing{Width: v.Width, Height: v.Height, TextSize: l.TextSize, Lines: []drawing.Line{}, Values: []drawing.Value{}, Tags: []drawing.Tag{}}}
	for _, g := range p.all {
		o := d.outlineOf(g)
		h := disc{}
		for _, q := range o {
			h.c = h.c.Add(q.Mul(1 / float64(len(o))))
		}
		for _, q := range o {
			h.r = max(h.r, q.Sub(h.c).Len())
		}
		if !(h.r < farOff) { // its circle lies behind the camera
			h = disc{v.At(geom.PxPoint{U: g.loc.CentrePx[0], V: g.loc.CentrePx[1]}), leastHit}
		}
		d.outlines, d.heads = append(d.outlines, o), append(d.heads, h)
		d.out.Hits = append(d.out.Hits, drawing.Hit{At: h.c, Radius: max(h.r, leastHit)})
	}
	for _, r := range p.rings {
		d.discs = append(d.discs, disc{d.mm(r.at), r.r * p.cam.PxPerMM(r.at, 0) * v.Scale})
	}
	return d
}

// mm turns a place on the sheet into one in the frame.
func (d *placing) mm(q geom.SheetPoint) vec { return d.view.At(d.cam.Project(q, 0)) }

// outlineOf is a fastener's outline in the frame; a circle on the sheet where it has none.
func (d *placing) outlineOf(g *fastener) (o drawing.Path) {
	for _, q := range g.loc.OutlinePx {
		o = append(o, d.view.At(geom.PxPoint{U: q[0], V: q[1]}))
	}
	if len(o) >= 3 {
		return o
	}
	o = nil
	for _, q := range circle(d.cam, g.at, g.r, 0, circlePoints) {
		o = append(o, d.view.At(q))
	}
	return o
}

// circlePoints are enough for a circle that fills a phone's screen: chord and arc differ by
// r (1 - cos π/72) = 0.4 CSS px for a radius of 400.
const circlePoints = 72

// circle gives n points of a circle on the sheet as the photo shows it, from an angle on.
func circle(cam *geom.Camera, at geom.SheetPoint, rMM, from float64, n int) (out []geom.PxPoint) {
	for k := range n {
		s, c := math.Sincos(from + 2*math.Pi*float64(k)/float64(n))
		out = append(out, cam.Project(at.Add(geom.SheetPoint{X: rMM * c, Y: rMM * s}), 0))
	}
	return out
}

// seen tells whether a head is in the frame, at least in part.
func (d *placing) seen(i int) bool { return d.frame().Near(d.heads[i].c) < d.heads[i].r }

func (d *placing) frame() box { return box{X1: d.view.Width, Y1: d.view.Height} }

// served gives the fasteners that get a tag, in the order in which they are placed.
func (d *placing) served() []*fastener {
	out := slices.DeleteFunc(slices.Clone(d.shown()), func(g *fastener) bool { return !d.seen(g.i) })
	slices.SortStableFunc(out, func(a, b *fastener) int { return rank(a.verdict) - rank(b.verdict) })
	return out
}

// leftOut tells that a dimension has no place in this view: its heads are too small for more than
// their diameters and what is not within, or it lies outside.
func (d *placing) leftOut(m *dim) bool {
	if m.keep > keepDiameter && 2*d.heads[m.of].r < leastHead {
		return true
	}
	if m.kind == diameter {
		return !d.seen(m.of)
	}
	a, b := d.mm(m.a), d.mm(m.b)
	if m.keep == keepEdge && (d.in.Near(b) > 0 || d.overHead(a, b, m.of)) {
		return true // a farther edge is not worth a line through the neighbours
	}
	return !(d.in.Length(a, b) > arrowLength)
}

// standing draws what has its place on the metal: outlines and centre marks.
func (d *placing) standing() {
	for i, g := range d.all {
		l := drawing.Line{Role: drawing.Outline, Points: d.outlines[i], Closed: true, Width: outlineWidth, Ink: drawing.Of(g.verdict)}
		if g.ask {
			l.Ink, l.Dashed = drawing.Pencil, true
		}
		if i == d.what.Chosen-1 {
			l.Width = chosenWidth
		}
		d.draw(l)
		if g.ask || 2*d.heads[i].r < leastHead/2 {
			continue // a mark would fill it
		}
		for _, w := range [2]geom.SheetPoint{{X: markArm}, {Y: markArm}} {
			d.draw(drawing.Line{Role: drawing.Mark, Points: drawing.Path{d.mm(g.at.Sub(w)), d.mm(g.at.Add(w))}, Width: markWidth})
		}
	}
}

// reserve lets every place know of the lines that are to come: pitches, edges with the usual place
// of their value, a diameter above its head.
func (d *placing) reserve() {
	for _, m := range d.dims {
		if d.leftOut(m) {
			continue
		}
		a, b := d.mm(m.a), d.mm(m.b)
		switch m.kind {
		case diameter:
			if d.alone() {
				u, n := d.axes(d.all[m.of])
				l := d.across(m.of, u, n, trueOff)
				d.lines = append(d.lines, lineOf(l.a, l.b, m), lineOf(l.left, l.a, m), lineOf(l.right, l.b, m))
			}
			continue
		case edge:
			if d.overHead(a, b, m.of) {
				continue
			}
			hw, hh := d.half(m.text)
			u := b.Sub(a).Unit()
			b = b.Add(u.Mul(edgeTail(b.Sub(a).Len()) + 2*reach(hw, hh, u)))
		}
		d.lines = append(d.lines, lineOf(a, b, m))
	}
}

// farOff bounds what is drawn: places behind the camera or nearly so lie anywhere.
const farOff = 1e5

// draw takes in a line that values may cover.
func (d *placing) draw(l drawing.Line) {
	for _, q := range l.Points {
		if !(math.Abs(q.X) < farOff && math.Abs(q.Y) < farOff) {
			return
		}
	}
	if l.Width > 0 {
		l.Width += d.look.Heavier
		l.Halo = l.Width + haloAdd
	} else {
		l.Halo = haloAdd
	}
	d.out.Lines = append(d.out.Lines, l)
}

// line draws a line of a dimension (nil: of a tag), which values keep clear of.
func (d *placing) line(of *dim, role drawing.Role, ink drawing.Ink, pts ...vec) {
	width := dimensionWidth
	if role == drawing.Extension {
		width = extensionWidth
	}
	d.draw(drawing.Line{Role: role, Points: pts, Width: width, Ink: ink})
	for k := 0; k+1 < len(pts); k++ {
		d.lines = append(d.lines, lineOf(pts[k], pts[k+1], of))
	}
}

// arrow draws an arrowhead with its tip at tip, pointing along u.
func (d *placing) arrow(tip, u vec, ink drawing.Ink) {
	back, n := tip.Sub(u.Mul(arrowLength)), u.Turned().Mul(arrowWidth/2)
	d.draw(drawing.Line{Role: drawing.Arrow, Points: drawing.Path{tip, back.Add(n), back.Sub(n)}, Closed: true, Ink: ink})
}

// measured draws a dimension line from a to b with its arrowheads: between the ends, or from
// outside where there is no room.
func (d *placing) measured(m *dim, a, b vec) {
	ink, u := drawing.Of(m.verdict), b.Sub(a).Unit()
	if b.Sub(a).Len() >= leastBetween {
		d.line(m, drawing.Dimension, ink, a, b)
		d.arrow(a, u.Mul(-1), ink)
		d.arrow(b, u, ink)
		return
	}
	d.line(m, drawing.Dimension, ink, a.Sub(u.Mul(outsideTail)), b.Add(u.Mul(outsideTail)))
	d.arrow(a, u, ink)
	d.arrow(b, u.Mul(-1), ink)
}

// put draws the value of a dimension in the place chosen for it.
func (d *placing) put(m *dim, c candidate) {
	ink := drawing.Of(m.verdict)
	if len(c.lead) > 1 {
		d.line(m, drawing.Leader, ink, c.lead...)
	}
	d.boxes = append(d.boxes, c.box)
	d.out.Values = append(d.out.Values, drawing.Value{Of: m.of, Box: c.box, Text: m.text, Ink: ink})
}

// finish puts lines in the order in which they are drawn: what makes a verdict lies on top.
func (d *placing) finish() {
	order := []drawing.Ink{drawing.Plain, drawing.Pencil, drawing.Of(qc.Within), drawing.Of(qc.TooClose), drawing.Of(qc.Out)}
	slices.SortStableFunc(d.out.Lines, func(a, b drawing.Line) int { return slices.Index(order, a.Ink) - slices.Index(order, b.Ink) })
}
