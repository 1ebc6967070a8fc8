package synth

import "math"

// drawRoom sets the lamps, the room that metal mirrors, and what throws shadows.
func (d *workshopDrawing) drawRoom() {
	r, s := d.r, d.s
	warm, cool, white := [3]float64{1.15, 0.97, 0.72}, [3]float64{0.86, 0.97, 1.22}, [3]float64{1.02, 1, 0.97}
	times := func(c [3]float64, k float64) [3]float64 { return [3]float64{c[0] * k, c[1] * k, c[2] * k} }
	tone := even(r, warm, white, white, cool)
	s.PhoneShadow = r.chance(0.9)
	az := r.span(0, 2*math.Pi)
	kind := pick(r, []float64{7, 7, 3, 4, 4, 4, 3}, "window", "strips", "flash", "raking", "sun", "bulb", "dull")
	d.say(kind)
	ambient := r.span(0.2, 0.6)
	switch kind {
	case "window":
		s.Lights = append(s.Lights, panel(az, r.span(0.35, 1.1), 1300, r.span(250, 600), r.span(350, 700), times(tone, 1)))
	case "strips":
		n := 1 + r.intn(3)
		for i := range n {
			x := (float64(i) - float64(n-1)/2) * r.span(500, 1000)
			s.Lights = append(s.Lights, Light{AtMM: [3]float64{x*math.Cos(az) + r.span(-300, 300), x*math.Sin(az) + r.span(-300, 300), r.span(1300, 2200)},
				UMM: [3]float64{-620 * math.Sin(az), 620 * math.Cos(az), 0}, VMM: [3]float64{r.span(20, 90) * math.Cos(az), r.span(20, 90) * math.Sin(az), 0},
				Irradiance: times(tone, 1/float64(n))})
		}
	case "flash":
		w := newWorld(s) // for the camera's axes only
		a := w.eye.at(w.axes[0], r.span(-13, 13)).at(w.axes[1], r.span(7, 12))
		u, v := w.axes[0].mul(1.6), w.axes[1].mul(1.6)
		s.Lights = append(s.Lights, Light{AtMM: fromVec(a), UMM: fromVec(u), VMM: fromVec(v), Irradiance: times(white, 1)})
		ambient = r.span(0.1, 0.5)
	case "raking":
		k := r.span(16, 40)
		s.Lights = append(s.Lights, panel(az, r.span(0.2, 0.7), r.span(350, 700), k, k, times(tone, r.span(1, 2.6))))
	case "sun":
		s.Lights = append(s.Lights, panel(az, r.span(0.4, 1.35), 3000, 14, 14, times(warm, r.span(1.5, 4))))
		ambient = r.span(0.3, 0.7)
	case "bulb":
		for range 1 + r.intn(2) {
			k := r.span(15, 90)
			s.Lights = append(s.Lights, panel(az+r.span(-2, 2), r.span(0.6, 1.4), r.span(500, 1800), k, k*r.span(0.8, 1.5), times(tone, r.span(0.6, 1.5))))
		}
	case "dull":
		s.Lights = append(s.Lights, panel(az, r.span(0.7, 1.4), 1500, 700, 700, times(tone, 0.7)))
		ambient = r.span(0.6, 1)
	}
	s.Ambient = times(even(r, white, cool, cool, warm), ambient)
	if kind != "flash" && kind != "dull" && r.chance(0.4) {
		d.drawShadows()
	}
	d.drawWalls()
	d.drawMirrored()
	d.k.room.sortScreens()
	d.balanceRoom()
	for _, l := range s.Lights {
		d.k.glow += rgb(l.Irradiance).luma() / math.Pi
	}
	d.k.glow += rgb(s.Ambient).luma() / math.Pi
}

func fromVec(v vec) [3]float64 { return [3]float64{v.x, v.y, v.z} }

// drawShadows puts edges before the lamps, so that a shadow's border or bars cross the view.
func (d *workshopDrawing) drawShadows() {
	r := d.r
	l := d.s.Lights[0]
	lamp := fromArray(l.AtMM)
	for range 1 + r.intn(2) {
		q := d.somewhere()
		target := vec{q.X, q.Y, 0}
		k := r.logSpan(0.01, 0.35)
		at := target.at(lamp.sub(target), k)
		side := vec{r.normal(), r.normal(), 0.3 * r.normal()}
		if side.norm() < 0.1 {
			continue
		}
		halfU := r.logSpan(3, 250)
		s := newShade(at, lamp, side, halfU, 400)
		if halfU > 40 { // one straight border through the place
			s.at = at.at(s.u.unit(), halfU)
		} else if r.chance(0.2) {
			s = newShade(at, lamp, side, 200, 400)
			s.slats = r.span(4, 14)
		}
		d.k.shades = append(d.k.shades, s)
	}
	d.say("shadow lines")
}

// drawWalls colours the room.
func (d *workshopDrawing) drawWalls() {
	r := d.r
	k := &d.k.room
	some := func() rgb {
		c := tinted(r, r.span(0, 0.35), 1)
		if r.chance(0.2) {
			c = tinted(r, r.span(0.3, 0.9), 1)
		}
		return c.scale(r.logSpan(0.04, 1.2))
	}
	k.zenith = tinted(r, r.span(0, 0.12), 1).scale(r.logSpan(0.1, 1.5))
	for i := range k.sides {
		k.sides[i] = some()
	}
	k.below = some().scale(0.5)
	k.uneven = r.span(0.1, 0.6)
}

