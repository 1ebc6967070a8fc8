package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/spec"
	"bucktail/qc/standing"
)

// judgeIn is what was read and seen at one place, with what is meant to stand there.
type judgeIn struct {
	Spec     qc.Spec      `json:"spec"`
	Readings []qc.Reading `json:"readings"`
	// Location where it is one already: what its hole measured before the rivet was set counts.
	Location string      `json:"location,omitempty"`
	Beside   []string    `json:"beside,omitempty"` // the other locations that the photo shows
	Answers  []qc.Answer `json:"answers,omitempty"`
}

// judged is what a finding would keep, and what a screen shows of it.
type judged struct {
	Result         qc.Result      `json:"result"`
	AnswersVerdict qc.Verdict     `json:"answers_verdict"`
	Suggest        qc.Disposition `json:"suggest"`
	Unlooked       []qc.Question  `json:"unlooked"`
	Planned        []qc.Reading   `json:"planned"` // what the layout says beside: kept with the readings
	standing.Summary
}

// handIn is what a hand gauge read at a location.
type handIn struct {
	Location string       `json:"location"`
	Readings []qc.Reading `json:"readings"`
}

// handOut is what the entry of a hand reading would keep, and how the location would stand then.
type handOut struct {
	Finding string           `json:"finding,omitempty"` // that it is about
	Spec    qc.Spec          `json:"spec"`
	Result  qc.Result        `json:"result"`
	Then    standing.Summary `json:"then"`
	Notes   []string         `json:"notes"`
}

// limitOut is a limit with how it was had, and the published one that it goes before.
type limitOut struct {
	qc.Limit
	From          string `json:"from"`
	PublishedFrom string `json:"published_from,omitempty"`
}

func withFrom(ls []qc.Limit) []limitOut {
	out := make([]limitOut, len(ls))
	for i, l := range ls {
		out[i] = limitOut{Limit: l, From: l.Provenance()}
		if l.Published != nil {
			out[i].PublishedFrom = l.Published.Provenance()
		}
	}
	return out
}

// reworkOut is a plan to drill a rivet out, with how each limit was had.
type reworkOut struct {
	qc.Rework
	HoleCheck []limitOut `json:"hole_check"`
	NextSize  *nextSize  `json:"next_size"`
}

// nextSize is what the next larger rivet would come to.
type nextSize struct {
	Name string `json:"name"`
	standing.Summary
}

// idInUnits asks for what is said of a location, with its lengths as the builder reads them.
type idInUnits struct {
	idIn
	Units qc.Units `json:"units"`
}

type shownIn struct {
	Units     qc.Units `json:"units"`
	Fractions bool     `json:"fractions,omitempty"`
	MM        float64  `json:"mm"`
	UMM       float64  `json:"u_mm,omitempty"`
}

type shown struct {
	Number   string `json:"number"`
	Value    string `json:"value"`
	WithU    string `json:"with_u"`
	Fraction string `json:"fraction"` // with its remainder
}

