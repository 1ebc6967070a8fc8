package qc

import (
	"strings"
	"testing"

	"bucktail/qc/spec"
)

func TestSuggest(t *testing.T) {
	good := []Reading{rd(HeadDMin, 4.8, 0.1), rd(HeadDMax, 5.1, 0.1)}
	hole := Spec{Kind: Hole, NominalMM: 3.175}
	_, most := heightLimits(t, shop4)
	for _, c := range []struct {
		name    string
		spec    Spec
		rs      []Reading
		answers []Answer
		seen    Verdict
		want    Disposition
	}{
		{"good", shop4, good, []Answer{{"cracked", No, ""}}, "", Keep},
		{"cracked", shop4, good, []Answer{{"cracked", Yes, "at the rim"}}, Out, DrillOut},
		{"tilted: no number published", shop4, good, []Answer{{"tilted", Yes, ""}}, TooClose, ReMeasure},
		{"not looked", shop4, good, []Answer{{"cracked", NotLooked, ""}}, "", Keep},
		{"narrow: its height first", shop4, []Reading{rd(HeadDMin, 4, 0.1)}, nil, "", ReMeasure},
		{"narrow, height can't be told", shop4, []Reading{rd(HeadDMin, 4, 0.1), rd(HeadHeight, most, 0.1)}, nil, "", ReMeasure},
		{"narrow, height can't be told by gauge either", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most, 0.1)}, nil, "", DrillOut},
		{"narrow, height within", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most-0.1, 0.05)}, nil, "", DrillOut},
		{"narrow and high", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most+0.5, 0.05)}, nil, "", ReMeasure},
		{"narrow and cracked", shop4, []Reading{rd(HeadDMin, 4, 0.1)}, []Answer{{"cracked", Yes, ""}}, Out, DrillOut},
		{"narrow, high and cracked", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most+0.5, 0.05)}, []Answer{{"cracked", Yes, ""}}, Out, DrillOut},
		{"narrow, of a pulled one", Spec{Kind: PulledHead, NominalMM: 3.2}, []Reading{rd(HeadDMin, 5, 0.05)}, nil, "", DrillOut},
		{"close", shop4, []Reading{rd(HeadDMin, 4.4, 0.1)}, nil, "", ReMeasure},
		{"close by hand too: no third measurement", shop4, []Reading{gauge(HeadDMin, 4.38, 0.05)}, nil, "", Refer},
		{"close by hand, another by photo", shop4, []Reading{gauge(HeadDMin, 4.38, 0.05), rd(HeadDMax, 5.5, 0.1)}, nil, "", ReMeasure},
		{"edge: no drill cures it", shop4, []Reading{rd(EdgeDistance, 5, 0.1)}, nil, "", Refer},
		{"narrow and at the edge", shop4, []Reading{rd(HeadDMin, 4, 0.1), rd(EdgeDistance, 5, 0.1)}, nil, "", Refer},
		{"edge as planned: nobody has measured it", shop4, []Reading{layout(EdgeDistance, 5, 0.1)}, nil, "", ReMeasure},
		{"edge as planned, of a narrow and low head", shop4, []Reading{layout(EdgeDistance, 5, 0.1), rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most-0.1, 0.05)}, nil, "", DrillOut},
		{"edge as planned, narrow: its height first", shop4, []Reading{layout(EdgeDistance, 5, 0.1), rd(HeadDMin, 4, 0.1)}, nil, "", ReMeasure},
		{"edge as planned, cracked", shop4, []Reading{layout(EdgeDistance, 5, 0.1)}, []Answer{{"cracked", Yes, ""}}, Out, DrillOut},
		{"hole too wide", hole, []Reading{rd(HoleDMax, 3.8, 0.05)}, nil, "", Refer},
		{"nothing", shop4, nil, nil, "", ""},
		{"nothing but a crack", shop4, nil, []Answer{{"cracked", Yes, ""}}, Out, DrillOut},
	} {
		seen := AnswersVerdict(c.answers)
		if d := Suggest(c.spec.Kind, judge(t, c.spec, c.rs, nil).Checks, seen); seen != c.seen || d != c.want {
			t.Errorf("%s: %q, %q; want %q, %q", c.name, seen, d, c.seen, c.want)
		}
		checks := judge(t, c.spec, c.rs, nil).Checks
		if a := Advise(c.spec.Kind, checks, c.answers, nil, Millimetres); c.want != "" && a.Choices[0] != c.want {
			t.Errorf("%s: %s is suggested, %s advised", c.name, c.want, a.Choices[0])
		}
	}
}

// Each question has an origin among the published conditions; sources that were read are
// those of the list, by document.
func TestQuestions(t *testing.T) {
	var sources []string
	for _, file := range []string{"rivet-conditions.csv", "blind-rivet-acceptance.csv", "solid-rivet-holes.csv"} {
		for _, row := range publishedRows(t, file) {
			sources = append(sources, row["source"])
		}
	}
	listed := func(doc string) bool {
		for _, s := range sources {
			if strings.Contains(s, doc) {
				return true
			}
		}
		return false
	}
	ids := map[string]bool{}
	for _, q := range Questions {
		if ids[q.ID] {
			t.Errorf("question %q twice", q.ID)
		}
		ids[q.ID] = true
		if q.Verdict != Out && q.Verdict != TooClose || !strings.HasSuffix(q.Text, "?") {
			t.Errorf("%s: %+v", q.ID, q)
		}
		if q.Basis == spec.Read {
			doc, _, _ := strings.Cut(q.Source, ";")
			doc = strings.Join(strings.Fields(doc)[:2], " ") // "TM 1-1520-240-BD", "AC 43.13-1B"
			if !listed(strings.TrimSuffix(doc, ",")) {
				t.Errorf("%s: %q is not among the published sources", q.ID, doc)
			}
		}
	}
	for _, k := range Kinds {
		if n := len(QuestionsFor(k)); n < 3 || n > 9 {
			t.Errorf("%s has %d questions", k, n)
		}
	}
}

// A person reads what settles an undecided check: one more photo where the limit lies near the end of
// the interval, calipers else, a pin for a hole.
func TestWhatSettlesACheck(t *testing.T) {
	for _, c := range []struct {
		q          Quantity
		value, min float64
		want       string
	}{
		{EdgeDistance, 10.08, 10, "one more photo from another side, or use calipers"},
		{EdgeDistance, 10.02, 10, "use calipers"},
		{EdgeDistance, 9.92, 10, "one more photo from another side, or use calipers"},
		{HoleDMin, 3.31, 3.3, "use a go pin of 3.300 mm (0.1299 in), which must enter, or calipers"},
		{EdgeDistance, 11, 10, ""},
	} {
		check := Judge(Reading{Quantity: c.q, ValueMM: c.value, UMM: 0.1, How: ByPhoto}, Limit{Quantity: c.q, MinMM: c.min})
		if got := check.Settle(); got != c.want {
			t.Errorf("%s %.2f ± 0.10 of %.2f, %s: %q, want %q", c.q, c.value, c.min, check.Verdict, got, c.want)
		}
	}
	if got := TooClose.String(); got != "can't tell" || string(TooClose) != "too close" {
		t.Errorf("a person reads %q, a record holds %q", got, string(TooClose))
	}
}
