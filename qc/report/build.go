package report

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
)

// Scope says what a report is about.
type Scope struct {
	Project string   `json:"project"`
	Parts   []string `json:"parts,omitempty"` // ids; none means the whole project
}

// cautions stand in every report.
var cautions = []string{
	qc.PhotoCaution,
	"A photo can't show the hidden side, how the shank fills the hole, gaps and cracks finer than the picture, or a loose rivet or stem.",
}

// Build adds up what a report tells. made is the caller's clock. The error is a *qc.Refusal:
// the project or one of the parts is not in the record.
func Build(st *history.State, sc Scope, made time.Time) (*Record, error) {
	rec := &Record{Format: RecordFormat, Version: RecordVersion, Made: made.UTC().Truncate(time.Second), Cautions: cautions, Parts: []Part{}}
	project, ok := history.Project{}, false
	for _, p := range st.Projects() {
		if p.ID == sc.Project {
			project, ok = p, true
		}
	}
	if !ok {
		return nil, refuse("no-project", fmt.Sprintf("there is no project %q in the record", sc.Project), "choose one that is there")
	}
	rec.Project = Project{ID: project.ID, Name: project.Name, Aircraft: project.Aircraft, Mark: project.Mark,
		Builder: project.Builder, Authority: project.Authority, Cards: project.Cards, Tools: project.Tools, Studies: project.Studies}
	entries := st.Entries()
	rec.Chain = chainOf(entries)
	b := builder{st: st, project: project, byID: make(map[string]history.Entry, len(entries)), cards: map[string]history.Card{}, began: st.Began(project.ID)}
	for _, e := range entries {
		b.byID[e.ID] = e
	}
	for _, c := range project.Cards {
		b.cards[c.ID] = c
	}
	all := st.Parts(sc.Project)
	ids := sc.Parts
	if len(ids) == 0 {
		ids = all
	}
	rec.Whole = true
	for _, id := range all {
		rec.Whole = rec.Whole && slices.Contains(ids, id)
	}
	for _, id := range ids {
		if !slices.Contains(all, id) {
			return nil, refuse("no-part", fmt.Sprintf("there is no part %q in this project", id), "choose one that is there")
		}
		rec.Parts = append(rec.Parts, b.part(id))
	}
	return rec, nil
}

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }

// chainOf tells what the entries, in the fixed order, amount to.
func chainOf(entries []history.Entry) Chain {
	c := Chain{Entries: len(entries), Devices: []Device{}, Faults: history.CheckChain(entries)}
	h := sha256.New()
	keys := history.Keys(entries)
	at := map[string]int{}
	names := map[string][]history.Entry{}
	for _, e := range entries {
		hash := e.Hash()
		h.Write(hash[:])
		i, ok := at[e.Device]
		if !ok {
			i = len(c.Devices)
			at[e.Device], c.Devices = i, append(c.Devices, Device{ID: e.Device, Fingerprint: history.Fingerprint(keys[e.Device].Key)})
		}
		d := &c.Devices[i]
		if d.Entries++; e.Sig == "" {
			d.Unsigned++
		}
		if e.Seq > d.LastSeq {
			d.LastSeq, d.Last = e.Seq, hash.String()
		}
		if e.Kind == history.KindDevice {
			names[e.Device] = append(names[e.Device], e)
		}
	}
	for i := range c.Devices {
		c.Devices[i].Name = history.DeviceName(names[c.Devices[i].ID])
	}
	slices.SortFunc(c.Devices, func(a, b Device) int { return compare(a.ID, b.ID) })
	c.SHA256 = hex.EncodeToString(h.Sum(nil))
	c.Number = fmt.Sprintf("%d · %s", c.Entries, Groups(c.SHA256[:12]))
	return c
}

