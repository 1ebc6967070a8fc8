package standing_test

import (
	"errors"
	"math"
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
	s := histtest.ShopHead()
	for _, mm := range [][2]float64{{1e9, 0.05}, {7, 1e9}, {math.NaN(), 0.05}} {
		var r *qc.Refusal
		v := newBench(&s).view(t)
		if _, err := v.ByHand([]qc.Reading{{Quantity: qc.EdgeDistance, ValueMM: mm[0], UMM: mm[1], How: qc.ByGauge}}); !errors.As(err, &r) || r.Do == "" {
			t.Errorf("%v: %v", mm, err)
		}
	}
}

// A hole that is measured by pins where a rivet is meant to stand is a hole: no rivet is set by it,
// and none is counted as an attempt.
func TestAHoleByPinsSetsNoRivet(t *testing.T) {
	s := histtest.ShopHead()
	pin := func(q qc.Quantity, mm float64) qc.Reading {
		return qc.Reading{Quantity: q, ValueMM: mm, UMM: 0.01, How: qc.ByGauge, Method: "pins"}
	}
	for _, c := range []struct {
		name    string
		before  func(b *bench)
		stage   qc.Stage
		attempt int
	}{
		{"only marked", func(*bench) {}, qc.FinalHole, 1},
		{"a pilot hole", func(b *bench) { b.do(history.KindStage, history.StageData{Stage: qc.PilotHole}) }, qc.PilotHole, 1},
		{"drilled out", func(b *bench) {
			f := b.do(history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 9.6))
			b.do(history.KindDrilledOut, history.DrilledOutData{Finding: f, Reason: "head too narrow"})
		}, qc.FinalHole, 2},
	} {
		b := newBench(&s)
		c.before(b)
		readings := []qc.Reading{pin(qc.HoleDMin, s.NominalMM+0.08), pin(qc.HoleDMax, s.NominalMM+0.1)}
		v := b.view(t)
		h, err := v.ByHand(readings)
		if err != nil {
			t.Fatal(err)
		}
		if h.Spec.Kind != qc.Hole || len(h.Result.Checks) == 0 {
			t.Errorf("%s: judged as %+v, checks %v", c.name, h.Spec, h.Result.Checks)
		}
		b.do(history.KindGauge, history.GaugeData{Spec: h.Spec, Instrument: "pins", Readings: readings, Result: h.Result})
		v = b.view(t)
		l := v.Location
		if l.Stage != c.stage || l.Attempt != c.attempt || l.Attempts[l.Attempt-1].Set != "" || v.NoHole() {
			t.Errorf("%s: stands as %s, attempt %d of %+v", c.name, l.Stage, l.Attempt, l.Attempts)
		}
		b.do(history.KindAttempt, history.AttemptData{})
		if l = b.view(t).Location; l.Attempt != c.attempt {
			t.Errorf("%s: the rivet that is set then is attempt %d", c.name, l.Attempt)
		}
	}
}

// An edge distance that is typed before a rivet is set leaves the place what it was: no rivet is set by
// it, and a mark is no hole.
func TestADistanceByHandSetsNoRivet(t *testing.T) {
	s := histtest.ShopHead()
	edge := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 10, UMM: 0.1, How: qc.ByGauge, Method: "calipers", Layer: "tube"}
	for _, stage := range []qc.Stage{qc.Marked, qc.PilotHole, qc.FinalHole, qc.SetRivet} {
		b := newBench(&s)
		switch stage {
		case qc.PilotHole, qc.FinalHole:
			b.do(history.KindStage, history.StageData{Stage: stage})
		case qc.SetRivet:
			b.do(history.KindAttempt, history.AttemptData{})
		}
		v := b.view(t)
		h, err := v.ByHand([]qc.Reading{edge})
		if err != nil {
			t.Fatal(err)
		}
		b.do(history.KindGauge, history.GaugeData{Spec: h.Spec, Instrument: "calipers", Readings: []qc.Reading{edge}, Result: h.Result})
		v = b.view(t)
		if v.Location.Stage != stage || (h.Spec.Kind == qc.Hole) != (stage != qc.SetRivet) {
			t.Errorf("%s: stands as %s, judged as %s", stage, v.Location.Stage, h.Spec.Kind)
		}
		if now := v.Current(); now == nil || len(now.Checks) == 0 || now.Verdict != qc.Within {
			t.Errorf("%s: not judged: %+v", stage, now)
		}
	}
}
