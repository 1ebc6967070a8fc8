package together

import (
	"math"

	"bucktail/imaging/geom"
)

// motion is how a sheet frame lies in another: a turn, then a shift, mm. The zero value with Cos 1
// is no motion: see still.
type motion struct {
	sin, cos float64
	by       geom.SheetPoint
}

// still is no motion: the card was not moved.
var still = motion{cos: 1}

// turned is a turn by angleRad about the origin and a shift.
func turned(angleRad float64, by geom.SheetPoint) motion {
	s, c := math.Sincos(angleRad)
	return motion{s, c, by}
}

func (m motion) turn(p geom.SheetPoint) geom.SheetPoint {
	return geom.SheetPoint{X: m.cos*p.X - m.sin*p.Y, Y: m.sin*p.X + m.cos*p.Y}
}

// to takes a point of the frame that the motion starts from to the one it leads to.
func (m motion) to(p geom.SheetPoint) geom.SheetPoint { return m.turn(p).Add(m.by) }

// inverse leads back.
func (m motion) inverse() motion {
	back := motion{-m.sin, m.cos, geom.SheetPoint{}}
	back.by = back.turn(m.by).Scale(-1)
	return back
}

func (m motion) angle() float64 { return math.Atan2(m.sin, m.cos) }

// camera gives a camera over the frame that the motion leads to as one over the frame that it
// starts from.
func (m motion) camera(c *geom.Camera) geom.Camera {
	out := *c
	for i := range 3 {
		r := c.R[i]
		out.R[i][0], out.R[i][1] = r[0]*m.cos+r[1]*m.sin, -r[0]*m.sin+r[1]*m.cos
		out.T[i] = c.T[i] + r[0]*m.by.X + r[1]*m.by.Y
	}
	return out
}

// cov turns a covariance by the motion.
func (m motion) cov(c [2][2]float64) [2][2]float64 {
	r := [2][2]float64{{m.cos, -m.sin}, {m.sin, m.cos}}
	var out [2][2]float64
	for i := range 2 {
		for k := range 2 {
			for a := range 2 {
				for b := range 2 {
					out[i][k] += r[i][a] * c[a][b] * r[k][b]
				}
			}
		}
	}
	return out
}
