package main

import (
	"errors"
	"strings"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/bend"
	"bucktail/qc/drillup"
	"bucktail/qc/gaugestudy"
	"bucktail/qc/layout"
	"bucktail/qc/rivetchoice"
	"bucktail/qc/shape"
)

func init() {
	// What is asked here says in which units the answer words lengths.
	bridge.On("layout", func(in struct {
		layout.Input
		In qc.Units `json:"units"`
	}, _ []byte) (any, error) {
		in.Units = in.In
		return asRefusal(layout.Lay(in.Input))
	})
	bridge.On("bend", func(in struct {
		bend.Input
		In qc.Units `json:"units"`
	}, _ []byte) (any, error) {
		in.Units = in.In
		return asRefusal(bend.Flatten(in.Input))
	})
	bridge.On("bend.choices", func(bridge.None, []byte) (any, error) {
		return map[string]any{"alloys": bend.Alloys(), "formulas": bend.Formulas}, nil
	})
	// drillup plans the drilling of a part's holes, with the temporary fasteners of its row.
	bridge.On("drillup", func(in struct {
		qc.Spec
		Row []string `json:"row"`
		In  qc.Units `json:"units"`
	}, _ []byte) (any, error) {
		d, err := drillup.Plan(in.Spec, in.In)
		return asRefusal(struct {
			drillup.Drilling
			Clamps []drillup.Clamps `json:"clamps"`
		}{d, d.Clamp(in.Row)}, err)
	})
	bridge.On("rivet", func(in struct {
		rivetchoice.Input
		In qc.Units `json:"units"`
	}, _ []byte) (any, error) {
		in.Units = in.In
		return asRefusal(rivetchoice.Choose(in.Input))
	})
	bridge.On("shape", func(in struct {
		shape.Input
		In qc.Units `json:"units"`
	}, _ []byte) (any, error) {
		in.Units = in.In
		return asRefusal(shape.Judge(in.Input))
	})
	// keep says what spacers imposed and what to impose next; twists are signed.
	bridge.On("keep", func(in struct {
		SpacersMM  [4]float64 `json:"spacers_mm"`
		ReleasedMM float64    `json:"released_mm"`
		UMM        float64    `json:"U_mm"`
		TargetMM   float64    `json:"target_mm"`
	}, _ []byte) (any, error) {
		return asRefusal(shape.Keep(shape.Spacers(in.SpacersMM), in.ReleasedMM, in.UMM, in.TargetMM))
	})
	// study.match finds the objects of a gauge study on each of its photos, study says what it comes to.
	bridge.On("study.match", func(in []gaugestudy.Photo, _ []byte) (any, error) { return gaugestudy.Match(in) })
	bridge.On("study", func(in gaugestudy.Input, _ []byte) (any, error) { return asRefusal(gaugestudy.Judge(in)) })
	// preparation proposes the list of each kind of part.
	bridge.On("preparation", func(bridge.None, []byte) (any, error) {
		out := map[string][]string{}
		for _, k := range drillup.PartKinds {
			out[k] = drillup.Preparation(k)
		}
		return out, nil
	})
}

// asRefusal words any error of the bench's helpers as what it is: about what was typed, "what is
// wrong: what to write".
func asRefusal(out any, err error) (any, error) {
	var r *qc.Refusal
	if err == nil || errors.As(err, &r) {
		return out, err
	}
	what, how, _ := strings.Cut(err.Error(), ": ")
	return nil, &qc.Refusal{Code: "bad-input", Text: what, Do: how}
}
