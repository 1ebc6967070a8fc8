package synth

import (
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// drawCard lays a card beside or round the fasteners. It fails when none fits.
func (d *drawing) drawCard() bool {
	r := d.r
	mid, spread := d.middle()
	l := card.ByName(d.layout)
	for range 80 {
		c := CardPlacement{Layout: l, AngleDeg: 90*float64(r.intn(4)) + 5*r.normal(),
			PrintScale:  [2]float64{1 + r.span(-0.008, 0.008), 1 + r.span(-0.008, 0.008)},
			ThicknessMM: r.span(0.15, 0.345), InkGainMM: r.span(-0.01, 0.015)}
		if l.Name == "window" && r.chance(0.3) {
			c.AngleDeg += r.span(0, 90)
		}
		// Where on the card the middle of the fasteners is to come.
		var at geom.CardPoint
		switch l.Name {
		case "window":
			free := max(3, 24-spread)
			at = geom.CardPoint{X: 43 + r.span(-free, free), Y: 33 + 0.6*r.span(-free, free)}
		case "corner":
			at = geom.CardPoint{X: 16 + r.span(6, 34), Y: 16 + r.span(6, 34)}
		default:
			c.AngleDeg = even(r, 0.0, 180.0) + 2.5*r.normal()
			at = geom.CardPoint{X: 43 + r.span(-15, 15), Y: even(r, -1.0, 1.0)*r.span(13, 20+spread/3) + 9}
		}
		c.OriginMM = c.OriginMM.Add(mid.Sub(c.ToSheet(at)))
		if d.clear(&c) {
			d.s.Card = &c
			return true
		}
	}
	return false
}

// middle gives the middle of the fasteners and how far they reach from it.
func (d *drawing) middle() (m geom.SheetPoint, reach float64) {
	for _, f := range d.s.Fasteners {
		m = m.Add(f.AxisMM.Scale(1 / float64(len(d.s.Fasteners))))
	}
	for _, f := range d.s.Fasteners {
		reach = max(reach, f.AxisMM.Sub(m).Norm()+f.MaxDMM/2)
	}
	return m, reach
}

// clear tells whether a card lies free of heads and of a standing leg, mostly on the sheet.
func (d *drawing) clear(c *CardPlacement) bool {
	for _, f := range d.s.Fasteners {
		rad := max(f.MaxDMM, f.BoreMM)/2 + 0.8
		for k := range 24 {
			s, co := math.Sincos(2 * math.Pi * float64(k) / 24)
			p := f.AxisMM.Add(geom.SheetPoint{X: rad * co, Y: rad * s})
			if c.Covers(p) {
				return false
			}
			if c.Layout.Window != nil && !insideLoop(c.Layout.Outline, c.ToCard(p)) {
				return false
			}
		}
	}
	for _, p := range c.Layout.Outline {
		if q := c.ToSheet(p); d.onLeg(q, 0.5) && q.X > -5 {
			return false
		}
	}
	o := newOutline(d.s.Sheet.PolygonMM, d.s.Sheet.RadiiMM)
	on := 0
	for _, t := range c.Layout.Targets {
		if q := c.ToSheet(t.At); o.dist(q.X, q.Y) < 0 {
			on++
		}
	}
	return 3*on >= len(c.Layout.Targets)
}

// drawCamera points the phone at the work. It fails when the view cannot hold it.
func (d *drawing) drawCamera() bool {
	r, s := d.r, d.s
	s.Width, s.Height = 2592, 1944
	if r.chance(0.35) {
		s.Width, s.Height = 1944, 2592
		s.Orientation = even(r, 6, 8)
	}
	s.Focal35MM, s.FocalMM = 26, 5.43
	dist := r.span(110, 120)
	if r.chance(0.45) {
		dist = r.span(120, 280)
	}
	if d.zoomed {
		s.Zoom, s.Focal35MM, s.FocalMM = 2, 52, 10.86
		dist = r.span(190, 280)
	}
	mid, _ := d.middle()
	c43 := s.Card.ToSheet(layoutMiddle(s.Card.Layout))
	look := mid.Scale(0.45).Add(c43.Scale(0.55)).Add(geom.SheetPoint{X: r.span(-6, 6), Y: r.span(-6, 6)})
	tilt, az := r.span(3, 23), r.span(0, 2*math.Pi)
	roll := r.span(0, 2*math.Pi)
	k1, k2 := 0.014*r.normal(), 0.006*r.normal()
	// The 35 mm equivalent goes by the diagonal: 43.27 mm there.
	focal := float64(s.Focal35MM) / 43.27 * math.Hypot(float64(s.Width), float64(s.Height)) * r.span(0.95, 0.99)
	cx, cy := float64(s.Width-1)/2+14*r.normal(), float64(s.Height-1)/2+12*r.normal()
	for range 25 {
		s.Camera = lookAt(look, dist, tilt*math.Pi/180, az, roll)
		s.Camera.FocalPx, s.Camera.CxPx, s.Camera.CyPx = focal, cx, cy
		s.Camera.K1, s.Lens.K2 = k1, k2
		if d.holds() {
			s.Lens.ApertureMM = even(r, 0, 0, 0.15, 0.3, 0.6)
			s.Lens.FocusMM = dist * (1 + max(-0.03, min(0.03, 0.013*r.normal())))
			if tilt > 20 {
				d.say("strong tilt")
			}
			if s.Zoom == 2 {
				d.say("2x crop")
			}
			return true
		}
		dist *= 1.05
		if dist > 285 {
			return false
		}
	}
	return false
}

func layoutMiddle(l *card.Layout) geom.CardPoint {
	if l.Name == "corner" {
		return geom.CardPoint{X: 30, Y: 30}
	}
	m := geom.CardPoint{}
	for _, t := range l.Targets {
		m.X += t.At.X / float64(len(l.Targets))
		m.Y += t.At.Y / float64(len(l.Targets))
	}
	return m
}

// holds tells whether the frame holds the fasteners and enough of the targets.
func (d *drawing) holds() bool {
	in := func(p geom.PxPoint, m float64) bool {
		return p.U > m && p.V > m && p.U < float64(d.s.Width)-m && p.V < float64(d.s.Height)-m
	}
	for i := range d.s.Fasteners {
		for _, v := range d.s.Fasteners[i].ring(8) {
			if !in(d.s.project(v), 40) {
				return false
			}
		}
	}
	n := 0
	for _, t := range d.s.Card.Layout.Targets {
		if in(d.s.Project(d.s.Card.ToSheet(t.At), 0), 45) {
			n++
		}
	}
	return n >= len(d.s.Card.Layout.Targets)-2
}

// lookAt places a camera dist mm from a sheet point, tilted from the normal toward the
// azimuth and turned by roll.
func lookAt(p geom.SheetPoint, dist, tilt, azimuth, roll float64) geom.Camera {
	st, ct := math.Sincos(tilt)
	sa, ca := math.Sincos(azimuth)
	eye := vec{p.X + dist*st*ca, p.Y + dist*st*sa, dist * ct}
	z := vec{p.X, p.Y, 0}.sub(eye).unit()
	x0, y0 := frame(z, vec{1, 0, 0})
	s, c := math.Sincos(roll)
	x := x0.mul(c).add(y0.mul(s))
	y := z.cross(x)
	return geom.Camera{
		R: [3][3]float64{{x.x, x.y, x.z}, {y.x, y.y, y.z}, {z.x, z.y, z.z}},
		T: [3]float64{-x.dot(eye), -y.dot(eye), -z.dot(eye)},
	}
}
