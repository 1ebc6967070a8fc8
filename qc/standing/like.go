package standing

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/shape"
)

// LikeOf drafts a part that is made from another one, as it is or as its other hand: layers, rivet,
// limits, layout, pins, and the targets of its shape, the twist's with its sign turned. It has tags
// and a history of its own. "@0" in a draft stands for the new part.
func LikeOf(st *history.State, part, name, drawing string, mirrored bool) ([]history.Draft, error) {
	p, _, ok := st.Part(part)
	switch {
	case !ok:
		return nil, refuse("not-there", "there is no such part", "choose another one")
	case strings.TrimSpace(name) == "":
		return nil, refuse("no-name", "the new part has no name", "name it")
	}
	draft := func(k history.Kind, data any) history.Draft {
		return history.Draft{Kind: k, Project: p.Project, Part: "@0", Data: data}
	}
	like := &history.Like{Part: part, Mirrored: mirrored, Targets: targetsOf(p, mirrored)}
	out := []history.Draft{{Kind: history.KindPart, Project: p.Project,
		Data: history.PartData{Name: name, Drawing: drawing, Layers: p.Layers, Spec: p.Spec, Like: like}}}
	if d := p.Layout; d != nil && !(mirrored && d.Photo != "") { // a photo of the one hand shows no other
		l := *d
		if l.Plan != nil {
			plan := *l.Plan
			plan.Name, plan.Mirrored = name, plan.Mirrored != mirrored
			l.Plan = &plan
		}
		out = append(out, draft(history.KindLayout, l))
	}
	if p.Limits != nil {
		out = append(out, draft(history.KindLimits, *p.Limits))
	}
	for _, l := range st.Locations(part) {
		if l.Out || l.Stray {
			continue
		}
		d := history.LocationData{Tag: l.Tag, Spec: l.Spec, Stack: l.Stack}
		if l.Pin != nil {
			pin := *l.Pin
			if mirrored {
				pin.X = 1 - pin.X
			}
			d.Pin = &pin
		}
		out = append(out, draft(history.KindLocation, d))
		if l.Limits != nil {
			of := draft(history.KindLimits, *l.Limits)
			of.Location = fmt.Sprintf("@%d", len(out)-1)
			out = append(out, of)
		}
	}
	return out, nil
}

// targetsOf are the targets of a part's shape as the other one has them.
func targetsOf(p history.Part, mirrored bool) []history.Target {
	var out []history.Target
	add := func(t history.Target) {
		if mirrored && t.Kind == shape.Twist {
			t.TargetMM = -t.TargetMM
		}
		if !slices.ContainsFunc(out, func(x history.Target) bool { return x.Name == t.Name }) {
			out = append(out, t)
		}
	}
	for _, s := range p.Shapes {
		if s.Stands && s.TargetMM != nil {
			add(history.Target{Name: s.Name, Kind: s.Kind, TargetMM: *s.TargetMM, ToleranceMM: s.ToleranceMM, Source: s.Source})
		}
	}
	if p.Like != nil {
		for _, t := range p.Like.Targets {
			add(t)
		}
	}
	return out
}

// Family are parts that were made from one another.
type Family struct {
	Parts []Member    `json:"parts"` // the first article first
	Rows  []FamilyRow `json:"rows"`
	// Waits says what the first article lacks until it was checked wholly; empty where it was.
	Waits []string `json:"waits"`
}

// Member is one part of a family.
type Member struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Mirrored bool   `json:"mirrored,omitempty"` // against the first article
}

// FamilyRow is one location, or one measure of the shape, over all parts.
type FamilyRow struct {
	Name  string `json:"name"`
	Shape bool   `json:"shape,omitempty"`
	Cells []Cell `json:"cells"` // one a part
}

// Cell is how one part's location stands.
type Cell struct {
	Location string     `json:"location,omitempty"` // "": this part has none of that name
	Whole    qc.Verdict `json:"whole,omitempty"`
	NotRead  int        `json:"not_read,omitempty"`
	Stage    qc.Stage   `json:"stage,omitempty"`
	Text     string     `json:"text,omitempty"` // of a measure of the shape: "released"
}

// FamilyOf gathers the parts that were made from one another, one of them given.
func FamilyOf(st *history.State, part string) Family {
	given, _, _ := st.Part(part)
	of := map[string]history.Part{}
	for _, id := range st.Parts(given.Project) {
		of[id], _, _ = st.Part(id)
	}
	// first walks back to the part that all of them come from; an entry can't name one that is made
	// later, but a record may be damaged, so that the way back is bounded.
	first := func(id string) (root string, mirrored bool) {
		for range of {
			l := of[id].Like
			if l == nil {
				break
			}
			if _, ok := of[l.Part]; !ok {
				break
			}
			id, mirrored = l.Part, mirrored != l.Mirrored
		}
		return id, mirrored
	}
	root, _ := first(part)
	f := Family{Parts: []Member{{ID: root, Name: of[root].Name}}, Rows: []FamilyRow{}, Waits: []string{}}
	for _, id := range st.Parts(given.Project) {
		if r, mirrored := first(id); r == root && id != root {
			f.Parts = append(f.Parts, Member{id, of[id].Name, mirrored})
		}
	}
	row := func(name string, isShape bool) *FamilyRow {
		i := slices.IndexFunc(f.Rows, func(r FamilyRow) bool { return r.Name == name && r.Shape == isShape })
		if i < 0 {
			i = len(f.Rows)
			f.Rows = append(f.Rows, FamilyRow{name, isShape, make([]Cell, len(f.Parts))})
		}
		return &f.Rows[i]
	}
	for k, m := range f.Parts {
		for _, l := range st.Locations(m.ID) {
			if !l.Out && !l.Stray {
				row(l.Tag, false).Cells[k] = Cell{Location: l.ID, Whole: l.Whole, NotRead: l.NotRead, Stage: l.Stage}
			}
		}
	}
	for k, m := range f.Parts {
		for _, s := range of[m.ID].Shapes {
			if s.Stands {
				row(s.Name, true).Cells[k] = Cell{Whole: s.Result.Verdict, Text: string(s.State)}
			}
		}
	}
	f.waits(of[root])
	return f
}

// waits says what keeps the first article from being checked wholly: each of its rivets set and
// within, each measure of its shape with a target released and within, its list done.
func (f *Family) waits(first history.Part) {
	for _, r := range f.Rows {
		switch c := r.Cells[0]; {
		case r.Shape:
		case c.Location == "":
		case c.Stage != qc.SetRivet:
			f.Waits = append(f.Waits, r.Name+": "+string(c.Stage))
		case c.Whole != qc.Within:
			f.Waits = append(f.Waits, r.Name+": "+qc.Headline(c.Whole, c.NotRead))
		}
	}
	for _, s := range first.Shapes {
		if s.Waits() {
			f.Waits = append(f.Waits, s.Name+": "+string(s.State))
		}
	}
	if p := first.Prep; p != nil && p.Left() > 0 {
		f.Waits = append(f.Waits, "its preparation list is not done")
	}
}

// OtherHand is the name of the other hand's part: left for right and right for left; "" where it
// names no side.
func OtherHand(name string) string {
	for _, w := range [][2]string{{"left", "right"}, {"Left", "Right"}, {"port", "starboard"}} {
		if strings.Contains(name, w[0]) {
			return strings.Replace(name, w[0], w[1], 1)
		}
		if strings.Contains(name, w[1]) {
			return strings.Replace(name, w[1], w[0], 1)
		}
	}
	return ""
}
