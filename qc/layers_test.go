package qc

import (
	"slices"
	"strings"
	"testing"
)

func inThe(layer string, r Reading) Reading {
	r.Layer = layer
	return r
}

var pulled4 = Spec{Kind: PulledHead, NominalMM: 3.175, Rivet: Pulled} // 2 D = 6.35

func edgesOf(cs []Check) map[string]Verdict {
	out := map[string]Verdict{}
	for _, c := range cs {
		if c.Limit.Quantity == EdgeDistance && c.Limit.MinMM > 0 {
			out[c.Limit.Layer] = c.Verdict
		}
	}
	return out
}

func TestEveryLayerHasAnEdge(t *testing.T) {
	laid := rd(EdgeDistance, 5, 1)
	laid.How = ByLayout
	rs := []Reading{rd(EdgeDistance, 9, 0.2), inThe("tube", gauge(EdgeDistance, 5, 0.3)), inThe("angle", laid)}
	res := judge(t, pulled4, rs, nil)
	got := edgesOf(res.Checks)
	if got[""] != Within || got["tube"] != Out || got["angle"] != Out || res.Verdict != Out {
		t.Errorf("%v, %s", got, res.Verdict)
	}
	// A layer's edge does not stand in for that of the sheet on the photo.
	res = judge(t, pulled4, rs[1:2], nil)
	if !slices.ContainsFunc(res.Unread, func(l Limit) bool { return l.Quantity == EdgeDistance && l.Layer == "" }) {
		t.Errorf("not unread: %+v", res.Unread)
	}
	if w := rs[1].What(); w != "edge distance in the tube" {
		t.Error(w)
	}
	// Out only by the layout: somebody measures it before anything else is done.
	if got := Suggest(PulledHead, judge(t, pulled4, []Reading{rs[0], rs[2]}, nil).Checks, ""); got != ReMeasure {
		t.Errorf("%q", got)
	}
}

func TestAHandReadingOfALayerReplacesItsLayoutAlone(t *testing.T) {
	laid := inThe("tube", rd(EdgeDistance, 5, 1))
	laid.How = ByLayout
	rs := []Reading{rd(EdgeDistance, 9, 0.2), laid}
	hand := []Reading{inThe("tube", gauge(EdgeDistance, 9, 0.2))}
	h, err := JudgeHand(pulled4, hand, nil)
	if err != nil {
		t.Fatal(err)
	}
	st := Stand([]Look{{ID: "a", Readings: rs, Result: judge(t, pulled4, rs, nil)}, {ID: "b", Readings: hand, Result: h, ByHand: true}})
	if got := edgesOf(st.Checks); got["tube"] != Within || got[""] != Within || st.Readings[1].By != "b" || st.Readings[0].By != "" {
		t.Errorf("%v, %+v", got, st.Readings)
	}
}

func TestAFiledEdgeVoidsWhatWasReadOfIt(t *testing.T) {
	rs := []Reading{rd(EdgeDistance, 9, 0.2), inThe("tube", gauge(EdgeDistance, 8, 0.2)), rd(HeadDMin, 6.5, 0.05)}
	found := Look{ID: "a", Readings: rs, Result: judge(t, pulled4, rs, nil)}
	filed := Look{ID: "f", Filed: true}
	st := Stand([]Look{found, filed})
	got := edgesOf(st.Checks)
	if _, there := got[""]; there || got["tube"] != Within || st.Readings[0].By != "f" {
		t.Errorf("%v", got)
	}
	unread := MissingOf(st.Unread)
	if !slices.ContainsFunc(unread, func(m Missing) bool { return m.What == "edge distance" }) {
		t.Errorf("%+v", unread)
	}
	again := []Reading{gauge(EdgeDistance, 8.2, 0.2)}
	h, err := JudgeHand(pulled4, again, nil)
	if err != nil {
		t.Fatal(err)
	}
	st = Stand([]Look{found, filed, {ID: "g", Readings: again, Result: h, ByHand: true}})
	if got := edgesOf(st.Checks); got[""] != Within || slices.ContainsFunc(st.Unread, func(l Limit) bool { return l.Quantity == EdgeDistance }) {
		t.Errorf("measured anew: %v, %+v", got, st.Unread)
	}
	st = Stand([]Look{found, {ID: "f", Filed: true, Layer: "tube"}})
	if m := MissingOf(st.Unread); !slices.ContainsFunc(m, func(m Missing) bool { return strings.Contains(m.What, "in the tube") }) {
		t.Errorf("%+v", m)
	}
}
