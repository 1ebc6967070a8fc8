package qc

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func rd(q Quantity, value, u float64) Reading {
	return Reading{Quantity: q, ValueMM: value, UMM: u, How: ByPhoto, Method: "test", Photo: strings.Repeat("ab", 32)}
}

// layout is a reading that nobody took: it was laid out so.
func layout(q Quantity, value, u float64) Reading {
	r := rd(q, value, u)
	r.How, r.Photo = ByLayout, ""
	return r
}

func gauge(q Quantity, value, u float64) Reading {
	r := rd(q, value, u)
	r.How, r.Photo = ByGauge, ""
	return r
}

func judge(t *testing.T, s Spec, readings, hole []Reading) Result {
	t.Helper()
	res, err := JudgeLocation(s, readings, hole)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// of lists the verdicts against one side of one quantity's limit.
func of(res Result, q Quantity, greatest bool) []Check {
	var out []Check
	for _, c := range res.Checks {
		if c.Limit.Quantity == q && (c.Limit.MaxMM > 0) == greatest {
			out = append(out, c)
		}
	}
	return out
}

var shop4 = Spec{Kind: ShopHead, NominalMM: 3.175} // 4.366 to 5.556 mm wide, 2 D = 6.35, 3 D = 9.525

func TestLeastAndGreatestDiameterAreJudged(t *testing.T) {
	// The mean is in the middle of the limits; the head is so oval that both ends are out.
	res := judge(t, shop4, []Reading{rd(HeadDMean, 4.9, 0.08), rd(HeadDMin, 4.1, 0.1), rd(HeadDMax, 5.8, 0.1)}, nil)
	least, greatest := of(res, HeadDMin, false), of(res, HeadDMax, true)
	if len(least) != 1 || least[0].Verdict != Out || least[0].Reading.Quantity != HeadDMin {
		t.Errorf("least: %+v", least)
	}
	if len(greatest) != 1 || greatest[0].Verdict != Out || greatest[0].Reading.Quantity != HeadDMax {
		t.Errorf("greatest: %+v", greatest)
	}
	if res.Verdict != Out {
		t.Errorf("overall %q", res.Verdict)
	}
	// An elongated hole: least within, greatest out.
	res = judge(t, Spec{Kind: Hole, NominalMM: 3.175}, []Reading{rd(HoleDMin, 3.26, 0.03), rd(HoleDMax, 3.8, 0.05)}, nil)
	if of(res, HoleDMin, false)[0].Verdict != Within || of(res, HoleDMax, true)[0].Verdict != Out {
		t.Errorf("elongated hole: %+v", res.Checks)
	}
}

func TestMeanStandsInWhereNothingElseWasRead(t *testing.T) {
	res := judge(t, shop4, []Reading{gauge(HeadDMean, 4.9, 0.05)}, nil)
	for _, c := range append(of(res, HeadDMin, false), of(res, HeadDMax, true)...) {
		if c.Verdict != Within || c.Reading.Quantity != HeadDMean || !strings.Contains(strings.Join(c.Notes, " "), "the mean stands in") {
			t.Errorf("%+v", c)
		}
	}
	if len(of(res, HeadDMin, false)) != 1 {
		t.Error("the mean is not judged against the least width")
	}
}

func TestUnreadLimitsAreNamed(t *testing.T) {
	res := judge(t, shop4, []Reading{rd(HeadDMin, 4.8, 0.05), rd(HeadDMax, 5.0, 0.05)}, nil)
	if res.Verdict != Within || Whole(res.Verdict, res.Unread) != Unread {
		t.Errorf("verdict %q, of the whole %q", res.Verdict, Whole(res.Verdict, res.Unread))
	}
	missing := MissingOf(res.Unread)
	if got := Headline(Unread, len(missing)); got != "within, 3 not read" || len(missing) != 3 || missing[0].What != "head height" || len(missing[0].Limits) != 2 || missing[2].What != "pitch" {
		t.Errorf("%s: %+v", got, missing)
	}
	names := map[Quantity]int{}
	for _, l := range res.Unread {
		names[l.Quantity]++
	}
	if names[EdgeDistance] != 1 || names[Pitch] != 1 || names[HeadHeight] != 2 || len(names) != 3 {
		t.Errorf("unread: %v", names)
	}
	if res := judge(t, shop4, nil, nil); res.Verdict != "" || len(res.Checks) != 0 || len(res.Unread) != 6 {
		t.Errorf("no readings: %+v", res)
	}
	res = judge(t, Spec{Kind: ShopHead, NominalMM: 3.3}, []Reading{rd(HeadDMin, 4.8, 0.05)}, nil)
	if res.Verdict != "" || !strings.Contains(strings.Join(res.Notes, " "), "no table") {
		t.Errorf("a size that no table has: %+v", res)
	}
}

func TestEdgeDistance(t *testing.T) {
	hole := Spec{Kind: Hole, NominalMM: 3.175}
	// The nearest of several counts, in whatever order they come.
	res := judge(t, hole, []Reading{rd(EdgeDistance, 9, 0.1), rd(EdgeDistance, 6, 0.1), rd(EdgeDistance, 7, 0.1)}, nil)
	if c := of(res, EdgeDistance, false); len(c) != 1 || c[0].Reading.ValueMM != 6 || c[0].Verdict != Out {
		t.Errorf("nearest: %+v", c)
	}
	// A farther edge that is read so badly that it may be the nearest is judged too.
	res = judge(t, hole, []Reading{rd(EdgeDistance, 6.6, 0.1), rd(EdgeDistance, 7, 0.9)}, nil)
	if c := of(res, EdgeDistance, false); len(c) != 2 || c[0].Verdict != Within || c[1].Verdict != TooClose || res.Verdict != TooClose {
		t.Errorf("uncertain second edge: %+v", c)
	}
	// A greatest limit of the builder's own is held against the nearest edge alone.
	hole.Own = &OwnLimits{Name: "BH-112", Reference: "note 5", Limits: []OwnLimit{{Quantity: "edge_distance", MaxD: 4}}}
	res = judge(t, hole, []Reading{rd(EdgeDistance, 8, 0.1), rd(EdgeDistance, 15, 0.1)}, nil)
	if c := of(res, EdgeDistance, true); len(c) != 1 || c[0].Verdict != Within {
		t.Errorf("greatest: %+v", c)
	}
	res = judge(t, hole, []Reading{rd(EdgeDistance, 13, 0.1)}, nil)
	if c := of(res, EdgeDistance, true); c[0].Verdict != Out || res.Verdict != Out || len(res.Notes) != 0 {
		t.Errorf("greatest: %+v", c)
	}
}

// Edges at most 4 D and neighbours at most 10 D away are advice of US Army AL0992 for laying out
// (12.7 and 31.75 mm for 1/8 in): a note, and no verdict.
func TestLayoutAdviceIsANote(t *testing.T) {
	hole := Spec{Kind: Hole, NominalMM: 3.175}
	for _, c := range []struct {
		q     Quantity
		mm    float64
		notes int
	}{{EdgeDistance, 12.75, 0}, {EdgeDistance, 12.85, 1}, {Pitch, 31.8, 0}, {Pitch, 31.9, 1}} {
		res := judge(t, hole, []Reading{rd(c.q, c.mm, 0.1)}, nil)
		if len(res.Notes) != c.notes || res.Verdict != Within || len(of(res, c.q, true)) != 0 {
			t.Errorf("%s %v: %q %+v", c.q, c.mm, res.Verdict, res.Notes)
		}
		if c.notes == 1 && !strings.Contains(res.Notes[0], "AL0992") {
			t.Errorf("no source: %s", res.Notes[0])
		}
	}
}

// A neighbour that was seen but not measured may be the nearest: no pitch is within then.
func TestUnmeasuredNeighbour(t *testing.T) {
	r := rd(Pitch, 12, 0.1)
	r.LessMM = 11
	for mm, want := range map[float64]Verdict{12: TooClose, 9: Out} {
		r.ValueMM = mm
		res := judge(t, Spec{Kind: Hole, NominalMM: 3.175}, []Reading{r, rd(Pitch, 20, 0.1)}, nil)
		if c := of(res, Pitch, false); c[0].Verdict != want || c[1].Verdict != Within {
			t.Errorf("%v: %+v", mm, c)
		}
	}
}

func TestEachPitchIsJudged(t *testing.T) {
	res := judge(t, Spec{Kind: Hole, NominalMM: 3.175}, []Reading{rd(Pitch, 40, 0.1), rd(Pitch, 9, 0.1), rd(Pitch, 9.5, 0.1), rd(Pitch, 12, 0.1)}, nil)
	var got []Verdict
	for _, c := range of(res, Pitch, false) {
		got = append(got, c.Verdict)
	}
	if len(got) != 4 || got[0] != Out || got[1] != TooClose || got[2] != Within || got[3] != Within {
		t.Errorf("pitches: %q", got)
	}
}

func TestShankOff(t *testing.T) {
	r := []Reading{rd(EdgeDistance, 6.6, 0.1), rd(Pitch, 9.9, 0.1)}
	res := judge(t, shop4, r, nil)
	edge, pitch := of(res, EdgeDistance, false)[0], of(res, Pitch, false)[0]
	if edge.Verdict != TooClose || len(edge.Added) != 1 || !strings.Contains(edge.Added[0].Label, "shank") || edge.Added[0].Source == "" ||
		!strings.Contains(strings.Join(edge.Notes, " "), "± 0.41 mm of it") { // 2 × 0.5/√6
		t.Errorf("edge: %+v", edge)
	}
	if pitch.Verdict != TooClose || len(pitch.Added) != 2 {
		t.Errorf("pitch: %+v", pitch)
	}
	// Taken at the empty hole or from the manufactured head, it has no such uncertainty.
	for i := range r {
		r[i].FromShank = true
	}
	if res := judge(t, shop4, r, nil); res.Verdict != Within || len(res.Checks[0].Added) != 0 {
		t.Errorf("from the shank: %+v", res)
	}
	for i := range r {
		r[i].FromShank = false
	}
	// Farther off than the shank can be explains nothing away.
	res = judge(t, shop4, []Reading{rd(EdgeDistance, 7.0, 0.1), rd(Pitch, 10.4, 0.1)}, nil)
	if res.Verdict != Within {
		t.Errorf("far enough: %+v", res)
	}
	res = judge(t, shop4, []Reading{rd(EdgeDistance, 5.7, 0.1)}, nil)
	if res.Verdict != Out {
		t.Errorf("far too near: %+v", res)
	}
	// A manufactured head is one with its shank.
	for _, k := range []Kind{UniversalHead, PulledHead, Hole} {
		res := judge(t, Spec{Kind: k, NominalMM: 3.175}, r, nil)
		if c := of(res, EdgeDistance, false)[0]; c.Verdict != Within || len(c.Added) != 0 {
			t.Errorf("%s: %+v", k, c)
		}
	}
	// The spread measured on rendered heads: 95 % must lie inside the U that is added.
	u := 2 * ShankOff("x").UMM
	if u < 0.27 || u > 0.52 {
		t.Errorf("U of the shank is %.2f mm: under the 90 %% of the measured offsets or over their largest", u)
	}
}

func TestHoleReadingGoesBeforeTheHead(t *testing.T) {
	head := []Reading{rd(EdgeDistance, 6.7, 0.1), rd(Pitch, 9.9, 0.1)}
	hole := []Reading{rd(EdgeDistance, 6.55, 0.1), rd(HoleDMean, 3.3, 0.05)}
	res := judge(t, shop4, head, hole)
	c := of(res, EdgeDistance, false)
	if len(c) != 1 || c[0].Reading.ValueMM != 6.55 || c[0].Verdict != Within || len(c[0].Added) != 0 || !strings.Contains(c[0].Notes[0], "hole") {
		t.Errorf("edge: %+v", c)
	}
	// No pitch was read from the hole: the head's counts, with that uncertainty.
	if c := of(res, Pitch, false); len(c) != 1 || len(c[0].Added) != 2 {
		t.Errorf("pitch: %+v", c)
	}
	// The head's photo shows an edge nearer than both explain: the hole's photo missed it.
	res = judge(t, shop4, []Reading{rd(EdgeDistance, 5.9, 0.1)}, []Reading{rd(EdgeDistance, 8, 0.1)})
	if c := of(res, EdgeDistance, false)[0]; c.Verdict != TooClose || !strings.Contains(strings.Join(c.Notes, " "), "measure by hand") {
		t.Errorf("contradiction: %+v", c)
	}
	// A hole that is out stays out, whatever the head shows.
	res = judge(t, shop4, []Reading{rd(EdgeDistance, 7.5, 0.1)}, []Reading{rd(EdgeDistance, 6, 0.1)})
	if res.Verdict != Out {
		t.Errorf("hole out: %+v", res)
	}
}

// What must never happen, over many locations: an overall `within` with any judged reading
// whose interval leaves a limit; a verdict better than the worst check; an unsourced check.
func TestJudgeLocationProperties(t *testing.T) {
	qs := []Quantity{HeadDMin, HeadDMax, HeadDMean, HoleDMin, HoleDMax, HoleDMean, EdgeDistance, Pitch, OutOfRound, HeadHeight}
	gen := rapid.Custom(func(t *rapid.T) Reading {
		r := rd(rapid.SampledFrom(qs).Draw(t, "q"), rapid.Float64Range(0.5, 15).Draw(t, "v"), rapid.Float64Range(0.01, 0.5).Draw(t, "U"))
		r.How = rapid.SampledFrom([]How{ByPhoto, ByPhotoHand, ByGauge}).Draw(t, "how")
		return r
	})
	rapid.Check(t, func(t *rapid.T) {
		s := Spec{
			Kind:      rapid.SampledFrom(Kinds).Draw(t, "kind"),
			NominalMM: rapid.SampledFrom([]float64{2.38125, 3.175, 3.2, 3.96875, 4, 4.7625}).Draw(t, "d"),
			LimitSet:  rapid.SampledFrom([]string{"", "handbook", "mil", "rule"}).Draw(t, "set"),
			Flush:     rapid.Bool().Draw(t, "flush"),
		}
		here := rapid.SliceOfN(gen, 0, 8).Draw(t, "here")
		hole := rapid.SliceOfN(gen, 0, 4).Draw(t, "hole")
		res, err := JudgeLocation(s, here, hole)
		if err != nil {
			t.Fatal(err)
		}
		var worst Verdict
		for _, c := range res.Checks {
			worst = Worst(worst, c.Verdict)
			if c.Limit.Source == "" || c.UMM < c.Reading.UMM {
				t.Fatalf("check %+v", c)
			}
			lo, hi := c.Reading.ValueMM-c.Reading.UMM, c.Reading.ValueMM+c.Reading.UMM
			if c.Verdict == Within && (c.Limit.MinMM > 0 && lo < c.Limit.MinMM || c.Limit.MaxMM > 0 && hi > c.Limit.MaxMM) {
				t.Fatalf("within although the interval leaves the limit: %+v", c)
			}
		}
		if res.Verdict != worst {
			t.Fatalf("overall %q, worst check %q", res.Verdict, worst)
		}
		// The order of the readings does not matter.
		back := make([]Reading, len(here))
		for i, r := range here {
			back[len(here)-1-i] = r
		}
		again, _ := JudgeLocation(s, back, hole)
		if again.Verdict != res.Verdict {
			t.Fatalf("order matters: %q, %q", res.Verdict, again.Verdict)
		}
		// One more reading of an edge never makes a location better than that reading alone.
		extra := rd(EdgeDistance, rapid.Float64Range(1, 6).Draw(t, "extra"), 0.05)
		more, _ := JudgeLocation(s, append(here, extra), nil)
		for _, l := range of(more, EdgeDistance, false) {
			if alone := Judge(extra, l.Limit, l.Added...); alone.Verdict.worse(more.Verdict) {
				t.Fatalf("an edge at %v ± 0.05 is %s alone, the location %s", extra.ValueMM, alone.Verdict, more.Verdict)
			}
		}
	})
}

// A reading without a usable value makes its quantity too close, wherever it stands.
func TestUnusableReading(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), -3} {
		res := judge(t, Spec{Kind: Hole, NominalMM: 3.175}, []Reading{rd(EdgeDistance, 8, 0.1), rd(EdgeDistance, v, 0.1)}, nil)
		if res.Verdict != TooClose {
			t.Errorf("edge %v: %q", v, res.Verdict)
		}
	}
}