func init() {
	bridge.On("judge", func(in judgeIn, _ []byte) (any, error) {
		var hole []qc.Reading
		if v, ok := standing.Of(&state, in.Location); ok && in.Spec.Kind != qc.Hole {
			hole = v.Hole
		}
		planned, other := standing.Planned(&state, in.Location, append(slices.Clone(in.Readings), hole...))
		readings := append(slices.Clone(in.Readings), planned...)
		res, err := qc.JudgeLocation(in.Spec, readings, hole)
		if err != nil {
			return nil, badSpec(err)
		}
		if n := standing.NotJudged(other); n != "" {
			res.Notes = append(res.Notes, n)
		}
		if n := standing.OtherStack(&state, in.Location, in.Beside); n != "" {
			res.Notes = append(res.Notes, n)
		}
		seen := qc.AnswersVerdict(in.Answers)
		return judged{res, seen, qc.Suggest(in.Spec.Kind, res.Checks, seen), qc.Unlooked(in.Spec.Kind, in.Answers), append([]qc.Reading{}, planned...),
			standing.Summarize(res.Checks, readings, res.Unread, seen)}, nil
	})
	bridge.On("hand", func(in handIn, _ []byte) (any, error) {
		v, ok := standing.Of(&state, in.Location)
		if !ok {
			return nil, fmt.Errorf("there is no location %q", in.Location)
		}
		h, err := v.ByHand(in.Readings)
		if err != nil {
			return nil, badSpec(err)
		}
		return handOut{h.Finding, h.Spec, h.Result, h.Then, append([]string{}, h.Notes...)}, nil
	})
	bridge.On("rework", func(in idInUnits, _ []byte) (any, error) {
		v, ok := standing.Of(&state, in.ID)
		if !ok {
			return nil, notThere
		}
		rw, err := v.Rework(in.Units)
		if err != nil {
			return nil, badSpec(err)
		}
		out := reworkOut{Rework: rw, HoleCheck: withFrom(rw.HoleCheck)}
		if n := rw.NextSize; n != nil {
			out.NextSize = &nextSize{n.Name, standing.Summarize(n.Checks, nil, n.Unread, "")}
		}
		return out, nil
	})
	bridge.On("advice", func(in idInUnits, _ []byte) (any, error) {
		v, ok := standing.Of(&state, in.ID)
		if !ok {
			return nil, fmt.Errorf("there is no location %q", in.ID)
		}
		return v.Advise(in.Units), nil
	})
	bridge.On("limits", func(in qc.Spec, _ []byte) (any, error) {
		ls, err := in.Limits()
		if err != nil {
			return nil, badSpec(err)
		}
		d, h, ok := in.Expected()
		return map[string]any{"limits": withFrom(ls), "expected": map[string]any{"diameter_mm": d, "height_mm": h, "in_table": ok}}, nil
	})
	// size reads a size; what the form says beside it tells which hole a drill makes.
	bridge.On("size", func(in struct {
		Text  string   `json:"text"`
		Kind  qc.Kind  `json:"kind,omitempty"`
		Rivet qc.Rivet `json:"rivet,omitempty"`
		Hole  qc.Stage `json:"hole,omitempty"`
	}, _ []byte) (any, error) {
		s, err := qc.ParseSize(in.Text, qc.Use{Kind: in.Kind, Rivet: in.Rivet, Hole: in.Hole})
		if err != nil {
			return nil, said("bad-size", err, "")
		}
		return s, nil
	})
	bridge.On("own", func(in struct {
		JSON string `json:"json"`
	}, _ []byte) (any, error) {
		o, err := qc.ReadOwnLimits(strings.NewReader(in.JSON))
		if err != nil {
			return nil, said("bad-limits", err, "")
		}
		return o, nil
	})
	// handbook gives what choices are made from: it never changes while the program runs.
	bridge.On("handbook", func(bridge.None, []byte) (any, error) {
		return map[string]any{
			"kinds": qc.Kinds, "stages": qc.Stages, "dispositions": qc.Dispositions, "sets": qc.Sets, "default_set": qc.DefaultSet,
			"questions": qc.Questions, "verdicts": qc.Verdicts, "solid": spec.SolidRivets, "pulled": spec.PulledRivets, "caution": qc.PhotoCaution,
		}, nil
	})
	bridge.On("show", func(in []shownIn, _ []byte) (any, error) {
		out := make([]shown, len(in))
		for i, s := range in {
			out[i] = shown{s.Units.Number(s.MM), s.Units.Value(s.MM), s.Units.WithU(s.MM, s.UMM), qc.NearestFraction(s.MM).Exact()}
		}
		return out, nil
	})
}

func badSpec(err error) error {
	return said("bad-spec", err, "check the kind, the size and the limits")
}

// said turns an error about what was typed into a refusal: it is shown as it is.
func said(code string, err error, do string) error {
	var r *qc.Refusal
	if errors.As(err, &r) {
		return r
	}
	text := err.Error()
	if do == "" { // "what is wrong: what to write"
		if what, how, ok := strings.Cut(text, ": "); ok {
			text, do = what, how
		}
	}
	return &qc.Refusal{Code: code, Text: text, Do: do}
}
