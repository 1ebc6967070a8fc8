package toolroom

import (
	"fmt"
	"math"
	"slices"

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

// Seen is a hole's distance to a line of its photo.
type Seen struct {
	qc.Reading
	// PerMMUp is how much farther the line is read for each mm that it lies above the sheet; negative:
	// nearer.
	PerMMUp float64 `json:"per_mm_up,omitempty"`
}

// FromLine makes of a hole's distance to a line of its photo the distance to the outer face of the
// standing leg, which the tool's room is judged from. Thickness and radius count as typed. U grows by
// what the line would be off if it were the leg's upper rim, seen past the sheet from one side.
func (b Bend) FromLine(s Seen, line LegLine) (qc.Reading, error) {
	r := s.Reading
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
	if off := b.raised(s.PerMMUp, line); off > 0 {
		// Anywhere between the sheet and the rim, all alike: rectangular, its end at what was read.
		u := qc.Contribution{Label: "height of the line above the sheet", UMM: off / math.Sqrt(3)}
		r.UMM, r.Contributions = math.Hypot(r.UMM, 2*u.UMM), append(slices.Clone(r.Contributions), u)
		r.Warnings = append(slices.Clone(r.Warnings), fmt.Sprintf("from where this photo was taken the leg's upper rim may be taken for this line, %s off: hold the phone straight above it, or use calipers", qc.Millimetres.Value(off)))
	}
	return r, nil
}

// raised is how far off a line of the sheet may be read for the leg's upper rim being taken for it, mm.
// The tangent is seen where it is unless the leg hides it: it does where it leans in the picture toward
// the hole by more than the bend's fillet is wide. Beside the leg's faces stands its upper rim, whichever
// way it leans.
func (b Bend) raised(perMMUp float64, line LegLine) float64 {
	off := perMMUp * (b.LegMM - b.ThicknessMM)
	if line == Tangent {
		return -off - (b.Setback() - b.ThicknessMM)
	}
	return math.Abs(off)
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
func (b Bend) Propose(to []Seen, plannedMM float64) (at int, line LegLine, ok bool) {
	best := math.Inf(1)
	for i, r := range to {
		for _, l := range []LegLine{InnerFace, Tangent, OuterFace} {
			if l == InnerFace && b.RadiusMM > 0 {
				continue // the bend's fillet lies where it would be
			}
			axis, err := b.FromLine(Seen{Reading: r.Reading}, l)
			if off := math.Abs(axis.ValueMM - plannedMM); err == nil && off < best && off <= proposeMM+r.UMM {
				best, at, line, ok = off, i, l, true
			}
		}
	}
	return at, line, ok
}
