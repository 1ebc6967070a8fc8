package synth

import "math"

// surface is how a met spot scatters light.
type surface struct {
	n      vec
	diff   rgb     // reflectance of the matt part
	spec   rgb     // reflectance of the bright part straight on
	ax, ay float64 // roughness (GGX alpha) along and across tan
	tan    vec
	pd     float64 // chance to follow the matt part; 1 has no bright part
	glow   rgb     // light of its own
}

// Linear reflectances, read off photographs of such surfaces and rounded.
var (
	aluminium = rgb{0.90, 0.905, 0.915}
	gold      = rgb{0.80, 0.735, 0.50}
	greenCoat = rgb{0.165, 0.255, 0.085}
	greyCoat  = rgb{0.225, 0.23, 0.235}
	paperTone = rgb{0.80, 0.80, 0.79}
	inkTone   = rgb{0.037, 0.037, 0.039}
)

// bend tips a normal by slopes along two directions.
func bend(n, t, b vec, st, sb float64) vec { return n.at(t, st).at(b, sb).unit() }

// surfaceAt looks up the material where a ray has met the scene, depth meetings after the
// first.
func (w *world) surfaceAt(m *meeting, depth int) surface {
	if w.workshop != nil && (m.on == onBench || m.on == onPlate || m.on == onBody) {
		px := w.mmPerPx
		if depth > 0 {
			px = 3 // fine texture is lost in a mirror image
		}
		return w.workshop.surfaceAt(m, px)
	}
	switch m.on {
	case onBench:
		return w.bench(m)
	case onSheet, onRim, onLeg:
		return w.sheetSurface(m)
	case onUnder:
		return w.coat(m, w.s.Sheet.Finish, 31, w.brushU)
	case onTube:
		d := w.s.Sheet.Tube.AngleDeg * math.Pi / 180
		return w.coat(m, Bare, 77, [2]float64{math.Cos(d), math.Sin(d)})
	case onPit:
		return surface{n: m.n, diff: rgb{0.004, 0.004, 0.004}, pd: 1}
	case onFace:
		return w.paperSurface(m)
	case onPaperEdge:
		return surface{n: m.n, diff: paperTone.scale(0.9), pd: 1}
	case onChip:
		return surface{n: m.n, spec: aluminium, ax: 0.15, ay: 0.15, tan: vec{1, 0, 0}}
	}
	return w.headSurface(m)
}

func (w *world) paperSurface(m *meeting) surface {
	q := w.paper.onCard(m.p)
	k := w.paper.ink(q)
	n := w.noise[0]
	grain := 1 + 0.012*n.at(q.X*4, q.Y*4) + 0.010*n.at(q.X*0.4, q.Y*0.4)
	return surface{n: m.n, diff: paperTone.scale(grain).mix(inkTone, k), pd: 1}
}

// sheetSurface is the sheet's finish, with marker, pencil and scratches.
func (w *world) sheetSurface(m *meeting) surface {
	s := w.coat(m, w.s.Sheet.Finish, 0, w.brushU)
	if m.on == onRim {
		// A deburred rim is filed bright and uneven, primed or not.
		n := w.noise[1]
		t, b := frame(m.n, vec{0, 0, 1})
		s.n = bend(m.n, t, b, 0.10*n.at(m.p.x*6, m.p.y*6+m.p.z*9), 0.10*n.at(m.p.y*6+50, m.p.x*6-m.p.z*9))
		return s
	}
	if m.n.z < 0.9 {
		return s
	}
	if w.ink != nil {
		s.cover(rgb(w.s.InkColour), w.ink.at(m.p.x, m.p.y))
	}
	if w.scrape != nil {
		s.cover(rgb{0.42, 0.42, 0.40}, w.scrape.at(m.p.x, m.p.y))
	}
	return s
}

// cover lays a fraction k of a matt colour over the surface.
func (s *surface) cover(c rgb, k float64) {
	if k <= 0 {
		return
	}
	s.diff = s.diff.mix(c, k)
	s.spec = s.spec.scale(1 - k)
	if s.pd < 0.8 {
		s.pd = min(0.79, s.pd+0.5*k)
	}
}

