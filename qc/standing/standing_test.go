package standing_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/standing"
)

type bench struct {
	*histtest.Device
	at histtest.Place
}

func newBench(spec *qc.Spec) *bench {
	b := &bench{Device: histtest.NewDevice(1, "Ines K.", history.Builder)}
	b.at.Project = b.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}).ID
	b.at.Part = b.Put(b.at.Draft(history.KindPart, history.PartData{Name: "Corner gusset, left", Spec: spec})).ID
	b.at.Location = b.Put(b.at.Draft(history.KindLocation, history.LocationData{Tag: "R8"})).ID
	return b
}

func (b *bench) do(k history.Kind, data any) string { return b.Put(b.at.Draft(k, data)).ID }

func (b *bench) view(t *testing.T) standing.View {
	t.Helper()
	v, ok := standing.Of(history.StateOf(b.Wrote), b.at.Location)
	if !ok {
		t.Fatal("the location is not there")
	}
	return v
}

// Where a hole is what is meant to stay, no rivet is offered.
func TestNoRivetIntoAHoleThatStays(t *testing.T) {
	if v := newBench(&qc.Spec{Kind: qc.Hole, NominalMM: 4.7625}).view(t); slices.Contains(v.Next, standing.SetRivet) {
		t.Errorf("%q", v.Next)
	}
	s := histtest.ShopHead()
	if v := newBench(&s).view(t); !slices.Contains(v.Next, standing.SetRivet) {
		t.Errorf("where a rivet is meant to stand: %q", v.Next)
	}
}

// From marked to a second rivet: which look stands, what its hole was, what can be done.
func TestOneRivetAfterTheOther(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	step := func(name string, now, looks, hole int, whole qc.Verdict, headline string, next standing.Next) {
		t.Helper()
		v := b.view(t)
		if v.Now != now || len(v.Looks) != looks || len(v.Hole) != hole || v.Next[0] != next || v.Location.Whole != whole {
			t.Errorf("%s: now %d of %d, hole %d, next %q, %q", name, v.Now, len(v.Looks), len(v.Hole), v.Next, v.Location.Whole)
		}
		if l := v.Current(); l != nil && (l.Headline != headline || l.Whole != whole || len(l.Missing) != v.Location.NotRead) {
			t.Errorf("%s: %q, %q, %+v", name, l.Headline, l.Whole, l.Missing)
		}
	}
	photo := histtest.PhotoHash(nil)
	step("marked", -1, 0, 0, "", "", standing.Photo)
	b.do(history.KindFinding, histtest.HoleFinding("", photo, 4.86))
	step("hole", 0, 1, 3, qc.Unread, "within, 1 not read", standing.Gauge) // its pitch
	b.do(history.KindAttempt, history.AttemptData{})
	step("set", -1, 1, 3, "", "", standing.Photo)
	f := b.do(history.KindFinding, histtest.HeadFinding("", photo, 6.62, 12)) // 6.55 at the least
	step("too close", 1, 2, 3, qc.TooClose, "can't tell", standing.Gauge)
	b.do(history.KindGauge, histtest.GaugeReading(f, 6.5))
	step("out by hand", 1, 2, 3, qc.Out, "out", standing.Gauge) // its height
	b.do(history.KindGauge, histtest.HeightReading(f, 2.4))
	step("no higher than it may be", 1, 2, 3, qc.Out, "out", standing.DrillOut)
	v := b.view(t)
	l := v.Current()
	if own := v.Own[f]; own.Whole != qc.TooClose || len(l.Entries) != 3 || l.Attempt != 1 {
		t.Errorf("the finding by itself: %+v", own)
	}
	b.do(history.KindDrilledOut, history.DrilledOutData{})
	step("drilled out", -1, 2, 3, "", "", standing.Photo) // its hole, before it is filled again
	look := func() qc.Kind { v := b.view(t); return standing.LookFor(v.Location, v.Spec) }
	if k := look(); k != qc.Hole {
		t.Errorf("after drilling out a photo shows %q", k)
	}
	if v := b.view(t); (&v).Last() == nil || (&v).Last().Whole != qc.Out {
		t.Error("what stood there before is not told")
	}
	b.do(history.KindAttempt, history.AttemptData{})
	if k := look(); k != qc.ShopHead {
		t.Errorf("of a new rivet a photo shows %q", k)
	}
	b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.4, 12))
	step("second rivet", 2, 3, 3, qc.Unread, "within, 1 not read", standing.Gauge)
}

// After a second hole was measured it is that one that counts, not the first rivet's.
func TestTheLastHoleCounts(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	photo := histtest.PhotoHash(nil)
	for _, mm := range []float64{4.86, 4.93} {
		b.do(history.KindFinding, histtest.HoleFinding("", photo, mm))
		b.do(history.KindAttempt, history.AttemptData{})
		b.do(history.KindDrilledOut, history.DrilledOutData{})
		if v := b.view(t); !slices.ContainsFunc(v.Hole, func(r qc.Reading) bool { return r.Quantity == qc.HoleDMin && math.Abs(r.ValueMM-mm) < 0.03 }) {
			t.Errorf("the hole of %.2f mm is not the last: %+v", mm, v.Hole)
		}
	}
}

