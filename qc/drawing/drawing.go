// Package drawing is what is drawn over a photo, planned to the last line and letter. Whoever
// shows it, as SVG, on paper or in a picture, only draws it: it knows nothing of rivets but the
// verdicts whose inks it names.
//
// Places are in units of the frame that the drawing lies in, x right, y down from its top left
// corner; on a screen a unit is a CSS px. What is drawn may go over the frame's border and is cut
// there. Draw all halos first, then lines and arrowheads in their order, then values, then tags.
//
// Start with [Drawing].
package drawing

import (
	"math"
	"strconv"

	"bucktail/qc"
)

// Drawing covers a frame.
type Drawing struct {
	Width    float64 `json:"width"`
	Height   float64 `json:"height"`
	TextSize float64 `json:"text_size"` // of values and tags, which stand in a bold face
	Lines    []Line  `json:"lines"`
	Values   []Value `json:"values"`
	Tags     []Tag   `json:"tags"`
	Hits     []Hit   `json:"hits"` // of the locations in their order
}

// Ink is what a line or a text is drawn in. A verdict is its own ink.
type Ink string

// The inks that are no verdicts.
const (
	Plain  Ink = ""
	Pencil Ink = "pencil" // what the program asks about
)

// Of is the ink of a verdict; plain where there is none. What was not all read takes that of within:
// its shape and word tell it apart.
func Of(v qc.Verdict) Ink {
	if v == qc.Unread {
		v = qc.Within
	}
	return Ink(v)
}

// Role says what a line is.
type Role string

// The roles.
const (
	Outline   Role = "outline"
	Mark      Role = "mark" // of a centre
	Dimension Role = "dimension"
	Extension Role = "extension"
	Leader    Role = "leader" // to a value beside its line
	Arrow     Role = "arrow"  // filled
)

// Line is a line through points, or a filled arrowhead.
type Line struct {
	Role   Role    `json:"role"`
	Points Path    `json:"points"`
	Closed bool    `json:"closed,omitempty"`
	Dashed bool    `json:"dashed,omitempty"` // see [DashOn]
	Width  float64 `json:"width,omitempty"`  // 0: filled
	// Halo is the width of the pale line that lies under it, a little longer at open ends: by half
	// of what it is wider. Under what is filled it is drawn along the border, and what lies inside
	// is filled too.
	Halo float64 `json:"halo,omitempty"`
	Ink  Ink     `json:"ink,omitempty"`
}

// Under is the path of the line's halo.
func (l Line) Under() Path {
	n := len(l.Points) - 1
	if l.Closed || n < 1 {
		return l.Points
	}
	p := append(Path{}, l.Points...)
	more := (l.Halo - l.Width) / 2
	p[0] = p[0].Add(p[0].Sub(p[1]).Unit().Mul(more))
	p[n] = p[n].Add(p[n].Sub(l.Points[n-1]).Unit().Mul(more))
	return p
}

// Dashes and the gaps between them.
const (
	DashOn  = 6
	DashOff = 4
)

// Value is a value on its white plaque, in the middle of its box.
type Value struct {
	Of   int    `json:"of"` // index of the location
	Box  Box    `json:"box"`
	Text string `json:"text"`
	Ink  Ink    `json:"ink,omitempty"`
}

// Tag is a location's name in white on a box filled with its ink, with the shape of its verdict
// before it. The box has a white border of 1.5 outside; that of a chosen one is in pencil, 2.5 wide
// and a unit farther out.
type Tag struct {
	Of      int        `json:"of"`
	Box     Box        `json:"box"`
	Text    string     `json:"text"`
	TextX   float64    `json:"text_x"` // left end; its middle is the box's
	Verdict qc.Verdict `json:"verdict,omitempty"`
	ShapeX  float64    `json:"shape_x,omitempty"` // middle of the verdict's shape
	Ink     Ink        `json:"ink,omitempty"`
	Chosen  bool       `json:"chosen,omitempty"`
}

// ShapeSide is the side of the square that a verdict's shape on a tag fills.
const ShapeSide = 18

// Hit is where a finger means a location.
type Hit struct {
	At     Point   `json:"at"`
	Radius float64 `json:"radius"`
}

// Path is a line's points; in JSON x and y in turn.
type Path []Point

// MarshalJSON writes hundredths of a unit: a drawing is sent for each frame in which a finger moves.
func (p Path) MarshalJSON() ([]byte, error) {
	b := append(make([]byte, 0, 14*len(p)+2), '[')
	for i, q := range p {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(hundredths(b, q.X), ',')
		b = hundredths(b, q.Y)
	}
	return append(b, ']'), nil
}

func hundredths(b []byte, v float64) []byte {
	return strconv.AppendFloat(b, math.Round(v*100)/100, 'f', -1, 64)
}
