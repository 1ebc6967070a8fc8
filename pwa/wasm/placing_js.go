package main

import (
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc/history"
	"bucktail/qc/placing"
	"bucktail/qc/standing"
)

// draftOut is an entry to be written, in the spelling of record.make.
type draftOut struct {
	Kind       history.Kind `json:"kind"`
	Project    string       `json:"project"`
	Part       string       `json:"part"`
	Location   string       `json:"location"`
	Supersedes []string     `json:"supersedes,omitempty"`
	Why        string       `json:"why,omitempty"`
	Data       any          `json:"data"`
}

func init() {
	// placing tells which locations of a part a photo shows, and what must be asked.
	bridge.On("placing", func(in placing.Question, _ []byte) (any, error) { return placing.Of(&state, in), nil })
	// placing.next tells which locations a next photo is expected to show.
	bridge.On("placing.next", func(in struct {
		Part  string   `json:"part"`
		Saved []string `json:"saved"`
	}, _ []byte) (any, error) {
		return placing.Next(&state, in.Part, in.Saved), nil
	})
	// lay plans a part's pins from the places that its photos measured.
	bridge.On("lay", func(in idIn, _ []byte) (any, error) { return draftsOut(placing.Lay(&state, in.ID)), nil })
	// tight holds pins against the limits in force while they are placed.
	bridge.On("tight", func(in struct {
		Part string        `json:"part"`
		Pins []history.Pin `json:"pins"`
	}, _ []byte) (any, error) {
		out, scaled := placing.Tights(&state, in.Part, in.Pins)
		return map[string]any{"tight": append([]placing.Tight{}, out...), "scaled": scaled}, nil
	})
	// move plans to put a finding where it belongs.
	bridge.On("move", func(in struct {
		Finding string `json:"finding"`
		To      string `json:"to"`
	}, _ []byte) (any, error) {
		drafts, err := standing.Move(&state, in.Finding, in.To)
		return draftsOut(drafts), err
	})
	// like plans a part that is made from another one, as it is or mirrored.
	bridge.On("like", func(in struct {
		Part     string `json:"part"`
		Name     string `json:"name"`
		Drawing  string `json:"drawing"`
		Mirrored bool   `json:"mirrored"`
	}, _ []byte) (any, error) {
		drafts, err := standing.LikeOf(&state, in.Part, in.Name, in.Drawing, in.Mirrored)
		return draftsOut(drafts), err
	})
	// family gathers the parts that were made from one another, and proposes the other hand's name.
	bridge.On("family", func(in idIn, _ []byte) (any, error) {
		p, _, _ := state.Part(in.ID)
		return struct {
			standing.Family
			OtherHand string `json:"other_hand"`
		}{standing.FamilyOf(&state, in.ID), standing.OtherHand(p.Name)}, nil
	})
	bridge.On("order", func(in idIn, _ []byte) (any, error) { return standing.OrderOf(&state, in.ID), nil })
}

func draftsOut(drafts []history.Draft) []draftOut {
	out := make([]draftOut, len(drafts))
	for i, d := range drafts {
		out[i] = draftOut(d)
	}
	return out
}
