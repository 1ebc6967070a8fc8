package qc

import (
	"fmt"
	"strings"

	"bucktail/qc/spec"
)

// Step is one step of a rework.
type Step struct {
	Text     string         `json:"text"`
	Cautions []spec.Caution `json:"cautions,omitempty"`
	Sources  []spec.Cite    `json:"sources"`
	Photo    bool           `json:"photo,omitempty"` // it is done by taking one
}

// Rework says how a rivet is drilled out and what its location allows afterwards.
type Rework struct {
	Steps     []Step  `json:"steps"`
	HoleCheck []Limit `json:"hole_check"` // what the hole must measure for a rivet of the same size
	// NextSize is the next larger rivet, nil where no table has one.
	NextSize *NextSize `json:"next_size,omitempty"`
	Notes    []string  `json:"notes"`
}

// NextSize is what becomes of a location when the next larger rivet goes in.
type NextSize struct {
	Spec      Spec    `json:"spec"`
	Name      string  `json:"name"`            // "-5 (5/32 in)", "4.0 mm"
	Drill     string  `json:"drill,omitempty"` // final drill
	HoleCheck []Limit `json:"hole_check"`      // what the opened hole must measure
	Checks    []Check `json:"checks"`          // this location's own edge distance and pitch against the larger rivet's limits
	// Verdict is the worst of the checks; "" where neither edge distance nor pitch was
	// read, and then nothing is known about it.
	Verdict Verdict `json:"verdict"`
	Unread  []Limit `json:"unread,omitempty"`
}

// removalMarginMM is how much smaller than the shank the removal drill is at the least, so
// that "one size under" is not a size of nearly the same diameter (#42 for 3/32 in is
// 0.006 mm under it).
const removalMarginMM = 0.05

// PlanRework plans the drilling out of the rivet at a location, from the readings of the
// location itself; hole are readings of its hole from before the rivet was set, as in
// [JudgeLocation]. The steps name lengths in u. The error is about the spec, or says that a hole needs no
// drilling out.
func PlanRework(s Spec, readings, hole []Reading, u Units) (Rework, error) {
	if err := s.Valid(); err != nil {
		return Rework{}, err
	}
	if s.Kind == Hole {
		return Rework{}, fmt.Errorf("a hole has no rivet to drill out")
	}
	holeSpec := s.LookedAt(Hole, FinalHole)
	limits, err := holeSpec.Limits()
	if err != nil {
		return Rework{}, err
	}
	rw := Rework{HoleCheck: only(limits, HoleDMin, HoleDMax, HoleDMean)}
	if rw.Steps = solidSteps(s, u); s.rivet() == Pulled {
		rw.Steps = pulledSteps(s, u)
	}
	rw.Steps = append(rw.Steps, checkHole(rw.HoleCheck, u))
	if rw.NextSize, err = nextSize(s, readings, hole); err != nil {
		return Rework{}, err
	}
	for _, no := range []string{"W15", "W16", "W17", "W22", "W23", "C06"} {
		r := spec.ReworkRuleNo(no)
		rw.Notes = append(rw.Notes, r.Text+" ("+r.Source+")")
	}
	rw.Notes = append(rw.Notes, PhotoCaution)
	return rw, nil
}

func cites(nos ...string) []spec.Cite {
	var out []spec.Cite
	for _, no := range nos {
		out = append(out, spec.ReworkRuleNo(no).Cite)
	}
	return out
}

func solidSteps(s Spec, u Units) []Step {
	drill := "a drill no larger than the shank"
	if d, ok := spec.DrillUnder(s.NominalMM, removalMarginMM); ok {
		drill = fmt.Sprintf("a %s drill (%s), one size under the shank, or smaller", d.Name, u.Value(d.DiameterMM))
	}
	return []Step{
		{"Centre-punch the manufactured head in its middle; file a flat first where it is damaged. Some heads have a dimple to start from.",
			spec.CautionsFor("punch"), cites("C01"), false},
		{"Drill into the head with " + drill + ", to the depth of the head and no deeper.",
			spec.CautionsFor("drill"), cites("W03", "C02", "C03"), false},
		{"Snap the head off with a pin in the drilled hole, without prying on the sheet.",
			nil, cites("C03"), false},
		{"Back the sheet up close to the rivet and drive the shank out with a punch under its diameter (" + u.Value(s.NominalMM) + ").",
			spec.CautionsFor("punch"), cites("C04"), false},
		{"Take chips and burrs out from between the sheets.",
			spec.CautionsFor("clean", "primer"), []spec.Cite{{Source: "AC 43.13-1B 4-58", Basis: spec.Read}}, false},
	}
}

