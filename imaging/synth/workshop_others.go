package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// setOthers sets a few of one kind of thing that is none of ours.
func (d *workshopDrawing) setOthers() {
	r := d.r
	n := pick(r, []float64{5, 3, 2, 1}, 1, 2, 3, 5)
	level := d.onLevel()
	type setter func(level int, p geom.SheetPoint) bool
	nutplate := func(level int, p geom.SheetPoint) bool { return d.setNutplate(level, p) }
	set := pick(r, []float64{5, 4, 5, 2, 4, 2, 4, 5, 5, 4, 4, 3, 2, 3, 3, 2}, setter(d.setDimple), d.setCountersink, d.setBolt, d.setWasher,
		d.setSocket, d.setClecoEnd, d.setCleco, d.setTail, nutplate, d.setScrew, d.setDouble, d.setOblong, d.setGrommet, d.setDrop, d.setPunch, d.setThreaded)
	for _, p := range d.rows(level, r.span(4, 9), n) {
		set(level, p)
	}
}

// claim takes the room for a thing of radius reach, if there is any.
func (d *workshopDrawing) claim(level int, p geom.SheetPoint, reach float64) bool {
	if !d.fits(level, p, 1.05*reach, 1) {
		return false
	}
	d.take(level, p, 1.05*reach)
	return true
}

func (d *workshopDrawing) foot(level int, p geom.SheetPoint) vec {
	return vec{p.X, p.Y, d.k.levels[level].zTop}
}

// leaning is an upright axis that is a little off.
func (d *workshopDrawing) leaning(most float64) vec {
	return vec{most * d.r.normal() / 2, most * d.r.normal() / 2, 1}.unit()
}

// stand puts a solid of revolution on a level; round is its round thing or -1.
func (d *workshopDrawing) stand(s *section, foot, axis vec, coats [zones]coat, round int) *body {
	a := d.r.span(0, 2*math.Pi)
	h := newRevolved(s.pts, foot, axis, vec{math.Cos(a), math.Sin(a), 0}, 1, 1)
	return d.standing(h, h, s.zone, coats, round)
}

// lowBody makes a small body of any shape within reach of a place.
func (d *workshopDrawing) lowBody(s shape, at vec, reach float64, c coat, round int) *body {
	return d.addBody(&body{shape: s, coats: allCoats(c), foot: at, round: round, low: reach < 5,
		box: [4]float64{at.x - reach, at.y - reach, at.x + reach, at.y + reach}, z0: at.z - reach, z1: at.z + reach})
}

func (d *workshopDrawing) setDimple(level int, p geom.SheetPoint) bool {
	r := d.r
	l := d.k.levels[level]
	hole := r.span(1.2, 2.6)
	out := hole * r.span(1.7, 2.3)
	if !d.claim(level, p, out) {
		return false
	}
	depth := (out - hole) * r.span(0.55, 0.85)
	up := r.chance(0.35)
	foot := d.foot(level, p)
	s := dimpleSection(out, hole, depth, l.thick, up)
	n := d.k.addRound(Dimple, 0, foot, ringAt(foot, out, nil, 0, 0), level)
	coats := allCoats(l.coat)
	coats[zoneFlank].pattern, coats[zoneFlank].scale = patternPlain, 1
	coats[zoneFlank].rough *= r.span(0.5, 1.1)
	coats[zoneFlank].streak *= 0.5
	coats[zoneRim], coats[zoneBore] = l.rim, l.rim
	if !up {
		for _, o := range d.k.levels {
			if z := l.zTop - o.zTop; z >= 0 && z < 4 {
				o.addBore(bore{x: p.X, y: p.Y, r: out - 0.002, floor: math.Inf(-1)})
			}
		}
	} else {
		l.addBore(bore{x: p.X, y: p.Y, r: hole, floor: math.Inf(-1)})
	}
	d.stand(s, foot, vec{0, 0, 1}, coats, n)
	if r.chance(0.5) {
		h := holeForm{}
		d.drawBehind(&h, level)
		d.addDisc(p.X, p.Y, math.Max(d.k.floorZ+0.2, l.zTop-l.thick-depth-r.span(2, 10)), 2*out, h.back)
	}
	d.addHalo(level, p, out, true)
	return true
}

func (d *workshopDrawing) setCountersink(level int, p geom.SheetPoint) bool {
	r := d.r
	l := d.k.levels[level]
	w := d.drawWork(Hole, level, d.main)
	hole := r.span(1.2, 2.6)
	w.hole.edge = metalCoat(r, aluminium.scale(r.span(0.5, 1)), r.span(0.06, 0.25), r.span(0.03, 0.15))
	w.hole.edge.pattern = patternTurned
	slope := math.Tan(even(r, 41.0, 50, 60) * math.Pi / 180)
	depth := math.Min(l.thick*r.span(0.5, 1), hole*0.7)
	out := hole + depth*slope
	if !d.claim(level, p, out) {
		return false
	}
	b := bore{x: p.X, y: p.Y, r: hole, chamfer: depth, slope: slope, floor: math.Inf(-1)}
	if r.chance(0.25) {
		b.chatter, b.teeth = depth*r.span(0.02, 0.12), float64(3+r.intn(6))
	}
	d.drill(w, b)
	foot := d.foot(level, p)
	d.k.addRound(Countersink, 0, foot, ringAt(foot, out, []lobe{{int(b.teeth), slope * b.chatter / out, 0}}, 0, 0), level)
	d.addHalo(level, p, out, true)
	return true
}

