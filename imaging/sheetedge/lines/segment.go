package lines

import (
	"math"

	"bucktail/imaging/geom"
)

// Segment is a stretch of a line that may be an edge, on the sheet.
type Segment struct {
	A, B geom.SheetPoint
	Z    float64 // strength over chance, in standard deviations
}

// covers tells whether o repeats or continues s: both its ends lie near the line, and its
// direction is within 1.1° of the line's.
func (s Segment) covers(o Segment) bool {
	const nearMM, sameCos = 0.25, 0.9998
	return max(s.Distance(o.A), s.Distance(o.B)) < nearMM && math.Abs(s.Direction().Dot(o.Direction())) > sameCos
}

// Direction is the unit vector from A to B.
func (s Segment) Direction() geom.SheetPoint {
	d := s.B.Sub(s.A)
	return d.Scale(1 / d.Norm())
}

// Distance is that of p from the endless line.
func (s Segment) Distance(p geom.SheetPoint) float64 {
	d, q := s.Direction(), p.Sub(s.A)
	return math.Abs(d.X*q.Y - d.Y*q.X)
}
