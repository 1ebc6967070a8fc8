package qc

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Disposition says what is to be done about a finding.
type Disposition string

// The dispositions; the last two are the inspector's own.
const (
	DrillOut  Disposition = "drill out"
	Keep      Disposition = "keep"
	ReMeasure Disposition = "re-measure"
	Refer     Disposition = "refer to the designer"
	Confirmed Disposition = "confirmed"
	Rejected  Disposition = "rejected"
)

// Dispositions lists all in the order in which they are shown.
var Dispositions = []Disposition{DrillOut, Keep, ReMeasure, Refer, Confirmed, Rejected}

// PhotoCaution stands beside every verdict.
const PhotoCaution = "A photo can't prove that a rivet is sound. The aircraft's own drawings and manual come first, " +
	"then the local authority's rules; an inspector who looks at the part confirms."

// Finding is the verdicts at one location in one attempt with the visual answers, and what is
// to be done.
type Finding struct {
	ID       string   `json:"id"`
	Location string   `json:"location"`
	Attempt  int      `json:"attempt"` // from 1; 0 for a hole before its first rivet
	Stage    Stage    `json:"stage"`
	Spec     Spec     `json:"spec"`
	Result   Result   `json:"result"`
	Answers  []Answer `json:"answers,omitempty"`

	Disposition Disposition `json:"disposition,omitempty"`
	Reason      string      `json:"reason,omitempty"` // why, in the builder's words

	By string    `json:"by,omitempty"` // who
	At time.Time `json:"at"`           // when, as the caller's clock says
}

// Verdict is the worst of the checks and of the answers. `within` needs checks: looking alone
// measures nothing.
func (f Finding) Verdict() Verdict {
	worst := f.Result.Verdict
	for _, a := range f.Answers {
		if q, ok := questionByID(a.Question); ok && a.Seen == Yes {
			worst = Worst(worst, q.Verdict)
		}
	}
	return worst
}

// Unlooked lists the questions for the kind that nobody has answered yet.
func (f Finding) Unlooked() []Question {
	seen := map[string]bool{}
	for _, a := range f.Answers {
		if a.Seen == Yes || a.Seen == No {
			seen[a.Question] = true
		}
	}
	var out []Question
	for _, q := range QuestionsFor(f.Spec.Kind) {
		if !seen[q.ID] {
			out = append(out, q)
		}
	}
	return out
}

func questionByID(id string) (Question, bool) {
	for _, q := range Questions {
		if q.ID == id {
			return q, true
		}
	}
	return Question{}, false
}

// Suggest proposes a disposition; the builder decides. A rivet is drilled out for what a new
// rivet can cure: not for its edge distance or pitch, nor for the wrong hole, which go to the
// designer. "" means that nothing was judged.
func (f Finding) Suggest() Disposition {
	v := f.Verdict()
	switch v {
	case Within:
		return Keep
	case TooClose:
		return ReMeasure
	case Out:
	default:
		return ""
	}
	for _, c := range f.Result.Checks {
		if c.Verdict == Out && (c.Limit.Quantity == EdgeDistance || c.Limit.Quantity == Pitch) {
			return Refer
		}
	}
	if f.Spec.Kind == Hole {
		return Refer
	}
	return DrillOut
}

// Valid says what is wrong with a finding, nil if nothing.
func (f Finding) Valid() error {
	if err := f.Spec.Valid(); err != nil {
		return err
	}
	for _, a := range f.Answers {
		if _, ok := questionByID(a.Question); !ok {
			return fmt.Errorf("question %q is not known", a.Question)
		}
		if a.Seen != Yes && a.Seen != No && a.Seen != NotLooked {
			return fmt.Errorf("answer %q to question %q is not known: yes, no or not looked", a.Seen, a.Question)
		}
	}
	if f.Disposition == "" {
		return nil
	}
	known := false
	for _, d := range Dispositions {
		known = known || d == f.Disposition
	}
	if !known {
		return fmt.Errorf("disposition %q is not known: choose one of %q", f.Disposition, Dispositions)
	}
	if f.Disposition == Keep && f.Verdict() != Within && strings.TrimSpace(f.Reason) == "" {
		return errors.New("a rivet that is not within can be kept only with a reason")
	}
	return nil
}