// coat is a finish on a plane part; shift keeps the parts' grain apart.
func (w *world) coat(m *meeting, f Finish, shift float64, brush [2]float64) surface {
	x, y := m.p.x+shift, m.p.y+shift
	if m.n.z < 0.9 {
		y += m.p.z
	}
	n0, n1, n2 := w.noise[0], w.noise[1], w.noise[2]
	t, b := frame(m.n, vec{brush[0], brush[1], 0})
	u, v := x*brush[0]+y*brush[1], -x*brush[1]+y*brush[0]
	switch f {
	case Green, Grey:
		base := greenCoat
		if f == Grey {
			base = greyCoat
		}
		k := 1 + 0.035*n0.at(x*5.5, y*5.5) + 0.02*n1.cloud(x*0.06, y*0.06, 3)
		n := bend(m.n, t, b, 0.018*n1.at(x*4, y*4), 0.018*n2.at(x*4, y*4))
		return surface{n: n, diff: base.scale(k), spec: rgb{0.045, 0.045, 0.045}, ax: 0.32, ay: 0.32, tan: t, pd: 0.85}
	case Alclad:
		big := n2.cloud(x*0.05, y*0.05, 3)
		a := 0.10 * math.Exp(0.25*big)
		n := bend(m.n, t, b, 0.012*n0.at(x*3, y*3)+0.006*n1.at(x*0.2, y*0.2), 0.012*n1.at(x*3, y*3)+0.006*n2.at(x*0.2, y*0.2))
		return surface{n: n, diff: rgb{0.02, 0.02, 0.02}, spec: aluminium.scale(0.95), ax: a, ay: a, tan: t, pd: 0.03}
	}
	// Brushed: rougher across the brushing; handled metal is cloudy and finely pitted.
	sh := &w.s.Sheet
	big := n2.cloud(x*0.045, y*0.045, 4)
	streak := n0.at(u*0.18, v*7) + 0.6*n1.at(u*0.06, v*2.3)
	k := sh.Rough * math.Exp(sh.Cloud*big)
	fine := sh.Grain
	n := bend(m.n, t, b, fine*n0.at(x*4.6, y*4.6)+0.4*fine*n2.at(x*1.1, y*1.1)+0.012*n1.at(x*0.05, y*0.05),
		fine*n1.at(x*4.6, y*4.6)+sh.Streak*streak+0.012*n0.at(x*0.05+9, y*0.05))
	pits := 0.8*n2.at(x*4.9, y*4.9) + 0.6*n0.at(x*2.2+7, y*2.2)
	tone := sh.Tone * max(0.2, 1+2.2*sh.Streak*streak+sh.Pits*pits+0.04*big)
	return surface{n: n, diff: aluminium.scale(0.24 * tone), spec: aluminium.scale(tone), ax: k, ay: 1.7 * k, tan: t, pd: 0.28}
}

// headSurface is a fastener head: its flank, its flat or its broken stem.
func (w *world) headSurface(m *meeting) surface {
	h := w.heads[m.head]
	q := m.p.sub(h.foot)
	x, y, z := q.dot(h.ex), q.dot(h.ey), q.dot(h.ez)
	id := 13.7 * float64(m.head)
	n0, n1 := w.noise[0], w.noise[1]
	t, b := frame(m.n, h.ez)
	if m.on == onStem {
		a := math.Atan2(y, x)
		k := 0.55 * n0.at(a*3.2+id, math.Hypot(x, y)*1.5)
		n := bend(m.n, t, b, k, 0.5*n1.at(a*3.2+id, 3*math.Hypot(x, y)))
		return surface{n: n, diff: rgb{0.05, 0.05, 0.05}, spec: rgb{0.5, 0.5, 0.51}, ax: 0.25, ay: 0.25, tan: t, pd: 0.1}
	}
	f := w.finish[m.head]
	if f == Green || f == Grey {
		p := *m
		p.p = vec{x + id, y + z, 0}
		return w.coat(&p, f, 0, [2]float64{1, 0})
	}
	spec, tone := aluminium, 1.0
	if f == Alodine {
		spec = gold
	}
	amp, rough := 0.028, 0.20
	px, py := x*2.6+id, y*2.6
	if m.on == onFlat {
		amp, rough = 0.028, 0.26
		tone = 0.9 * max(0.2, 1+0.12*n1.at(x*3.1+id, y*3.1)+0.09*n0.at(x*1.4+id, y*1.4)+0.07*n0.at(x*6+id, y*6))
	} else {
		px, py = px+1.7*z, py+2.1*z
		tone = 1 + 0.08*n1.at(px*1.2, py*1.2)
	}
	n := bend(m.n, t, b, amp*n0.at(px, py)+amp*0.5*n0.at(px*2.3, py*2.3), amp*n1.at(px, py)+amp*0.5*n1.at(px*2.3, py*2.3))
	return surface{n: n, diff: spec.scale(0.25 * tone), spec: spec.scale(tone), ax: rough, ay: rough, tan: t, pd: 0.22}
}

// bench is what everything lies on.
func (w *world) bench(m *meeting) surface {
	s, c := math.Sincos(w.s.Sheet.BenchGrainDeg * math.Pi / 180)
	u, v := m.p.x*c+m.p.y*s, -m.p.x*s+m.p.y*c
	n0, n1, n2 := w.noise[0], w.noise[1], w.noise[2]
	switch w.s.Sheet.Bench {
	case "wood":
		k := 0.45*n0.at(u*0.008, v*0.22) + 0.25*n1.at(u*0.02, v*0.9) + 0.1*n2.at(u*0.1, v*3.1)
		return surface{n: m.n, diff: rgb{0.27, 0.145, 0.05}.scale(math.Exp(0.42 * k)), spec: rgb{0.04, 0.04, 0.04}, ax: 0.35, ay: 0.35, tan: vec{1, 0, 0}, pd: 0.85}
	case "board":
		k := 0.30*n0.at(u*0.5, v*2.2) + 0.2*n1.at(u*0.9, v*4.5) + 0.35*n2.cloud(u*0.03, v*0.03, 3)
		return surface{n: m.n, diff: rgb{0.235, 0.122, 0.055}.scale(math.Exp(0.33 * k)), pd: 1}
	}
	k := 0.35*n0.at(u*0.9, v*0.9) + 0.45*n2.cloud(u*0.025, v*0.025, 4) + 0.2*n1.at(u*2.3, v*2.3)
	return surface{n: m.n, diff: rgb{0.029, 0.032, 0.039}.scale(math.Exp(0.4 * k)), spec: rgb{0.04, 0.04, 0.04}, ax: 0.45, ay: 0.45, tan: vec{1, 0, 0}, pd: 0.85}
}
