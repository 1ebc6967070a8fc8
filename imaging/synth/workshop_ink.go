package synth

import (
	"math"

	"bucktail/imaging/geom"
)

var sheetWords = []string{"A 12", "OK", "LH 3", "X-07", "H2", "RB 8", "K-3", "9 C", "NO", "UP", "FWD", "#23", "24", "1", "R 6", "TOP", "DRILL", "L 4", "#1", "7 MM"}

// drawInk draws layout lines, crosses, circles, letters and a mill's stamp on the sheets.
func (d *workshopDrawing) drawInk() {
	r := d.r
	if r.chance(0.55) {
		d.drawPen()
	}
	if r.chance(0.25) {
		d.drawPen()
	}
	if r.chance(0.12) {
		d.drawStamp()
	}
	if r.chance(0.15) {
		d.drawScribed()
	}
}

func (d *workshopDrawing) layInk(p *pen) {
	if len(p.strokes) > 0 {
		d.k.inks = append(d.k.inks, ink{cover: p.decal(d.k.noise[2]), tone: p.tone, bodies: p.bodies})
	}
}

func (d *workshopDrawing) drawPen() {
	r := d.r
	p := &pen{tone: pick(r, []float64{5, 2, 2, 2}, rgb{0.02, 0.02, 0.024}, rgb{0.42, 0.04, 0.035}, rgb{0.03, 0.04, 0.25}, rgb{0.12, 0.12, 0.125}), bodies: r.chance(0.4)}
	width, strength, ragged := r.span(0.4, 1.3), r.span(0.5, 0.98), r.span(0.05, 0.5)
	if r.chance(0.4) {
		width, strength = r.span(0.15, 0.4), r.span(0.3, 0.8)
	}
	if r.chance(0.5) { // a line through a row, or anywhere
		a, b := d.somewhere(), d.somewhere()
		if len(d.taken) > 1 && r.chance(0.7) {
			a, b = d.taken[0].at, d.taken[min(len(d.taken)-1, 1+r.intn(4))].at
			e := geom.SheetPoint{X: r.near(0, 0.6), Y: r.near(0, 0.6)}
			a, b = a.Add(e), b.Add(e)
		}
		v := b.Sub(a)
		if v.Norm() > 0.5 {
			v = v.Scale(1 / v.Norm())
			long := d.long * r.span(0.3, 1.5)
			p.line(a.Sub(v.Scale(long)), b.Add(v.Scale(long)), width, strength, ragged, r.span(0, 0.4))
		}
	}
	if r.chance(0.28) { // crosses at places of holes
		for _, t := range d.taken {
			if r.chance(0.3) {
				continue
			}
			c := t.at.Add(geom.SheetPoint{X: r.near(0, 0.3), Y: r.near(0, 0.3)})
			for _, u := range []geom.SheetPoint{{X: 1}, {Y: 1}} {
				k := t.r * r.span(1.1, 3)
				p.line(c.Sub(u.Scale(k)), c.Add(u.Scale(k*r.span(0.6, 1.2))), min(0.7, width), strength, ragged, r.span(0, 0.5))
			}
		}
	}
	if r.chance(0.35) {
		d.drawCircles(p, width, strength, ragged)
	}
	if r.chance(0.45) {
		for range 1 + r.intn(2) {
			at := d.somewhere()
			if len(d.taken) > 0 && r.chance(0.6) {
				at = d.taken[r.intn(len(d.taken))].at.Add(geom.SheetPoint{X: r.near(0, 6), Y: r.near(0, 6)})
			}
			p.strokes = append(p.strokes, Stroke{From: at, Text: even(r, sheetWords...), SizeMM: r.logSpan(3, 12),
				AngleDeg: even(r, 0.0, 90, 180, 270) + r.near(0, 10), WidthMM: width, Strength: strength, Ragged: ragged})
		}
	}
	if r.chance(0.1) && len(d.taken) > 0 { // a dab beside a fastener
		at := d.taken[r.intn(len(d.taken))]
		q := at.at.Add(geom.SheetPoint{X: at.r * r.near(0, 0.8), Y: at.r * r.near(0, 0.8)})
		p.line(q, q.Add(geom.SheetPoint{X: r.near(0, 1.5), Y: r.near(0, 1.5)}), r.span(1, 2.5), strength, ragged, 0)
	}
	d.layInk(p)
}

// drawCircles rings things with the pen, or draws circles round nothing.
func (d *workshopDrawing) drawCircles(p *pen, width, strength, ragged float64) {
	r := d.r
	for range 1 + r.intn(3) {
		c, radius := d.somewhere(), r.logSpan(1.2, 9)
		if len(d.taken) > 0 && r.chance(0.5) {
			t := d.taken[r.intn(len(d.taken))]
			c, radius = t.at, t.r*r.span(1.15, 2.6)
		}
		p.circle(c, radius, r.span(0, 0.12), r.span(0, 6.28), r.span(5.4, 6.6), width, strength, ragged)
		d.noteDrawn(c, radius+width/2)
	}
}

// noteDrawn lists a drawn circle if it lies on the main sheet.
func (d *workshopDrawing) noteDrawn(c geom.SheetPoint, radius float64) {
	if d.k.levels[0].out.dist(c.X, c.Y) < -radius {
		at := vec{c.X, c.Y, 0}
		d.k.addRound(Drawn, 0, at, ringAt(at, radius, nil, 0, 0), 0)
	}
}

// drawStamp prints a mill's line of letters over the sheet, again and again.
func (d *workshopDrawing) drawStamp() {
	r := d.r
	p := &pen{tone: even(r, rgb{0.35, 0.04, 0.05}, rgb{0.04, 0.06, 0.3}, rgb{0.06, 0.06, 0.06})}
	text := even(r, "2024-T3  0.032  ALCLAD", "6061-T6  .040 IN", "5052 H32  1.0 MM", "2024-T3  .025  BARE")
	size, gap := r.span(2.5, 6), r.span(12, 30)
	a := even(r, 0, math.Pi/2)
	s, c := math.Sincos(a)
	long := float64(len(text)) * size * 0.95
	for v := -d.long; v < d.long; v += gap {
		for u := -1.5*d.long + gap*r.unit(); u < d.long; u += long + 2*gap {
			p.strokes = append(p.strokes, Stroke{From: geom.SheetPoint{X: u*c - v*s, Y: u*s + v*c}, Text: text, SizeMM: size, AngleDeg: a * 180 / math.Pi,
				WidthMM: 0.1 * size, Strength: r.span(0.3, 0.75), Ragged: 0.5})
		}
	}
	d.layInk(p)
	d.say("mill stamp")
}

// drawScribed scratches lines, arcs and circles bright into the sheet.
func (d *workshopDrawing) drawScribed() {
	r := d.r
	p := &pen{tone: rgb{0.6, 0.6, 0.6}}
	for range 1 + r.intn(3) {
		p.line(d.somewhere(), d.somewhere(), r.span(0.05, 0.15), r.span(0.4, 0.9), 0.3, 0)
	}
	for range r.intn(3) {
		c, radius := d.somewhere(), r.logSpan(1.5, 12)
		p.circle(c, radius, 0, r.span(0, 6.28), 6.3, r.span(0.05, 0.14), r.span(0.4, 0.9), 0.2)
		d.noteDrawn(c, radius)
	}
	d.layInk(p)
}
