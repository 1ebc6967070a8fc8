package strip

import "bucktail/imaging/geom"

// Frame is a frame along a line on the sheet: s mm from o along dir, n mm outward.
type Frame struct{ O, Dir, Out geom.SheetPoint } // dir and out are unit vectors

// At gives the point of the sheet at (s, n).
func (f Frame) At(s, n float64) geom.SheetPoint {
	return f.O.Add(f.Dir.Scale(s)).Add(f.Out.Scale(n))
}

// On gives the frame whose n = 0 is the line l of f.
func (f Frame) On(l Line) Frame {
	return Frame{f.O.Add(f.Out.Scale(l.N)), swing(f.Dir, f.Out, l.Slope), swing(f.Out, f.Dir, -l.Slope)}
}

// swing gives the unit vector a turned toward b by the small angle whose tangent is t.
func swing(a, b geom.SheetPoint, t float64) geom.SheetPoint {
	c := a.Add(b.Scale(t))
	return c.Scale(1 / c.Norm())
}

// Line is a line in a strip: at s it lies at n + slope s.
type Line struct {
	N, Slope float64
	Z        float64 // strength over chance
	kind     int     // of the response: 0 step, 1 ridge
	sign     float64 // of the response
}
