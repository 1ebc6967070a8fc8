// Package standing tells how one location stands: which readings count now and which were
// superseded, the limits in force and where they come from, the checks and the one that governs,
// what nothing was read for, and what can be done next. Report, tables, bridge and screens show
// what it says and decide nothing themselves.
//
// Start with [Of] and [View].
package standing

import (
	"slices"

	"bucktail/qc"
	"bucktail/qc/history"
)

// View is how one location stands.
type View struct {
	Location history.Location `json:"location"`
	// Spec is what is meant to stand there, under the limits in force; nil where neither the
	// location nor its part has one yet. Origin says who chose these limits.
	Spec   *qc.Spec `json:"spec"`
	Origin Origin   `json:"origin,omitempty"`
	// Looks are all measurements of the location, oldest first: a finding with the gauge
	// readings on it. Now is the index of the one that stands, -1 where there is none.
	Looks []Look `json:"looks"`
	Now   int    `json:"now"`
	// Hole are the readings of the location's hole: from before its present rivet was set, or of
	// the hole that stands now.
	Hole []qc.Reading `json:"hole"`
	Next []Next       `json:"next"` // what can be done, the usual thing first
	// Own is what each finding and hand reading came to by itself, by its entry's id: also what
	// counts no more.
	Own map[string]Summary `json:"own"`
}

// Look is a finding, or readings by hand gauge without one, with the gauge readings on it.
type Look struct {
	Entries []string `json:"entries"` // the finding's entry first
	Attempt int      `json:"attempt"`
	Spec    qc.Spec  `json:"spec"` // that it was judged by
	Summary
	Readings []qc.Stood `json:"readings"` // all of them
	Notes    []string   `json:"notes,omitempty"`

	looks   []qc.Look
	seen    qc.Verdict
	answers []qc.Answer
}

// Summary is what some checks and answers come to.
type Summary struct {
	Verdict   qc.Verdict   `json:"verdict"` // of what was read and seen
	Whole     qc.Verdict   `json:"whole"`   // of the location: see [qc.Whole]
	Headline  string       `json:"headline"`
	Checks    []qc.Check   `json:"checks"`
	Governing int          `json:"governing"` // index of the check, -1 where there is none
	Rows      [][]int      `json:"rows"`      // see [qc.Rows]
	Missing   []qc.Missing `json:"missing"`
	Shown     *qc.Shown    `json:"shown"` // where there is room for one value; nil where nothing was read
	Said      []Said       `json:"said"`  // of each check
}

// Said is what is said of a check besides its figures.
type Said struct {
	Settle string `json:"settle,omitempty"` // what would settle it; "" where it is settled
	From   string `json:"from"`             // how its limit was had: see [qc.Limit.Provenance]
	// Published is how the published limit was had that a builder's own one goes before.
	Published string `json:"published,omitempty"`
}

// Summarize sums up checks, what nothing was read for, and what the answers amounted to.
func Summarize(checks []qc.Check, readings []qc.Reading, unread []qc.Limit, seen qc.Verdict) Summary {
	s := Summary{Checks: slices.Clone(checks), Governing: qc.Governing(checks), Rows: qc.Rows(checks),
		Missing: qc.MissingOf(unread), Shown: qc.OneOf(checks, readings), Verdict: seen, Said: []Said{}}
	for _, c := range checks {
		s.Verdict = qc.Worst(s.Verdict, c.Verdict)
		said := Said{Settle: c.Settle(), From: c.Limit.Provenance()}
		if p := c.Limit.Published; p != nil {
			said.Published = p.Provenance()
		}
		s.Said = append(s.Said, said)
	}
	s.Whole = qc.Whole(s.Verdict, unread)
	s.Headline = qc.Headline(s.Whole, len(s.Missing))
	// Lists are never null on the wire.
	s.Checks, s.Rows, s.Missing = append([]qc.Check{}, s.Checks...), append([][]int{}, s.Rows...), append([]qc.Missing{}, s.Missing...)
	return s
}

// Current is the look that stands, nil where there is none.
func (v *View) Current() *Look {
	if v.Now < 0 {
		return nil
	}
	return &v.Looks[v.Now]
}

// Last is the look that stands, or else the last one of all: what stood there before.
func (v *View) Last() *Look {
	if v.Now >= 0 || len(v.Looks) == 0 {
		return v.Current()
	}
	return &v.Looks[len(v.Looks)-1]
}

