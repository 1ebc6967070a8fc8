package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// holeForm is how the holes of one group were made.
type holeForm struct {
	over    float64 // bore over the drill
	chamfer float64
	chatter float64 // of the chamfer
	teeth   float64
	ragged  float64
	edge    coat
	oval    float64 // how likely a hole is drawn out
	behind  string  // "through", "offset", "smaller", "blind", "disc" or "nothing"
	depth   float64 // of the disc
	back    coat
	flags   float64 // how likely burrs stand up
}

func (d *workshopDrawing) drawHoleForm(w *work) {
	r := d.r
	h := &w.hole
	h.over = r.near(1.005, 0.01)
	if r.chance(0.4) {
		h.over = r.span(0.6, 1.6)
	}
	h.chamfer = pick(r, []float64{2, 3, 3, 2}, 0.015, r.span(0.03, 0.08), r.span(0.08, 0.2), r.span(0.2, 0.45))
	h.chamfer = math.Min(h.chamfer, 0.6*d.k.levels[w.level].thick)
	switch r.intn(4) {
	case 0:
		h.chatter, h.teeth = h.chamfer*r.span(0.1, 0.5), float64(3+r.intn(7))
	case 1:
		h.ragged = h.chamfer * r.span(0.1, 0.35)
	}
	switch {
	case d.habits.deburr > 0.6:
		h.edge = metalCoat(r, aluminium, r.span(0.05, 0.2), 0.05)
	case d.habits.deburr > 0.3:
		h.edge = metalCoat(r, aluminium.scale(r.span(0.4, 0.9)), r.span(0.15, 0.4), 0.2)
	default:
		h.edge = metalCoat(r, aluminium.scale(r.span(0.1, 0.4)), r.span(0.2, 0.5), 0.2)
	}
	h.edge.grain = r.span(0.01, 0.12)
	if r.chance(0.3) {
		h.edge.pattern = patternTurned
	}
	if r.chance(0.15) {
		h.oval = r.span(0.2, 0.8)
	}
	if r.chance(0.2) {
		h.flags = r.span(0.2, 0.8)
	}
	d.drawBehind(h, w.level)
}

// drawBehind says what is seen through holes of a level.
func (d *workshopDrawing) drawBehind(h *holeForm, level int) {
	r := d.r
	tight := false
	for _, l := range d.k.levels {
		if z := d.k.levels[level].zTop - l.zTop; z > 0.05 && z < 4 {
			tight = true
		}
	}
	if tight {
		h.behind = pick(r, []float64{5, 3, 2, 2}, "through", "offset", "smaller", "blind")
		return
	}
	h.behind = pick(r, []float64{4, 5}, "nothing", "disc")
	h.depth = pick(r, []float64{2, 2, 1}, r.span(0.1, 1), r.span(1, 8), r.span(8, 25))
	switch r.intn(7) {
	case 0:
		h.back = darkCoat(r.span(0.003, 0.03))
	case 1:
		h.back = coat{tone: tinted(r, r.span(0, 0.9), r.span(0.1, 0.8)), bx: 1, mottle: 0.05}
	case 2:
		h.back = coat{tone: rgb{0.8, 0.8, 0.78}, bx: 1}
	case 3:
		h.back = coat{tone: rgb{0.8, 0.8, 0.8}, bx: 1, glow: tinted(r, r.span(0, 0.35), 1).scale(r.span(0.6, 2.5))}
	case 4:
		h.back = coat{tone: rgb{0.5, 0.33, 0.16}, second: rgb{0.3, 0.18, 0.08}, bx: 1, pattern: patternWood, scale: 0.4}
	default:
		h.back = metalCoat(r, aluminium.scale(r.span(0.4, 1)), r.span(0.05, 0.35), r.span(0.05, 0.3))
		h.back.streak = r.span(0, 0.05)
	}
	h.back.shift = r.span(0, 50)
}

// setHole drills one hole of a group; kind may also be one of the holes of no rivet.
func (d *workshopDrawing) setHole(w *work, p geom.SheetPoint, kind Kind, diameter float64) bool {
	r := d.r
	l, h := d.k.levels[w.level], &w.hole
	b := bore{x: p.X, y: p.Y, r: diameter / 2, chamfer: h.chamfer, chatter: h.chatter, teeth: h.teeth, ragged: h.ragged, floor: math.Inf(-1)}
	long, angle := 0.0, 0.0
	if kind == OblongHole {
		long, angle = diameter*r.span(0.15, 0.9), r.span(0, math.Pi)
	} else if kind == Hole && r.chance(h.oval) {
		long, angle = diameter*r.span(0.03, 0.12), r.span(0, math.Pi)
		if long > 0.08*diameter {
			kind = OblongHole
		}
	}
	b.lx, b.ly = long/2*math.Cos(angle), long/2*math.Sin(angle)
	reach := diameter/2 + long/2 + h.chamfer
	if !d.fits(w.level, p, 1.1*reach, 1.05) {
		return false
	}
	z := l.zTop - h.chamfer
	outline := ringAt(vec{p.X, p.Y, z}, diameter/2, nil, angle, long/2)
	if kind == DoubleHole {
		outline = d.drillTwice(l, &b, w, z)
	} else {
		d.drill(w, b)
	}
	nominal := 0.0
	if kind == Hole {
		nominal = w.size.d
	}
	n := d.k.addRound(kind, nominal, vec{p.X, p.Y, z}, outline, w.level)
	if kind == Hole && w.level == 0 {
		d.s.Fasteners = append(d.s.Fasteners, Fastener{ID: fmt.Sprintf("h%d", n+1), Kind: Hole, Dash: w.size.dash, Drill: w.size.drill,
			NominalMM: w.size.d, AxisMM: p, FootMM: p, BoreMM: diameter, ChamferMM: h.chamfer, LongMM: long, LongDeg: angle * 180 / math.Pi,
			Burred: h.ragged > 0, round: n})
	}
	if r.chance(h.flags) {
		d.drawFlags(p, diameter/2+h.chamfer, l.zTop)
	}
	d.take(w.level, p, 1.05*reach)
	d.addHalo(w.level, p, diameter/2+h.chamfer, true)
	return true
}

