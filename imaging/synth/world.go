package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// material tells what a ray has met.
type material uint8

const (
	onNothing material = iota
	onBench
	onSheet
	onRim
	onUnder
	onTube
	onPit // the dark inside of a tube
	onFace
	onPaperEdge
	onHead
	onFlat
	onStem
	onChip
	onLeg
	onBody  // of a workshop scene
	onPlate // the same
)

// meeting is where a ray meets the scene.
type meeting struct {
	t    float64
	p, n vec
	on   material
	head int
	zone zone // of a body or plate
}

// world is a scene made ready for tracing.
type world struct {
	s        *Scene
	eye      vec
	axes     [3]vec // camera x, y, z in the sheet frame
	sheet    plate
	under    *plate
	leg      *leg
	tube     *tube
	paper    *paper
	heads    []*revolved
	finish   []Finish
	chips    [][3]vec
	chipAt   vec
	chipR2   float64
	lights   []lamp
	power    []float64 // running sum of the lights' fractions of all power
	ink      *decal
	scrape   *decal
	brushU   [2]float64
	noise    [4]*tile
	workshop *workshop // nil for scenes of Draw
	amb      rgb
	mmPerPx  float64 // at the sheet below the eye
	white    float64 // the light of white paper under all lamps: a scale for outliers
	most     float64 // brightest that one path may be
	mirrors  int     // how often a path may be mirrored before it is cut short
	bounces  int     // and scattered by matt faces
}

func newWorld(s *Scene) *world {
	w := &world{s: s, amb: rgb(s.Ambient), workshop: s.workshop}
	if s.workshop != nil {
		w.noise = s.workshop.noise
	} else {
		w.noise = newNoise(s.Seed)
	}
	x, y, z := s.Camera.Centre()
	w.eye = vec{x, y, z}
	w.mmPerPx = z / s.Camera.FocalPx
	for i, r := range s.Camera.R {
		w.axes[i] = vec{r[0], r[1], r[2]}
	}
	sh := &s.Sheet
	w.sheet = plate{out: newOutline(sh.PolygonMM, sh.RadiiMM), thick: sh.ThicknessMM, bevel: sh.BevelMM, noise: w.noise[3]}
	if l := sh.Leg; l != nil {
		w.leg = &leg{y: l.Y, x0: l.X0, x1: l.X1, r: l.R, h: l.H, thick: sh.ThicknessMM}
	}
	const joint = 0.015 // sheets that are drawn together still leave a breath of air
	switch sh.Under {
	case "sheet":
		w.under = &plate{out: newOutline(sh.UnderMM, make([]float64, len(sh.UnderMM))), zTop: -sh.ThicknessMM - joint, thick: 1.2, bevel: 0.08, noise: w.noise[3]}
	case "tube":
		d := sh.Tube.AngleDeg * math.Pi / 180
		w.tube = &tube{x: sh.Tube.X, y: sh.Tube.Y, zTop: -sh.ThicknessMM - joint, width: sh.Tube.WidthMM, round: sh.Tube.RoundMM, dx: math.Cos(d), dy: math.Sin(d)}
	}
	for i := range s.Fasteners {
		if s.workshop == nil {
			w.place(&s.Fasteners[i])
		}
	}
	for _, c := range s.Clutter {
		w.drill(bore{x: c.AtMM.X, y: c.AtMM.Y, r: c.DMM / 2, chamfer: 0.03, floor: math.Inf(-1)})
	}
	if s.Card != nil {
		w.paper = newPaper(*s.Card, w.noise[0])
	}
	w.makeChips()
	w.makeInk()
	w.makeLights()
	w.white = w.amb.luma() / math.Pi
	for _, l := range s.Lights {
		w.white += rgb(l.Irradiance).luma() / math.Pi
	}
	w.most, w.mirrors, w.bounces = 6*w.white, 3, 2
	if s.workshop != nil {
		w.most, w.mirrors, w.bounces = 3*w.white, 2, 1
	}
	b := sh.BrushDeg * math.Pi / 180
	w.brushU = [2]float64{math.Cos(b), math.Sin(b)}
	return w
}

