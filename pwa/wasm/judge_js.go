package main

import (
	"errors"
	"strings"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/spec"
)

// judgeIn is a location's readings with what they are held against.
type judgeIn struct {
	Spec     qc.Spec      `json:"spec"`
	Readings []qc.Reading `json:"readings"`
	Hole     []qc.Reading `json:"hole,omitempty"` // of its hole, from before the rivet was set
	Answers  []qc.Answer  `json:"answers,omitempty"`
}

type judged struct {
	Result         qc.Result      `json:"result"`
	Verdict        qc.Verdict     `json:"verdict"` // with the answers
	AnswersVerdict qc.Verdict     `json:"answers_verdict"`
	Suggest        qc.Disposition `json:"suggest"`
	Unlooked       []qc.Question  `json:"unlooked"`
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
		res, err := qc.JudgeLocation(in.Spec, in.Readings, in.Hole)
		if err != nil {
			return nil, said("bad-spec", err, "check the kind, the size and the limits")
		}
		f := qc.Finding{Spec: in.Spec, Result: res, Answers: in.Answers}
		d := history.FindingData{Spec: in.Spec, Answers: in.Answers}
		d.JudgeAnswers()
		return judged{res, f.Verdict(), d.AnswersVerdict, f.Suggest(), f.Unlooked()}, nil
	})
	bridge.On("rework", func(in judgeIn, _ []byte) (any, error) {
		rw, err := qc.PlanRework(in.Spec, in.Readings, in.Hole)
		if err != nil {
			return nil, said("bad-spec", err, "check the kind, the size and the limits")
		}
		return rw, nil
	})
	bridge.On("limits", func(in qc.Spec, _ []byte) (any, error) {
		ls, err := in.Limits()
		if err != nil {
			return nil, said("bad-spec", err, "check the kind, the size and the limits")
		}
		d, h, ok := in.Expected()
		return map[string]any{"limits": ls, "expected": map[string]any{"diameter_mm": d, "height_mm": h, "in_table": ok}}, nil
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
			"questions": qc.Questions, "solid": spec.SolidRivets, "pulled": spec.PulledRivets, "caution": qc.PhotoCaution,
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
