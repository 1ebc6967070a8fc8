//go:build training

package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// Seer tells of points on the sheet's plane whether the camera sees them: they lie in the frame
// with nothing before them.
func (s *Scene) Seer() func(p geom.SheetPoint) bool {
	w := newWorld(s)
	return func(p geom.SheetPoint) bool { return w.sees(vec{p.X, p.Y, 0}, -1) }
}

// Border is where, from a place on the sheet's plane, the nearest border of a top sheet lies.
type Border struct {
	OffMM  float64         // how far beyond the place, negative where the place lies outside the sheet
	Normal geom.SheetPoint // unit, out of the sheet there
	Bend   bool            // the sheet does not end there: it is bent up or down
}

// Borders tells of places on the sheet's plane where the nearest border of a top sheet lies, one of
// those whose face is z = 0.
func (s *Scene) Borders() func(p geom.SheetPoint) Border {
	w := newWorld(s)
	tops := []*outline{w.sheet.out}
	if s.workshop != nil {
		tops = nil
		for _, l := range s.workshop.levels {
			if l.zTop == 0 {
				tops = append(tops, l.out)
			}
		}
	}
	return func(p geom.SheetPoint) (b Border) {
		b.OffMM = math.Inf(1)
		on := false
		for _, o := range tops {
			d := o.dist(p.X, p.Y)
			on = on || d < 0
			if math.Abs(d) >= math.Abs(b.OffMM) {
				continue
			}
			const h = 1e-4
			n := geom.SheetPoint{X: o.dist(p.X+h, p.Y) - o.dist(p.X-h, p.Y), Y: o.dist(p.X, p.Y+h) - o.dist(p.X, p.Y-h)}
			if l := n.Norm(); l > 0 {
				n = n.Scale(1 / l)
			}
			b = Border{OffMM: -d, Normal: n, Bend: s.Sheet.Leg != nil && n.Y > 0.9}
		}
		if on && b.OffMM < 0 { // of two sheets edge to edge the other's border is the nearer one
			b.OffMM, b.Normal = -b.OffMM, b.Normal.Scale(-1)
		}
		return b
	}
}

// Harden makes a workshop scene's heads as hard to tell from their sheet as worn metal does; the rest of
// the scene stays as it is. In some scenes the sides of heads and the roundings about their flats are as
// bright as a die or a lathe leaves them, so that they mirror the sheet beside them; in some a set or a
// tool has pressed a bright, even ring into the sheet about heads and holes, as if it were their rim.
func (s *Scene) Harden() {
	if s.workshop == nil {
		return
	}
	r := newRandom(s.Seed ^ 0x706f6c69)
	if r.chance(0.6) {
		s.polishSides(r)
	}
	if r.chance(0.5) {
		s.pressBeds(r)
		s.workshop.settle()
	}
}

func (s *Scene) polishSides(r *random) {
	rough, matt := r.logSpan(0.02, 0.1), r.span(0, 0.08)
	for _, b := range s.workshop.bodies {
		if b.round < 0 {
			continue
		}
		switch s.workshop.rounds[b.round].kind {
		case ShopHead, Universal, Pulled:
		default:
			continue
		}
		rim := r.chance(0.6)
		if !r.chance(0.8) {
			continue
		}
		for _, z := range [2]zone{zoneFlank, zoneRim} {
			if c := &b.coats[z]; c.metal && (z == zoneFlank || rim) {
				c.rough, c.across, c.matt, c.cloud, c.pattern = rough, 1, matt, 0, patternPlain
				c.grain, c.mottle = 0.3*c.grain, 0.3*c.mottle
			}
		}
	}
}

func (s *Scene) pressBeds(r *random) {
	wide, slope, rough := r.logSpan(0.06, 0.5), r.near(0.07, 0.08), r.logSpan(0.3, 1.5)
	for _, l := range s.workshop.levels {
		for i := range l.halos {
			if h := &l.halos[i]; r.chance(0.8) {
				h.bedMM, h.bed, h.bedRough = h.r*wide*r.span(0.8, 1.2), slope+r.near(0, 0.02), rough
			}
		}
	}
}