func compare(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Groups writes a hash in groups of four digits.
func Groups(hash string) string {
	out := ""
	for i := 0; i < len(hash); i += 4 {
		if i > 0 {
			out += " "
		}
		out += hash[i:min(i+4, len(hash))]
	}
	return out
}

type builder struct {
	st      *history.State
	project history.Project
	byID    map[string]history.Entry
	cards   map[string]history.Card
	began   time.Time // the project
}

func (b *builder) event(id string) *Event {
	if id == "" {
		return nil
	}
	e, ok := b.byID[id]
	if !ok {
		return &Event{Entry: id}
	}
	return &Event{Entry: id, At: e.At, Came: b.st.Came(e.ID), By: e.By, Why: e.Why}
}

func (b *builder) part(id string) Part {
	p, counts, _ := b.st.Part(id)
	out := Part{ID: id, Name: p.Name, Drawing: p.Drawing, Layers: p.Layers, Spec: p.Spec, Laxer: p.Laxer,
		Layout: p.Layout, Shapes: p.Shapes, Like: p.Like, Prep: p.Prep, Coupons: p.Coupons, Order: p.Order, Riveting: standing.OrderOf(b.st, id), Rivets: standing.RivetsOf(b.st, id), Open: standing.OpenOf(b.st, id), Phones: b.phonesOf(b.st.Concerning(id)), Counts: counts, Sources: []string{}, Locations: []Location{}}
	if s, _ := standing.InForce(b.project, p, nil); s != nil {
		out.LimitSet, out.Own = s.LimitSet, s.Own
	}
	ids, digest := history.Covers(id, b.st.Concerning(id))
	out.Covers = Covers{len(ids), digest}
	for _, n := range p.Notes {
		out.Notes = append(out.Notes, b.note(b.byID[n]))
	}
	for _, s := range p.SignOffs {
		status, err := b.st.SignOff(b.byID[s.Entry])
		out.SignOffs = append(out.SignOffs, SignOff{s, err == nil && status.Current(), status})
	}
	for _, l := range b.st.Locations(id) {
		out.Locations = append(out.Locations, b.location(l))
	}
	seen := map[string]bool{}
	for _, own := range []bool{true, false} { // the builder's own go first
		for _, c := range out.checks() {
			if src := c.Limit.Source; !seen[src] && (c.Limit.Basis == "own") == own {
				seen[src], out.Sources = true, append(out.Sources, src)
			}
		}
	}
	return out
}

// checks lists all checks of a part's current attempts.
func (p *Part) checks() []qc.Check {
	var out []qc.Check
	for i := range p.Locations {
		for _, a := range p.Locations[i].Attempts {
			for _, f := range a.Findings {
				out = append(out, f.Result.Checks...)
			}
		}
	}
	return out
}

func (b *builder) note(e history.Entry) Note {
	d, _ := history.DataOf[history.NoteData](e)
	return Note{e.ID, e.At, e.By, d.Text, d.Photos}
}

func (b *builder) location(l history.Location) Location {
	view, _ := standing.Of(b.st, l.ID)
	out := Location{ID: l.ID, Tag: l.Tag, Out: l.Out, Pin: l.Pin, Spec: l.Spec, Stage: l.Stage, Step: l.Step, Unreached: l.Unreached, Stray: l.Stray, Stack: l.Stack, Filed: l.Filed, Attempt: l.Attempt,
		View: view, Verdict: l.Verdict, Whole: l.Whole, Headline: qc.Headline(l.Whole, l.NotRead), Finding: l.Finding, Decision: l.Decision, Work: l.Work, Awaits: l.Awaits, Remarks: l.Remarks, Attempts: []Attempt{}}
	if now := view.Current(); now != nil {
		for _, m := range now.Missing {
			out.NotRead = append(out.NotRead, notRead(now, m))
		}
		out.Governing = governing(now)
	}
	if s := view.Spec; s != nil {
		out.Limits = &InForce{Set: s.LimitSet, Own: ownName(*s), Chosen: view.Origin}
	}
	without := map[string]bool{}
	for _, r := range l.Remarks {
		without[r.Entry] = true
	}
	for _, e := range b.st.History(history.Subject{Of: history.OfLocation, ID: l.ID}) {
		for _, id := range e.Supersedes {
			if old, ok := b.byID[id]; ok && without[id] && !without[e.ID] {
				out.Replaced = append(out.Replaced, Replaced{*b.event(id), old.Kind, *b.event(e.ID), e.Kind == history.KindWithdrawal})
			}
		}
	}
	said := map[string][]Disposition{}
	decided := map[string][]Decision{}
	decisions := map[string][]history.Entry{}
	for _, e := range b.st.History(history.Subject{Of: history.OfLocation, ID: l.ID}) {
		if without[e.ID] {
			continue
		}
		switch e.Kind {
		case history.KindDisposition:
			if d, err := history.DataOf[history.DispositionData](e); err == nil {
				said[d.Finding] = append(said[d.Finding], Disposition{*b.event(e.ID), d})
			}
		case history.KindDecision:
			if d, err := history.DataOf[history.DecisionData](e); err == nil {
				decided[d.Finding] = append(decided[d.Finding], Decision{*b.event(e.ID), d})
				decisions[d.Finding] = append(decisions[d.Finding], e)
			}
		case history.KindNote:
			out.Notes = append(out.Notes, b.note(e))
		}
	}
	for _, a := range l.Attempts {
		at := Attempt{N: a.N, Set: b.event(a.Set), Ended: b.event(a.Ended), Verdict: a.Verdict, Findings: []Finding{}}
		if e, ok := b.byID[a.Ended]; ok {
			if d, err := history.DataOf[history.DrilledOutData](e); err == nil {
				at.DrillMM = d.DrillMM
				if at.Ended.Why == "" {
					at.Ended.Why = d.Reason
				}
			}
		}
		for _, id := range a.Findings {
			f := b.finding(id, b.st.Replaced(l.ID, a.N))
			for _, r := range view.LookOf(id).Readings {
				if r.Look == id && r.Number > 0 && !r.Stands() {
					f.Superseded = append(f.Superseded, r.Number)
				}
			}
			f.Dispositions, f.Decisions, f.decision = said[id], decided[id], history.DecisionOf(decisions[id])
			at.Findings = append(at.Findings, f)
		}
		out.Attempts = append(out.Attempts, at)
	}
	return out
}

// ownName names the builder's own limits of a spec, "" where it has none.
func ownName(s qc.Spec) string {
	if s.Own == nil {
		return ""
	}
	return s.Own.Name
}

func (b *builder) finding(id string, replaced time.Time) Finding {
	f := Finding{Event: *b.event(id)}
	e := b.byID[id]
	if d, err := history.DataOf[history.GaugeData](e); err == nil {
		f.Gauge, f.Settles, f.Instrument, f.Identity = true, d.Finding, d.Instrument, d.Identity
		f.Spec, f.Readings, f.Result = d.Spec, d.Readings, d.Result
		f.Verdict = d.Result.Verdict
	}
	if d, err := history.DataOf[history.FindingData](e); err == nil {
		f.Method, f.Verdict, f.Crop, f.Marks, f.Places = d.Method, d.Verdict(), d.Crop, d.Marks, d.Places
		f.Spec, f.Readings, f.Result, f.Answers = d.Spec, d.Readings, d.Result, d.Answers
		b.shot(&f, d.Shot)
		for _, v := range d.Views {
			s, _ := history.DataOf[history.ShotData](b.byID[v.Shot])
			f.Views = append(f.Views, View{Photo: s.Photo, Taken: s.TakenAt, Used: v.Used, Why: v.Why})
		}
	}
	f.Odd = history.When{At: f.At, Came: f.Came, Began: b.began, Taken: f.Taken, Replaced: replaced}.Odd()
	if f.Result.Checks == nil {
		f.Result.Checks = []qc.Check{}
	}
	if f.Photo == "" {
		for _, r := range f.Readings {
			if r.Photo != "" {
				f.Photo = r.Photo
			}
		}
	}
	return f
}

// shot takes the photo and the card from the shot's entry.
func (b *builder) shot(f *Finding, id string) {
	e, ok := b.byID[id]
	if !ok {
		return
	}
	s, err := history.DataOf[history.ShotData](e)
	if err != nil {
		return
	}
	f.Photo, f.Taken = s.Photo, s.TakenAt
	if s.Calibration == "" && s.Layout == "" {
		return
	}
	f.Card = &CardFacts{Layout: s.Layout, Calibration: s.Calibration}
	if c, ok := b.cards[s.Calibration]; ok {
		f.Card.Sheet, f.Card.At = c.Sheet, c.At
	}
}