// drill puts a hole through the sheet and whatever lies tight below it.
func (w *world) drill(b bore) {
	w.sheet.addBore(b)
	b.chamfer, b.ragged = 0, 0
	if w.under != nil {
		w.under.addBore(b)
	}
	if w.tube != nil {
		w.tube.bores = append(w.tube.bores, b)
	}
}

// axis is the direction of a fastener's head.
func (f *Fastener) axis() vec {
	st, ct := math.Sincos(f.TiltDeg * math.Pi / 180)
	sa, ca := math.Sincos(f.TiltAzimuthDeg * math.Pi / 180)
	return vec{st * ca, st * sa, ct}
}

func (w *world) place(f *Fastener) {
	if f.Kind == Hole {
		b := bore{x: f.AxisMM.X, y: f.AxisMM.Y, r: f.BoreMM / 2, chamfer: f.ChamferMM, floor: math.Inf(-1)}
		s, c := math.Sincos(f.LongDeg * math.Pi / 180)
		b.lx, b.ly = c*f.LongMM/2, s*f.LongMM/2
		if f.Burred {
			b.ragged = 0.14 * f.ChamferMM
		}
		w.drill(b)
		return
	}
	r := (f.MaxDMM + f.MinDMM) / 4
	var pts []profilePoint
	flat, stem := math.MaxInt, math.MaxInt
	switch f.Kind {
	case ShopHead:
		pts, flat = shopProfile(r, f.HeightMM, f.WidestMM, f.RimRatio)
	case Universal:
		pts = domeProfile(r, f.HeightMM, 0)
	case Pulled:
		pts, stem = pulledProfile(r, f.HeightMM, f.MandrelHoleMM/2, f.StemTopMM)
	case Flush:
		pts, flat = flushProfile(r, f.HeightMM)
		w.sheet.addBore(bore{x: f.AxisMM.X, y: f.AxisMM.Y, r: r + f.GapMM, floor: -0.4})
	}
	foot := vec{f.FootMM.X, f.FootMM.Y, 0}
	s, c := math.Sincos(f.AngleDeg * math.Pi / 180)
	h := newRevolved(pts, foot, f.axis(), vec{c, s, 0}, f.MaxDMM/(2*r), f.MinDMM/(2*r))
	h.flatFrom, h.stemFrom = min(flat, h.flatFrom), min(stem, h.stemFrom)
	w.heads = append(w.heads, h)
	w.finish = append(w.finish, f.Finish)
}

func (w *world) makeChips() {
	if len(w.s.Chips) == 0 {
		return
	}
	for _, c := range w.s.Chips {
		t := [3]vec{{c.A[0], c.A[1], c.A[2]}, {c.B[0], c.B[1], c.B[2]}, {c.C[0], c.C[1], c.C[2]}}
		w.chips = append(w.chips, t)
		w.chipAt = w.chipAt.add(t[0].mul(1 / float64(len(w.s.Chips))))
	}
	for _, c := range w.chips {
		for _, v := range c {
			d := v.sub(w.chipAt)
			w.chipR2 = max(w.chipR2, d.dot(d))
		}
	}
}

func (w *world) makeInk() {
	sh := w.sheet.out
	x0, y0 := max(sh.x0, -90), max(sh.y0, -20)
	x1, y1 := min(sh.x1, x0+200), min(sh.y1, 140)
	for _, k := range w.s.Strokes {
		layer := &w.ink
		if k.Scratch {
			layer = &w.scrape
		}
		if *layer == nil {
			*layer = newDecal(x0, y0, x1, y1, 16)
		}
		if k.Text != "" {
			(*layer).write(k.Text, k.From.X, k.From.Y, k.SizeMM, k.AngleDeg*math.Pi/180, k.WidthMM, k.Strength, k.Ragged, w.noise[2])
			continue
		}
		(*layer).stroke(k.From.X, k.From.Y, k.To.X, k.To.Y, k.WidthMM, k.Strength, k.Fade, k.Ragged, w.noise[2])
	}
}

