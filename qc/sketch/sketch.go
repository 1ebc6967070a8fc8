// Package sketch is a drawing of a part to be made, in true millimetres: outlines, bend lines, hole
// centres, dimensions. Whoever shows it, on a screen to scale or on paper at 1:1, only draws it.
// Places are mm from the part's datum, x right, y down; dimension lines say on which side of the
// part they stand and in which rank, for how far off is a matter of the screen or the page. Start
// with [Sketch].
package sketch

import "math"

// XY is a place, mm.
type XY [2]float64

// Sketch is one drawing.
type Sketch struct {
	Min   XY     `json:"min"` // of all lines and holes
	Max   XY     `json:"max"`
	Lines []Line `json:"lines"`
	Holes []Hole `json:"holes,omitempty"`
	Dims  []Dim  `json:"dims,omitempty"`

	framed bool // Min and Max hold something
}

// Role says what a line is.
type Role string

// The roles.
const (
	Outline Role = "outline" // an edge of the part
	Behind  Role = "behind"  // an edge of what lies under it
	Bend    Role = "bend"    // the tangent of a bend
	Sight   Role = "sight"   // where the brake's nose stands over the bend, or the middle of a bend
	Centre  Role = "centre"  // the line of a row
	Band    Role = "band"    // where hole centres may lie
)

// Line is a line through points.
type Line struct {
	Role   Role `json:"role"`
	Points []XY `json:"points"`
	Closed bool `json:"closed,omitempty"`
}

// Hole is a hole to be made.
type Hole struct {
	At  XY      `json:"at"`
	DMM float64 `json:"d_mm"`
	Tag string  `json:"tag,omitempty"`
}

// Side is where a dimension line stands.
type Side string

// The sides.
const (
	Above Side = "above"
	Below Side = "below"
	Left  Side = "left"
	Right Side = "right"
)

// Dim is a dimension along x (above, below) or y (left, right); its length is that of From to To in
// that direction.
type Dim struct {
	From XY   `json:"from"`
	To   XY   `json:"to"`
	Side Side `json:"side"`
	Rank int  `json:"rank"` // 0 is the nearest to the part
}

// Add adds a line and widens the frame.
func (s *Sketch) Add(r Role, closed bool, pts ...XY) {
	s.Lines = append(s.Lines, Line{r, pts, closed})
	for _, p := range pts {
		s.reach(p)
	}
}

// Within adds a line that lies on the part: the frame stays as its outline makes it.
func (s *Sketch) Within(r Role, closed bool, pts ...XY) {
	s.Lines = append(s.Lines, Line{r, pts, closed})
}

// Hole adds a hole and widens the frame.
func (s *Sketch) Hole(at XY, dMM float64, tag string) {
	s.Holes = append(s.Holes, Hole{at, dMM, tag})
	s.reach(XY{at[0] - dMM/2, at[1] - dMM/2})
	s.reach(XY{at[0] + dMM/2, at[1] + dMM/2})
}

// Dim adds a dimension.
func (s *Sketch) Dim(side Side, rank int, from, to XY) {
	s.Dims = append(s.Dims, Dim{from, to, side, rank})
}

// Mirror turns the drawing over, left to right: the other hand.
func (s *Sketch) Mirror() {
	s.Min[0], s.Max[0] = -s.Max[0], -s.Min[0]
	for _, l := range s.Lines {
		for i := range l.Points {
			l.Points[i][0] *= -1
		}
	}
	for i := range s.Holes {
		s.Holes[i].At[0] *= -1
	}
	for i := range s.Dims {
		d := &s.Dims[i]
		d.From[0], d.To[0] = -d.From[0], -d.To[0]
		switch d.Side {
		case Left:
			d.Side = Right
		case Right:
			d.Side = Left
		}
	}
}

func (s *Sketch) reach(p XY) {
	if !s.framed {
		s.Min, s.Max, s.framed = p, p, true
	}
	for i := range p {
		s.Min[i], s.Max[i] = math.Min(s.Min[i], p[i]), math.Max(s.Max[i], p[i])
	}
}
