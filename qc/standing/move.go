package standing

import (
	"slices"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Move plans to put a finding that was saved at the wrong location where it belongs, with the hand
// readings on it: entries at the right location that say it again, judged by what is meant to stand
// there, and a withdrawal at the wrong one. Nothing is rewritten. The right location counts it from
// the time of the first saying on.
//
// The first draft is the finding; "@0" in another one stands for the id that it will get. An error is
// a [qc.Refusal].
func Move(st *history.State, finding, to string) ([]history.Draft, error) {
	from, look, ok := lookOf(st, finding)
	if !ok {
		return nil, refuse("not-there", "there is no such finding that counts", "look whether it was moved or taken back already")
	}
	v, ok := Of(st, to)
	switch {
	case !ok || v.Location.Out:
		return nil, refuse("not-there", "there is no such location", "choose another one")
	case to == from.Location.ID:
		return nil, refuse("not-moved", "it is at "+v.Location.Tag+" already", "choose another location")
	case v.Location.Part != from.Location.Part:
		return nil, refuse("not-moved", v.Location.Tag+" is on another part", "choose a location of the same part")
	case v.Spec == nil:
		return nil, refuse("no-spec", errNoSpec.Error(), "")
	}
	var out []history.Draft
	for _, e := range st.History(history.Subject{Of: history.OfLocation, ID: from.Location.ID}) {
		if !slices.Contains(look, e.ID) || e.Kind == history.KindFiled { // what was filed there was filed there
			continue
		}
		data, err := movedData(e, &v, len(out) == 0)
		if err != nil {
			return nil, refuse("bad-spec", err.Error(), "check the fastener of "+v.Location.Tag)
		}
		out = append(out, history.Draft{Kind: e.Kind, Project: e.Project, Part: e.Part, Location: to,
			Why: "moved from " + from.Location.Tag, Data: data})
	}
	look = slices.DeleteFunc(slices.Clone(look), func(id string) bool {
		return slices.ContainsFunc(from.Location.Filed, func(f history.Filed) bool { return f.Entry == id })
	})
	out = append(out, history.Draft{Kind: history.KindWithdrawal, Project: from.Location.Project, Part: from.Location.Part, Location: from.Location.ID,
		Supersedes: look, Why: "moved to " + v.Location.Tag, Data: history.WithdrawalData{}})
	return out, takes(v.Location, out[0])
}

// lookOf finds where a finding counts, with the entries of its look.
func lookOf(st *history.State, finding string) (v View, entries []string, ok bool) {
	for _, p := range st.Projects() {
		for _, part := range st.Parts(p.ID) {
			for _, l := range st.Locations(part) {
				for _, a := range l.Attempts {
					for _, ids := range a.Looks {
						if ids[0] == finding {
							v, ok = Of(st, l.ID)
							return v, ids, ok
						}
					}
				}
			}
		}
	}
	return View{}, nil, false
}

// movedData says an entry again at another location; first is the finding of its look.
func movedData(e history.Entry, v *View, first bool) (any, error) {
	if d, err := history.DataOf[history.FindingData](e); err == nil {
		d.Spec = v.Spec.LookedAt(d.Spec.Kind, d.Spec.HoleStage())
		d.Readings = elsewhere(d.Readings, v.Location.ID)
		d.MovedFrom = e.ID
		d.Result, err = qc.JudgeLocation(d.Spec, d.Readings, holeFor(d.Spec, v))
		return d, err
	}
	d, err := history.DataOf[history.GaugeData](e)
	if err != nil {
		return nil, err
	}
	d.Spec = v.Spec.LookedAt(d.Spec.Kind, d.Spec.HoleStage())
	d.Readings = elsewhere(d.Readings, v.Location.ID)
	d.MovedFrom = e.ID
	if d.Finding != "" && !first {
		d.Finding = "@0"
		d.Result, err = qc.JudgeHand(d.Spec, d.Readings, holeFor(d.Spec, v))
	} else {
		d.Finding = ""
		d.Result, err = qc.JudgeLocation(d.Spec, d.Readings, nil)
	}
	return d, err
}

func holeFor(s qc.Spec, v *View) []qc.Reading {
	if s.Kind == qc.Hole {
		return nil
	}
	return v.Hole
}

// elsewhere drops what was only laid out, and what names the new location as its own neighbour.
func elsewhere(rs []qc.Reading, location string) []qc.Reading {
	out := slices.DeleteFunc(slices.Clone(rs), func(r qc.Reading) bool { return r.How == qc.ByLayout })
	for i := range out {
		if of := out[i].Of; of != nil && of.Location == location {
			out[i].Of = nil
		}
	}
	return out
}

// takes refuses what the right location would not count: a hole that was measured while a rivet
// stood there.
func takes(l history.Location, first history.Draft) error {
	d, ok := first.Data.(history.FindingData)
	if !ok || !d.IsHole() {
		return nil
	}
	for _, a := range l.Attempts {
		if a.Set != "" && a.Set < d.MovedFrom && (a.Ended == "" || d.MovedFrom < a.Ended) {
			return refuse("not-moved", "a rivet stood at "+l.Tag+" when this hole was measured", "choose another location")
		}
	}
	return nil
}

func refuse(code, text, do string) *qc.Refusal { return &qc.Refusal{Code: code, Text: text, Do: do} }
