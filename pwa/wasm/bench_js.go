package main

import (
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/drillup"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/standing"
)

// shapeOut is a measurement with the part that it is of.
type shapeOut struct {
	history.Shape
	Part     string `json:"part"`
	PartName string `json:"part_name"`
}

// length is what was typed into one field, read.
type length struct {
	MM    *float64 `json:"mm,omitempty"` // nil: nothing was typed, or it could not be read
	Wrong string   `json:"wrong,omitempty"`
}

func init() {
	// lengths reads what was typed into the fields of a form; a number alone is in the given units.
	bridge.On("lengths", func(in struct {
		Units qc.Units          `json:"units"`
		Texts map[string]string `json:"texts"`
	}, _ []byte) (any, error) {
		out := map[string]length{}
		for k, s := range in.Texts {
			if s == "" {
				out[k] = length{}
				continue
			}
			mm, err := qc.ParseLength(s, in.Units)
			if err != nil {
				out[k] = length{Wrong: err.Error()}
				continue
			}
			out[k] = length{MM: &mm}
		}
		return out, nil
	})
	// layout.outline draws a part that was laid out, without its holes.
	bridge.On("layout.outline", func(in layout.Input, _ []byte) (any, error) { return in.Outline(), nil })
	// drillup.next says which locations of a part may come to each stage, and to each step of the
	// preparation of its hole.
	bridge.On("drillup.next", func(in idIn, _ []byte) (any, error) {
		stages, preps := map[qc.Stage][]string{}, map[qc.Prep][]string{}
		for _, l := range state.Locations(in.ID) {
			if l.Out || l.Stray {
				continue
			}
			for _, s := range drillup.Next(l.Stage) {
				stages[s] = append(stages[s], l.ID)
			}
			if drillup.MaySet(l.Stage, l.Step) {
				stages[qc.SetRivet] = append(stages[qc.SetRivet], l.ID)
			}
			for _, p := range drillup.NextPrep(l.Stage, l.Step) {
				preps[p] = append(preps[p], l.ID)
			}
		}
		return map[string]any{"stages": stages, "preps": preps}, nil
	})
	bridge.On("pins", func(in struct {
		GoMM      float64 `json:"go_mm"`
		NoGoMM    float64 `json:"no_go_mm"`
		GoEnters  bool    `json:"go_enters"`
		NoGoEnter bool    `json:"no_go_enters"`
	}, _ []byte) (any, error) {
		return qc.Pins(in.GoMM, in.NoGoMM, in.GoEnters, in.NoGoEnter)
	})
	// layers says of each location of a part how far it is from the edges of its layers.
	bridge.On("layers", func(in idIn, _ []byte) (any, error) {
		out := map[string][]standing.Layered{}
		for _, l := range state.Locations(in.ID) {
			if !l.Out {
				out[l.ID] = standing.LayersOf(&state, l.ID)
			}
		}
		return out, nil
	})
	// state.shapes are the measurements of all parts that stand and still want something.
	bridge.On("state.shapes", func(bridge.None, []byte) (any, error) {
		out := []shapeOut{}
		for _, pr := range state.Projects() {
			for _, id := range state.Parts(pr.ID) {
				p, _, _ := state.Part(id)
				for _, s := range p.Shapes {
					if s.Waits() {
						out = append(out, shapeOut{s, id, p.Name})
					}
				}
			}
		}
		return out, nil
	})
	// legs gives the lines that photos show near the holes of a part: one may be that of a standing leg.
	bridge.On("legs", func(in idIn, _ []byte) (any, error) {
		type line struct {
			Tag     string     `json:"tag"`
			Reading qc.Reading `json:"reading"`
		}
		out := []line{}
		for _, l := range state.Locations(in.ID) {
			v, _ := standing.Of(&state, l.ID)
			rs := v.Hole
			if now := v.Current(); now != nil {
				rs = now.Current()
			}
			for _, r := range rs {
				if !l.Out && r.Quantity == qc.EdgeDistance && r.Layer == "" && r.How != qc.ByGauge {
					out = append(out, line{l.Tag, r})
				}
			}
		}
		return out, nil
	})
}
