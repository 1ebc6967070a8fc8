package standing_test

import (
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// What the gauge form shows before saving is how the location stands after it.
func TestBeforeSavingIsAsAfter(t *testing.T) {
	s := histtest.ShopHead()
	edge := func(mm float64) qc.Reading {
		return qc.Reading{Quantity: qc.EdgeDistance, ValueMM: mm, UMM: 0.05, How: qc.ByGauge, Method: "calipers", FromShank: true}
	}
	for _, c := range []struct {
		name  string
		hand  qc.Reading
		whole qc.Verdict
		note  string
	}{
		{"the photo's edge, from the shank", edge(9.72), qc.Unread, ""},
		{"an edge that can't be the photo's", edge(12), qc.TooClose, "edge distance by hand, 12.00 ± 0.05 mm, and on the photo, 9.60 ± 0.07 mm, differ"},
		{"a height", qc.Reading{Quantity: qc.HeadHeight, ValueMM: 2.4, UMM: 0.05, How: qc.ByGauge, Method: "calipers"}, qc.TooClose, ""},
	} {
		b := newBench(&s)
		f := b.do(history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 9.6)) // 9.525 at the least, the shank unseen
		v := b.view(t)
		h, err := v.ByHand([]qc.Reading{c.hand})
		if err != nil {
			t.Fatal(err)
		}
		if h.Finding != f || h.Then.Whole != c.whole || (c.note == "") != (len(h.Notes) == 0) || !strings.Contains(strings.Join(h.Notes, "; "), c.note) {
			t.Errorf("%s: %q, notes %q", c.name, h.Then.Headline, h.Notes)
		}
		b.do(history.KindGauge, history.GaugeData{Finding: h.Finding, Spec: h.Spec, Instrument: "calipers", Readings: []qc.Reading{c.hand}, Result: h.Result})
		v = b.view(t)
		now := v.Current()
		if now.Headline != h.Then.Headline || len(now.Checks) != len(h.Then.Checks) {
			t.Errorf("%s: %q before, %q after saving", c.name, h.Then.Headline, now.Headline)
		}
		for _, n := range h.Notes {
			if !slices.Contains(now.Notes, n) {
				t.Errorf("%s: after saving nothing says %q", c.name, n)
			}
		}
	}
}

func TestHandReadingNeedsASpec(t *testing.T) {
	v := newBench(nil).view(t)
	if _, err := v.ByHand([]qc.Reading{{Quantity: qc.HeadDMin, ValueMM: 7, UMM: 0.05, How: qc.ByGauge}}); err == nil {
		t.Error("judged by nothing")
	}
}
