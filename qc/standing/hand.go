package standing

import (
	"errors"
	"fmt"
	"slices"

	"bucktail/qc"
)

// Hand is what readings by hand gauge come to at a location.
type Hand struct {
	Finding string // that they are about; "" where nothing was measured there yet
	Spec    qc.Spec
	Result  qc.Result
	Then    Summary  // how the location stands with them
	Notes   []string // what is to be said of them: where hand and photo disagree
}

// mostByHandMM is more than any rivet, its edge distance or its pitch: a slip of the unit or of a finger.
const mostByHandMM = 1000

var errNoSpec = errors.New("nothing says yet what is meant to stand there: enter the part's fastener first")

// ByHand judges readings by hand gauge as they would be kept: about the finding that stands, by
// what was meant to stand there then, or by themselves where there is none.
func (v *View) ByHand(readings []qc.Reading) (Hand, error) {
	for _, r := range readings {
		if !(r.ValueMM <= mostByHandMM && r.UMM <= mostByHandMM) {
			return Hand{}, &qc.Refusal{Code: "bad-reading", Text: fmt.Sprintf("%s is nothing that calipers read at a rivet", qc.Millimetres.WithU(r.ValueMM, r.UMM)), Do: "correct the value, or its U: one of them may be in the other unit"}
		}
	}
	now := v.Current()
	var h Hand
	var looks []qc.Look
	var seen qc.Verdict
	var err error
	if now == nil {
		if v.Spec == nil {
			return Hand{}, errNoSpec
		}
		h.Spec = v.meant(readings)
		if h.Result, err = qc.JudgeLocation(h.Spec, readings, nil); err != nil {
			return Hand{}, err
		}
	} else {
		h.Finding, h.Spec = v.Location.Finding, now.Spec
		if h.Result, err = qc.JudgeHand(h.Spec, readings, v.Hole); err != nil {
			return Hand{}, err
		}
		looks, seen = now.looks, now.seen
	}
	looks = append(looks[:len(looks):len(looks)], qc.Look{ID: "to come", Readings: readings, Result: h.Result, ByHand: true})
	st := qc.Stand(looks)
	h.Then = Summarize(st.Checks, st.Current(), st.Unread, seen)
	h.Notes = append(h.Notes, h.Result.Notes...)
	for _, n := range st.Notes {
		if !slices.Contains(looks[0].Result.Notes, n) {
			h.Notes = append(h.Notes, n)
		}
	}
	return h, nil
}

// meant is what readings by hand are of where nothing was measured yet: a hole or its mark where they
// measure one, or distances alone, though a head is meant to stand there in the end. Taken for a head's,
// they would say that the rivet is set.
func (v *View) meant(readings []qc.Reading) qc.Spec {
	hole, distances := false, true
	for _, r := range readings {
		hole = hole || r.Quantity.OfHole()
		distances = distances && (r.Quantity == qc.EdgeDistance || r.Quantity == qc.Pitch)
	}
	stage := v.Location.Stage
	switch {
	case v.Spec.Kind == qc.Hole || stage == qc.SetRivet || !hole && !distances:
		return *v.Spec
	case stage == qc.DrilledOut, stage == qc.Marked && hole:
		stage = qc.FinalHole
	}
	return v.Spec.LookedAt(qc.Hole, stage)
}

// Advise says what fits the finding that stands, or else the last one, with lengths in u.
func (v *View) Advise(u qc.Units) qc.Advice {
	now := v.Last()
	if now == nil {
		return qc.Advise(qc.Hole, nil, nil, nil, u)
	}
	var next *qc.NextSize
	if rw, err := qc.PlanRework(now.Spec, now.Current(), v.Hole, u); err == nil {
		next = rw.NextSize
	}
	return qc.Advise(now.Spec.Kind, now.Checks, now.answers, next, u)
}

// Rework plans the drilling out of the rivet that stands there, from the readings that count now, with lengths in u.
func (v *View) Rework(u qc.Units) (qc.Rework, error) {
	if now := v.Current(); now != nil {
		return qc.PlanRework(now.Spec, now.Current(), v.Hole, u)
	}
	if v.Spec == nil {
		return qc.Rework{}, errNoSpec
	}
	return qc.PlanRework(*v.Spec, nil, v.Hole, u)
}