// Of tells how a location stands; ok is false when no entry is about it.
func Of(st *history.State, id string) (v View, ok bool) {
	l, ok := st.Location(id)
	if !ok {
		return View{}, false
	}
	part, _, _ := st.Part(l.Part)
	spec, origin := InForce(projectOf(st, l.Project), part, &l)
	v = View{Location: l, Spec: spec, Origin: origin, Looks: []Look{}, Now: -1, Hole: []qc.Reading{}, Own: map[string]Summary{}}
	entries := map[string]entry{}
	for _, e := range st.History(history.Subject{Of: history.OfLocation, ID: id}) {
		if x, ok := read(e); ok {
			entries[e.ID], v.Own[e.ID] = x, x.summary()
		}
	}
	for _, a := range l.Attempts {
		for _, ids := range a.Looks {
			if ids[0] == l.Finding {
				v.Now = len(v.Looks)
			}
			v.Looks = append(v.Looks, lookAt(entries, a.N, ids))
		}
	}
	v.Hole = append(v.Hole, v.hole()...)
	v.Next = next(l, spec)
	return v, true
}

func projectOf(st *history.State, id string) history.Project {
	for _, p := range st.Projects() {
		if p.ID == id {
			return p
		}
	}
	return history.ProjectOf(id, nil)
}

// entry is what a finding or a hand reading says.
type entry struct {
	qc.Look
	spec    qc.Spec
	seen    qc.Verdict
	answers []qc.Answer
}

// read is false for an entry that measures nothing.
func read(e history.Entry) (entry, bool) {
	if d, err := history.DataOf[history.FindingData](e); err == nil {
		return entry{d.Look(e.ID), d.Spec, d.AnswersVerdict, d.Answers}, true
	}
	if d, err := history.DataOf[history.GaugeData](e); err == nil {
		return entry{d.Look(e.ID), d.Spec, "", nil}, true
	}
	if d, err := history.DataOf[history.FiledData](e); err == nil {
		return entry{Look: d.Look(e.ID)}, true
	}
	return entry{}, false
}

// summary is what the entry comes to by itself.
func (e entry) summary() Summary {
	return Summarize(e.Result.Checks, e.Readings, e.Result.Unread, e.seen)
}

func lookAt(entries map[string]entry, attempt int, ids []string) Look {
	out := Look{Entries: ids, Attempt: attempt, Spec: entries[ids[0]].spec, seen: entries[ids[0]].seen, answers: entries[ids[0]].answers}
	for _, id := range ids {
		out.looks = append(out.looks, entries[id].Look)
	}
	st := qc.Stand(out.looks)
	out.Summary = Summarize(st.Checks, st.Current(), st.Unread, out.seen)
	out.Readings, out.Notes = append([]qc.Stood{}, st.Readings...), st.Notes
	return out
}

// Current lists the readings that stand.
func (l *Look) Current() []qc.Reading { return qc.Standing{Readings: l.Readings}.Current() }

// hole gives the readings of the last hole: of this attempt, or of an earlier one where it has none. A
// mark is none: the drill may have left it.
func (v *View) hole() []qc.Reading {
	for i := len(v.Looks) - 1; i >= 0; i-- {
		if l := &v.Looks[i]; l.Spec.Kind == qc.Hole && !l.Spec.Mark {
			return v.sinceFiled(l)
		}
	}
	return nil
}

// sinceFiled gives a hole's readings without the edge distances from before an edge was filed, where
// that was after its rivet was set.
func (v *View) sinceFiled(l *Look) []qc.Reading {
	st := qc.Standing{Readings: slices.Clone(l.Readings)}
	for i := range st.Readings {
		r := &st.Readings[i]
		for _, f := range v.Location.Filed {
			if r.Stands() && r.Quantity == qc.EdgeDistance && r.Layer == f.Layer && r.Look < f.Entry {
				r.By = f.Entry
			}
		}
	}
	return st.Current()
}

// LookOf is the look that an entry is of, nil if it is of none.
func (v *View) LookOf(entry string) *Look {
	for i := range v.Looks {
		if slices.Contains(v.Looks[i].Entries, entry) {
			return &v.Looks[i]
		}
	}
	return nil
}
