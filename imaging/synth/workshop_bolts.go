package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// drawHardware is the look of bolts, nuts and washers.
func (d *workshopDrawing) drawHardware() coat {
	r := d.r
	switch r.intn(5) {
	case 0:
		c := darkCoat(r.span(0.01, 0.05))
		c.gloss, c.rough = 0.05, r.span(0.15, 0.35)
		return c
	case 1:
		return metalCoat(r, cadmium.mul(rgb{1, r.span(0.85, 1.05), r.span(0.6, 1.2)}), r.span(0.15, 0.35), r.span(0.1, 0.25))
	case 2:
		return metalCoat(r, copper.scale(r.span(0.5, 1)), r.span(0.15, 0.35), 0.15)
	case 3:
		return metalCoat(r, zinc.scale(r.span(0.7, 1.2)), r.span(0.1, 0.3), 0.1)
	}
	return metalCoat(r, steel.scale(r.span(0.5, 1.2)), r.span(0.08, 0.3), r.span(0.03, 0.15))
}

// setWasherAt lays a washer and gives its top's height.
func (d *workshopDrawing) setWasherAt(foot vec, r0, r1 float64, round int) float64 {
	r := d.r
	thick := r.span(0.5, 1.6)
	c := d.drawHardware()
	if r.chance(0.4) {
		c.pattern = patternTurned
	}
	d.stand(washerSection(r0, r1, thick), foot, vec{0, 0, 1}, allCoats(c), round)
	return thick
}

func (d *workshopDrawing) setWasher(level int, p geom.SheetPoint) bool {
	r := d.r
	r0 := r.span(1.6, 4)
	r1 := r0 * r.span(1.5, 2.3)
	if !d.claim(level, p, r1) {
		return false
	}
	foot := d.foot(level, p)
	n := d.k.addRound(Washer, 0, foot, ringAt(foot, r1, nil, 0, 0), level)
	d.setWasherAt(foot, r0, r1, n)
	if r.chance(0.5) {
		w := d.drawWork(Hole, level, d.main)
		d.drill(w, bore{x: p.X, y: p.Y, r: r0 * r.span(0.7, 1.05), floor: math.Inf(-1)})
	}
	return true
}

// setBolt puts a hexagon head, or a nut with the bolt's end in it, mostly on a washer.
func (d *workshopDrawing) setBolt(level int, p geom.SheetPoint) bool {
	r := d.r
	shank := r.span(1.5, 4.2)
	apothem := shank * r.span(1.5, 1.8)
	corner := apothem / math.Cos(math.Pi/6)
	reach := corner
	washer := r.chance(0.65)
	r1 := apothem * r.span(1.15, 1.5)
	if washer {
		reach = math.Max(reach, r1)
	}
	if !d.claim(level, p, reach) {
		return false
	}
	foot := d.foot(level, p)
	kind, nut := Bolt, r.chance(0.5)
	if nut {
		kind = Nut
	}
	a := r.span(0, math.Pi/3)
	s, c := math.Sincos(a)
	n := d.k.addRound(kind, 0, foot, nil, level)
	if washer {
		foot.z += d.setWasherAt(foot, 1.02*shank, r1, n)
	}
	h := shank * r.span(0.9, 1.7)
	axis := d.leaning(0.02)
	flat := apothem * r.span(0.88, 0.99)
	// The chamfer takes the corners down to where they are cut by its cone of 30 degrees.
	cut := h - max(0, corner-flat)*math.Tan(math.Pi/6)
	round := &d.k.rounds[n]
	round.at = foot.at(axis, 0.5*h)
	for k, z := range [2]float64{0, cut} {
		var ring []vec
		for i := range 6 {
			si, co := math.Sincos(a + (float64(i)+0.5)*math.Pi/3)
			ring = append(ring, foot.at(axis, z).add(vec{corner * co, corner * si, 0}))
		}
		if k == 0 {
			round.outline = ring
			continue
		}
		round.rings = append(round.rings, ring)
	}
	round.rings = append(round.rings, tiltedRing(foot.at(axis, h), axis, flat))
	if washer {
		round.rings = append(round.rings, tiltedRing(foot, vec{0, 0, 1}, r1))
	}
	hex := newPrism(foot, axis, vec{c, s, 0}, 6, apothem, 0, h, flat)
	metal := d.drawHardware()
	b := d.lowBody(hex, hex.ballAt, math.Sqrt(hex.ballR2), metal, n)
	b.zones = []zone{zoneFlank, zoneFlank, zoneFlank, zoneFlank, zoneFlank, zoneFlank, zoneFlat, zoneFlank, zoneRim}
	b.foot = foot
	var paint *daub
	if r.chance(0.5) {
		paint = &daub{tone: even(r, rgb{0.8, 0.12, 0.02}, rgb{0.75, 0.3, 0.02}, rgb{0.7, 0.6, 0.05}, rgb{0.1, 0.3, 0.6}), angle: r.span(0, 6.28),
			width: shank * r.span(0.3, 0.9), off: shank * r.near(0, 0.5)}
		b.daub = paint
	}
	if nut {
		top := h + shank*r.span(0.2, 1.6)
		end := studSection(shank, h-0.5, top)
		round.rings = append(round.rings, tiltedRing(foot.at(axis, top), axis, 0.86*shank))
		coats := allCoats(metalCoat(r, even(r, steel, cadmium, zinc), r.span(0.15, 0.35), 0.15))
		coats[zoneFlank].pattern, coats[zoneFlank].scale = patternThread, r.span(0.6, 1.1)
		e := d.stand(end, foot, axis, coats, n)
		e.daub = paint
		if r.chance(0.4) { // a locking ring of fibre or nylon
			ring := tinted(r, 0.6, 0.5)
			d.stand(washerSection(shank, 1.25*shank, 0.3), foot.at(axis, h-0.1), axis, allCoats(coat{tone: ring, bx: 1}), n)
		}
	}
	return true
}

