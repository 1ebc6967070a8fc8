package synth

import "math"

// workshop is what the scenes of DrawWorkshop have beyond those of Draw: many sheets and
// bodies, worn surfaces, a room that mirrors in them. It is made once, with its scene, and
// only read afterwards, so that copies of the scene may share it.
type workshop struct {
	noise  [4]*tile
	levels []*level // sheets, the first at z = 0
	bodies []*body
	low    *grid   // finds those bodies that are small and lie near the sheets
	few    []int32 // the others
	lowZ   [2]float64
	listed []int32 // which body each entry of low is
	floor  coat
	floorZ float64
	glow   float64 // what coats that shine by themselves do so by
	inks   []ink
	room   room
	shades []shade
	rounds []round3
}

// level is a sheet with its holes, coat and wear.
type level struct {
	plate
	coat     coat
	rim      coat // filed rims, and bores without a look of their own
	edges    map[int32]*coat
	films    []film
	halos    []halo
	haloGrid *grid
}

// body is anything that stands on, in or over the sheets: heads, nuts, tubes, fingers.
type body struct {
	shape      shape
	zones      []zone // of the shape's faces; faces beyond its end have the last one
	coats      [zones]coat
	foot       vec
	ex, ey, ez vec // the frame of its textures
	low        bool
	box        [4]float64 // of low ones: bounds in x and y
	z0, z1     float64
	round      int // which of the round things it belongs to; -1 for none
	cracks     []float64
	crackFrom  float64 // radius from which on they gape
	daub       *daub
	inked      bool // pens that ran over heads left ink on it
}

// daub is a stripe of paint across a body, as on nuts that have been set.
type daub struct {
	tone         rgb
	angle, width float64
	off          float64
}

func (b *body) zoneOf(face int) zone {
	if len(b.zones) == 0 {
		return zoneFlank
	}
	return b.zones[min(face, len(b.zones)-1)]
}

// settle sorts what has been drawn so that rays find it quickly.
func (ws *workshop) settle() {
	for _, l := range ws.levels {
		l.noise = ws.noise[3]
		l.sortBores()
		var boxes [][4]float64
		for _, h := range l.halos {
			r := h.reach()
			boxes = append(boxes, [4]float64{h.x - r, h.y - r, h.x + r, h.y + r})
		}
		l.haloGrid = newGrid(boxes, 5)
	}
	var boxes [][4]float64
	ws.few, ws.listed, ws.lowZ = nil, nil, [2]float64{math.Inf(1), math.Inf(-1)}
	for i, b := range ws.bodies {
		if !b.low {
			ws.few = append(ws.few, int32(i))
			continue
		}
		boxes, ws.listed = append(boxes, b.box), append(ws.listed, int32(i))
		ws.lowZ[0], ws.lowZ[1] = min(ws.lowZ[0], b.z0), max(ws.lowZ[1], b.z1)
	}
	ws.low = newGrid(boxes, 4)
}

// meet finds the first thing on the ray o + t d with t in (tMin, tMax).
func (ws *workshop) meet(w *world, o, d vec, tMin, tMax float64) (m meeting) {
	m.t = tMax
	for i, l := range ws.levels {
		if l.aside(o, d) {
			continue
		}
		if t, n, ok := l.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on, m.head, m.zone = t, n, onPlate, i, zoneFlat
			if n.z < 0.999 {
				m.zone = zoneRim
			}
		}
	}
	for _, i := range ws.few {
		ws.tryBody(i, o, d, tMin, &m)
	}
	ws.meetLow(o, d, tMin, &m)
	if w.paper != nil {
		if t, n, face, ok := w.paper.hit(o, d, tMin, m.t); ok {
			m.t, m.n, m.on = t, n, onPaperEdge
			if face {
				m.on = onFace
			}
		}
	}
	if d.z < 0 {
		if t := (ws.floorZ - o.z) / d.z; t > tMin && t < m.t {
			m.t, m.n, m.on = t, vec{0, 0, 1}, onBench
		}
	}
	w.meetChips(o, d, tMin, &m)
	if m.on != onNothing {
		m.p = o.at(d, m.t)
	}
	return m
}

// aside tells, quickly, that a ray passes a sheet by.
func (l *level) aside(o, d vec) bool {
	if math.Abs(d.z) < 1e-9 {
		return false
	}
	a, b := (l.zTop-o.z)/d.z, (l.zTop-l.thick-o.z)/d.z
	x0, y0, x1, y1 := o.x+a*d.x, o.y+a*d.y, o.x+b*d.x, o.y+b*d.y
	return x0 < l.out.x0 && x1 < l.out.x0 || x0 > l.out.x1 && x1 > l.out.x1 || y0 < l.out.y0 && y1 < l.out.y0 || y0 > l.out.y1 && y1 > l.out.y1
}