// meet finds the first thing on the ray o + t d with t in (tMin, tMax).
func (w *world) meet(o, d vec, tMin, tMax float64) (m meeting) {
	if w.workshop != nil {
		return w.workshop.meet(w, o, d, tMin, tMax)
	}
	m.t = tMax
	for i, h := range w.heads {
		if t, n, seg, ok := h.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on, m.head = t, n, onHead, i
			if seg >= h.stemFrom {
				m.on = onStem
			} else if seg >= h.flatFrom {
				m.on = onFlat
			}
		}
	}
	if w.paper != nil {
		if t, n, face, ok := w.paper.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on = t, n, onPaperEdge
			if face {
				m.on = onFace
			}
		}
	}
	if t, n, ok := w.sheet.hit(o, d, tMin, m.t); ok {
		m.t, m.n, m.on = t, n, onSheet
		if n.z < 0.999 {
			m.on = onRim
		}
	}
	if w.leg != nil {
		if t, n, ok := w.leg.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on = t, n, onLeg
		}
	}
	if w.under != nil {
		if t, n, ok := w.under.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on = t, n, onUnder
		}
	}
	if w.tube != nil {
		if t, n, pit, ok := w.tube.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on = t, n, onTube
			if pit {
				m.on = onPit
			}
		}
	}
	if d.z < 0 {
		if t := (-w.s.Sheet.BenchMM - o.z) / d.z; t > tMin && t < m.t {
			m.t, m.n, m.on = t, vec{0, 0, 1}, onBench
		}
	}
	w.meetChips(o, d, tMin, &m)
	if m.on != onNothing {
		m.p = o.at(d, m.t)
	}
	return m
}

func (w *world) meetChips(o, d vec, tMin float64, m *meeting) {
	if len(w.chips) == 0 {
		return
	}
	c := w.chipAt.sub(o)
	if b := c.dot(d); c.dot(c)-b*b/d.dot(d) > w.chipR2 {
		return
	}
	for _, tri := range w.chips {
		e1, e2 := tri[1].sub(tri[0]), tri[2].sub(tri[0])
		p := d.cross(e2)
		det := e1.dot(p)
		if math.Abs(det) < 1e-12 {
			continue
		}
		q := o.sub(tri[0])
		u := q.dot(p) / det
		r := q.cross(e1)
		v := d.dot(r) / det
		if u < 0 || v < 0 || u+v > 1 {
			continue
		}
		if t := e2.dot(r) / det; t > tMin && t < m.t {
			m.t, m.on, m.n = t, onChip, e1.cross(e2).unit()
			if m.n.dot(d) > 0 {
				m.n = m.n.mul(-1)
			}
		}
	}
}

// ray gives the direction through a pixel from the pinhole, third camera component 1.
func (w *world) ray(u, v float64) (x, y float64) {
	c := &w.s.Camera
	xd, yd := (u-c.CxPx)/c.FocalPx, (v-c.CyPx)/c.FocalPx
	x, y = xd, yd
	for range 6 {
		r2 := x*x + y*y
		g := 1 + c.K1*r2 + w.s.Lens.K2*r2*r2
		x, y = xd/g, yd/g
	}
	return x, y
}

// Project gives the pixel of a sheet point at height zMM, with the lens's second term.
func (s *Scene) Project(p geom.SheetPoint, zMM float64) geom.PxPoint {
	c := s.Camera
	c.K1 = 0
	q := c.Project(p, zMM)
	x, y := (q.U-c.CxPx)/c.FocalPx, (q.V-c.CyPx)/c.FocalPx
	r2 := x*x + y*y
	g := c.FocalPx * (1 + s.Camera.K1*r2 + s.Lens.K2*r2*r2)
	return geom.PxPoint{U: c.CxPx + x*g, V: c.CyPx + y*g}
}
