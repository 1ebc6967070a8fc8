package main

import (
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/placing"
	"bucktail/qc/standing"
)

type partOut struct {
	Part   history.Part   `json:"part"`
	Counts history.Counts `json:"counts"`
}

// workOut is a line of the work list with the name of its part, and how the location stands. Check
// is what governs it where the line is from a measurement.
type workOut struct {
	history.WorkItem
	Project  string     `json:"project"`
	PartName string     `json:"part_name"`
	Whole    qc.Verdict `json:"whole,omitempty"`
	NotRead  int        `json:"not_read,omitempty"`
	Check    *qc.Check  `json:"check,omitempty"`
	// Next is what is done there next.
	Next standing.Next `json:"next"`
}

// placeOut is a location as lists and maps show it. Spec is nil where neither location nor part
// has one yet, Now where nothing that stands there was measured.
type placeOut struct {
	Location history.Location `json:"location"`
	Spec     *qc.Spec         `json:"spec"`
	Now      *nowOut          `json:"now"`
	Urgency  int              `json:"urgency"` // see [standing.Urgency]
	// LookFor is what a photo of it shows now: see [standing.LookFor].
	LookFor qc.Kind `json:"look_for,omitempty"`
}

type nowOut struct {
	Headline string    `json:"headline"`
	Shown    *qc.Shown `json:"shown"`
	Check    *qc.Check `json:"check"`    // the governing one
	NotRead  []string  `json:"not_read"` // what there are limits for and no reading
}

// locationOut is all that is known of one location.
type locationOut struct {
	standing.View
	Project history.Project `json:"project"`
	Part    history.Part    `json:"part"`
	Entries []history.Entry `json:"entries"`
}

// nows keeps what lists show of a location from one question to the next: a list asks for all of
// a part's.
var nows = map[string]struct {
	last    string // the location's latest entry, and how many it has
	entries int
	now     *nowOut
}{}

func nowAt(l history.Location) *nowOut {
	k := nows[l.ID]
	if k.last != l.LastID || k.entries != l.Entries {
		v, _ := standing.Of(&state, l.ID)
		k.last, k.entries, k.now = l.LastID, l.Entries, nil
		if c := v.Current(); c != nil {
			k.now = &nowOut{Headline: c.Headline, Shown: c.Shown, NotRead: []string{}}
			for _, m := range c.Missing {
				k.now.NotRead = append(k.now.NotRead, m.What)
			}
			if c.Governing >= 0 {
				k.now.Check = &c.Checks[c.Governing]
			}
		}
		nows[l.ID] = k
	}
	return k.now
}

// notThere answers for a part or location that is not on this device.
var notThere = &qc.Refusal{Code: "not-there", Text: "there is nothing at this address",
	Do: "it may be on another device that has not sent it yet"}

func project(id string) history.Project {
	for _, p := range state.Projects() {
		if p.ID == id {
			return p
		}
	}
	return history.ProjectOf(id, nil)
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
			return nil, notThere
		}
		pr := project(p.Project)
		places := []placeOut{}
		for _, l := range state.Locations(in.ID) {
			spec, _ := standing.InForce(pr, p, &l)
			places = append(places, placeOut{l, spec, nowAt(l), standing.Urgency(l), standing.LookFor(l, spec)})
		}
		spec, _ := standing.InForce(pr, p, nil)
		return map[string]any{"project": pr, "part": p, "counts": c, "spec": spec, "places": places, "rivets": standing.RivetsOf(&state, in.ID),
			"behind": placing.BehindOf(p, state.Locations(in.ID), &state)}, nil
	})
	bridge.On("state.location", func(in idIn, _ []byte) (any, error) {
		v, ok := standing.Of(&state, in.ID)
		if !ok {
			return nil, notThere
		}
		p, _, _ := state.Part(v.Location.Part)
		return locationOut{v, project(v.Location.Project), p, entries(state.History(history.Subject{Of: history.OfLocation, ID: in.ID}))}, nil
	})
	bridge.On("state.history", func(in history.Subject, _ []byte) (any, error) { return entries(state.History(in)), nil })
	bridge.On("state.came", func(in idIn, _ []byte) (any, error) { return standing.CameTo(&state, in.ID), nil })
	bridge.On("state.concerning", func(in idIn, _ []byte) (any, error) { return entries(state.Concerning(in.ID)), nil })
	bridge.On("state.work", func(bridge.None, []byte) (any, error) {
		out := []workOut{}
		for _, w := range state.WorkList() {
			p, _, _ := state.Part(w.Part)
			l, _ := state.Location(w.Location)
			o := workOut{WorkItem: w, Project: p.Project, PartName: p.Name, Whole: l.Whole, NotRead: l.NotRead, Next: standing.First(l)}
			if l.IsCurrent(w.Entry) {
				if now := nowAt(l); now != nil {
					o.Check = now.Check
				}
			}
			out = append(out, o)
		}
		return out, nil
	})
	bridge.On("state.open", func(in idIn, _ []byte) (any, error) { return standing.OpenOf(&state, in.ID), nil })
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