// recess gives the cuts of a driver's recess, centred at top and going depth down.
func recess(form string, top, ez, ex vec, size, depth float64) []*poly {
	tx, ty := frame(ez, ex)
	middle := top.at(ez, 1-depth/2)
	half := depth/2 + 1
	switch form {
	case "hex":
		return []*poly{newPrism(top.at(ez, -depth), ez, ex, 6, size, 0, depth+2, 0)}
	case "cross":
		return []*poly{newBox(middle, tx, ty, ez, size, 0.24*size, half), newBox(middle, ty, tx, ez, size, 0.24*size, half)}
	}
	return []*poly{newBox(middle, tx, ty, ez, 3*size, 0.2*size, half)}
}

// driven is a round head with a recess for a driver.
func (d *workshopDrawing) driven(level int, p geom.SheetPoint, kind Kind, radius, h, edge, crown float64, form string, size, depth float64) bool {
	r := d.r
	if !d.claim(level, p, radius) {
		return false
	}
	foot := d.foot(level, p)
	if kind == Screw && crown == 0 { // countersunk, flush with the sheet
		foot.z -= h
		d.k.levels[level].addBore(bore{x: p.X, y: p.Y, r: radius + 0.015, floor: foot.z - 0.2})
	}
	s := capSection(radius, h, edge, crown)
	axis := d.leaning(0.02)
	at := foot.at(axis, h-edge)
	n := d.k.addRound(kind, 0, at, tiltedRing(at, axis, radius), level)
	if foot.z >= d.k.levels[level].zTop {
		d.k.rounds[n].rings = [][]vec{tiltedRing(foot, axis, radius)}
	}
	a := r.span(0, 6.28)
	ex := vec{math.Cos(a), math.Sin(a), 0}
	base := newRevolved(s.pts, foot, axis, ex, 1, 1)
	top := foot.at(axis, h+crown)
	zones := append(append([]zone(nil), s.zone...), zoneBore)
	cut := &pocketed{shape: base, cuts: recess(form, top, axis, ex, size, depth), face: len(s.zone), up: axis, mouth: axis.dot(top) - 0.02,
		within: 10 * radius * radius, ballAt: foot}
	metal := d.drawHardware()
	coats := allCoats(metal)
	if r.chance(0.4) {
		coats[zoneFlat].pattern = patternTurned
	}
	coats[zoneBore].tone = metal.tone.scale(r.span(0.3, 0.8))
	d.standing(cut, base, zones, coats, n)
	if r.chance(0.3) {
		d.k.bodies[len(d.k.bodies)-1].daub = &daub{tone: rgb{0.8, 0.12, 0.02}, angle: r.span(0, 6.28), width: radius * r.span(0.1, 0.4), off: radius * r.near(0, 0.3)}
	}
	d.addHalo(level, p, radius, false)
	return true
}

func (d *workshopDrawing) setSocket(level int, p geom.SheetPoint) bool {
	r := d.r
	radius := r.span(2.2, 5)
	return d.driven(level, p, SocketScrew, radius, radius*r.span(0.7, 1.1), radius*0.12, radius*r.span(0, 0.08), "hex", radius*r.span(0.45, 0.55), radius*r.span(0.4, 0.8))
}

func (d *workshopDrawing) setScrew(level int, p geom.SheetPoint) bool {
	r := d.r
	radius := r.span(1.8, 4.5)
	form := even(r, "cross", "cross", "slot")
	size := radius * r.span(0.45, 0.62)
	if r.chance(0.4) {
		return d.driven(level, p, Screw, radius, 1.6, 0.03, 0, form, size, min(1.4, radius*r.span(0.2, 0.5)))
	}
	return d.driven(level, p, Screw, radius, radius*r.span(0.3, 0.6), radius*r.span(0.1, 0.25), radius*r.span(0.1, 0.35), form, size, radius*r.span(0.3, 0.6))
}

// setThreaded is a rivet nut: a flange with a threaded bore.
func (d *workshopDrawing) setThreaded(level int, p geom.SheetPoint) bool {
	r := d.r
	r0 := r.span(1.3, 3)
	r1 := r0 * r.span(1.5, 2.2)
	if !d.claim(level, p, r1) {
		return false
	}
	foot := d.foot(level, p)
	n := d.k.addRound(Threaded, 0, foot, ringAt(foot, r1, nil, 0, 0), level)
	coats := allCoats(d.drawHardware())
	coats[zoneBore].pattern, coats[zoneBore].scale = patternThread, r.span(0.5, 0.8)
	thick := r.span(0.3, 1)
	s := washerSection(r0, r1, thick)
	s.pts[len(s.pts)-1] = profilePoint{r0 - 0.01, -6}
	s.to(0, -6.001)
	d.stand(s, foot, vec{0, 0, 1}, coats, n)
	for _, l := range d.k.levels {
		if l.zTop <= foot.z+0.01 && l.zTop > foot.z-4 {
			l.addBore(bore{x: p.X, y: p.Y, r: r0, floor: math.Inf(-1)})
		}
	}
	d.addHalo(level, p, r1, false)
	return true
}
