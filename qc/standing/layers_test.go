package standing_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/layout"
	"bucktail/qc/sketch"
	"bucktail/qc/standing"
)

// A strip over a skin that ends 10 mm under it and a tube whose sides are no edges.
func overSkin(t *testing.T, mirrored bool) (history.LayoutData, layout.Answer) {
	t.Helper()
	to, from, width, start := 10.0, 0.0, 25.0, 4.0
	plan := layout.Input{Spec: qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}, Mirrored: mirrored,
		Legs: []layout.Leg{{WidthMM: 25, LengthMM: 80, ThicknessMM: 1, Layers: []layout.Layer{{Name: "skin", ToMM: &to},
			{Name: "tube", Tube: true, FromMM: &from, ToMM: &width, StartMM: &start}}}}}
	a, err := layout.Lay(plan)
	if err != nil {
		t.Fatal(err)
	}
	s := a.Sketch
	return history.LayoutData{WidthMM: s.Max[0] - s.Min[0], HeightMM: s.Max[1] - s.Min[1], Plan: &plan}, a
}

// pin is a place along and across the strip, as its layout picture has it.
func pin(a layout.Answer, along, across float64) *history.Pin {
	at := sketch.XY{along, across}
	if a.Sketch.Max[0] <= 1e-9 { // the other hand
		at[0] = -along
	}
	s := a.Sketch
	return &history.Pin{X: (at[0] - s.Min[0]) / (s.Max[0] - s.Min[0]), Y: (at[1] - s.Min[1]) / (s.Max[1] - s.Min[1])}
}

func TestLayersComeFromTheLayout(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		s := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
		b := newBench(&s)
		d, a := overSkin(t, mirrored)
		part := b.at
		part.Location = ""
		b.Put(part.Draft(history.KindLayout, d))
		b.Put(part.Draft(history.KindPart, history.PartData{Layers: []history.Layer{{Name: "strip", ThicknessMM: 1}, {Name: "angle", ThicknessMM: 1.6}}}))
		b.do(history.KindLocation, history.LocationData{Pin: pin(a, 12, 6)})
		st := history.StateOf(b.Wrote)
		got, other := standing.Planned(st, b.at.Location, nil)
		want := map[string]float64{"skin": 4, "tube": 8}
		for _, r := range got {
			if math.Abs(r.ValueMM-want[r.Layer]) > 1e-9 || r.How != qc.ByLayout || r.UMM <= 0 {
				t.Errorf("mirrored %t: %+v", mirrored, r)
			}
		}
		if len(got) != 2 || !slices.Equal(other, []string{"angle"}) || !strings.Contains(standing.NotJudged(other), "angle") {
			t.Errorf("mirrored %t: %d, not judged %v", mirrored, len(got), other)
		}
		// What was typed goes before the layout.
		got, other = standing.Planned(st, b.at.Location, []qc.Reading{{Quantity: qc.EdgeDistance, Layer: "skin"}, {Quantity: qc.EdgeDistance, Layer: "angle"}})
		if len(got) != 1 || got[0].Layer != "tube" || len(other) != 0 {
			t.Errorf("typed: %+v, %v", got, other)
		}
		verdicts := map[string]qc.Verdict{}
		for _, y := range standing.LayersOf(st, b.at.Location) {
			verdicts[y.Layer] = y.Verdict
		}
		if verdicts["skin"] != qc.Out || verdicts["tube"] != qc.Within || verdicts["angle"] != "" || len(verdicts) != 4 {
			t.Errorf("%v", verdicts)
		}
	}
}

// A filed edge is no more where it was laid out: it is not judged until it is measured anew.
func TestAFiledEdgeIsNotWhereItWasLaidOut(t *testing.T) {
	s := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
	b := newBench(&s)
	d, a := overSkin(t, false)
	part := b.at
	part.Location = ""
	b.Put(part.Draft(history.KindLayout, d))
	b.do(history.KindLocation, history.LocationData{Pin: pin(a, 12, 3)})
	b.do(history.KindFiled, history.FiledData{Edge: "far edge", Layer: "skin"})
	of := func(layer string) standing.Layered {
		for _, y := range standing.LayersOf(history.StateOf(b.Wrote), b.at.Location) {
			if y.Layer == layer {
				return y
			}
		}
		t.Fatalf("nothing is said of %s", layer)
		return standing.Layered{}
	}
	if y := of("skin"); y.Reading != nil || y.Verdict != "" {
		t.Errorf("filed, and still %s by %+v", y.Verdict, y.Reading)
	}
	if y := of("tube"); y.Reading == nil {
		t.Error("another layer's edge is forgotten with it")
	}
	r := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 6.6, UMM: 0.1, How: qc.ByGauge, Method: "calipers", Layer: "skin"}
	v := b.view(t)
	h, err := v.ByHand([]qc.Reading{r})
	if err != nil {
		t.Fatal(err)
	}
	b.do(history.KindGauge, history.GaugeData{Spec: h.Spec, Instrument: "calipers", Readings: []qc.Reading{r}, Result: h.Result})
	if y := of("skin"); y.Reading == nil || y.Reading.ValueMM != 6.6 || y.Verdict != qc.Within {
		t.Errorf("measured anew: %+v", y)
	}
}

