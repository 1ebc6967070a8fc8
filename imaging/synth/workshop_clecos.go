package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// setCleco puts a temporary fastener: a spring body with a plunger, tall.
func (d *workshopDrawing) setCleco(level int, p geom.SheetPoint) bool {
	r := d.r
	radius, h := r.span(3, 4.2), r.span(16, 26)
	if !d.claim(level, p, radius) {
		return false
	}
	foot := d.foot(level, p)
	axis := d.leaning(0.08)
	at := foot.at(axis, 0.9*h)
	n := d.k.addRound(Cleco, 0, at, tiltedRing(at, axis, radius), level)
	plunger, out := radius*r.span(0.35, 0.55), h*r.span(0.15, 0.4)
	d.k.rounds[n].rings = [][]vec{tiltedRing(foot.at(axis, 0.18*h), axis, radius), tiltedRing(foot.at(axis, h+out-0.5), axis, plunger), tiltedRing(foot, axis, 0.55*radius)}
	tone := even(r, copper, brass, zinc, rgb{0.06, 0.06, 0.06}, steel)
	coats := allCoats(metalCoat(r, tone, r.span(0.12, 0.3), r.span(0.05, 0.2)))
	coats[zoneStem] = metalCoat(r, even(r, steel, zinc, brass), r.span(0.12, 0.3), 0.1)
	s := clecoSection(radius, h, plunger, out)
	d.stand(s, foot, axis, coats, n)
	return true
}

// setClecoEnd is the other side of a temporary fastener: two prongs spread in a hole.
func (d *workshopDrawing) setClecoEnd(level int, p geom.SheetPoint) bool {
	r := d.r
	radius := r.span(1.1, 2.1)
	if !d.claim(level, p, radius) {
		return false
	}
	foot := d.foot(level, p)
	axis := d.leaning(0.1)
	h := r.span(3, 8)
	n := d.k.addRound(Cleco, 0, foot, ringAt(foot, radius, nil, 0, 0), level)
	d.k.rounds[n].rings = [][]vec{tiltedRing(foot.at(axis, 0.8*h), axis, 0.85*radius), tiltedRing(foot.at(axis, h), axis, 0.4*radius)}
	s := startSection(radius, 0).in(zoneFlank).to(0.85*radius, 0.8*h).in(zoneFlat).round(0.4*radius, h, true).to(0, h+0.0001)
	a := r.span(0, 6.28)
	ex := vec{math.Cos(a), math.Sin(a), 0}
	base := newRevolved(s.pts, foot, axis, ex, 1, 1)
	cut := &pocketed{shape: base, cuts: recess("slot", foot.at(axis, h), axis, ex, radius, 0.8*h), face: len(s.zone), up: axis, mouth: axis.dot(foot.at(axis, h)) - 0.02,
		within: 4 * h * h, ballAt: foot}
	coats := allCoats(metalCoat(r, even(r, steel, zinc, copper.scale(0.8)), r.span(0.12, 0.35), 0.12))
	coats[zoneBore] = darkCoat(0.02)
	d.standing(cut, base, append(append([]zone(nil), s.zone...), zoneBore), coats, n)
	return true
}

// setTail is the far side of a pulled rivet.
func (d *workshopDrawing) setTail(level int, p geom.SheetPoint) bool {
	r := d.r
	sleeve := d.main.d / 2 * r.span(0.95, 1.1)
	bulge := r.span(1.05, 1.5)
	h := sleeve * r.span(1.5, 3.5)
	if !d.claim(level, p, sleeve*bulge) {
		return false
	}
	foot := d.foot(level, p)
	bulgeAt := h * r.span(0.25, 0.7)
	mandrelR, mandrelH := sleeve*r.span(0.55, 0.8), sleeve*r.span(0.4, 1.4)
	s := tailSection(sleeve, bulge, bulgeAt, h, mandrelR, mandrelH)
	axis := d.leaning(0.06)
	at := foot.at(axis, bulgeAt)
	n := d.k.addRound(PulledTail, d.main.d, at, tiltedRing(at, axis, sleeve*bulge), level)
	d.k.rounds[n].rings = [][]vec{tiltedRing(foot, axis, sleeve), tiltedRing(foot.at(axis, h), axis, sleeve), tiltedRing(foot.at(axis, h+0.6*mandrelH), axis, 1.02*mandrelR)}
	coats := allCoats(metalCoat(r, even(r, aluminium, aluminium, zinc, steel), r.span(0.1, 0.3), r.span(0.03, 0.2)))
	coats[zoneStem] = metalCoat(r, even(r, steel, zinc, brass, cadmium, aluminium), r.span(0.12, 0.35), r.span(0.05, 0.25))
	coats[zoneStem].grain = r.span(0.02, 0.2)
	d.stand(s, foot, axis, coats, n)
	d.addHalo(level, p, sleeve*bulge, false)
	return true
}
