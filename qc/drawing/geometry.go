package drawing

import "math"

// Point is a place in the frame, or a way in it; in JSON [x, y].
type Point struct{ X, Y float64 }

// MarshalJSON writes hundredths of a unit.
func (a Point) MarshalJSON() ([]byte, error) { return Path{a}.MarshalJSON() }

// Add gives a + b.
func (a Point) Add(b Point) Point { return Point{a.X + b.X, a.Y + b.Y} }

// Sub gives a - b.
func (a Point) Sub(b Point) Point { return Point{a.X - b.X, a.Y - b.Y} }

// Mul gives k times a.
func (a Point) Mul(k float64) Point { return Point{a.X * k, a.Y * k} }

// Dot is the scalar product.
func (a Point) Dot(b Point) float64 { return a.X*b.X + a.Y*b.Y }

// Len is a's length. No place is so far that its square has no room, as [math.Hypot] fears.
func (a Point) Len() float64 { return math.Sqrt(a.X*a.X + a.Y*a.Y) }

// Turned is a turned by a quarter, clockwise as seen.
func (a Point) Turned() Point { return Point{-a.Y, a.X} }

// On is the place at the fraction t of the way from a to b.
func (a Point) On(b Point, t float64) Point { return a.Add(b.Sub(a).Mul(t)) }

// Unit is a's direction; to the right where a has none.
func (a Point) Unit() Point {
	l := a.Len()
	if !(l > 1e-9) {
		return Point{1, 0}
	}
	return a.Mul(1 / l)
}

// Finite tells whether a is a place at all.
func (a Point) Finite() bool { return a.X-a.X == 0 && a.Y-a.Y == 0 }

// Box is an upright rectangle; in JSON [x0, y0, x1, y1].
type Box struct{ X0, Y0, X1, Y1 float64 }

// MarshalJSON writes hundredths of a unit.
func (b Box) MarshalJSON() ([]byte, error) { return Path{{b.X0, b.Y0}, {b.X1, b.Y1}}.MarshalJSON() }

// BoxAt is the box about c of half the sides hw and hh.
func BoxAt(c Point, hw, hh float64) Box { return Box{c.X - hw, c.Y - hh, c.X + hw, c.Y + hh} }

// Grown is the box with m more on each side.
func (b Box) Grown(m float64) Box { return Box{b.X0 - m, b.Y0 - m, b.X1 + m, b.Y1 + m} }

// Centre is the box's middle.
func (b Box) Centre() Point { return Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2} }

// Meets tells whether two boxes overlap.
func (b Box) Meets(o Box) bool { return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 }

// Holds tells whether o lies inside the box.
func (b Box) Holds(o Box) bool { return b.X0 <= o.X0 && b.Y0 <= o.Y0 && b.X1 >= o.X1 && b.Y1 >= o.Y1 }

// Corners are the box's corners, clockwise as seen.
func (b Box) Corners() Path { return Path{{b.X0, b.Y0}, {b.X1, b.Y0}, {b.X1, b.Y1}, {b.X0, b.Y1}} }

// Near is the distance from c to the box, 0 inside.
func (b Box) Near(c Point) float64 {
	return Point{max(b.X0-c.X, 0, c.X-b.X1), max(b.Y0-c.Y, 0, c.Y-b.Y1)}.Len()
}

// Far is the distance from c to the box's farthest corner.
func (b Box) Far(c Point) float64 {
	return Point{max(c.X-b.X0, b.X1-c.X), max(c.Y-b.Y0, b.Y1-c.Y)}.Len()
}

// Cut gives between which fractions of the way from p to q the line runs inside the box; t1 < t0
// where it does not.
//
// Source: Y.-D. Liang and B. A. Barsky, ACM Trans. Graphics 3 (1984) 1-22.
func (b Box) Cut(p, q Point) (t0, t1 float64) {
	t0, t1 = 0, 1
	d := q.Sub(p)
	for _, e := range [4][2]float64{{-d.X, p.X - b.X0}, {d.X, b.X1 - p.X}, {-d.Y, p.Y - b.Y0}, {d.Y, b.Y1 - p.Y}} {
		switch {
		case e[0] == 0:
			if e[1] < 0 {
				return 0, -1
			}
		case e[0] < 0:
			t0 = max(t0, e[1]/e[0])
		default:
			t1 = min(t1, e[1]/e[0])
		}
	}
	return t0, t1
}

// Length is how much of the line from p to q runs inside the box.
func (b Box) Length(p, q Point) float64 {
	t0, t1 := b.Cut(p, q)
	return max(0, t1-t0) * q.Sub(p).Len()
}
