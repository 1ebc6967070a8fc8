package bend

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/spec"
)

// Judged is an inside radius against the table of recommended ones.
type Judged struct {
	Row     spec.BendRadius `json:"row"`
	InT     float64         `json:"in_t"`
	LowMM   float64         `json:"low_mm"`
	HighMM  float64         `json:"high_mm"`
	Verdict qc.Verdict      `json:"verdict"`
	Text    string          `json:"text"`
	From    string          `json:"from"`
}

// Alloys lists the alloys and tempers of the table.
func Alloys() []string {
	var out []string
	for _, r := range spec.BendRadii {
		if len(out) == 0 || out[len(out)-1] != r.Alloy {
			out = append(out, r.Alloy)
		}
	}
	return out
}

// Radius judges an inside radius: under the low end of the recommended range it is too sharp, from
// its high end it is good, between the designer is asked. The row of the next thicker sheet counts.
// u is how its text shows lengths.
//
// Source: AC 43.13-1B Table 4-6, for bends of 90 degrees.
func Radius(alloy string, thicknessMM, radiusMM float64, u qc.Units) (Judged, error) {
	row, ok := spec.BendRadiusFor(alloy, thicknessMM)
	if !ok {
		for _, a := range Alloys() {
			if a == alloy {
				return Judged{}, refuse("thickness", fmt.Sprintf("the table of bend radii ends before %s", u.Value(thicknessMM)), "ask the designer")
			}
		}
		return Judged{}, refuse("alloy", fmt.Sprintf("alloy %.30q is not in the table of bend radii", alloy), fmt.Sprintf("choose one of %v, or leave it out and ask the designer", Alloys()))
	}
	j := Judged{Row: row, InT: radiusMM / thicknessMM, LowMM: row.LowT * thicknessMM, HighMM: row.HighT * thicknessMM, From: row.Provenance()}
	r, named := u.Value(radiusMM), fmt.Sprintf("%g t to %g t, %s to %s", row.LowT, row.HighT, u.Number(j.LowMM), u.Value(j.HighMM))
	const tiny = 1e-9
	switch {
	case radiusMM < j.LowMM-tiny:
		j.Verdict, j.Text = qc.Out, fmt.Sprintf("%s is too sharp for %s: recommended are %s. Do not bend it so", r, alloy, named)
	case radiusMM < j.HighMM-tiny:
		j.Verdict, j.Text = qc.TooClose, fmt.Sprintf("%s lies inside the recommended %s for %s: ask the designer, and bend a trial strip", r, named, alloy)
	default:
		j.Verdict, j.Text = qc.Within, fmt.Sprintf("%s is at least the high end of the recommended %s for %s", r, named, alloy)
	}
	return j, nil
}
