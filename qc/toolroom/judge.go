package toolroom

import (
	"fmt"

	"bucktail/qc"
)

// Check is one obstacle at one hole.
type Check struct {
	Obstacle Obstacle `json:"obstacle"`
	// GapMM is what is left between head, nose or body and the obstacle, without the margin; UMM its
	// expanded uncertainty, that of the hole's axis. NeedMM is the margin that is wanted.
	GapMM  float64 `json:"gap_mm"`
	UMM    float64 `json:"U_mm"`
	NeedMM float64 `json:"need_mm"`
	From   string  `json:"from"` // how the limit was had, in words
	// qc.Check holds the same as it is kept: the axis from the leg's outer face against the least x.
	qc.Check
}

// Fit is what a tool comes to at a hole.
type Fit struct {
	Tool    Tool       `json:"tool"`
	Verdict qc.Verdict `json:"verdict"`
	Checks  []Check    `json:"checks"`
	Cures   []string   `json:"cures,omitempty"`
	// Turned tells that the tool fits with its narrow side to the leg alone.
	Turned bool `json:"turned,omitempty"`
}

// anywhere is the least place where nothing is in the way, beside a leg that leans far out: a limit of 0
// or less would be none.
const anywhere = 1e-6

// Judge holds the place of a hole's axis, or of a mark or pilot hole, against the room that a tool
// needs there. axis is a reading of [qc.LegDistance]: from the outer face of the standing leg. u is how
// what cures it shows lengths.
//
// Source: worked example "Tool room beside a standing leg"; the decision rule is [qc.Judge].
func Judge(axis qc.Reading, t Tool, b Bend, h Head, marginMM float64, u qc.Units) (Fit, error) {
	for _, err := range []error{t.Valid(), b.Valid(), margin(marginMM), axisUsable(axis)} {
		if err != nil {
			return Fit{}, err
		}
	}
	f := Fit{Tool: t, Checks: checks(axis, t, b, h, marginMM)}
	f.Verdict = worst(f.Checks)
	if f.Verdict == qc.Within {
		return f, nil
	}
	if narrow := (Tool{t.Name, t.Kind, t.NoseMM, t.LengthMM, t.NarrowMM, 0, t.ReachMM}); t.NarrowMM > 0 && worst(checks(axis, narrow, b, h, marginMM)) == qc.Within {
		f.Turned = true
	}
	f.Cures = cures(axis, t, b, h, marginMM, f, u.Value)
	return f, nil
}

func margin(mm float64) error {
	if !(mm >= 0 && mm <= 50) {
		return refuse("margin", fmt.Sprintf("a margin of %.6g mm is none", mm), "give the room that you want to keep about the tool, 0 to 50 mm")
	}
	return nil
}

func axisUsable(r qc.Reading) error {
	if !(r.ValueMM > 0 && r.ValueMM < 10_000 && r.UMM > 0 && r.UMM < 1000) {
		return refuse("axis", fmt.Sprintf("the hole's axis at %.6g ± %.6g mm can't be used", r.ValueMM, r.UMM), "measure from the outer face of the standing leg to the middle of the mark or hole, and say how far it can be trusted")
	}
	return nil
}

func checks(axis qc.Reading, t Tool, b Bend, h Head, marginMM float64) []Check {
	var out []Check
	for _, l := range Lines(&t, b, h, marginMM, false) {
		need := marginMM
		if l.Obstacle == HeadOnFlat {
			need = 0
		}
		c := qc.Judge(axis, qc.Limit{Quantity: qc.LegDistance, Name: string(l.Obstacle) + ", least", MinMM: max(l.XMM, anywhere), Set: "own", Source: l.Source, Basis: l.Basis, Note: l.Note})
		out = append(out, Check{l.Obstacle, axis.ValueMM - l.XMM + need, c.UMM, need, c.Limit.Provenance(), c})
	}
	return out
}

func worst(cs []Check) qc.Verdict {
	var v qc.Verdict
	for _, c := range cs {
		v = qc.Worst(v, c.Verdict)
	}
	return v
}

// cures names what helps, each held by trying it.
func cures(axis qc.Reading, t Tool, b Bend, h Head, m float64, f Fit, mm func(float64) string) []string {
	var out []string
	room := axis.ValueMM - axis.UMM
	for _, c := range f.Checks {
		if c.Verdict == qc.Within {
			continue
		}
		switch c.Obstacle {
		case HeadOnFlat:
			smaller := ""
			if head := 2 * (room - b.Setback()); head > 0 {
				smaller = fmt.Sprintf(", or take a rivet with a head of at most %s", mm(head))
			}
			out = append(out, fmt.Sprintf("move the hole to at least %s from the leg's outer face%s: no tool cures it", mm(c.Limit.MinMM+axis.UMM), smaller))
		case NoseFillet:
			if nose := 2 * (room - m - b.inner(h.HeightMM)); nose > 0 {
				out = append(out, fmt.Sprintf("a nose of at most %s", mm(nose)))
			}
			out = append(out, fmt.Sprintf("move the hole to at least %s from the leg's outer face while it is a mark", mm(c.Limit.MinMM+axis.UMM)))
		case BodyLeg:
			out = append(out, fmt.Sprintf("a nose at least %s long, so that the body stands above the leg", mm(b.tall()+m-h.HeightMM)))
			if f.Turned {
				out = append(out, "the same tool turned: its narrow side passes the leg")
			} else if t.NarrowMM == 0 {
				out = append(out, "the tool turned with a narrower side to the leg, if it has one: enter how far that side reaches")
			}
			out = append(out, "another tool, or set the rivet before the leg is in the way; a tilted tool is no cure")
		}
	}
	return out
}

// Best judges all of a builder's tools and gives them with those that fit first, then those about
// which the reading can't tell, as they were given among equals.
func Best(axis qc.Reading, tools []Tool, b Bend, h Head, marginMM float64, u qc.Units) ([]Fit, error) {
	var by [3][]Fit
	for _, t := range tools {
		f, err := Judge(axis, t, b, h, marginMM, u)
		if err != nil {
			return nil, err
		}
		i := 2
		switch f.Verdict {
		case qc.Within:
			i = 0
		case qc.TooClose:
			i = 1
		}
		by[i] = append(by[i], f)
	}
	return append(append(by[0], by[1]...), by[2]...), nil
}
