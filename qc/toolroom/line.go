package toolroom

import (
	"fmt"

	"bucktail/qc"
)

// LegLine is a line that a photo shows along a standing leg.
type LegLine string

// The lines. The photo looks at the sheet from the side that the leg stands on.
const (
	OuterFace LegLine = "outer face"   // where the leg's outer face meets the sheet, as on the other side
	InnerFace LegLine = "inner face"   // the leg's inner face at the sheet, of a bend without a radius
	Tangent   LegLine = "bend tangent" // where the sheet begins to bend
)

// FromLine makes of a hole's distance to a line of its photo the distance to the outer face of the
// standing leg, which the tool's room is judged from. Its U stays: thickness and radius count as typed.
func (b Bend) FromLine(r qc.Reading, line LegLine) (qc.Reading, error) {
	if err := b.Valid(); err != nil {
		return r, err
	}
	more := 0.0
	switch line {
	case OuterFace:
	case InnerFace:
		more = b.ThicknessMM
	case Tangent:
		more = b.Setback()
	default:
		return r, refuse("bad-line", fmt.Sprintf("a line %q of a leg is not known", line), "say outer face, inner face or bend tangent")
	}
	r.Quantity, r.ValueMM = qc.LegDistance, r.ValueMM+more
	return r, nil
}
