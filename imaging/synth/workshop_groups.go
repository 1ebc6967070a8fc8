package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// rows lays out up to n places of one group on a level: along an edge, in a line, zigzag,
// grid, circle, pair or alone.
func (d *workshopDrawing) rows(level int, size float64, n int) []geom.SheetPoint {
	r := d.r
	pitch := size * r.logSpan(2.8, 8)
	jitter := func(p geom.SheetPoint) geom.SheetPoint {
		return p.Add(geom.SheetPoint{X: r.near(0, 0.12), Y: r.near(0, 0.12)})
	}
	if r.chance(0.45) {
		if out := d.alongEdge(level, size*r.span(1.4, 3), pitch, n); len(out) > 0 {
			for i := range out {
				out[i] = jitter(out[i])
			}
			return out
		}
	}
	start, a := d.somewhereOn(level), even(r, 0, math.Pi/2)+0.02*r.normal()
	s, c := math.Sincos(a)
	var out []geom.SheetPoint
	at := func(u, v float64) {
		out = append(out, jitter(geom.SheetPoint{X: start.X + u*c - v*s, Y: start.Y + u*s + v*c}))
	}
	switch pick(r, []float64{4, 2, 3, 2, 2, 3}, "line", "zigzag", "grid", "circle", "pair", "one") {
	case "line":
		for i := range n {
			at(pitch*(float64(i)-float64(n)/2), 0)
		}
	case "zigzag":
		for i := range n {
			at(0.7*pitch*(float64(i)-float64(n)/2), pitch*(float64(i%2)-0.5))
		}
	case "grid":
		across := 2 + r.intn(3)
		for i := range n {
			at(pitch*(float64(i/across)-float64(n/across)/2), pitch*(float64(i%across)-float64(across-1)/2))
		}
	case "circle":
		rad := math.Max(1.5*size, pitch*float64(n)/(2*math.Pi))
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			at(rad*c, rad*s)
		}
	case "pair":
		at(-pitch/2, 0)
		at(pitch/2, 0)
	default:
		at(0, 0)
	}
	return out
}

// somewhereOn gives a place in the view where a level is bare, if chance finds one.
func (d *workshopDrawing) somewhereOn(level int) (p geom.SheetPoint) {
	for range 20 {
		if p = d.somewhere(); d.fits(level, p, 3, 1) {
			return p
		}
	}
	return p
}

// alongEdge lays a row beside one of a sheet's sides, where the frame shows it.
func (d *workshopDrawing) alongEdge(level int, edge, pitch float64, n int) []geom.SheetPoint {
	r := d.r
	o := d.k.levels[level].out
	first := r.intn(len(o.a))
	for i := range o.a {
		if out := d.alongSide(level, (first+i)%len(o.a), edge, pitch, n); len(out) > 0 {
			return out
		}
	}
	return nil
}

func (d *workshopDrawing) alongSide(level, side int, edge, pitch float64, n int) (out []geom.SheetPoint) {
	r := d.r
	o := d.k.levels[level].out
	a, b := o.a[side], o.b[side]
	way := b.sub(a)
	length := way.norm()
	if length < 1 {
		return nil
	}
	way = way.mul(1 / length)
	in := vec{-o.lines[side].nx, -o.lines[side].ny, 0}
	skip := r.span(0, 1) * pitch
	if r.chance(0.5) {
		skip = edge
	}
	for s := skip; s < length && len(out) < n; s += pitch {
		if p := sheetPoint(a.at(way, s).at(in, edge)); d.s.inFrame(d.s.Project(p, d.k.levels[level].zTop)) {
			out = append(out, p)
		}
	}
	return out
}

// onLevel draws one of the sheets, the main one mostly.
func (d *workshopDrawing) onLevel() int {
	if d.sheets == 1 || d.r.chance(0.6) {
		return 0
	}
	return d.r.intn(d.sheets)
}

// setGroup sets a group of fasteners; some of its places may stay open holes or hold a
// temporary fastener.
func (d *workshopDrawing) setGroup(kind Kind, size dashSize, level, n int) int {
	r := d.r
	w := d.drawWork(kind, level, size)
	open := 0.0
	if kind != Hole && r.chance(0.25) {
		open = r.span(0.1, 0.5)
	}
	holes := d.drawWork(Hole, level, size)
	set := 0
	for _, p := range d.rows(level, size.d, n) {
		ok := false
		switch {
		case kind == Hole || r.chance(open):
			v := w
			if kind != Hole {
				v = holes
			}
			if r.chance(0.04) {
				ok = d.setHole(v, p, DoubleHole, size.hole*v.hole.over)
			} else {
				ok = d.setHole(v, p, Hole, size.hole*v.hole.over)
			}
		case r.chance(0.03):
			ok = d.setCleco(level, p)
		default:
			ok = d.setHead(w, p)
		}
		if ok {
			set++
		}
	}
	return set
}

var fastenerWeights = []float64{22, 14, 26, 16, 22}

func (d *workshopDrawing) anyKind() Kind {
	return pick(d.r, fastenerWeights, ShopHead, Universal, Pulled, Flush, Hole)
}

// drawMain sets the group that the photo was taken for.
func (d *workshopDrawing) drawMain() {
	kind := d.anyKind()
	d.say(string(kind))
	for range 30 {
		level := 0
		if d.r.chance(0.15) {
			level = d.onLevel()
		}
		if d.setGroup(kind, d.main, level, 2+d.r.intn(11)) > 0 {
			return
		}
	}
}

// drawMore sets other groups, holes of no rivet and things that are none of ours.
func (d *workshopDrawing) drawMore() {
	r := d.r
	for range 1 + r.intn(5) {
		size := d.main
		if r.chance(0.4) {
			size = even(r, dashes...)
		}
		d.setGroup(d.anyKind(), size, d.onLevel(), 1+r.intn(8))
	}
	for range 2 + r.intn(5) {
		d.setOthers()
	}
	if r.chance(0.3) {
		d.setPlainHoles()
	}
	d.noteCorners()
}

// setPlainHoles cuts larger holes: for bolts, cables, lightness.
func (d *workshopDrawing) setPlainHoles() {
	r := d.r
	level := d.onLevel()
	w := d.drawWork(Hole, level, d.main)
	diameter := pick(r, []float64{3, 2, 2}, r.span(4.8, 8), r.span(8, 16), r.span(16, 0.8*math.Max(20, d.half)))
	lip := r.chance(0.25)
	for _, p := range d.rows(level, math.Max(diameter, 4), 1+r.intn(5)) {
		if d.setHole(w, p, OtherHole, diameter) && lip {
			d.setLip(level, p, diameter/2)
		}
	}
}

// noteCorners lists the rounded corners of the sheets among the round things.
func (d *workshopDrawing) noteCorners() {
	for i, l := range d.k.levels[:d.sheets] {
		for _, c := range l.out.corners {
			if c.r > 1.2 {
				at := vec{c.cx, c.cy, l.zTop}
				d.k.addRound(Corner, 0, at, ringAt(at, c.r, nil, 0, 0), i)
			}
		}
	}
}
