package main

import (
	"fmt"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/history"
)

type partOut struct {
	Part   history.Part   `json:"part"`
	Counts history.Counts `json:"counts"`
}

// workOut is a line of the work list with the name of its part.
type workOut struct {
	history.WorkItem
	Project  string `json:"project"`
	PartName string `json:"part_name"`
}

// placeOut is a location with what is meant to stand there: the part's spec or its own, under the
// limits chosen for it, else for the part, else for the project.
type placeOut struct {
	Location history.Location `json:"location"`
	Spec     *qc.Spec         `json:"spec"` // nil where neither location nor part has one yet
}

func specAt(p history.Project, pt history.Part, l *history.Location) *qc.Spec {
	s := pt.Spec
	limits := pt.Limits
	if l != nil {
		if l.Spec != nil {
			s = l.Spec
		}
		if l.Limits != nil {
			limits = l.Limits
		}
	}
	if s == nil {
		return nil
	}
	out := *s
	switch {
	case limits != nil:
		out.LimitSet, out.Own = limits.Set, limits.Own
	case out.LimitSet == "":
		out.LimitSet = p.LimitSet
	}
	return &out
}

func project(id string) history.Project {
	for _, p := range state.Projects() {
		if p.ID == id {
			return p
		}
	}
	return history.Project{ID: id, LimitSet: qc.DefaultSet}
}

func init() {
	bridge.On("state.projects", func(bridge.None, []byte) (any, error) { return append([]history.Project{}, state.Projects()...), nil })
	bridge.On("state.parts", func(in idIn, _ []byte) (any, error) {
		out := []partOut{}
		for _, id := range state.Parts(in.ID) {
			p, c, _ := state.Part(id)
			out = append(out, partOut{p, c})
		}
		return out, nil
	})
	bridge.On("state.part", func(in idIn, _ []byte) (any, error) {
		p, c, ok := state.Part(in.ID)
		if !ok {
			return nil, fmt.Errorf("there is no part %q", in.ID)
		}
		pr := project(p.Project)
		places := []placeOut{}
		for _, l := range state.Locations(in.ID) {
			places = append(places, placeOut{l, specAt(pr, p, &l)})
		}
		return map[string]any{"project": pr, "part": p, "counts": c, "spec": specAt(pr, p, nil), "places": places}, nil
	})
	bridge.On("state.location", func(in idIn, _ []byte) (any, error) {
		l, ok := state.Location(in.ID)
		if !ok {
			return nil, fmt.Errorf("there is no location %q", in.ID)
		}
		p, _, _ := state.Part(l.Part)
		pr := project(l.Project)
		return map[string]any{"project": pr, "part": p, "location": l, "spec": specAt(pr, p, &l), "hole": holeReadings(l),
			"entries": entries(state.History(history.Subject{Of: history.OfLocation, ID: in.ID}))}, nil
	})
	bridge.On("state.history", func(in history.Subject, _ []byte) (any, error) { return entries(state.History(in)), nil })
	bridge.On("state.concerning", func(in idIn, _ []byte) (any, error) { return entries(state.Concerning(in.ID)), nil })
	bridge.On("state.work", func(bridge.None, []byte) (any, error) {
		out := []workOut{}
		for _, w := range state.WorkList() {
			p, _, _ := state.Part(w.Part)
			out = append(out, workOut{w, p.Project, p.Name})
		}
		return out, nil
	})
	bridge.On("state.covers", func(in idIn, _ []byte) (any, error) {
		ids, digest := history.Covers(in.ID, state.Concerning(in.ID))
		return map[string]any{"covers": append([]string{}, ids...), "digest": digest}, nil
	})
	bridge.On("state.sign-offs", func(in idIn, _ []byte) (any, error) {
		out := map[string]history.SignOffStatus{}
		for _, e := range state.Concerning(in.ID) {
			if e.Kind == history.KindSignOff {
				if s, err := state.SignOff(e); err == nil {
					out[e.ID] = s
				}
			}
		}
		return out, nil
	})
}

// entries never marshals as null.
func entries(es []history.Entry) []history.Entry { return append([]history.Entry{}, es...) }

// holeReadings gives the readings of the location's hole from before its present rivet was set:
// of the last finding of a hole in this attempt, or of an earlier attempt where this one has
// none.
func holeReadings(l history.Location) []qc.Reading {
	out := []qc.Reading{}
	byID := map[string]history.Entry{}
	for _, e := range state.History(history.Subject{Of: history.OfLocation, ID: l.ID}) {
		byID[e.ID] = e
	}
	for i := len(l.Attempts) - 1; i >= 0; i-- {
		for j := len(l.Attempts[i].Findings) - 1; j >= 0; j-- {
			if d, err := history.DataOf[history.FindingData](byID[l.Attempts[i].Findings[j]]); err == nil && d.IsHole() {
				return append(out, d.Readings...)
			}
		}
	}
	return out
}