// drawMirrored puts into the room what is seen in shiny metal: ceiling lamps, windows, the
// one who takes the picture, hands, tools.
func (d *workshopDrawing) drawMirrored() {
	r := d.r
	k := &d.k.room
	w := newWorld(d.s) // for the camera's place only
	eye, right, up := w.eye, w.axes[0], w.axes[1].mul(-1)
	add := func(s screen) { k.screens = append(k.screens, s) }
	above := func(spread, z0, z1 float64) vec {
		z := r.span(z0, z1)
		return vec{eye.x/eye.z*z + spread*z*r.normal(), eye.y/eye.z*z + spread*z*r.normal(), z}
	}
	if r.chance(0.75) { // the photographer, beyond the phone and to one side of it
		size := r.span(140, 320)
		at := eye.at(up, -r.span(0.3, 1.1)*size).at(right, r.near(0, 80)).at(vec{0, 0, 1}, r.span(60, 350))
		s := newScreen(at, vec{}, right, size, size*1.25)
		s.form, s.soft = formPerson, r.span(0.02, 0.25)
		s.tone = tinted(r, r.span(0, 0.9), r.logSpan(0.04, 0.7))
		s.other = even(r, skins...).scale(r.span(0.2, 1))
		s.uneven = r.span(0, 0.25)
		add(s)
	}
	for range r.intn(3) { // hands beside the phone
		at := eye.at(right, even(r, -1.0, 1)*r.span(60, 120)).at(up, r.near(-20, 50)).at(vec{0, 0, 1}, r.near(0, 25))
		s := newScreen(at, vec{}, right, r.span(12, 40), r.span(25, 60))
		s.form, s.soft, s.tone = formRound, r.span(0.05, 0.3), even(r, skins...).scale(r.span(0.4, 1.6))
		add(s)
	}
	for range r.intn(4) { // lamps and bright panels overhead
		at := above(0.35, 900, 2300)
		s := newScreen(at, vec{}, vec{r.normal(), r.normal(), 0.01}, r.span(30, 120), r.logSpan(60, 700))
		s.soft, s.tone = r.span(0.02, 0.4), tinted(r, r.span(0, 0.25), 1).scale(r.logSpan(2, 16))
		add(s)
	}
	if r.chance(0.22) { // a round lamp
		d.addRoundLamp(above(0.25, 500, 2000))
	}
	for range r.intn(3) { // windows and doors
		a, el := r.span(0, 2*math.Pi), r.span(0.15, 1.1)
		at := vec{math.Cos(a) * math.Cos(el), math.Sin(a) * math.Cos(el), math.Sin(el)}.mul(r.span(1200, 3000))
		s := newScreen(at, vec{}, vec{0, 0, 1}, r.span(200, 700), r.span(200, 600))
		s.form, s.soft = even(r, formPanes, formPanes, formSquare, formSlats), r.span(0.01, 0.1)
		s.tone = tinted(r, r.span(0, 0.3), 1).scale(r.logSpan(1.5, 12))
		s.other = s.tone.scale(r.span(0.05, 0.4))
		s.uneven = r.span(0, 0.3)
		add(s)
	}
	for range r.intn(7) { // shelves, tools, boxes, clothes
		at := above(0.6, 250, 1800)
		size := 0.2 * at.norm()
		s := newScreen(at, vec{}, vec{r.normal(), r.normal(), r.normal()}, size*r.logSpan(0.1, 1.2), size*r.logSpan(0.3, 1.5))
		s.form, s.soft = even(r, formSquare, formRound), r.span(0.02, 0.6)
		s.tone = tinted(r, r.span(0, 0.9), r.logSpan(0.05, 1.3))
		s.uneven = r.span(0, 0.5)
		add(s)
	}
}

// balanceRoom scales the room so that it lights a level sheet by just the ambient light:
// else paper would look too dark, or too bright, beside metal that mirrors the room.
func (d *workshopDrawing) balanceRoom() {
	r, k := d.r, d.k
	sum := 0.0
	const n = 300
	for range n {
		z, a := math.Sqrt(r.unit()), r.span(0, 2*math.Pi)
		q := math.Sqrt(1 - z*z)
		sum += k.seen(rgb{1, 1, 1}, vec{0, 0, 1}, vec{q * math.Cos(a), q * math.Sin(a), z}, math.Inf(1), rgb{}).luma() * math.Pi / n
	}
	by := 1 / math.Max(0.02, sum)
	room := &k.room
	room.zenith, room.below = room.zenith.scale(by), room.below.scale(by)
	for i := range room.sides {
		room.sides[i] = room.sides[i].scale(by)
	}
	for i := range room.screens {
		s := &room.screens[i]
		s.tone, s.other = s.tone.scale(by), s.other.scale(by)
	}
}

// addRoundLamp hangs a lamp whose mirror image in the main sheet is round, and lists that.
func (d *workshopDrawing) addRoundLamp(at vec) {
	r := d.r
	radius := at.norm() * r.span(0.015, 0.06)
	s := newScreen(at, at.add(vec{0, 0, -1}), vec{1, 0, 0}, radius, radius)
	s.form, s.soft, s.tone = formRound, 0.03, tinted(r, r.span(0, 0.3), 1).scale(r.span(4, 12))
	d.k.room.screens = append(d.k.room.screens, s)
	if c := d.k.levels[0].coat; c.metal && c.rough < 0.08 {
		m := vec{at.x, at.y, -at.z}
		n := d.k.addRound(Reflection, 0, m, ringAt(m, radius, nil, 0, 0), 0)
		d.k.rounds[n].mirrored = true
	}
}
