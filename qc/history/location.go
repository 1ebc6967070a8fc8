package history

import (
	"slices"
	"time"

	"bucktail/qc"
)

// Location is what the entries about one fastener position add up to.
type Location struct {
	ID      string      `json:"id"`
	Project string      `json:"project"`
	Part    string      `json:"part"`
	Known   bool        `json:"known"` // false: the entry that made it has not come yet
	Out     bool        `json:"out,omitempty"`
	Tag     string      `json:"tag"`
	Pin     *Pin        `json:"pin,omitempty"`
	Spec    *qc.Spec    `json:"spec,omitempty"`   // where it differs from the part's
	Limits  *LimitsData `json:"limits,omitempty"` // chosen for this location alone

	Stray bool   `json:"stray,omitempty"` // a hole that should not be there
	Stack *Stack `json:"stack,omitempty"` // that is riveted here, where it differs from the part's

	Stage     qc.Stage `json:"stage"`
	Step      qc.Prep  `json:"step,omitempty"`      // of the preparation of its hole
	Unreached bool     `json:"unreached,omitempty"` // its blind side
	Filed     []Filed  `json:"filed,omitempty"`     // edges near it, in the order in which they were filed

	Attempt  int       `json:"attempt"` // the one that stands or is being prepared, from 1
	Attempts []Attempt `json:"attempts"`
	// Verdict is that of what was read and seen at the current finding, with later gauge
	// readings; empty: not measured. Whole is that of the location: `unread` where all that was
	// read is within and NotRead things were not read (see [qc.MissingOf]).
	Verdict qc.Verdict `json:"verdict,omitempty"`
	Whole   qc.Verdict `json:"whole,omitempty"`
	NotRead int        `json:"not_read,omitempty"`

	Finding  string         `json:"finding,omitempty"`  // id of the current finding
	Decision qc.Disposition `json:"decision,omitempty"` // the inspectors'; the strictest where they disagree
	// Disagree lists the decisions that stand where two inspectors decided without having seen one
	// another's, strictest first. It ends with a decision that has seen all of them.
	Disagree []Contested `json:"disagree,omitempty"`
	Work     []Work      `json:"work,omitempty"`    // what waits to be done here
	Awaits   bool        `json:"awaits,omitempty"`  // an inspector's decision is waited for
	Remarks  []Remark    `json:"remarks,omitempty"` // entries that have no effect, and why
	Entries  int         `json:"entries"`
	LastID   string      `json:"last_id"`
}

// Attempt is one rivet at a location: from the hole being ready to the rivet being drilled out.
type Attempt struct {
	N        int        `json:"n"`
	Set      string     `json:"set,omitempty"`   // id of the entry that says the rivet was set
	Ended    string     `json:"ended,omitempty"` // id of the entry that ended it
	Findings []string   `json:"findings,omitempty"`
	Looks    [][]string `json:"looks,omitempty"`   // the same ids: a finding with the gauge readings on it
	Verdict  qc.Verdict `json:"verdict,omitempty"` // as it stood last, of the whole
}

// IsCurrent tells whether an entry is the current finding or a gauge reading on it.
func (l *Location) IsCurrent(entry string) bool {
	for _, a := range l.Attempts {
		for _, ids := range a.Looks {
			if ids[0] == l.Finding && slices.Contains(ids, entry) {
				return true
			}
		}
	}
	return false
}

// WorkKind says what waits.
type WorkKind string

// The kinds of work, most urgent first.
const (
	WorkDrillOut  WorkKind = "drill out"
	WorkMeasure   WorkKind = "measure by hand"
	WorkSetRivet  WorkKind = "set a new rivet"
	WorkDecide    WorkKind = "decide"              // what a new rivet does not cure: enlarge, refer or keep
	WorkRefer     WorkKind = "refer"               // waits for the designer
	WorkDisagree  WorkKind = "inspectors disagree" // decided apart, without having seen one another's decision
	WorkInspector WorkKind = "inspector asks"      // the inspector rejected or wants it measured again
)

// WorkKinds lists them, most urgent first.
var WorkKinds = []WorkKind{WorkDrillOut, WorkMeasure, WorkSetRivet, WorkDecide, WorkRefer, WorkDisagree, WorkInspector}

// Work is one thing that waits at a location.
type Work struct {
	Kind  WorkKind `json:"kind"`
	Entry string   `json:"entry"` // id of the entry that brought it about
	Text  string   `json:"text,omitempty"`
}

// Remark says why an entry has no effect on the state.
type Remark struct {
	Entry string `json:"entry"`
	Text  string `json:"text"`
}

