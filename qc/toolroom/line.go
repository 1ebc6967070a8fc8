package toolroom

import (
	"fmt"
	"math"

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

// proposeMM is how far off its planned place a hole's axis may come out by a line that is still
// proposed as the leg's: what a mark, its punch and a drill wander together, and less than the sheet
// and bend lie apart.
//
// Source: practice, as for what is laid out by hand.
const proposeMM = 1.0

// Propose picks of a hole's distances to the lines of its photo the one that is most likely to the
// standing leg, and which line of it that is: the one by which the axis comes nearest to where it was
// planned, millimetres from the leg's outer face. It is a proposal: the builder looks at the photo. ok
// is false where no line comes near enough to be taken for one.
func (b Bend) Propose(to []qc.Reading, plannedMM float64) (at int, line LegLine, ok bool) {
	best := math.Inf(1)
	for i, r := range to {
		for _, l := range []LegLine{InnerFace, Tangent, OuterFace} {
			if l == InnerFace && b.RadiusMM > 0 {
				continue // the bend's fillet lies where it would be
			}
			axis, err := b.FromLine(r, l)
			if off := math.Abs(axis.ValueMM - plannedMM); err == nil && off < best && off <= proposeMM+r.UMM {
				best, at, line, ok = off, i, l, true
			}
		}
	}
	return at, line, ok
}
