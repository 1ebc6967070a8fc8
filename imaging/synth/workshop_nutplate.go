package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// setNutplate is a nut on a plate with two lugs, or what the other side shows of it: a
// screw's hole between two small flush rivets.
func (d *workshopDrawing) setNutplate(level int, p geom.SheetPoint) bool {
	r := d.r
	apart := r.span(7, 10.5)
	bore1 := r.span(1.9, 2.8)
	reach := apart + 2.6
	if !d.claim(level, p, reach) {
		return false
	}
	a := even(r, 0, math.Pi/2) + 0.04*r.normal()
	if r.chance(0.2) {
		a = r.span(0, 6.28)
	}
	s, c := math.Sincos(a)
	way := geom.SheetPoint{X: c, Y: s}
	rivetR := r.span(1.3, 2)
	foot := d.foot(level, p)
	l := d.k.levels[level]
	metal := d.drawHardware()
	if r.chance(0.5) {
		metal = darkCoat(r.span(0.01, 0.06))
		metal.gloss, metal.rough, metal.mottle = 0.05, 0.25, 0.1
	}
	rivet := allCoats(metalCoat(r, even(r, gold, paleGold, aluminium, brass), r.span(0.15, 0.4), r.span(0.1, 0.35)))
	if r.chance(0.4) {
		rivet[zoneFlat].pattern = patternTurned
	}
	rim := d.drawWork(Hole, level, d.main)
	if r.chance(0.4) { // the near side
		for _, k := range [2]float64{-1, 1} {
			q := p.Add(way.Scale(k * apart))
			l.addBore(bore{x: q.X, y: q.Y, r: rivetR + r.span(0.01, 0.05), floor: l.zTop - 0.4})
			at := vec{q.X, q.Y, l.zTop}
			n := d.k.addRound(NutplateRivet, 0, at, ringAt(at, rivetR, nil, 0, 0), level)
			form := flushForm{z: r.near(0, 0.02), crown: r.near(0, 0.02)}
			if r.chance(0.4) {
				form.boreR, form.boreDepth = 0.35*rivetR, 0.5
			}
			d.stand(form.section(rivetR), at, vec{0, 0, 1}, rivet, n)
			d.addHalo(level, q, rivetR, false)
		}
		d.drill(rim, bore{x: p.X, y: p.Y, r: bore1, chamfer: 0.1, floor: math.Inf(-1)})
		d.k.addRound(OtherHole, 0, foot, ringAt(foot, bore1, nil, 0, 0), level)
		d.addDisc(p.X, p.Y, l.zTop-l.thick-r.span(0.5, 4), 4*bore1, darkCoat(r.span(0.01, 0.1)))
		return true
	}
	thick := r.span(0.8, 1.3)
	w := bore1 + r.span(1, 1.8)
	lug := rivetR + r.span(0.5, 1.2)
	outline := [][2]float64{{-apart - lug, -lug}, {-0.4 * apart, -w}, {0.4 * apart, -w}, {apart + lug, -lug}, {apart + lug, lug}, {0.4 * apart, w}, {-0.4 * apart, w}, {-apart - lug, lug}}
	for i := range outline {
		x, y := outline[i][0], outline[i][1]
		outline[i] = [2]float64{p.X + x*c - y*s, p.Y + x*s + y*c}
	}
	k := 0.85 * lug
	base := d.addLevel(outline, []float64{k, 1, 1, k, k, 1, 1, k}, l.zTop+thick, thick, 0.1, metal)
	base.rim = metal
	barrel := r.span(1.2, 4)
	ring := washerSection(bore1, w*0.98, barrel)
	coats := allCoats(metal)
	coats[zoneBore].pattern, coats[zoneBore].scale = patternThread, 0.8
	n := d.k.addRound(Threaded, 0, foot.add(vec{0, 0, thick + barrel}), ringAt(foot.add(vec{0, 0, thick + barrel}), w*0.98, nil, 0, 0), level)
	d.stand(ring, foot.add(vec{0, 0, thick}), vec{0, 0, 1}, coats, n)
	l.addBore(bore{x: p.X, y: p.Y, r: bore1, floor: math.Inf(-1)})
	base.addBore(bore{x: p.X, y: p.Y, r: bore1, floor: math.Inf(-1)})
	for _, k := range [2]float64{-1, 1} {
		q := p.Add(way.Scale(k * apart))
		at := vec{q.X, q.Y, l.zTop + thick}
		form := shopForm{height: r.span(0.3, 1), foot: 0.95, top: 0.93, rim: 0.85}
		form.widest = 0.45 * form.height
		n := d.k.addRound(NutplateRivet, 0, at.add(vec{0, 0, form.widest}), ringAt(at.add(vec{0, 0, form.widest}), rivetR, nil, 0, 0), level)
		d.stand(form.section(rivetR), at, d.leaning(0.03), rivet, n)
	}
	return true
}