// The form that screens and records read.
func TestCheckJSON(t *testing.T) {
	res := judge(t, shop4, []Reading{rd(EdgeDistance, 6.6, 0.1)}, nil)
	data, err := json.Marshal(res)
	if err != nil {
		t.Fatal(err)
	}
	var back Result
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	again, _ := json.Marshal(back)
	if string(again) != string(data) {
		t.Errorf("written, read and written again:\n%s\n%s", data, again)
	}
	for _, want := range []string{`"verdict":"too close"`, `"U_mm":0.1`, `"source":"AC 43.13-1B 4-57c"`, `"basis":"read"`, `"p_conform":`, `"unread":[`} {
		if !strings.Contains(string(data), want) {
			t.Errorf("%s lacks %s", data, want)
		}
	}
}

// A location with the readings that one photo gives.
func BenchmarkJudgeLocation(b *testing.B) {
	rs := []Reading{rd(HeadDMin, 4.7, 0.1), rd(HeadDMax, 4.9, 0.1), rd(HeadDMean, 4.8, 0.08),
		rd(EdgeDistance, 7.4, 0.1), rd(EdgeDistance, 9.4, 0.1), rd(Pitch, 12, 0.1), rd(Pitch, 12.2, 0.1)}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := JudgeLocation(shop4, rs, nil); err != nil {
			b.Fatal(err)
		}
	}
}
