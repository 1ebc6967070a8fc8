package synth

import (
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// DrawWorkshop makes up a scene as photographs from workshops are: worn, brushed, polished
// or painted sheets that mirror a room, with fasteners of every make, holes with anything
// behind, and many round things that are none of ours; a scale card lies in two of three. It
// shares nothing with what Draw gives for a seed. [Scene.Rounds] lists all that is round.
func DrawWorkshop(seed uint64) *Scene {
	fixed := newRandom(seed ^ 0x776f726b)
	layout, carded := even(fixed, "window", "corner", "strip"), fixed.chance(2.0/3)
	noise := newNoise(seed ^ 0x73686f70)
	for try := uint64(0); ; try++ {
		d := &workshopDrawing{r: newRandom(seed*977 + try + 1<<40), s: &Scene{Seed: seed, Orientation: 1, Zoom: 1, Effort: Effort{4, 6, 14}},
			k: &workshop{noise: noise}}
		d.s.workshop = d.k
		d.drawView(carded)
		d.drawStage()
		d.drawHabits()
		d.drawMain()
		if carded && !d.drawCard(card.ByName(layout)) && try < 40 {
			continue
		}
		d.drawMore()
		d.drawWear()
		d.drawInk()
		d.drawRoom()
		d.drawPhone()
		d.k.settle()
		d.meter()
		return d.s
	}
}

// workshopDrawing is a workshop scene in the making. Until settle, levels and bodies grow.
type workshopDrawing struct {
	r      *random
	s      *Scene
	k      *workshop
	half   float64 // half of the view's short side at the sheet, mm
	long   float64 // half of its long side
	dist   float64 // from the lens to the sheet
	small  bool    // the picture is a small copy
	habits habits
	taken  []claim
	stage  string
	sheets int // how many of the levels are sheets; the others are plates of nuts
	main   dashSize
}

type claim struct {
	at    geom.SheetPoint
	r     float64
	level int
}

type dashSize = struct {
	dash, drill string
	d, hole     float64
}

func (d *workshopDrawing) say(condition string) { d.s.Conditions = append(d.s.Conditions, condition) }

// near gives a normal number about a mean, kept within twice the spread.
func (r *random) near(mean, spread float64) float64 {
	return mean + spread*math.Max(-2, math.Min(2, r.normal()))
}

// logSpan gives a number in [a, b) whose logarithm is spread evenly.
func (r *random) logSpan(a, b float64) float64 { return a * math.Pow(b/a, r.unit()) }

// free tells whether a disc on a level stays clear of all that is there.
func (d *workshopDrawing) free(p geom.SheetPoint, radius float64) bool {
	for _, t := range d.taken {
		if p.Sub(t.at).Norm() < radius+t.r {
			return false
		}
	}
	return true
}

// fits tells whether a round thing can stand on a level: on metal, not under a sheet above,
// clear of all others, in the frame (at least its middle).
func (d *workshopDrawing) fits(level int, p geom.SheetPoint, radius, margin float64) bool {
	if !d.free(p, radius) || !d.s.inFrame(d.s.Project(p, d.k.levels[level].zTop)) {
		return false
	}
	for i, l := range d.k.levels {
		out := l.out.dist(p.X, p.Y)
		if i == level && out > -radius*margin || l.zTop > d.k.levels[level].zTop+0.01 && out < radius+0.2 {
			return false
		}
	}
	for _, b := range d.k.bodies {
		if b.low || b.z1 <= d.k.levels[level].zTop+0.05 || b.box == ([4]float64{}) {
			continue
		}
		if x, y := p.X, p.Y; x > b.box[0]-radius && y > b.box[1]-radius && x < b.box[2]+radius && y < b.box[3]+radius {
			return false
		}
	}
	return d.s.Card == nil || !d.underCard(p, radius)
}

// underCard tells whether a disc comes within 1 mm of the card.
func (d *workshopDrawing) underCard(p geom.SheetPoint, radius float64) bool {
	if d.s.Card.Covers(p) {
		return true
	}
	for k := range 16 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 16)
		for _, r := range [2]float64{radius + 1, radius / 2} {
			if d.s.Card.Covers(p.Add(geom.SheetPoint{X: r * c, Y: r * s})) {
				return true
			}
		}
	}
	return false
}

func (d *workshopDrawing) take(level int, p geom.SheetPoint, radius float64) {
	d.taken = append(d.taken, claim{p, radius, level})
}

// somewhere gives a place in the view.
func (d *workshopDrawing) somewhere() geom.SheetPoint {
	return d.s.Camera.ToSheet(geom.PxPoint{U: d.r.unit() * float64(d.s.Width), V: d.r.unit() * float64(d.s.Height)}, 0)
}

// drawCard lays a card on the sheet: mostly beside the main row, wherever there is room. It
// fails when no place is clear.
func (d *workshopDrawing) drawCard(l *card.Layout) bool {
	r := d.r
	for range 150 {
		c := CardPlacement{Layout: l, AngleDeg: 90*float64(r.intn(4)) + r.near(0, 5),
			PrintScale:  [2]float64{1 + r.span(-0.008, 0.008), 1 + r.span(-0.008, 0.008)},
			ThicknessMM: r.span(0.12, 0.4), InkGainMM: r.span(-0.01, 0.015)}
		if r.chance(0.2) {
			c.AngleDeg += r.span(0, 90)
		}
		c.OriginMM = c.OriginMM.Add(d.somewhere().Sub(c.ToSheet(layoutMiddle(l))))
		if d.cardClear(&c) {
			d.s.Card = &c
			return true
		}
	}
	return false
}

func (d *workshopDrawing) cardClear(c *CardPlacement) bool {
	on, seen := 0, 0
	for _, t := range c.Layout.Targets {
		q := c.ToSheet(t.At)
		for _, l := range d.k.levels {
			if l.zTop == 0 && l.out.dist(q.X, q.Y) < 0 {
				on++
				break
			}
		}
		if p := d.s.Project(q, 0); p.U > 20 && p.V > 20 && p.U < float64(d.s.Width)-20 && p.V < float64(d.s.Height)-20 {
			seen++
		}
	}
	n := len(c.Layout.Targets)
	if 3*on < n || seen < max(6, n-2) {
		return false
	}
	d.s.Card = c
	defer func() { d.s.Card = nil }()
	for _, t := range d.taken {
		if t.level == 0 && d.underCard(t.at, t.r) {
			return false
		}
	}
	for _, b := range d.k.bodies {
		if b.low || b.z1 < 0.1 || b.box == ([4]float64{}) {
			continue
		}
		for i := range 24 * 3 {
			u, v := float64(i%24)/23, float64(i/24)/2
			if c.Covers(geom.SheetPoint{X: b.box[0] + u*(b.box[2]-b.box[0]), Y: b.box[1] + v*(b.box[3]-b.box[1])}) ||
				c.Covers(geom.SheetPoint{X: b.box[0] + v*(b.box[2]-b.box[0]), Y: b.box[1] + u*(b.box[3]-b.box[1])}) {
				return false
			}
		}
	}
	return true
}