// meetLow looks through the cells that the ray crosses while it is at the height of the
// small bodies.
func (ws *workshop) meetLow(o, d vec, tMin float64, m *meeting) {
	lo, hi := tMin, m.t
	if math.Abs(d.z) > 1e-9 {
		a, b := (ws.lowZ[0]-o.z)/d.z, (ws.lowZ[1]-o.z)/d.z
		lo, hi = max(lo, min(a, b)), min(hi, max(a, b))
	} else if o.z < ws.lowZ[0] || o.z > ws.lowZ[1] {
		return
	}
	if lo >= hi || ws.low.nx == 0 {
		return
	}
	p, q := o.at(d, lo), o.at(d, hi)
	i0, j0, i1, j1, ok := ws.low.over(min(p.x, q.x), min(p.y, q.y), max(p.x, q.x), max(p.y, q.y))
	if !ok {
		return
	}
	if (i1-i0+1)*(j1-j0+1) > len(ws.listed) {
		for _, i := range ws.listed {
			ws.tryBody(i, o, d, tMin, m)
		}
		return
	}
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			for _, e := range ws.low.cells[j*ws.low.nx+i] {
				ws.tryBody(ws.listed[e], o, d, tMin, m)
			}
		}
	}
}

func (ws *workshop) tryBody(i int32, o, d vec, tMin float64, m *meeting) {
	b := ws.bodies[i]
	if t, n, face, ok := b.shape.hit(o, d, tMin, m.t); ok {
		m.t, m.n, m.on, m.head, m.zone = t, n, onBody, int(i), b.zoneOf(face)
	}
}

// surfaceAt looks up the material where a ray has met the workshop.
func (ws *workshop) surfaceAt(m *meeting, px float64) surface {
	switch m.on {
	case onPlate:
		return ws.sheetSurface(m, px)
	case onBody:
		return ws.bodySurface(m, px)
	}
	return ws.look(&ws.floor, m.n, m.p.x, m.p.y, 0, 0, px)
}

func (ws *workshop) sheetSurface(m *meeting, px float64) surface {
	l := ws.levels[m.head]
	x, y := m.p.x, m.p.y
	if m.n.z < -0.9 {
		return ws.look(&l.coat, m.n, x, y, 0, 0, px)
	}
	if m.n.z < 0.9 {
		for _, i := range l.cells.at(x, y) {
			if b := &l.bores[i]; math.Hypot(x-b.x, y-b.y) < b.reach+0.01 {
				c := l.edges[i]
				if c == nil {
					c = &l.rim
				}
				return ws.look(c, m.n, x-b.x, y-b.y, math.Hypot(x-b.x, y-b.y)+m.p.z, m.p.z, px)
			}
		}
		return ws.look(&l.rim, m.n, x+m.p.z, y+m.p.z, 0, 0, px)
	}
	s := ws.look(&l.coat, m.n, x, y, 0, 0, px)
	ws.worn(&s, l, x, y)
	if m.p.z > l.zTop-0.02 {
		ws.filmed(&s, l.films, x, y)
		ws.inked(&s, x, y, false)
	}
	return s
}

func (ws *workshop) bodySurface(m *meeting, px float64) surface {
	b := ws.bodies[m.head]
	q := m.p.sub(b.foot)
	x, y, z := q.dot(b.ex), q.dot(b.ey), q.dot(b.ez)
	r := math.Hypot(x, y)
	c := &b.coats[m.zone]
	var s surface
	if c.pattern == patternTurned || c.pattern == patternThread {
		s = ws.look(c, m.n, x, y, r, z, px)
	} else {
		s = ws.look(c, m.n, x+0.6*z, y+0.8*z, r, z, px)
	}
	if len(b.cracks) > 0 && r > b.crackFrom && m.zone != zoneStem {
		a := math.Atan2(y, x)
		for i, from := range b.cracks {
			gap := math.Abs(math.Remainder(a-from-0.06*ws.noise[0].at(r*3, float64(i)), 2*math.Pi)) * r
			if wide := 0.09 * (r - b.crackFrom) / b.crackFrom * 3; gap < wide {
				s.cover(rgb{0.01, 0.01, 0.01}, 0.95)
			}
		}
	}
	if d := b.daub; d != nil && m.zone != zoneBore {
		sn, cs := math.Sincos(d.angle)
		g := (math.Abs(-x*sn+y*cs-d.off) + 0.25*d.width*ws.noise[1].at(x*0.9+d.angle*9, y*0.9)) / d.width
		s.cover(d.tone, max(0, min(1, 6*(1-g))))
	}
	if b.inked {
		ws.inked(&s, m.p.x, m.p.y, true)
	}
	return s
}
