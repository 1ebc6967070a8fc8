package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// drawMarks draws layout lines, handwriting, scratches and swarf.
func (d *drawing) drawMarks() {
	r, s := d.r, d.s
	pencil := r.chance(0.35)
	s.InkColour = pick(r, []float64{3, 3, 3}, [3]float64{0.42, 0.055, 0.045}, [3]float64{0.06, 0.07, 0.24}, [3]float64{0.05, 0.05, 0.055})
	if pencil {
		s.InkColour = [3]float64{0.10, 0.10, 0.11}
	}
	if r.chance(0.65) {
		width, strength := r.span(0.45, 1.1), r.span(0.35, 0.75)
		if pencil {
			width, strength = r.span(0.2, 0.4), r.span(0.3, 0.6)
		}
		d.drawCrosses(width, strength)
	}
	mid, reach := d.middle()
	if r.chance(0.5) {
		at := mid.Add(geom.SheetPoint{X: r.span(-15, 5), Y: reach*0.4 + r.span(6, 20)})
		if d.free(at, 5) {
			s.Strokes = append(s.Strokes, Stroke{From: at, Text: even(r, "A 12", "OK 14", "LH 3", "X-07", "H2", "RB 8", "K-3", "9 C"), SizeMM: r.span(4.5, 8),
				AngleDeg: even(r, 0.0, 0.0, 90.0, 180.0) + 8*r.normal(), WidthMM: r.span(0.5, 0.95), Strength: r.span(0.35, 0.7), Ragged: 0.5})
		}
	}
	if primed := s.Sheet.Finish == Green || s.Sheet.Finish == Grey; primed && r.chance(0.55) {
		at := mid.Add(geom.SheetPoint{X: r.span(-50, 50), Y: r.span(-5, 50)})
		for range 30 + r.intn(120) {
			p := at.Add(geom.SheetPoint{X: 17 * r.normal(), Y: 17 * r.normal()})
			l, a := r.span(2, 14), r.span(0, 2*math.Pi)
			q := p.Add(geom.SheetPoint{X: l * math.Cos(a), Y: l * math.Sin(a)})
			s.Strokes = append(s.Strokes, Stroke{From: p, To: q, WidthMM: r.span(0.03, 0.13), Strength: r.span(0.12, 0.6), Fade: 0.7, Ragged: 0.6, Scratch: true})
		}
	}
	if r.chance(0.15) {
		d.say("swarf")
		at := mid.Add(geom.SheetPoint{X: r.span(-25, 25), Y: r.span(4, 30)})
		for range 10 + r.intn(25) {
			d.drawChip(at)
		}
	}
}

// drawCrosses marks each location with two lines, and some rows with one line through.
func (d *drawing) drawCrosses(width, strength float64) {
	r, s := d.r, d.s
	line := func(p, q geom.SheetPoint) {
		s.Strokes = append(s.Strokes, Stroke{From: p, To: q, WidthMM: width * r.span(0.85, 1.15), Strength: strength * r.span(0.8, 1.15), Fade: r.span(0, 0.5), Ragged: 0.45})
	}
	for _, f := range s.Fasteners {
		n := f.NominalMM
		c := f.AxisMM.Add(geom.SheetPoint{X: 0.12 * r.normal(), Y: 0.12 * r.normal()})
		for _, u := range []geom.SheetPoint{{X: 1}, {Y: 1}} {
			a := 0.03 * r.normal()
			v := geom.SheetPoint{X: u.X + a*u.Y, Y: u.Y - a*u.X}
			line(c.Sub(v.Scale(n*r.span(1.1, 2.6))), c.Add(v.Scale(n*r.span(1.1, 2.6))))
		}
	}
	if fs := s.Fasteners; len(fs) > 1 && r.chance(0.6) {
		line(fs[0].AxisMM, fs[1].AxisMM)
		if r.chance(0.6) {
			line(fs[len(fs)-2].AxisMM, fs[len(fs)-1].AxisMM)
		}
	}
}

func (d *drawing) drawChip(at geom.SheetPoint) {
	r := d.r
	p := at.Add(geom.SheetPoint{X: 9 * r.normal(), Y: 9 * r.normal()})
	size := r.span(0.3, 1.1)
	if !d.free(p, size+0.6) {
		return
	}
	z := 0.02
	if d.s.Card.Covers(p) {
		z += d.s.Card.ThicknessMM
	}
	corner := func(k float64) [3]float64 {
		a := r.span(0, 2*math.Pi)
		return [3]float64{p.X + k*math.Cos(a), p.Y + k*math.Sin(a), z + r.span(0, 0.5)*k}
	}
	d.s.Chips = append(d.s.Chips, Chip{corner(size), corner(size), corner(size * 0.3)})
}

