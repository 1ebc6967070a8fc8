package history

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bucktail/qc"
)

// Contested is one of several decisions about a finding that do not know of one another.
type Contested struct {
	Entry  string         `json:"entry"`
	At     time.Time      `json:"at"`
	Name   string         `json:"name"`
	Answer qc.Disposition `json:"answer"`
	Reason string         `json:"reason,omitempty"`
}

// contender is a decision that stands.
type contender struct {
	fact
	DecisionData
}

// strictness puts the strictest answer first.
var strictness = []qc.Disposition{qc.Rejected, qc.ReMeasure, qc.Confirmed}

// decide takes in a decision: those that its writer had seen give way to it, those that he had
// not stay beside it. A device knows its own earlier ones.
func (w *walk) decide(d contender) {
	w.decisions = slices.DeleteFunc(w.decisions, func(c contender) bool {
		return d.Seen == nil || c.Device == d.Device && c.Seq < d.Seq || slices.Contains(d.Seen, c.ID)
	})
	w.decisions = append(w.decisions, d)
	sortStablyBy(w.decisions, func(a, b contender) int {
		return cmp.Compare(slices.Index(strictness, a.Answer), slices.Index(strictness, b.Answer))
	})
}

// DecisionOf gives what decisions about one finding, in their order, come to: the strictest of those
// that no later one had seen; "" where there is none.
func DecisionOf(decisions []Entry) qc.Disposition {
	var w walk
	for _, e := range decisions {
		if d, err := DataOf[DecisionData](e); err == nil {
			w.decide(contender{fact{Entry: e}, d})
		}
	}
	if len(w.decisions) == 0 {
		return ""
	}
	return w.decisions[0].Answer
}

// disagree lists the decisions that stand where they are not of one mind.
func (w *walk) disagree() (out []Contested) {
	for _, c := range w.decisions {
		out = append(out, Contested{c.ID, c.At, c.Name, c.Answer, c.Reason})
	}
	if len(out) == 0 || out[0].Answer == out[len(out)-1].Answer { // sorted by answer
		return nil
	}
	return out
}

func disagreement(all []Contested) string {
	var parts []string
	for _, c := range all {
		parts = append(parts, fmt.Sprintf("%s: %s", c.Name, c.Answer))
	}
	return strings.Join(parts, "; ")
}

// pageTooOld says that a page with a decision on it is dated before the finding that it is said to
// decide; a day is left for time zones. Dates that are not written as YYYY-MM-DD can't be held
// against anything.
func pageTooOld(p *OnPaper, found time.Time) string {
	if p == nil {
		return ""
	}
	at, err := time.Parse(time.DateOnly, p.Date)
	if err != nil || found.IsZero() || !at.Before(found.UTC().Truncate(24*time.Hour).AddDate(0, 0, -1)) {
		return ""
	}
	return fmt.Sprintf("the page is dated %s, before the finding of %s that it is said to decide", p.Date, found.UTC().Format(time.DateOnly))
}

// Complete adds to a draft what the record knows and its writer need not: which decisions stand
// at this moment.
func (s *State) Complete(d *Draft) error {
	switch data := d.Data.(type) {
	case *DecisionData:
		data.Seen = []string{}
		for _, e := range s.about[Subject{OfLocation, d.Location}] {
			other, err := DataOf[DecisionData](e)
			if err == nil && e.Kind == KindDecision && s.decides(d.Location, other.Finding, data.Finding) {
				data.Seen = append(data.Seen, e.ID)
			}
		}
		if f := s.entry(d.Location, data.Finding); f.ID != "" {
			if why := pageTooOld(data.OnPaper, f.At); why != "" {
				return refuse("page-date", why, "look at the date on the page; where the page really is older, it decides an earlier finding")
			}
		}
	case *PartData:
		if d.Part != "" && data.Was != nil && !data.changed() {
			return refuse("nothing-changed", "nothing was changed", "change something, or go back")
		}
	case *SignOffData:
		data.Seen = []string{}
		for _, e := range s.Concerning(d.Part) {
			if objects(e) {
				data.Seen = append(data.Seen, e.ID)
			}
		}
	}
	return nil
}

// decides says whether two findings are one look at a location: the finding and the gauge readings on it.
func (s *State) decides(location, a, b string) bool {
	if a == b {
		return true
	}
	l, _ := s.Location(location)
	return l.IsCurrent(a) && l.IsCurrent(b)
}

func (s *State) entry(location, id string) Entry {
	for _, e := range s.about[Subject{OfLocation, location}] {
		if e.ID == id {
			return e
		}
	}
	return Entry{}
}

// objects says whether an entry is a decision that speaks against a part as it stands.
func objects(e Entry) bool {
	if e.Kind != KindDecision {
		return false
	}
	d, err := DataOf[DecisionData](e)
	return err == nil && d.Answer != qc.Confirmed
}
