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

// covers tells whether o repeats or continues s.
func (s Segment) covers(o Segment) bool {
	return max(s.Distance(o.A), s.Distance(o.B)) < 0.25 && math.Abs(s.Direction().Dot(o.Direction())) > 0.9998
}

func (s Segment) Direction() geom.SheetPoint {
	d := s.B.Sub(s.A)
	return d.Scale(1 / d.Norm())
}

// Distance is that of p from the endless line.
func (s Segment) Distance(p geom.SheetPoint) float64 {
	d, q := s.Direction(), p.Sub(s.A)
	return math.Abs(d.X*q.Y - d.Y*q.X)
}