// drawLight sets the lamps.
func (d *drawing) drawLight() {
	r, s := d.r, d.s
	warm, cool, white := [3]float64{1.15, 0.97, 0.72}, [3]float64{0.86, 0.97, 1.22}, [3]float64{1.02, 1, 0.97}
	times := func(c [3]float64, k float64) [3]float64 { return [3]float64{c[0] * k, c[1] * k, c[2] * k} }
	s.PhoneShadow, s.CeilingBands = true, r.span(0.25, 0.6)
	az := r.span(0, 2*math.Pi)
	kind := pick(r, []float64{6, 5, 3, 3, 3}, "window", "strips", "flash", "raking", "mixed")
	level := map[string][2]float64{"window": {0.38, 0.66}, "strips": {0.36, 0.56}, "flash": {0.66, 0.8}, "raking": {0.5, 0.66}, "mixed": {0.66, 0.85}}[kind]
	s.Sensor.Exposure = r.span(level[0], level[1])
	grain := map[string][2]float64{"window": {3.5e-4, 9e-4}, "strips": {3e-4, 9e-4}, "flash": {5e-5, 1.5e-4}, "raking": {8e-5, 4e-4}, "mixed": {2e-4, 6e-4}}[kind]
	s.Sensor.NoiseShot = r.span(grain[0], grain[1])
	switch kind {
	case "window", "mixed":
		el := r.span(0.45, 1.0)
		tone := white
		if kind == "mixed" {
			tone = cool
			a2 := az + r.span(1.2, 4.5)
			s.Lights = append(s.Lights, panel(a2, r.span(0.5, 1.0), r.span(420, 800), r.span(35, 110), r.span(35, 110), times(warm, r.span(0.5, 0.9))))
			d.say("mixed colour temperature")
		} else {
			d.say("soft window light")
		}
		s.Lights = append(s.Lights, panel(az, el, 1300, r.span(350, 600), r.span(450, 700), times(tone, 1)))
		s.Ambient = times(cool, r.span(0.16, 0.4))
	case "strips":
		n := 2 + r.intn(2)
		for i := range n {
			x := (float64(i) - float64(n-1)/2) * r.span(500, 900)
			l := Light{AtMM: [3]float64{x*math.Cos(az) + r.span(-150, 150), x*math.Sin(az) + r.span(-150, 150), r.span(1300, 1900)},
				UMM: [3]float64{-650 * math.Sin(az), 650 * math.Cos(az), 0}, VMM: [3]float64{r.span(40, 75) * math.Cos(az), r.span(40, 75) * math.Sin(az), 0},
				Irradiance: times(white, 1/float64(n))}
			s.Lights = append(s.Lights, l)
		}
		s.Ambient = times(white, r.span(0.25, 0.45))
		d.say("overhead strip lamps")
	case "flash":
		w := newWorld(s) // for the camera's axes only
		a := w.eye.at(w.axes[0], r.span(-13, 13)).at(w.axes[1], r.span(7, 12))
		u, v := w.axes[0].mul(1.6), w.axes[1].mul(1.6)
		s.Lights = append(s.Lights, Light{AtMM: [3]float64{a.x, a.y, a.z}, UMM: [3]float64{u.x, u.y, u.z}, VMM: [3]float64{v.x, v.y, v.z}, Irradiance: times(white, 1)})
		s.Ambient = times(warm, r.span(0.1, 0.25))
		d.say("phone flash near the lens")
	case "raking":
		k := r.span(16, 32)
		s.Lights = append(s.Lights, panel(az, r.span(0.25, 0.6), r.span(350, 600), k, k, times(warm, r.span(1.6, 2.6))))
		s.Ambient = times(cool, r.span(0.25, 0.4))
		d.say("raking work lamp")
	}
	d.say(map[Finish]string{Bare: "bare brushed aluminium", Alclad: "mirror-like alclad", Green: "green primer", Grey: "grey primer"}[s.Sheet.Finish])
	d.say(map[string]string{"gusset": "gusset on a wide sheet", "tube": "gusset on a square tube", "edge": "sheet edge over a bench", "angle": "angle bracket with a standing leg"}[d.stage])
}

// panel is a rectangle that faces the origin from azimuth az and elevation el.
func panel(az, el, dist, halfW, halfH float64, irradiance [3]float64) Light {
	se, ce := math.Sincos(el)
	sa, ca := math.Sincos(az)
	n := vec{ce * ca, ce * sa, se}
	t, b := frame(n, vec{-sa, ca, 0})
	t, b = t.mul(halfW), b.mul(halfH)
	return Light{AtMM: [3]float64{dist * n.x, dist * n.y, dist * n.z}, UMM: [3]float64{t.x, t.y, t.z}, VMM: [3]float64{b.x, b.y, b.z}, Irradiance: irradiance}
}

// drawSensor sets softness, noise and the rest of the phone's doing.
func (d *drawing) drawSensor() {
	r, s := d.r, d.s
	sen := &s.Sensor
	*sen = Sensor{SoftPx: r.span(0.3, 0.5), Exposure: sen.Exposure, WhiteGain: [3]float64{1 + 0.03*r.normal(), 1, 1 + 0.03*r.normal()},
		NoiseShot: sen.NoiseShot, NoiseRead: r.span(0.001, 0.0025), Vignette: r.span(0.15, 0.4), Sharpen: r.span(0.1, 0.5), JPEGQuality: 88 + r.intn(5)}
	if r.chance(0.08) {
		sen.MotionPx, sen.MotionDeg = r.span(2.5, 5), r.span(0, 180)
		d.say("motion blur")
	}
	if r.chance(0.6) {
		sen.SoftPx = r.span(0.6, 1.05)
		d.say("slight softness")
	}
	if s.Lens.ApertureMM >= 0.3 {
		d.say("shallow depth of field")
	}
	if r.chance(0.08) {
		sen.Exposure *= r.span(0.3, 0.45)
		d.say("underexposed")
	}
	if s.Orientation != 1 {
		d.say(fmt.Sprintf("EXIF orientation %d", s.Orientation))
	}
	s.Taken = fmt.Sprintf("2026:%02d:%02d %02d:%02d:%02d", 1+r.intn(12), 1+r.intn(28), 8+r.intn(12), r.intn(60), r.intn(60))
}