// A mark that was measured is no hole: what the drill made of it nobody knows.
func TestAMarkIsNoHole(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	mark := histtest.HoleFinding("", histtest.PhotoHash(nil), 4.86)
	mark.Spec.Mark = true
	b.do(history.KindFinding, mark)
	b.do(history.KindAttempt, history.AttemptData{})
	if v := b.view(t); len(v.Hole) > 0 {
		t.Errorf("the hole under the rivet is a mark's: %+v", v.Hole)
	}
}

// What was seen by eye counts beside what was measured.
func TestAnswersCountInASummary(t *testing.T) {
	within := qc.Check{Reading: qc.Reading{Quantity: qc.Pitch, ValueMM: 20, UMM: 0.1}, Limit: qc.Limit{Quantity: qc.Pitch, MinMM: 15}, Verdict: qc.Within, UMM: 0.1}
	for _, c := range []struct{ seen, want qc.Verdict }{{"", qc.Within}, {qc.Within, qc.Within}, {qc.TooClose, qc.TooClose}, {qc.Out, qc.Out}} {
		if got := standing.Summarize([]qc.Check{within}, nil, nil, c.seen); got.Verdict != c.want || got.Headline != c.want.String() {
			t.Errorf("within, and seen %q: %q, %q", c.seen, got.Verdict, got.Headline)
		}
	}
}

func TestNothingIsKnownOfALocationThatIsNotThere(t *testing.T) {
	if _, ok := standing.Of(history.StateOf(nil), "01a19b46-a260-75ae-ace3-4572a4d8e3c2"); ok {
		t.Error("a location out of nothing")
	}
}

// The narrowest choice of limits is in force.
func TestLimitsInForce(t *testing.T) {
	plain := qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625}
	entered := plain
	entered.LimitSet = "rule"
	own := &qc.OwnLimits{Name: "hatch", Reference: "BH-112", Limits: []qc.OwnLimit{{Quantity: "pitch", MinMM: 20}}}
	mil := &history.LimitsData{Set: "mil", Own: own}
	for _, c := range []struct {
		name   string
		p      history.Project
		pt     history.Part
		l      *history.Location
		set    string
		own    bool
		origin standing.Origin
	}{
		{"nobody chose", history.Project{LimitSet: qc.DefaultSet}, history.Part{Spec: &plain}, nil, "handbook", false, standing.ByDefault},
		{"the project", history.Project{LimitSet: "mil"}, history.Part{Spec: &plain}, nil, "mil", false, standing.ByProject},
		{"entered with the part's fastener", history.Project{LimitSet: "mil"}, history.Part{Spec: &entered}, nil, "rule", false, standing.ByPart},
		{"the part", history.Project{}, history.Part{Spec: &entered, Limits: mil}, &history.Location{}, "mil", true, standing.ByPart},
		{"entered with the location's fastener", history.Project{LimitSet: "mil"}, history.Part{Spec: &plain}, &history.Location{Spec: &entered}, "rule", false, standing.ByLocation},
		{"the location", history.Project{}, history.Part{Spec: &plain, Limits: &history.LimitsData{Set: "rule"}}, &history.Location{Limits: mil}, "mil", true, standing.ByLocation},
		{"the location's fastener under the part's limits", history.Project{}, history.Part{Spec: &plain, Limits: mil}, &history.Location{Spec: &entered}, "mil", true, standing.ByPart},
	} {
		s, origin := standing.InForce(c.p, c.pt, c.l)
		if s == nil || s.LimitSet != c.set || (s.Own != nil) != c.own || origin != c.origin {
			t.Errorf("%s: %+v by %q", c.name, s, origin)
		}
	}
	if s, _ := standing.InForce(history.Project{LimitSet: "mil"}, history.Part{}, &history.Location{Limits: mil}); s != nil {
		t.Errorf("nothing is meant to stand there yet: %+v", s)
	}
	if entered.LimitSet != "rule" || plain.LimitSet != "" {
		t.Error("the part's own spec was changed")
	}
}

// Whatever happens at a location: its view agrees with its state, and no list is null.
func TestViewAgreesWithTheState(t *testing.T) {
	for seed := range uint64(20) {
		w := histtest.NewWorld(seed)
		for i := range 120 {
			w.Step(int((seed*31+uint64(i)*17)%histtest.Actions), int(uint64(i)%3))
		}
		st := history.StateOf(w.All())
		for _, p := range w.Locations {
			v, _ := standing.Of(st, p.Location)
			l := v.Location
			if (v.Now >= 0) != (l.Finding != "") || v.Looks == nil || v.Hole == nil || len(v.Next) == 0 {
				t.Fatalf("seed %d: %+v", seed, v)
			}
			if c := v.Current(); c != nil && (c.Verdict != l.Verdict || c.Whole != l.Whole || len(c.Missing) != l.NotRead || !slices.Contains(c.Entries, l.Finding)) {
				t.Fatalf("seed %d: look %q %q, state %q %q", seed, c.Verdict, c.Whole, l.Verdict, l.Whole)
			}
			for _, k := range v.Looks {
				if k.Whole == qc.Unread != strings.Contains(k.Headline, "not read") {
					t.Fatalf("seed %d: %q is headed %q", seed, k.Whole, k.Headline)
				}
				if k.Governing >= 0 && k.Checks[k.Governing].Verdict != k.Verdict && k.Verdict != qc.Out {
					t.Fatalf("seed %d: %q governed by %+v", seed, k.Verdict, k.Checks[k.Governing])
				}
			}
		}
	}
}
