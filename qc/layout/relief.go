package layout

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/sketch"
)

// Relief is the hole at a gusset corner where two bends meet: without it the sheet tears where it is
// bent twice. It lies where their inner tangents cross; ok is false where no two bends meet.
//
// Source: FAA-H-8083-31 ch 4, relief holes: 1/8 in up to 0.064 in of sheet, 3/16 in up to 0.128 in;
// recalled. A thicker sheet has no figure there.
func (in Input) Relief() (at sketch.XY, diameterMM float64, ok bool) {
	if len(in.Legs) != 2 || in.Legs[0].Bend == nil || in.Legs[1].Bend == nil {
		return at, 0, false
	}
	t := math.Max(in.Legs[0].ThicknessMM, in.Legs[1].ThicknessMM)
	switch {
	case t <= 0.0645*qc.MMPerInch:
		diameterMM = qc.MMPerInch / 8
	case t <= 0.1285*qc.MMPerInch:
		diameterMM = 3 * qc.MMPerInch / 16
	default:
		return at, 0, false
	}
	a, b := in.Legs[0].Bend.Setback(), in.Legs[1].Bend.Setback()
	s, c := math.Sincos(in.angle())
	return in.at(0, (b+a*c)/s, a), diameterMM, true
}

// reliefNote says where the relief hole is, or that the drawing has to.
func (in Input) reliefNote() []string {
	if len(in.Legs) != 2 || in.Legs[0].Bend == nil || in.Legs[1].Bend == nil {
		return nil
	}
	_, d, ok := in.Relief()
	if !ok {
		return []string{"the bends meet: no relief hole was found for a sheet so thick, take it from the drawing"}
	}
	return []string{fmt.Sprintf("the bends meet: drill a relief hole of %s where their inner tangents cross, before bending (FAA-H-8083-31 ch 4, recalled, not read: compare with the document)", in.Units.Value(d))}
}
