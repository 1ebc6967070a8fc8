package synth

import "math"

var skins = []rgb{{0.55, 0.33, 0.23}, {0.42, 0.24, 0.15}, {0.2, 0.1, 0.06}, {0.62, 0.42, 0.33}}

// drawBeside puts things of no importance round the work: bars and cables below, a hand at
// the rim, something blurred before the lens.
func (d *workshopDrawing) drawBeside(c coat) {
	r, L, V := d.r, d.long, d.half
	depth := -d.k.floorZ
	if depth > 15 && r.chance(0.75) { // structure in the depth
		for range 1 + r.intn(4) {
			z := -r.span(8, math.Max(9, math.Min(depth-8, 250)))
			k := 1 - z/d.dist // the view widens with depth
			a := r.span(0, math.Pi)
			s, co := math.Sincos(a)
			off := V * k * r.span(-1, 1)
			m := vec{-off * s, off * co, z}
			way := vec{co, s, 0.1 * r.normal()}
			tone := coat{tone: tinted(r, r.span(0, 0.8), r.span(0.05, 0.7)), bx: co, by: s, gloss: 0.04, rough: 0.3, mottle: 0.05}
			switch r.intn(4) {
			case 0:
				d.addPart(&rod{m.at(way, -4*L*k), m.at(way, 4*L*k), r.span(2, 20), true}, metalCoat(r, aluminium, r.span(0.1, 0.3), 0.15), m)
			case 1:
				d.addPart(&rod{m.at(way, -4*L*k), m.at(way, 4*L*k), r.span(1, 4), true}, tone, m)
			case 2:
				wood := coat{pattern: patternWood, scale: 1, tone: rgb{0.5, 0.33, 0.16}, second: rgb{0.3, 0.18, 0.08}, bx: co, by: s}
				d.addPart(newBox(m, vec{co, s, 0}, vec{-s, co, 0}, vec{0, 0, 1}, L*k*r.span(0.4, 3), r.span(8, 40), 5), wood, m)
			default:
				metal := c
				metal.bx, metal.by = co, s
				d.addPart(newBox(m, vec{co, s, 0}, vec{-s, co, 0}, vec{0, 0, 1}, 4*L*k, r.span(6, 30), 1.5), metal, m)
			}
		}
	}
	if r.chance(0.3) { // tape, paper and tools on the floor
		k := 1 + depth/d.dist
		for range 1 + r.intn(3) {
			x, y, a := L*k*r.span(-1, 1), V*k*r.span(-1, 1), r.span(0, math.Pi)
			s, co := math.Sincos(a)
			tone := coat{tone: even(r, rgb{0.03, 0.18, 0.55}, rgb{0.7, 0.7, 0.68}, rgb{0.6, 0.12, 0.04}, rgb{0.05, 0.05, 0.05}, rgb{0.65, 0.45, 0.05}), bx: 1, gloss: 0.03, rough: 0.3}
			m := vec{x, y, -depth + 0.5}
			d.addPart(newBox(m, vec{co, s, 0}, vec{-s, co, 0}, vec{0, 0, 1}, k*r.span(15, 80), r.span(8, 14), 0.5), tone, m)
		}
	}
	if r.chance(0.14) {
		d.drawHand()
	}
	if r.chance(0.1) {
		d.drawForeground(c)
	}
}

// drawHand lays two to four fingers over a rim of the view, on the sheet or what is below.
func (d *workshopDrawing) drawHand() {
	r, L, V := d.r, d.long, d.half
	skin := coat{tone: even(r, skins...).scale(r.span(0.85, 1.15)), bx: 1, gloss: 0.03, rough: 0.35, mottle: 0.04, grain: 0.08}
	if r.chance(0.15) {
		skin.tone = tinted(r, 0.7, 0.3) // a glove
	}
	side := r.span(0, 2*math.Pi)
	s, co := math.Sincos(side)
	for i := range 1 + r.intn(4) {
		across := 17 * (float64(i) - 1)
		z := 8.5
		tip := vec{co*L*r.span(0.75, 0.95) - s*across, s*V*r.span(0.75, 0.95) + co*across, z}
		back := tip.add(vec{co * 45, s * 45, r.span(5, 25)})
		d.addPart(&rod{tip, back, r.span(7, 9), false}, skin, tip)
		d.addPart(&rod{back, back.add(vec{co * 60, s * 60, -5}), 9.5, false}, skin, back)
		d.take(0, sheetPoint(tip), 10)
		d.take(0, sheetPoint(tip.add(back).mul(0.5)), 14)
	}
	d.say("hand")
}

// drawForeground is something near the lens at the picture's rim, out of focus.
func (d *workshopDrawing) drawForeground(c coat) {
	r := d.r
	z := d.dist * r.span(0.2, 0.5)
	k := 1 - z/d.dist
	a := r.span(0, 2*math.Pi)
	s, co := math.Sincos(a)
	m := vec{co * d.half * k * r.span(0.75, 1.05), s * d.half * k * r.span(0.75, 1.05), z}
	way := vec{-s, co, 0}
	tone := c
	if r.chance(0.5) {
		tone = coat{tone: tinted(r, r.span(0, 0.8), r.span(0.05, 0.5)), bx: 1, gloss: 0.04, rough: 0.3}
	}
	d.addPart(&rod{m.at(way, -2*d.long), m.at(way, 2*d.long), k * r.span(2, 7), true}, tone, m)
	d.say("foreground blur")
}
