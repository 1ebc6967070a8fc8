//go:build training

package synth

import "bucktail/imaging/geom"

// Seer tells of points on the sheet's plane whether the camera sees them: they lie in the frame
// with nothing before them.
func (s *Scene) Seer() func(p geom.SheetPoint) bool {
	w := newWorld(s)
	return func(p geom.SheetPoint) bool { return w.sees(vec{p.X, p.Y, 0}, -1) }
}
