package standing

import (
	"fmt"
	"reflect"
	"slices"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/rivetchoice"
)

// Rivets is a rivet that a part wants, and where: grip belongs to the location, and one part may want
// two lengths.
type Rivets struct {
	Name   string              `json:"name"` // its designation, "number 43"; "" while none is settled
	GripMM float64             `json:"grip_mm"`
	Layers []rivetchoice.Layer `json:"layers"`
	Own    bool                `json:"own,omitempty"` // the stack is that of these locations, not the part's
	// Ask says what must be settled before one is taken; "" where one stands.
	Ask string `json:"ask,omitempty"`
	// Locations by their ids, and by their tags in the same order.
	Locations []string         `json:"locations"`
	Tags      []string         `json:"tags"`
	Card      rivetchoice.Card `json:"-"`
	of        rivetchoice.Input
}

// CardIn is the card with what is said on it in u.
func (r Rivets) CardIn(u qc.Units) rivetchoice.Card {
	r.of.Units = u
	card, _ := rivetchoice.Choose(r.of) // which it was chosen by before
	return card
}

// RivetsOf groups the locations of a part by the rivet that their stack wants, in the order in which
// they come; those of whose stack or rivet nothing is said are left out.
func RivetsOf(st *history.State, part string) []Rivets {
	out := []Rivets{}
	p, _, ok := st.Part(part)
	if !ok {
		return out
	}
	pr := projectOf(st, p.Project)
	for _, l := range st.Locations(part) {
		if l.Out || l.Stray {
			continue
		}
		r, ok := rivetAt(pr, p, l)
		if !ok {
			continue
		}
		i := slices.IndexFunc(out, func(o Rivets) bool {
			return o.Name == r.Name && o.Own == r.Own && o.Ask == r.Ask && slices.Equal(o.Layers, r.Layers) &&
				reflect.DeepEqual(o.Card, r.Card)
		})
		if i < 0 {
			i, out = len(out), append(out, r)
		}
		out[i].Locations, out[i].Tags = append(out[i].Locations, l.ID), append(out[i].Tags, l.Tag)
	}
	return out
}

// rivetAt finds the rivet of one location: of its own stack, else of the part's layers. A rivet that
// was taken by hand stands as long as it is one of those that the stack admits.
func rivetAt(pr history.Project, p history.Part, l history.Location) (Rivets, bool) {
	spec, _ := InForce(pr, p, &l)
	if spec == nil {
		return Rivets{}, false
	}
	var of history.Stack
	if l.Stack != nil {
		of = *l.Stack
	} else {
		for _, x := range p.Layers {
			name := x.Name
			if name == "" {
				name = x.Material
			}
			of.Layers = append(of.Layers, rivetchoice.Layer{Name: name, ThicknessMM: x.ThicknessMM})
		}
	}
	in := rivetchoice.Input{Spec: *spec, Stack: of.Stack}
	card, err := rivetchoice.Choose(in)
	if err != nil {
		return Rivets{}, false
	}
	r := Rivets{GripMM: card.GripMM, Layers: of.Layers, Own: l.Stack != nil, Ask: card.Ask, Card: card, of: in}
	for _, c := range card.Candidates {
		if c.Name == of.Rivet || of.Rivet == "" && c.First {
			r.Name, r.Ask = c.Name, ""
		}
	}
	if of.Rivet != "" && r.Name == "" {
		r.Ask = fmt.Sprintf("%s was taken, and the stack wants another one now: look again", of.Rivet)
	}
	return r, true
}
