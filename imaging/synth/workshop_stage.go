package synth

import "math"

// addLevel puts a sheet into the scene.
func (d *workshopDrawing) addLevel(polygon [][2]float64, radii []float64, zTop, thick, bevel float64, c coat) *level {
	rim := c
	rim.rough, rim.across, rim.streak, rim.wave, rim.grain = d.r.span(0.1, 0.3), 1, 0, 0, d.r.span(0.01, 0.1)
	rim.metal, rim.pattern = true, patternPlain
	if !c.metal {
		rim.tone, rim.matt = aluminium.scale(0.8), 0.15
	}
	l := &level{plate: plate{out: newOutline(polygon, radii), zTop: zTop, thick: thick, bevel: bevel, noise: d.k.noise[3]},
		coat: c, rim: rim, edges: map[int32]*coat{}}
	l.coat.shift += 13.7 * float64(len(d.k.levels))
	if len(d.k.levels) == 0 {
		sh := &d.s.Sheet
		sh.PolygonMM, sh.RadiiMM, sh.ThicknessMM, sh.BevelMM, sh.Under = polygon, radii, thick, bevel, "none"
	}
	d.k.levels = append(d.k.levels, l)
	return l
}

// addBody puts a body into the scene; small ones near the sheets are low.
func (d *workshopDrawing) addBody(b *body) *body {
	if b.ez == (vec{}) {
		b.ex, b.ey, b.ez = vec{1, 0, 0}, vec{0, 1, 0}, vec{0, 0, 1}
	}
	d.k.bodies = append(d.k.bodies, b)
	return b
}

func allCoats(c coat) (all [zones]coat) {
	for i := range all {
		all[i] = c
	}
	return all
}

// addPart is a body of one coat that belongs to no round thing. Its box, if it has one,
// keeps things off the sheet below it.
func (d *workshopDrawing) addPart(s shape, c coat, foot vec) *body {
	c.shift += 7.3 * float64(len(d.k.bodies))
	return d.addBody(&body{shape: s, coats: allCoats(c), foot: foot, round: -1})
}

func turnedAbout(pts [][2]float64, cx, cy, angle float64) [][2]float64 {
	s, c := math.Sincos(angle)
	var out [][2]float64
	for _, p := range pts {
		x, y := p[0]-cx, p[1]-cy
		out = append(out, [2]float64{cx + x*c - y*s, cy + x*s + y*c})
	}
	return out
}

