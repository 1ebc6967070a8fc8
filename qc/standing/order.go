package standing

import (
	"fmt"
	"slices"

	"bucktail/qc"
	"bucktail/qc/drillup"
	"bucktail/qc/history"
	"bucktail/qc/shape"
)

// Order is the order in which a part's rivets are set, and how far it is.
type Order struct {
	Rows       []Ordered `json:"rows"`
	CheckEvery int       `json:"check_every,omitempty"`
	// Source says whose order it is; Practice where the program proposes it.
	Source   string   `json:"source"`
	Proposed bool     `json:"proposed,omitempty"` // nobody has pinned one
	Warnings []string `json:"warnings"`
}

// Ordered is one rivet of the order.
type Ordered struct {
	Location string `json:"location"`
	Tag      string `json:"tag"`
	Set      bool   `json:"set,omitempty"`
	Check    bool   `json:"check,omitempty"` // the shape is measured after it
}

// The source of an order that the program proposes, and of another one that was pinned without a source.
const (
	Practice = "practice: from the middle outwards"
	OwnOrder = "the builder's own"
)

// OrderOf tells in which order a part's rivets are set. It warns where one was set before its turn,
// and where a measurement of the shape was skipped.
func OrderOf(st *history.State, part string) Order {
	p, _, _ := st.Part(part)
	o := Order{Source: Practice, Proposed: p.Order == nil, Rows: []Ordered{}, Warnings: []string{}}
	at := map[string]history.Location{}
	var spots []drillup.Spot
	for i, l := range st.Locations(part) {
		if l.Out || l.Stray {
			continue
		}
		at[l.ID] = l
		s := drillup.Spot{ID: l.ID, X: float64(i)}
		if xy, _, ok := placeOf(p, l); ok {
			s.X, s.Y = xy[0], xy[1]
		} else if l.Pin != nil {
			s.X, s.Y = l.Pin.X, l.Pin.Y
		}
		spots = append(spots, s)
	}
	ids := drillup.Order(spots)
	if d := p.Order; d != nil {
		pinned := slices.DeleteFunc(slices.Clone(d.Locations), func(id string) bool { _, ok := at[id]; return !ok })
		proposed := slices.Clone(ids)
		ids = append(pinned, slices.DeleteFunc(ids, func(id string) bool { return slices.Contains(pinned, id) })...)
		if !slices.Equal(ids, proposed) {
			o.Source = OwnOrder
		}
		o.CheckEvery = d.CheckEvery
		if d.Source != "" {
			o.Source = d.Source
		}
	}
	for i, id := range ids {
		l := at[id]
		o.Rows = append(o.Rows, Ordered{id, l.Tag, l.Stage == qc.SetRivet, o.CheckEvery > 0 && (i+1)%o.CheckEvery == 0 || i+1 == len(ids)})
	}
	o.warn(p, at)
	return o
}

func (o *Order) warn(p history.Part, at map[string]history.Location) {
	var set []string // ids of the entries that say that a rivet was set
	open := ""
	for _, r := range o.Rows {
		l := at[r.Location]
		switch {
		case r.Set:
			set = append(set, l.Attempts[len(l.Attempts)-1].Set)
			if open != "" {
				o.Warnings = append(o.Warnings, r.Tag+" was set before "+open+", whose turn it was")
				open = ""
			}
		case open == "":
			open = r.Tag
		}
	}
	measured := "" // the last measurement of the shape while or after it was riveted
	for _, s := range p.Shapes {
		if s.State == shape.Riveted || s.State == shape.Released {
			measured = max(measured, s.Entry)
		}
	}
	since := 0
	for _, id := range set {
		if id > measured {
			since++
		}
	}
	every := o.CheckEvery
	if every == 0 {
		every = len(o.Rows)
	}
	if wanted := len(p.Shapes) > 0 || o.CheckEvery > 0 || p.Like != nil && len(p.Like.Targets) > 0; wanted && since > 0 && since >= every {
		o.Warnings = append(o.Warnings, fmt.Sprintf("%d rivets were set since the shape was measured: measure it before the next one, for what is riveted in is not taken out again", since))
	}
}
