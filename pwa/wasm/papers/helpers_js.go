package main

import (
	"errors"
	"strings"

	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/bend"
	"bucktail/qc/drillup"
	"bucktail/qc/layout"
)

func init() {
	bridge.On("layout", func(in layout.Input, _ []byte) (any, error) { return asRefusal(layout.Lay(in)) })
	bridge.On("bend", func(in bend.Input, _ []byte) (any, error) { return asRefusal(bend.Flatten(in)) })
	bridge.On("bend.choices", func(bridge.None, []byte) (any, error) {
		return map[string]any{"alloys": bend.Alloys(), "formulas": bend.Formulas}, nil
	})
	// drillup plans the drilling of a part's holes, with the temporary fasteners of its row.
	bridge.On("drillup", func(in struct {
		qc.Spec
		Row []string `json:"row"`
	}, _ []byte) (any, error) {
		d, err := drillup.Plan(in.Spec)
		return asRefusal(struct {
			drillup.Drilling
			Clamps []drillup.Clamps `json:"clamps"`
		}{d, d.Clamp(in.Row)}, err)
	})
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
