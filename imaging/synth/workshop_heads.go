package synth

import (
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

// habits is what the scene's builder and its tools leave everywhere, each 0 to 1.
type habits struct {
	burnish, grime, pucker, rings, dent float64
	deburr                              float64 // how bright filed rims are
}

func (d *workshopDrawing) drawHabits() {
	r := d.r
	some := func(p float64) float64 {
		if r.chance(p) {
			return r.span(0.2, 1)
		}
		return 0
	}
	d.habits = habits{burnish: some(0.4), grime: some(0.45), pucker: some(0.5), rings: some(0.4), dent: some(0.15), deburr: r.unit()}
	d.main = dashes[pick(r, []float64{3, 4, 3, 3}, 0, 1, 2, 3)]
}

// addHalo leaves the marks of work round a thing of radius rMM.
func (d *workshopDrawing) addHalo(level int, p geom.SheetPoint, rMM float64, hole bool) {
	r, g := d.r, d.habits
	h := halo{x: p.X, y: p.Y, r: rMM}
	if r.chance(0.8 * g.grime) {
		h.grime, h.grimeMM = g.grime*r.span(0.2, 0.9), r.span(0.05, 0.3)
	}
	if r.chance(0.8 * g.burnish) {
		h.burnishMM, h.burnish, h.burnishTone = rMM*r.span(0.15, 0.8), r.logSpan(0.4, 2.5), r.span(0.8, 1.15)
	}
	if r.chance(0.8*g.pucker) && !hole {
		h.pucker, h.puckerMM = g.pucker*r.near(0, 0.05), rMM*r.span(0.2, 1)
	}
	if k := 0.9 * g.rings; r.chance(k) || hole && r.chance(0.25) {
		h.rings, h.ringsMM = r.span(0.1, 0.6), rMM*r.span(0.4, 2.2)
	}
	if r.chance(0.5 * g.dent) {
		h.dentR, h.dentWidth = rMM*r.span(1.05, 1.5), r.span(0.15, 0.5)
		h.dentFrom, h.dentArc, h.dent = r.span(0, 6.28), r.span(0.7, 3), r.near(0, 0.25)
	}
	l := d.k.levels[level]
	l.halos = append(l.halos, h)
}

// work is how the heads of one group were made.
type work struct {
	kind    Kind
	size    dashSize
	level   int
	coats   [zones]coat
	finish  Finish
	mean    float64 // head diameter, mm
	pulled  pulledForm
	shop    shopForm
	made    roundForm
	flush   flushForm
	gap     float64
	lobed   float64 // how likely a rim waves
	cracked float64
	uneven  float64 // spread of sizes
	covered bool    // flush heads under the sheet's paint
	dished  float64 // flush heads in dimpled sheet: slope of the sheet at the rim
	hole    holeForm
}

// drawWork makes up how a group of fasteners was set.
func (d *workshopDrawing) drawWork(kind Kind, level int, size dashSize) *work {
	r, n := d.r, size.d
	w := &work{kind: kind, size: size, level: level, lobed: r.span(0, 0.8), uneven: r.span(0.002, 0.03)}
	base, finish := drawHeadMetal(r)
	w.finish, w.coats = finish, allCoats(base)
	switch r.intn(5) {
	case 0: // a bright flat in a dark rim
		w.coats[zoneFlat].rough = r.span(0.05, 0.15)
		w.coats[zoneFlank].tone, w.coats[zoneRim].tone = base.tone.scale(0.5), base.tone.scale(0.4)
	case 1: // the reverse
		w.coats[zoneFlat].tone, w.coats[zoneFlat].rough = base.tone.scale(r.span(0.35, 0.7)), r.span(0.25, 0.5)
	case 2:
		if base.metal {
			w.coats[zoneFlat].pattern = patternTurned
		}
	}
	switch kind {
	case ShopHead:
		d.drawShop(w)
	case Universal:
		w.mean = n * r.span(1.9, 2.06)
		w.made = roundForm{height: n * r.span(0.3, 0.55), brim: r.span(0.03, 0.25), p: r.span(1.6, 2.6), q: r.span(2, 4)}
		if r.chance(0.5) {
			w.made.flat = n * r.span(0.3, 0.75)
		}
		if r.chance(0.3) {
			w.made.flat, w.made.pit = math.Max(w.made.flat, 0.35*n), r.span(0.05, 0.25)
		}
	case Pulled:
		d.drawPulled(w)
	case Flush:
		w.mean, w.gap = n*r.span(1.62, 1.85), r.logSpan(0.008, 0.08)
		w.flush = flushForm{z: r.near(0, 0.03), crown: r.near(0, 0.03)}
		if r.chance(0.4) {
			w.flush.boreR, w.flush.boreDepth, w.flush.ring = n*r.span(0.16, 0.3), r.span(0.15, 1), r.span(0, 0.1)
		}
		if l := d.k.levels[level]; !l.coat.metal && r.chance(0.7) {
			w.covered, w.gap, w.flush.z = true, r.span(0.004, 0.02), r.near(0, 0.012)
			w.coats = allCoats(l.coat)
		}
		if r.chance(0.3) {
			w.dished = r.span(0.05, 0.25)
		}
	case Hole:
		d.drawHoleForm(w)
	}
	return w
}

func (d *workshopDrawing) drawShop(w *work) {
	r, n := d.r, w.size.d
	h := n * r.span(0.34, 0.66)
	w.mean = n * r.span(1.28, 1.75)
	w.shop = shopForm{height: h, widest: h * r.span(0.25, 0.6), foot: r.span(0.86, 0.98), top: r.span(0.84, 0.97)}
	w.shop.rim = w.shop.top * r.span(0.86, 0.985)
	w.shop.crown = r.near(0, 0.03)
	if r.chance(0.45) {
		w.shop.pitR, w.shop.pit = n*r.span(0.06, 0.2), r.span(0.03, 0.2)
	}
	if r.chance(0.12) {
		w.cracked = r.span(0.2, 0.7)
	}
	if r.chance(0.4) && w.finish == Alodine { // the coat is rubbed off the flat, or only there
		w.coats[zoneFlank] = metalCoat(r, aluminium, r.span(0.1, 0.25), 0.15)
	}
}

func (d *workshopDrawing) drawPulled(w *work) {
	r, n := d.r, w.size.d
	w.mean = n * r.span(1.88, 2.08)
	f := pulledForm{height: n * r.span(0.24, 0.42), p: r.span(1.5, 2.6), q: r.span(1.8, 3.6), stem: even(r, "open", "sunk", "sunk", "flush", "proud", "pit")}
	switch r.intn(5) {
	case 0:
		w.mean = n * r.span(2.7, 3.2)
		f.brim = r.span(0.2, 0.4)
		f.height *= r.span(0.8, 1.1)
	case 1:
		f.brim = f.height * r.span(0.3, 0.7)
	default:
		f.brim = r.span(0.06, 0.3)
	}
	f.boreR, f.lip = n*r.span(0.22, 0.33), r.span(0.03, 0.16)
	if w.mean > 2.5*n {
		f.boreR = n * r.span(0.25, 0.4)
	}
	if r.chance(0.35) {
		f.collar, f.lip = r.span(0.05, 0.25), r.span(0.15, 0.3)
	}
	f.brim = math.Min(f.brim, 0.8*f.height)
	f.stemR = f.boreR - r.span(0.01, 0.1)
	top := f.height * 0.95
	switch f.stem {
	case "open":
		f.stemTop = -r.span(0.5, 4)
	case "sunk":
		f.stemTop = top - n*r.span(0.12, 0.6)
	case "flush", "pit":
		f.stemTop, f.pit = top+r.near(-0.05, 0.08), r.span(0.05, 0.4)
	case "proud":
		f.stemTop = top + r.span(0.1, 0.9)
	}
	if f.collar == 0 && r.chance(0.3) {
		w.coats[zoneRim] = metalCoat(r, w.coats[zoneFlank].tone, r.span(0.06, 0.2), 0.05)
	}
	w.pulled = f
	w.coats[zoneStem] = metalCoat(r, even(r, steel, zinc, aluminium, steel.scale(0.5), brass), r.span(0.15, 0.4), r.span(0.05, 0.3))
	w.coats[zoneStem].grain = r.span(0.05, 0.35)
	w.coats[zoneBore] = w.coats[zoneFlank]
	if r.chance(0.5) {
		w.coats[zoneBore].tone = w.coats[zoneBore].tone.scale(r.span(0.1, 0.6))
	}
}

// setHead puts one head of a group at p; it tells whether there was room.
func (d *workshopDrawing) setHead(w *work, p geom.SheetPoint) bool {
	r := d.r
	mean := w.mean * (1 + r.near(0, w.uneven))
	l := d.k.levels[w.level]
	if !d.fits(w.level, p, 0.53*mean, 0.95) {
		return false
	}
	f := Fastener{ID: fmt.Sprintf("r%d", len(d.k.rounds)+1), Kind: w.kind, Dash: w.size.dash, NominalMM: w.size.d, AxisMM: p, FootMM: p,
		Finish: w.finish, AngleDeg: r.span(0, 180), TiltDeg: r.span(0, 1), TiltAzimuthDeg: r.span(0, 360), WidestMM: lipMM}
	oval := r.span(0, 0.008) * mean
	var s *section
	coats := w.coats
	for i := range coats {
		coats[i].shift += 17.1 * float64(len(d.k.bodies)%50)
	}
	switch w.kind {
	case ShopHead:
		form := w.shop
		form.height *= 1 + r.near(0, 0.06)
		if r.chance(0.25) {
			oval = r.span(0.02, 0.12) * mean
		}
		if r.chance(0.15) {
			f.TiltDeg = r.span(1.5, 6)
		}
		f.FootMM = p.Add(geom.SheetPoint{X: r.near(0, 0.03), Y: r.near(0, 0.03)})
		f.HeightMM, f.WidestMM, f.RimRatio = form.height, form.widest, form.rim
		s = form.section(mean / 2)
	case Universal:
		f.HeightMM = w.made.height
		s = w.made.section(mean / 2)
	case Pulled:
		form := w.pulled
		if form.stem == "sunk" || form.stem == "proud" {
			form.stemTop += r.near(0, 0.12)
		}
		f.HeightMM, f.MandrelHoleMM, f.StemTopMM = form.height, 2*form.boreR, form.stemTop
		s = form.section(mean / 2)
	case Flush:
		f.GapMM, f.HeightMM, f.TiltDeg, oval = w.gap, w.flush.z, r.span(0, 0.15), 0.002
		f.WidestMM = w.flush.z - 0.04
		l.addBore(bore{x: p.X, y: p.Y, r: mean/2 + w.gap, floor: l.zTop - 0.4})
		s = w.flush.section(mean / 2)
		if w.covered {
			for i := range coats {
				coats[i].shift = l.coat.shift
			}
		}
	}
	f.MaxDMM, f.MinDMM = mean+oval/2, mean-oval/2
	if w.kind != Flush && r.chance(w.lobed) {
		for range 1 + r.intn(2) {
			f.lobes = append(f.lobes, lobe{3 + r.intn(5), r.span(0.002, 0.018), r.span(0, 6.28)})
		}
	}
	d.addFastener(w, &f, s, coats)
	return true
}

// addFastener notes a head and gives it its body and marks.
func (d *workshopDrawing) addFastener(w *work, f *Fastener, s *section, coats [zones]coat) {
	r := d.r
	z := d.k.levels[w.level].zTop
	mean := (f.MaxDMM + f.MinDMM) / 2
	sn, cs := math.Sincos(f.AngleDeg * math.Pi / 180)
	foot := vec{f.FootMM.X, f.FootMM.Y, z}
	outline := f.ring(outlinePoints)
	for i := range outline {
		outline[i].z += z
	}
	at := foot.at(f.axis(), f.WidestMM)
	f.round = d.k.addRound(f.Kind, f.NominalMM, at, outline, w.level)
	h := newRevolved(s.pts, foot, f.axis(), vec{cs, sn, 0}, f.MaxDMM/mean, f.MinDMM/mean)
	b := d.standing(newLobed(h, f.lobes), h, s.zone, coats, f.round)
	if r.chance(w.cracked) {
		b.crackFrom = 0.6 * mean / 2
		for range 1 + r.intn(3) {
			b.cracks = append(b.cracks, r.span(0, 6.28))
		}
	}
	b.inked = r.chance(0.3)
	if w.level == 0 {
		d.s.Fasteners = append(d.s.Fasteners, *f)
	}
	d.take(w.level, f.AxisMM, 0.53*mean)
	d.addHalo(w.level, f.FootMM, mean/2, false)
	if w.dished > 0 {
		h := &d.k.levels[w.level].halos[len(d.k.levels[w.level].halos)-1]
		h.pucker, h.puckerMM = -w.dished, r.span(0.3, 0.9)
	}
}

// standing makes a small body of a solid of revolution; shape is the solid or what wraps it.
func (d *workshopDrawing) standing(s shape, h *revolved, z []zone, coats [zones]coat, round int) *body {
	reach := math.Sqrt(h.ballR2)
	c := h.ballAt
	lean := reach * math.Hypot(h.ez.x, h.ez.y)
	b := &body{shape: s, zones: z, coats: coats, foot: h.foot, ex: h.ex, ey: h.ey, ez: h.ez, round: round,
		box: [4]float64{c.x - reach, c.y - reach, c.x + reach, c.y + reach}, z0: h.foot.z + h.zMin - lean, z1: h.foot.z + h.zMax + lean}
	b.low = b.z1-b.z0 < 7
	return d.addBody(b)
}