func TestAStrayHoleIsANeighbour(t *testing.T) {
	s := qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}
	b := newBench(&s)
	d, a := overSkin(t, false)
	part := b.at
	part.Location = ""
	b.Put(part.Draft(history.KindLayout, d))
	b.do(history.KindLocation, history.LocationData{Pin: pin(a, 12, 12)})
	yes := true
	stray := b.Put(part.Draft(history.KindLocation, history.LocationData{Tag: "X1", Pin: pin(a, 18, 12), Stray: &yes})).ID
	st := history.StateOf(b.Wrote)
	rs, _ := standing.Planned(st, b.at.Location, nil)
	i := slices.IndexFunc(rs, func(r qc.Reading) bool { return r.Quantity == qc.Pitch })
	if i < 0 || math.Abs(rs[i].ValueMM-6) > 1e-9 || rs[i].Of.Location != stray {
		t.Fatalf("%+v", rs)
	}
	if c := qc.Judge(rs[i], qc.Limit{Quantity: qc.Pitch, MinMM: 9.525}); c.Verdict != qc.Out {
		t.Errorf("%s", c.Verdict)
	}
	if v, _ := standing.Of(st, stray); slices.Contains(v.Next, standing.SetRivet) {
		t.Error("a rivet is to be set in a stray hole")
	}
	rs, _ = standing.Planned(st, b.at.Location, []qc.Reading{{Quantity: qc.Pitch, Of: &qc.Target{Location: stray}}})
	if slices.ContainsFunc(rs, func(r qc.Reading) bool { return r.Quantity == qc.Pitch }) {
		t.Error("laid out although it was measured")
	}
}

// An edge that is filed after the rivet was set voids what its hole's photo said, too.
func TestAFiledEdgeIsMeasuredAnew(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	photo := histtest.PhotoHash(nil)
	b.do(history.KindFinding, histtest.HoleFinding("", photo, 4.86))
	b.do(history.KindAttempt, history.AttemptData{})
	b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.4, 12))
	edge := func(v standing.View) bool {
		return slices.ContainsFunc(v.Hole, func(r qc.Reading) bool { return r.Quantity == qc.EdgeDistance })
	}
	if v := b.view(t); !edge(v) {
		t.Fatal("the hole has no edge distance")
	}
	f := b.do(history.KindFiled, history.FiledData{Edge: "lower edge"})
	v := b.view(t)
	if edge(v) || v.Location.Whole != qc.Unread || len(v.Location.Filed) != 1 {
		t.Errorf("%s, %+v", v.Location.Whole, v.Location.Filed)
	}
	now := v.Current()
	if !slices.ContainsFunc(now.Missing, func(m qc.Missing) bool { return m.What == "edge distance" }) {
		t.Errorf("%+v", now.Missing)
	}
	h, err := v.ByHand([]qc.Reading{{Quantity: qc.EdgeDistance, ValueMM: 13, UMM: 0.1, How: qc.ByGauge, FromShank: true}})
	if err != nil {
		t.Fatal(err)
	}
	b.do(history.KindGauge, history.GaugeData{Finding: h.Finding, Spec: h.Spec, Instrument: "calipers",
		Readings: []qc.Reading{{Quantity: qc.EdgeDistance, ValueMM: 13, UMM: 0.1, How: qc.ByGauge, FromShank: true}}, Result: h.Result})
	if v := b.view(t); slices.ContainsFunc(v.Current().Missing, func(m qc.Missing) bool { return m.What == "edge distance" }) {
		t.Errorf("measured anew: %+v", v.Current().Missing)
	}
	if _, ok := v.Own[f]; !ok {
		t.Error("the filing is not among the entries")
	}
}
