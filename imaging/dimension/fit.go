package dimension

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc/drawing"
)

// Frame is the place that a part of the photo is chosen for, in its own units.
type Frame struct {
	Width       float64
	Least, Most float64 // of its height
	Fill        bool    // no wider than the photo
	WithCard    bool    // show the whole card where heads stay large enough for values
}

// Diameters of heads in units of the frame.
const (
	largestHead = 96 // what lies around a head tells which one it is
	enoughHead  = 48 // room for values is given up before heads get smaller
)

// Room round things in units of the frame.
const (
	apart = 8  // round what has its place on the metal, and round values
	about = 44 // round a head, for values and leaders
)

// wish is a place that should be in the frame, with room round it in units of the frame.
type wish struct {
	at   geom.PxPoint
	room box  // how far it reaches beyond the place: negative to the left and up
	soft bool // values have other places too
}

// Fit chooses the part of the photo with the fasteners that are dimensioned, the edges they are
// measured to, their pitch chains, and room for the values round them.
func (p *Plan) Fit(f Frame, l Look) View {
	if l.TextSize == 0 {
		l.TextSize = TextSize
	}
	w, h := float64(p.doc.Width), float64(p.doc.Height)
	head := math.Inf(1) // the smallest head that is dimensioned, px
	for _, g := range p.shown() {
		if d := 2 * g.r * p.cam.PxPerMM(g.at, 0); d > 0 { // not behind the camera
			head = min(head, d)
		}
	}
	wishes := p.wishes(l)
	if len(wishes) == 0 {
		wishes, head = []wish{{}, {at: geom.PxPoint{U: w - 1, V: h - 1}}}, largestHead
	}
	k := 0.0
	for _, room := range []float64{1, 0.7, 0.4, 0} {
		if k = scale(wishes, room, f); k*head >= enoughHead {
			break
		}
	}
	if card := p.card(); f.WithCard && card != nil {
		all := append(card, wishes...)
		if c := scale(all, 1, f); c*head >= enoughHead {
			k, wishes = c, all
		}
	}
	k = min(k, largestHead/head)
	if f.Fill {
		k = max(k, f.Width/w)
	} else {
		k = max(k, min(f.Width/w, f.Most/h))
	}
	// Along each side as much of the room as there is.
	x0, x1 := extent(wishes, k, f.Width, horizontal)
	y0, y1 := extent(wishes, k, f.Most, vertical)
	v := View{Scale: k, Width: f.Width, Height: min(max(y1-y0, f.Least), f.Most)}
	if f.Fill {
		v.Height = min(v.Height, h*k)
	}
	v.X, v.Y = shift(x0, x1, v.Width, w*k), shift(y0, y1, v.Height, h*k)
	return v
}

// shift moves a photo of that length so that the middle of from and to, places along it, lies in
// the middle of the frame, and the photo covers the frame where it can.
func shift(from, to, frame, length float64) float64 {
	if length < frame {
		return (frame - length) / 2
	}
	return min(0, max(frame/2-(from+to)/2, frame-length))
}

// scale is the largest at which all wishes fit into the frame, the soft ones with a fraction of
// their room.
func scale(wishes []wish, room float64, f Frame) float64 {
	fits := func(k float64) bool {
		x0, x1 := reachOf(wishes, k, room, horizontal)
		y0, y1 := reachOf(wishes, k, room, vertical)
		return x1-x0 <= f.Width && y1-y0 <= f.Most
	}
	lo, hi := 0.0, 1.0
	for hi < 1024 && fits(hi) {
		lo, hi = hi, 2*hi
	}
	for range 24 {
		if mid := (lo + hi) / 2; fits(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// side gives of a wish its place in the photo, px from the corner, and its room to both ways.
type side func(w wish) (at, less, more float64)

func horizontal(w wish) (at, less, more float64) { return w.at.U + 0.5, w.room.X0, w.room.X1 }
func vertical(w wish) (at, less, more float64)   { return w.at.V + 0.5, w.room.Y0, w.room.Y1 }

// extent is what the wishes take up with as much of their room as there is.
func extent(wishes []wish, k, most float64, along side) (from, to float64) {
	for _, room := range []float64{1, 0.7, 0.4, 0} {
		if from, to = reachOf(wishes, k, room, along); to-from <= most {
			break
		}
	}
	return from, to
}

// reachOf is what the wishes take up at a scale, in units of the frame from the photo's corner.
func reachOf(wishes []wish, k, room float64, along side) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, q := range wishes {
		at, less, more := along(q)
		if q.soft {
			less, more = less*room, more*room
		}
		from, to = min(from, at*k+less), max(to, at*k+more)
	}
	return from, to
}

// wishes gathers what should be in the frame: outlines, tags, and the usual places of values.
func (p *Plan) wishes(l Look) (out []wish) {
	take := func(at geom.PxPoint, room box, soft bool) {
		if math.Abs(at.U) < farOff && math.Abs(at.V) < farOff {
			out = append(out, wish{at, room, soft})
		}
	}
	d := p.placing(View{Scale: 1}, l) // directions are the same in all views
	px := func(q geom.SheetPoint) geom.PxPoint { return p.cam.Project(q, 0) }
	for _, g := range p.shown() {
		for _, q := range d.outlines[g.i] {
			at := geom.PxPoint{U: q.X - 0.5, V: q.Y - 0.5}
			take(at, box{}.Grown(apart), false)
			take(at, box{}.Grown(about), true)
		}
		u := d.mm(g.at.Add(g.tagWay)).Sub(d.mm(g.at)).Unit()
		_, hw := d.tagOf(g)
		take(px(g.at.Add(g.tagWay.Scale(g.tagOff))), beyond(u, 0, hw, tagHalf), false)
	}
	for _, m := range p.dims {
		hw, hh := d.half(m.text)
		switch {
		case m.kind == edge && m.keep <= keepNearest:
			u := d.mm(m.b).Sub(d.mm(m.a)).Unit()
			take(px(m.b), beyond(u, outsideTail, hw, hh), false)
		case m.kind == pitch:
			take(px(m.a), drawing.BoxAt(vec{}, hw, hh).Grown(apart), true)
			take(px(m.b), drawing.BoxAt(vec{}, hw, hh).Grown(apart), true)
		case m.kind == diameter:
			w, off := vec{Y: -1}, leaderUsual/math.Sqrt2
			if p.alone() {
				_, w = d.axes(p.all[m.of])
				off = trueOff
			}
			rim := d.rim(m.of, w)
			take(geom.PxPoint{U: rim.X - 0.5, V: rim.Y - 0.5}, beyond(w, off, hw, hh), true)
		}
	}
	return out
}

// beyond is the room of a box that stands t beyond a place along u.
func beyond(u vec, t, hw, hh float64) box {
	b := ahead(u.Mul(t), u, hw, hh)
	return box{X0: min(b.X0, 0), Y0: min(b.Y0, 0), X1: max(b.X1, 0), Y1: max(b.Y1, 0)}.Grown(apart)
}

// card gives the card's corners.
func (p *Plan) card() (out []wish) {
	for _, q := range p.doc.Scale.CardPx {
		out = append(out, wish{geom.PxPoint{U: q[0], V: q[1]}, box{}.Grown(apart), false})
	}
	return out
}
