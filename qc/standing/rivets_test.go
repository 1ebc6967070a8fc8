package standing_test

import (
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/rivetchoice"
	"bucktail/qc/standing"
)

// One part, two lengths: where an angle lies on top the rivet is another one; a stack in the gap between
// two rows is settled by the builder alone, and asked about again when the fastener changes.
func TestARivetBelongsToItsLocation(t *testing.T) {
	b := newBench(&qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}) // with R8
	part := b.at
	part.Location = ""
	b.Put(history.Draft{Kind: history.KindPart, Project: b.at.Project, Part: b.at.Part,
		Data: history.PartData{Layers: []history.Layer{{Name: "gusset", ThicknessMM: 0.813}, {Name: "tube", ThicknessMM: 1.6}}}})
	at := []string{b.at.Location}
	for _, tag := range []string{"R9", "R10", "R11"} {
		at = append(at, b.Put(part.Draft(history.KindLocation, history.LocationData{Tag: tag})).ID)
	}
	stack := func(i int, s history.Stack) {
		h := part
		h.Location = at[i]
		b.Put(h.Draft(history.KindLocation, history.LocationData{Stack: &s}))
	}
	layers := func(mm ...float64) (s history.Stack) {
		for _, t := range mm {
			s.Layers = append(s.Layers, rivetchoice.Layer{ThicknessMM: t})
		}
		return s
	}
	rivets := func() map[string]standing.Rivets {
		out := map[string]standing.Rivets{}
		for _, r := range standing.RivetsOf(history.StateOf(b.Wrote), b.at.Part) {
			out[strings.Join(r.Tags, " ")] = r
		}
		return out
	}
	if r := rivets()["R8 R9 R10 R11"]; r.Name != "number 42" || r.Own || len(r.Locations) != 4 {
		t.Fatalf("as the part: %+v", rivets())
	}
	stack(1, layers(0.813, 1.6, 1.6))
	stack(2, layers(1.6, 1.6))
	got := rivets()
	if r := got["R9"]; r.Name != "number 43" || !r.Own || r.Ask != "" {
		t.Errorf("with an angle on top: %+v", r)
	}
	// On one photo with the others: what stands on another sheet is told so, those among themselves not.
	st := history.StateOf(b.Wrote)
	if said := standing.OtherStack(st, at[1], at); !strings.Contains(said, "that of R8, R10, R11:") {
		t.Errorf("an angle on top of R9: %q", said)
	}
	if said := standing.OtherStack(st, at[0], []string{at[0], at[1], at[3]}); said != "" {
		t.Errorf("R8 beside R11, of the same stack, and R9: %q", said)
	}
	if said := standing.OtherStack(st, at[0], []string{at[3], "", "new"}); said != "" {
		t.Errorf("R8 beside R11: %q", said)
	}
	if r := got["R10"]; r.Name != "" || !strings.Contains(r.Ask, "in the gap") {
		t.Errorf("in the gap: %+v", r)
	}
	tube := layers(0.813, 1.6)
	tube.Closed, tube.TubeMM = true, 25.4
	stack(3, tube)
	if one := rivets()["R11"]; len(one.Card.Inside) == 0 || !strings.Contains(one.CardIn(qc.Inches).Inside[0], " in past the stack") {
		t.Errorf("R11 in a tube, in inches: %+v", one)
	}
	stack(3, history.Stack{})
	if r := got["R8 R11"]; r.Name != "number 42" {
		t.Errorf("the others: %+v", got)
	}
	taken := layers(1.6, 1.6)
	taken.Rivet = "number 42"
	stack(2, taken)
	if r := rivets()["R10"]; r.Name != "number 42" || r.Ask != "" {
		t.Errorf("taken by the builder: %+v", r)
	}
	taken.Rivet = "number 44"
	stack(2, taken)
	if r := rivets()["R10"]; r.Name != "" || !strings.Contains(r.Ask, "look again") {
		t.Errorf("taken, and no longer one of them: %+v", r)
	}
	stack(2, history.Stack{})
	if r := rivets()["R8 R10 R11"]; r.Name != "number 42" || r.Own {
		t.Errorf("the part's again: %+v", rivets())
	}
}
