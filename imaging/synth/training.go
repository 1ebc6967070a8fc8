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