// setPunch is a centre punch's mark, or a drill's that went no further.
func (d *workshopDrawing) setPunch(level int, p geom.SheetPoint) bool {
	r := d.r
	radius := r.span(0.3, 1.6)
	if !d.claim(level, p, radius) {
		return false
	}
	l := d.k.levels[level]
	depth := math.Min(0.8*l.thick, radius*r.span(0.3, 0.6))
	l.edges[int32(len(l.bores))] = &coat{metal: true, tone: aluminium.scale(r.span(0.5, 1)), rough: 0.15, across: 1, bx: 1, matt: 0.1, grain: 0.05}
	l.addBore(bore{x: p.X, y: p.Y, r: 0.01, chamfer: depth, slope: radius / depth, floor: l.zTop - depth - 0.01})
	foot := d.foot(level, p)
	d.k.addRound(PunchMark, 0, foot, ringAt(foot, radius, nil, 0, 0), level)
	return true
}

func (d *workshopDrawing) setDouble(level int, p geom.SheetPoint) bool {
	return d.setHole(d.drawWork(Hole, level, d.main), p, DoubleHole, d.main.hole*d.r.span(0.8, 1.2))
}

func (d *workshopDrawing) setOblong(level int, p geom.SheetPoint) bool {
	return d.setHole(d.drawWork(Hole, level, d.main), p, OblongHole, d.main.hole*d.r.span(0.8, 1.5))
}

// setGrommet is a rubber or plastic ring in a hole.
func (d *workshopDrawing) setGrommet(level int, p geom.SheetPoint) bool {
	r := d.r
	r0, e := r.span(1.5, 5), r.span(0.6, 1.4)
	if !d.claim(level, p, r0+2*e) {
		return false
	}
	foot := d.foot(level, p)
	n := d.k.addRound(Grommet, 0, foot, ringAt(foot, r0+2*e, nil, 0, 0), level)
	c := coat{tone: even(r, rgb{0.015, 0.015, 0.016}, rgb{0.02, 0.02, 0.022}, rgb{0.6, 0.6, 0.58}, tinted(r, 0.6, 0.3)), bx: 1, gloss: 0.04, rough: r.span(0.15, 0.5), grain: 0.03}
	d.stand(ringSection(r0, e, e*r.span(0.7, 1.2)), foot, vec{0, 0, 1}, allCoats(c), n)
	d.drill(d.drawWork(Hole, level, d.main), bore{x: p.X, y: p.Y, r: r0 + 0.2*e, floor: math.Inf(-1)})
	return true
}

// setLip is the raised flange of a lightening hole.
func (d *workshopDrawing) setLip(level int, p geom.SheetPoint, radius float64) {
	r := d.r
	l := d.k.levels[level]
	e := r.span(0.5, 1.6)
	d.stand(ringSection(radius, e, e*r.span(1, 2.2)), d.foot(level, p), vec{0, 0, 1}, allCoats(l.coat), len(d.k.rounds)-1)
}

// setDrop is a drop of water, oil, sealant or paint.
func (d *workshopDrawing) setDrop(level int, p geom.SheetPoint) bool {
	r := d.r
	radius := r.span(0.8, 4)
	if !d.claim(level, p, radius) {
		return false
	}
	foot := d.foot(level, p)
	lobes := []lobe{{2, r.span(0, 0.12), r.span(0, 6.28)}, {3, r.span(0, 0.06), r.span(0, 6.28)}}
	h := radius * r.span(0.1, 0.35)
	s := startSection(radius, 0).in(zoneFlank)
	s.along(10, func(k float64) (float64, float64) {
		x := radius * (1 - k)
		return x, h*(1-x*x/(radius*radius)) + 0.0001*k
	})
	n := d.k.addRound(Drop, 0, foot, ringAt(foot, radius, lobes, 0, 0), level)
	c := coat{bx: 1, gloss: 0.04, rough: 0.03}
	under := d.k.levels[level].coat
	switch r.intn(4) {
	case 0: // clear: darker than the metal around, with a highlight
		c.tone = under.tone.scale(r.span(0.15, 0.5))
	case 1:
		c.tone = rgb{0.15, 0.08, 0.02}
	case 2:
		c.tone, c.rough, c.grain = tinted(r, 0.2, 0.5), 0.3, 0.05
	default:
		c.tone = tinted(r, 0.9, 0.5)
	}
	body := newRevolved(s.pts, foot, vec{0, 0, 1}, vec{1, 0, 0}, 1, 1)
	d.standing(newLobed(body, lobes), body, s.zone, allCoats(c), n)
	return true
}