func rectangle(x0, y0, x1, y1 float64) [][2]float64 {
	return [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// radii draws corner radii, each no larger than the sides allow.
func (d *workshopDrawing) radii(polygon [][2]float64, options ...float64) []float64 {
	n := len(polygon)
	var out []float64
	for i := range polygon {
		a, b := polygon[(i+n-1)%n], polygon[(i+1)%n]
		p := polygon[i]
		la, lb := math.Hypot(a[0]-p[0], a[1]-p[1]), math.Hypot(b[0]-p[0], b[1]-p[1])
		out = append(out, math.Min(even(d.r, options...), 0.2*math.Min(la, lb)))
	}
	return out
}

// drawStage lays the sheets, what stands and runs beside them, and the floor.
func (d *workshopDrawing) drawStage() {
	r := d.r
	c, name := drawSheetCoat(r)
	d.say(name + " sheet")
	a := even(r, 0, 0, math.Pi/2) + 0.02*r.normal()
	c.by, c.bx = math.Sincos(a)
	d.s.Sheet.Finish = Bare
	if !c.metal {
		d.s.Sheet.Finish = Grey
	}
	var ground string
	d.k.floor, ground = drawFloor(r)
	d.k.floorZ = -pick(r, []float64{4, 3, 4}, r.span(4, 20), r.span(20, 90), r.logSpan(90, 900))
	d.stage = pick(r, []float64{3, 6, 6, 3, 2, 5, 3}, "field", "strip", "gusset", "lap", "butt", "channel", "tabs")
	d.say(d.stage)
	d.say("over " + ground)
	thick := even(r, 0.41, 0.51, 0.635, 0.813, 1.016, 1.27, 1.6)
	d.s.Sheet.BenchMM = -d.k.floorZ
	other := c
	if r.chance(0.3) {
		other, _ = drawSheetCoat(r)
		other.by, other.bx = math.Sincos(even(r, 0, math.Pi/2) + 0.02*r.normal())
	}
	bevel := r.span(0.02, math.Min(0.13, 0.3*thick))
	joint := even(r, 0, 0.01, 0.03, 0.1)
	L, V := d.long, d.half
	big := func(lo, hi float64) float64 { return L * r.span(lo, hi) }
	switch d.stage {
	case "field":
		x0, y0, x1, y1 := -big(1.4, 2.5), -big(1.4, 2.5), big(1.4, 2.5), big(1.4, 2.5)
		if r.chance(0.55) {
			y0 = -V * r.span(0.1, 0.8)
		}
		if r.chance(0.25) {
			x0 = -L * r.span(0.1, 0.8)
		}
		p := rectangle(x0, y0, x1, y1)
		d.addLevel(p, d.radii(p, 0.6, 0.6, 3, 6, 12), 0, thick, bevel, c)
		d.drawUnder(p, thick, joint, other)
	case "strip", "channel":
		d.drawStrip(thick, bevel, joint, c, other)
	case "gusset":
		d.drawGusset(thick, bevel, joint, c, other)
	case "lap":
		p := turnedAbout(rectangle(-big(1.5, 3), V*r.span(-0.5, 0.3), big(1.5, 3), big(1.5, 3)), 0, 0, 0.02*r.normal())
		d.addLevel(p, d.radii(p, 0.6), 0, thick, bevel, c)
		q := rectangle(-big(1.5, 3), -big(1.5, 3), big(1.5, 3), p[0][1]+r.span(10, 30))
		d.addLevel(q, d.radii(q, 0.6), -thick-joint, even(r, thick, 0.813, 1.2), bevel, other)
	case "butt":
		gap := even(r, 0, 0.02, 0.08, 0.3)
		x := V * r.span(-0.4, 0.4)
		p := rectangle(-big(1.5, 3), -big(1.5, 3), x, big(1.5, 3))
		d.addLevel(p, d.radii(p, 0.6), 0, thick, math.Min(bevel, 0.05), c)
		q := rectangle(x+gap, -big(1.5, 3), big(1.5, 3), big(1.5, 3))
		if r.chance(0.7) {
			other = c
		}
		d.addLevel(q, d.radii(q, 0.6), 0, thick, math.Min(bevel, 0.05), other)
		under := rectangle(x-r.span(12, 30), -L*3, x+r.span(12, 30), L*3)
		d.addLevel(under, d.radii(under, 0.6), -thick-joint, 1.2, 0.05, c)
	case "tabs":
		d.drawTabs(thick, bevel, joint, c, other)
	}
	d.sheets = len(d.k.levels)
	d.drawBeside(c)
}

// drawUnder puts something below the main sheet: a second sheet tight below it or at a
// distance, a tube, or nothing.
func (d *workshopDrawing) drawUnder(above [][2]float64, thick, joint float64, c coat) {
	r := d.r
	switch pick(r, []float64{5, 3, 2, 2}, "none", "tight", "deep", "tube") {
	case "tight":
		p := turnedAbout(rectangle(above[0][0]-r.span(-20, 60), above[0][1]-r.span(-15, 40), above[2][0], above[2][1]), 0, 0, 0.03*r.normal())
		d.addLevel(p, d.radii(p, 0.6, 4), -thick-joint, even(r, 0.8, 1.2, 2), 0.08, c)
	case "deep":
		p := turnedAbout(rectangle(-4*d.long, -4*d.long, 4*d.long, d.half*r.span(-0.3, 3)), 0, 0, 0.2*r.normal())
		d.addLevel(p, d.radii(p, 0.6, 4), -thick-math.Min(r.span(3, 40), -d.k.floorZ-thick-2), 1, 0.08, c)
	case "tube":
		d.addTube(-thick-joint, c, even(r, 0, math.Pi/2)+0.02*r.normal(), d.half*r.span(-0.5, 0.5))
	}
}

// addTube runs a square tube through the scene with its top at a height, off mm beside the
// origin.
func (d *workshopDrawing) addTube(zTop float64, c coat, angle, off float64) *squareTube {
	r := d.r
	s, co := math.Sincos(angle)
	t := &squareTube{tube{x: -off * s, y: off * co, zTop: zTop, width: even(r, 12.7, 19.05, 25.4, 31.75), round: r.span(0.8, 3), dx: co, dy: s}}
	c.bx, c.by = co, s
	d.k.floorZ = math.Min(d.k.floorZ, zTop-t.width-0.5)
	b := d.addPart(t, c, vec{})
	b.zones, b.coats[zoneBore] = []zone{zoneFlank, zoneBore}, darkCoat(0.01)
	return t
}

// drawStrip is a sheet narrower than the view, its long sides plain, bent down or standing.
func (d *workshopDrawing) drawStrip(thick, bevel, joint float64, c, other coat) {
	r, L, V := d.r, d.long, d.half
	wide := math.Max(10, V*r.span(0.3, 1.5))
	if r.chance(0.3) {
		wide = math.Min(wide, r.span(14, 45))
	}
	mid := V * r.span(-0.35, 0.35)
	x0, x1 := -L*r.span(2, 4), L*r.span(2, 4)
	if r.chance(0.35) {
		x1 = L * r.span(0.2, 0.8)
	}
	y0, y1 := mid-wide/2, mid+wide/2
	sides := []float64{4, 3, 3}
	if d.stage == "channel" {
		sides = []float64{0, 3, 4}
	}
	p := rectangle(x0, y0, x1, y1)
	c.by, c.bx = 0.01*r.normal(), 1
	d.addLevel(p, d.radii(p, 0.6, 3, 6, 10), 0, thick, bevel, c)
	bendR := thick * r.span(2, 5)
	for side, y := range [2]float64{y0, y1} {
		out := float64(2*side - 1)
		angle := float64(1-side) * math.Pi
		from, to := x0, x1
		if side == 0 {
			from, to = -x1, -x0
		}
		switch pick(r, sides, "plain", "bent", "standing") {
		case "bent":
			f := &folded{x0: from, x1: to, r: bendR, h: bendR + math.Min(r.span(4, 25), -d.k.floorZ-bendR-1)}
			d.addPart(upright(f, vec{0, y - out*bevel, 0}, angle), c, vec{})
		case "standing":
			g := &flange{leg{y: bendR + thick, x0: from, x1: to, r: bendR, h: r.span(6, 36), thick: thick}}
			b := d.addPart(upright(g, vec{0, y - out*(2*thick+bendR), 0}, angle), c, vec{})
			lo := y - out*(2*thick+bendR)
			b.box, b.z1 = [4]float64{x0, math.Min(lo, y), x1, math.Max(lo, y)}, g.h
		}
	}
	if r.chance(0.55) { // something crosses below
		z := -thick - joint
		if r.chance(0.5) {
			d.addTube(z, other, math.Pi/2+0.05*r.normal(), -L*r.span(-0.6, 0.6))
		} else {
			x, w := L*r.span(-0.7, 0.5), r.span(15, 60)
			q := turnedAbout(rectangle(x, -3*L, x+w, 3*L), x, 0, 0.06*r.normal())
			d.addLevel(q, d.radii(q, 0.6), z, 1.2, 0.06, other)
		}
	}
}

// drawGusset is a plate with rounded corners on a larger sheet, a strip or a tube.
func (d *workshopDrawing) drawGusset(thick, bevel, joint float64, c, other coat) {
	r, L, V := d.r, d.long, d.half
	w, h := V*r.span(0.7, 1.7), V*r.span(0.6, 1.5)
	x0, y0 := -w*r.span(0.35, 0.65), -h*r.span(0.35, 0.65)
	p := rectangle(x0, y0, x0+w, y0+h)
	switch r.intn(4) {
	case 0:
		p = [][2]float64{{x0, y0}, {x0 + w, y0}, {x0 + w, y0 + h*r.span(0.3, 0.7)}, {x0 + w*r.span(0.3, 0.7), y0 + h}, {x0, y0 + h}}
	case 1:
		k := r.span(0.15, 0.35)
		p = [][2]float64{{x0, y0}, {x0 + w, y0}, {x0 + w*(1-k), y0 + h}, {x0 + w*k, y0 + h}}
	case 2:
		p = [][2]float64{{x0, y0}, {x0 + w, y0}, {x0 + w, y0 + h*r.span(0.2, 0.4)}, {x0 + w*r.span(0.2, 0.4), y0 + h}, {x0, y0 + h}}
	}
	d.addLevel(p, d.radii(p, 0.6, 3, 5, 8, 12), 0, thick, bevel, c)
	z := -thick - joint
	switch r.intn(3) {
	case 0:
		q := turnedAbout(rectangle(-L*r.span(0.3, 3), -L*r.span(0.3, 3), L*r.span(0.4, 3), L*r.span(0.4, 3)), 0, 0, 0.05*r.normal())
		d.addLevel(q, d.radii(q, 0.6, 5), z, even(r, 0.8, 1.2, 2), bevel, other)
	case 1:
		wide := h * r.span(0.6, 1.1)
		q := rectangle(-4*L, y0+h/2-wide/2, 4*L, y0+h/2+wide/2)
		d.addLevel(q, d.radii(q, 0.6), z, 1.2, bevel, other)
	default:
		d.addTube(z, other, even(r, 0, math.Pi/2)+0.01*r.normal(), V*r.span(-0.2, 0.2))
		if r.chance(0.5) {
			d.addTube(z-even(r, 0.0, 20), other, even(r, 0, math.Pi/2)+0.3*r.normal(), V*r.span(-0.6, 0.6))
		}
	}
}

// drawTabs is small plates on a large sheet, some of them angles with a standing leg.
func (d *workshopDrawing) drawTabs(thick, bevel, joint float64, c, other coat) {
	r, L, V := d.r, d.long, d.half
	n := 1 + r.intn(4)
	for i := range n {
		x, y := L*(r.span(-0.6, 0.3)+0.5*float64(i%2)), V*(r.span(-0.5, 0.2)+0.5*float64(i/2))
		w, h := math.Max(12, V*r.span(0.25, 0.7)), math.Max(12, V*r.span(0.25, 0.6))
		a := 0.03 * r.normal()
		p := turnedAbout(rectangle(x, y, x+w, y+h), x, y, a)
		d.addLevel(p, d.radii(p, 0.6, 3, 4, 6), 0, thick, bevel, c)
		if r.chance(0.5) {
			bendR := thick * r.span(2, 4)
			g := &flange{leg{y: bendR + thick, x0: 0, x1: w, r: bendR, h: r.span(8, 22), thick: thick}}
			s, co := math.Sincos(a)
			k := h - bendR - 2*thick
			b := d.addPart(upright(g, vec{x - k*s, y + k*co, 0}, a), c, vec{})
			b.box, b.z1 = [4]float64{x - 1, y + k - 1, x + w + 1, y + h + 1}, g.h
		}
	}
	q := rectangle(-4*L, -4*L, 4*L, V*r.span(0.5, 4))
	d.addLevel(q, d.radii(q, 0.6), -thick-joint, even(r, 0.8, 1.2), bevel, other)
}