func pulledSteps(s Spec, u Units) []Step {
	drill := "a drill of the rivet's size or just under"
	if d, ok := spec.DrillUnder(s.NominalMM, removalMarginMM); ok {
		drill = fmt.Sprintf("a %s drill (%s), just under the rivet, or smaller", d.Name, u.Value(d.DiameterMM))
	}
	return []Step{
		{"Drive the rest of the stem out with a punch where it still stands, so that the drill can't wander on it.",
			spec.CautionsFor("punch"), cites("C05"), false},
		{"Drill the head off with " + drill + ". Stop when the head comes loose.",
			spec.CautionsFor("drill"), cites("C05", "C02"), false},
		{"Push the body out. Leave neither body nor stem loose inside: count the pieces.",
			nil, cites("C05"), false},
		{"Take chips and burrs out from between the sheets.",
			spec.CautionsFor("clean", "primer"), []spec.Cite{{Source: "AC 43.13-1B 4-58", Basis: spec.Read}}, false},
	}
}

// checkHole words the look at the empty hole, which goes before any new rivet.
func checkHole(limits []Limit, u Units) Step {
	st := Step{Photo: true, Text: "Measure the hole before it is filled again: take a photo of it with the card."}
	for _, l := range limits {
		st.Text += " " + strings.ToUpper(l.Name[:1]) + l.Name[1:] + ": " + l.Text(u) + "."
		st.Sources = append(st.Sources, spec.Cite{Source: l.Source, Basis: l.Basis, Note: l.Note})
	}
	st.Text += " If it is larger, the next size is needed, or the designer's word."
	st.Sources = append(st.Sources, cites("C06", "W16", "W17")...)
	return st
}

func only(ls []Limit, qs ...Quantity) []Limit {
	var out []Limit
	for _, l := range ls {
		for _, q := range qs {
			if l.Quantity == q {
				out = append(out, l)
			}
		}
	}
	return out
}

func nextSize(s Spec, readings, hole []Reading) (*NextSize, error) {
	n := NextSize{Spec: s}
	if s.rivet() == Pulled {
		p, ok := nextPulled(s)
		if !ok {
			return nil, nil
		}
		n.Spec.NominalMM, n.Name = p.NominalMM, p.Size
	} else {
		r, ok := nextSolid(s.NominalMM)
		if !ok {
			return nil, nil
		}
		n.Spec.NominalMM, n.Name = r.NominalMM, fmt.Sprintf("-%d (%s in)", r.Dash, r.Fraction)
		if f, ok := spec.Final(r.Dash); ok {
			n.Drill = f.Drill
		}
	}
	holeSpec := n.Spec.LookedAt(Hole, FinalHole)
	limits, err := holeSpec.Limits()
	if err != nil {
		return nil, err
	}
	n.HoleCheck = only(limits, HoleDMin, HoleDMax, HoleDMean)
	if row, ok := holeSpec.holeRow(); ok && n.Drill == "" {
		n.Drill = row.Drill
	}
	// The location stays where it is: its own distances, the larger rivet's limits.
	limits, err = n.Spec.Limits()
	if err != nil {
		return nil, err
	}
	limits = only(limits, EdgeDistance, Pitch)
	for i, l := range limits {
		if l.Laxer && !s.Own.meantForSize(l, n.Spec) {
			limits[i] = *l.Published // a drawing's length for the smaller rivet excuses no larger one
		}
	}
	res := judgeAgainst(limits, n.Spec, readings, hole)
	n.Checks, n.Verdict, n.Unread = res.Checks, res.Verdict, res.Unread
	return &n, nil
}

// nextSolid is the next larger solid rivet in the table. MIL-R-47196A 3.4 steps by 1/32 in up
// to 1/4 in; the table has no 7/32 in, so that 1/4 in follows 3/16 in.
func nextSolid(nominalMM float64) (spec.SolidRivet, bool) {
	for _, r := range spec.SolidRivets {
		if r.NominalMM > nominalMM && !spec.SameSize(r.NominalMM, nominalMM) {
			return r, true
		}
	}
	return spec.SolidRivet{}, false
}

// nextPulled is the next larger pulled rivet of the same standard and head.
func nextPulled(s Spec) (spec.PulledRivet, bool) {
	now, ok := spec.Pulled(s.NominalMM, s.Head)
	if !ok {
		return spec.PulledRivet{}, false
	}
	for _, r := range spec.PulledRivets {
		if r.Source == now.Source && r.Head == now.Head && r.NominalMM > now.NominalMM {
			return r, true
		}
	}
	return spec.PulledRivet{}, false
}