// drill cuts a bore and what its group has behind it.
func (d *workshopDrawing) drill(w *work, b bore) {
	r, h := d.r, &w.hole
	l := d.k.levels[w.level]
	edge := h.edge
	edge.shift = r.span(0, 60)
	l.edges[int32(len(l.bores))] = &edge
	l.addBore(b)
	if h.behind == "blind" {
		return
	}
	below := b
	below.chamfer, below.ragged, below.chatter = 0, 0, 0
	switch h.behind {
	case "offset":
		a, off := r.span(0, 2*math.Pi), b.r*r.span(0.1, 0.7)
		below.x, below.y = b.x+off*math.Cos(a), b.y+off*math.Sin(a)
	case "smaller":
		below.r *= r.span(0.45, 0.9)
	default:
		below.x, below.y = b.x+r.near(0, 0.04), b.y+r.near(0, 0.04)
	}
	bottom := l.zTop - l.thick
	for i, o := range d.k.levels {
		if i != w.level && o.zTop < l.zTop-0.05 {
			if o.zTop > l.zTop-4 {
				o.addBore(below)
			}
			bottom = math.Min(bottom, o.zTop-o.thick)
		}
	}
	for _, q := range d.k.bodies {
		if t, ok := q.shape.(*squareTube); ok && t.zTop < l.zTop {
			t.bores = append(t.bores, below)
			bottom = math.Min(bottom, t.zTop-t.width)
		}
	}
	size := b.reach + 0.5 + 0.7*(h.depth+l.thick) // as wide as is seen through the hole aslant
	if h.behind == "disc" && bottom-h.depth > d.k.floorZ+0.1 && l.out.dist(b.x, b.y) < -size {
		d.addDisc(b.x, b.y, bottom-h.depth, size, h.back)
	}
}

func (d *workshopDrawing) addDisc(x, y, z, radius float64, c coat) {
	d.addBody(&body{shape: &disc{x: x, y: y, z: z, r1: radius}, coats: allCoats(c), foot: vec{x, y, z}, round: -1,
		low: true, box: [4]float64{x - radius, y - radius, x + radius, y + radius}, z0: z - 0.01, z1: z + 0.01})
}

// drillTwice cuts a second bore that overlaps the first, and gives the figure of both.
func (d *workshopDrawing) drillTwice(l *level, b *bore, w *work, z float64) []vec {
	r := d.r
	a, off := r.span(0, 2*math.Pi), b.r*r.span(0.35, 1.3)
	second := *b
	second.r *= r.span(0.7, 1.15)
	second.x, second.y = b.x+off*math.Cos(a), b.y+off*math.Sin(a)
	d.drill(w, *b)
	d.drill(w, second)
	mx, my := (b.x+second.x)/2, (b.y+second.y)/2
	var out []vec
	for k := range outlinePoints {
		s, c := math.Sincos(2 * math.Pi * float64(k) / outlinePoints)
		far := 0.0
		for _, o := range [2]*bore{b, &second} {
			// The ray from the middle leaves this circle at t.
			ox, oy := mx-o.x, my-o.y
			q := ox*c + oy*s
			if disc := q*q - (ox*ox + oy*oy - o.r*o.r); disc > 0 {
				far = math.Max(far, -q+math.Sqrt(disc))
			}
		}
		out = append(out, vec{mx + far*c, my + far*s, z})
	}
	return out
}

// drawFlags raises burrs at a rim: thin bright triangles.
func (d *workshopDrawing) drawFlags(p geom.SheetPoint, radius, z float64) {
	r := d.r
	if len(d.s.Chips) > 30 {
		return
	}
	from := r.span(0, 2*math.Pi)
	n := 1 + r.intn(4)
	for i := range n {
		a := from + 0.5*float64(i)
		at := func(a, q, h float64) [3]float64 {
			return [3]float64{p.X + q*math.Cos(a), p.Y + q*math.Sin(a), z + h}
		}
		wide := r.span(0.15, 0.6)
		d.s.Chips = append(d.s.Chips, Chip{at(a-wide, radius, 0.01), at(a+wide, radius*r.span(0.97, 1.06), 0.01),
			at(a+wide*r.span(-1, 1), radius*r.span(0.7, 1.3), r.span(0.03, 0.3))})
	}
}