// LocationOf adds up the entries about one location, given in any order, with repetitions. It
// is the one function that says how a location stands: the server's tables and the phone's
// screens are both made by it. Its cost is proportional to the number of entries.
func LocationOf(id string, entries []Entry) Location {
	entries = inTime(entries)
	effective, remarks := settle(entries)
	effective = whereTheyCount(effective)
	w := walk{loc: Location{ID: id, Stage: qc.Marked, Attempt: 1, Remarks: remarks, Entries: len(entries)}}
	if n := len(entries); n > 0 {
		w.loc.LastID = entries[n-1].ID
		// Until the maker comes, the first entry that names them tells part and project.
		w.loc.Part, w.loc.Project = entries[0].Part, entries[0].Project
	}
	w.attempt()
	for _, e := range effective {
		w.step(e)
	}
	w.finish()
	sortRemarks(w.loc.Remarks)
	return w.loc
}

// walk goes through the effective entries of a location in order.
type walk struct {
	loc         Location
	looks       []qc.Look // the current finding and the gauge readings on it
	kind        qc.Kind   // of the current finding
	seen        qc.Verdict
	foundAt     time.Time   // when the current finding was written
	standing    qc.Standing // what they add up to
	disposition DispositionData
	dispEntry   string
	decisions   []contender // that stand: more than one where they don't know of one another
	begun       bool        // the current attempt's rivet is set
	ended       string
}

func (w *walk) attempt() *Attempt {
	if len(w.loc.Attempts) < w.loc.Attempt {
		w.loc.Attempts = append(w.loc.Attempts, Attempt{N: w.loc.Attempt})
	}
	return &w.loc.Attempts[w.loc.Attempt-1]
}

func (w *walk) remark(e fact, text string) {
	w.loc.Remarks = append(w.loc.Remarks, Remark{e.ID, text})
}

func (w *walk) step(e fact) {
	switch d := e.data.(type) {
	case *LocationData:
		w.place(e, d)
	case *LimitsData:
		w.loc.Limits = d
	case *StageData:
		if w.begun {
			w.remark(e, "a rivet stands here: a hole can't be marked until it is drilled out")
			return
		}
		w.loc.Stage, w.loc.Step, w.loc.Unreached = d.Stage, d.Step, d.Unreached
	case *FiledData:
		w.filed(e, d)
	case *AttemptData:
		if w.begun { // a new rivet without a word about the old one: the old attempt ends with it
			w.next(e)
		}
		w.set(e)
		w.clear()
	case *FindingData:
		w.find(e, d)
	case *GaugeData:
		w.gauge(e, d)
	case *DispositionData:
		if !w.isAbout(d.Finding) {
			w.remark(e, "it is about a finding that is not the current one here")
			return
		}
		w.disposition, w.dispEntry = *d, e.ID
		w.decisions = nil // the builder's answer to it, or given before this was known
	case *DrilledOutData:
		w.next(e)
		w.loc.Stage, w.loc.Step = qc.DrilledOut, ""
		w.ended = e.ID
	case *DecisionData:
		if !w.isAbout(d.Finding) {
			w.remark(e, "it is about a finding that is not the current one here")
			return
		}
		if why := pageTooOld(d.OnPaper, w.foundAt); why != "" {
			w.remark(e, why)
			return
		}
		w.decide(contender{e, *d})
	}
}

func (w *walk) place(e fact, d *LocationData) {
	if e.Location == "" {
		w.loc.Known, w.loc.Part, w.loc.Project = true, e.Part, e.Project
	}
	if d.Tag != "" {
		w.loc.Tag = d.Tag
	}
	if d.Pin != nil {
		w.loc.Pin = d.Pin
	}
	if d.Spec != nil {
		w.loc.Spec = d.Spec
	}
	if d.Out != nil {
		w.loc.Out = *d.Out
	}
	if d.Stray != nil {
		w.loc.Stray = *d.Stray
	}
	if d.Stack != nil {
		w.loc.Stack = nil
		if len(d.Stack.Layers) > 0 {
			w.loc.Stack = d.Stack
		}
	}
}

// set says that the current attempt's rivet stands.
func (w *walk) set(e fact) {
	if !w.begun {
		w.attempt().Set = e.ID
	}
	w.begun, w.loc.Stage, w.loc.Step = true, qc.SetRivet, ""
}

// next ends the current attempt.
func (w *walk) next(e fact) {
	w.attempt().Ended = e.ID
	w.loc.Attempt++
	w.attempt()
	w.begun = false
	w.clear()
}

// clear forgets the current finding: something new stands here.
func (w *walk) clear() {
	w.looks, w.kind, w.seen, w.standing = nil, "", "", qc.Standing{}
	w.loc.Finding, w.loc.Verdict, w.loc.Whole, w.loc.NotRead = "", "", "", 0
	w.disposition, w.dispEntry = DispositionData{}, ""
	w.decisions = nil
}

// isAbout tells whether an entry that names a finding or a gauge reading is about the current one.
func (w *walk) isAbout(id string) bool {
	return slices.ContainsFunc(w.looks, func(l qc.Look) bool { return l.ID == id })
}

func (w *walk) find(e fact, d *FindingData) {
	if w.begin(e, d.Spec); w.loc.Finding == e.ID {
		w.seen = d.AnswersVerdict
		w.look(e, d.Look(e.ID))
	}
}

// begin makes room for a new finding of what is meant to stand there; none is begun of a hole
// where a rivet stands.
func (w *walk) begin(e fact, s qc.Spec) {
	switch {
	case s.Kind == qc.Hole && w.begun:
		w.remark(e, "it measures a hole where a rivet stands; say first that the rivet was drilled out")
		return
	case s.Kind == qc.Hole:
		if stage := s.HoleStage(); stage != w.loc.Stage { // a hole that is measured once more is as far as it was
			w.loc.Stage, w.loc.Step, w.loc.Unreached = stage, "", false
		}
	default:
		w.set(e)
	}
	w.clear()
	w.kind, w.loc.Finding, w.foundAt = s.Kind, e.ID, e.At
}

// look takes in the current finding, or a gauge reading on it.
func (w *walk) look(e fact, l qc.Look) {
	w.looks = append(w.looks, l)
	w.standing = qc.Stand(w.looks)
	w.stands()
	a := w.attempt()
	a.Findings, a.Verdict = append(a.Findings, e.ID), w.loc.Whole
	if len(w.looks) == 1 {
		a.Looks = append(a.Looks, nil)
	}
	last := &a.Looks[len(a.Looks)-1]
	*last = append(*last, e.ID)
}

// stands says how the location stands by what counts now.
func (w *walk) stands() {
	w.loc.Verdict = qc.Worst(w.standing.Verdict, w.seen)
	w.loc.Whole = qc.Whole(w.loc.Verdict, w.standing.Unread)
	w.loc.NotRead = len(qc.MissingOf(w.standing.Unread))
}

// gauge adds readings by hand gauge to the current finding; [qc.Stand] says what they take the
// place of.
func (w *walk) gauge(e fact, d *GaugeData) {
	if d.Finding != "" && !w.isAbout(d.Finding) {
		w.remark(e, "it is about a finding that is not the current one here")
		return
	}
	if w.looks == nil {
		if w.begin(e, d.Spec); w.loc.Finding == e.ID {
			w.look(e, d.Look(e.ID))
		}
		return
	}
	before := w.loc.Verdict
	w.look(e, d.Look(e.ID))
	if w.loc.Verdict != before || w.disposition.Action == qc.ReMeasure {
		w.disposition, w.dispEntry = DispositionData{}, "" // decided before this was known, or done now
	}
	w.decisions = nil // given before this was known
}

// finish says what waits.
func (w *walk) finish() {
	l := &w.loc
	decision, decEntry := DecisionData{}, ""
	if len(w.decisions) > 0 {
		strictest := w.decisions[0]
		decision, decEntry = strictest.DecisionData, strictest.ID
	}
	l.Decision = decision.Answer
	if l.Out || !l.Known && l.Entries == 0 {
		return
	}
	add := func(k WorkKind, entry, text string) { l.Work = append(l.Work, Work{k, entry, text}) }
	last := l.Finding
	if n := len(w.looks); n > 0 {
		last = w.looks[n-1].ID
	}
	settled := w.disposition.Action == qc.Keep || decision.Answer == qc.Confirmed && l.Verdict != qc.Out
	switch {
	case len(w.looks) == 0:
	case w.disposition.Action == qc.DrillOut:
		add(WorkDrillOut, w.dispEntry, "")
	case w.disposition.Action == qc.ReMeasure:
		add(WorkMeasure, w.dispEntry, "")
	case w.disposition.Action == qc.Refer && w.disposition.Answer != "": // the answer came, and is to be carried out
		add(WorkDecide, w.dispEntry, w.disposition.Answer)
	case w.disposition.Action == qc.Refer:
		add(WorkRefer, w.dispEntry, "")
	case settled:
	default:
		switch qc.Suggest(w.kind, w.standing.Checks, w.seen) {
		case qc.DrillOut:
			add(WorkDrillOut, last, "")
		case qc.ReMeasure:
			add(WorkMeasure, last, "")
		case qc.Refer:
			add(WorkDecide, last, "")
		}
	}
	if l.Attempt > 1 && !w.begun && len(l.Work) == 0 && !l.Stray {
		add(WorkSetRivet, w.ended, "")
	}
	if a := decision.Answer; a == qc.Rejected || a == qc.ReMeasure {
		add(WorkInspector, decEntry, decision.Reason)
	}
	l.Awaits = w.begun && len(w.looks) > 0 && decision.Answer == "" && len(l.Work) == 0
	if l.Disagree = w.disagree(); len(l.Disagree) > 0 {
		add(WorkDisagree, decEntry, disagreement(l.Disagree))
		l.Awaits = true
	}
}
