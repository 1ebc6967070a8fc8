package qc

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"bucktail/qc/spec"
)

func finding(t *testing.T, s Spec, rs ...Reading) Finding {
	t.Helper()
	return Finding{ID: "f1", Location: "l1", Attempt: 1, Stage: SetRivet, Spec: s, Result: judge(t, s, rs, nil),
		By: "Ines", At: time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC)}
}

func TestFindingVerdictAndSuggestion(t *testing.T) {
	good := []Reading{rd(HeadDMin, 4.8, 0.1), rd(HeadDMax, 5.1, 0.1)}
	for _, c := range []struct {
		name    string
		f       Finding
		answers []Answer
		verdict Verdict
		suggest Disposition
	}{
		{"good", finding(t, shop4, good...), []Answer{{"cracked", No, ""}}, Within, Keep},
		{"cracked", finding(t, shop4, good...), []Answer{{"cracked", Yes, "at the rim"}}, Out, DrillOut},
		{"tilted: no number published", finding(t, shop4, good...), []Answer{{"tilted", Yes, ""}}, TooClose, ReMeasure},
		{"not looked", finding(t, shop4, good...), []Answer{{"cracked", NotLooked, ""}}, Within, Keep},
		{"narrow", finding(t, shop4, rd(HeadDMin, 4, 0.1)), nil, Out, DrillOut},
		{"close", finding(t, shop4, rd(HeadDMin, 4.4, 0.1)), nil, TooClose, ReMeasure},
		{"edge: no drill cures it", finding(t, shop4, rd(EdgeDistance, 5, 0.1)), nil, Out, Refer},
		{"narrow and at the edge", finding(t, shop4, rd(HeadDMin, 4, 0.1), rd(EdgeDistance, 5, 0.1)), nil, Out, Refer},
		{"hole too wide", finding(t, Spec{Kind: Hole, NominalMM: 3.175}, rd(HoleDMax, 3.8, 0.05)), nil, Out, Refer},
		{"nothing", finding(t, shop4), nil, "", ""},
		{"nothing but a crack", finding(t, shop4), []Answer{{"cracked", Yes, ""}}, Out, DrillOut},
	} {
		c.f.Answers = c.answers
		if v, d := c.f.Verdict(), c.f.Suggest(); v != c.verdict || d != c.suggest {
			t.Errorf("%s: %q, %q; want %q, %q", c.name, v, d, c.verdict, c.suggest)
		}
		if err := c.f.Valid(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestFindingValid(t *testing.T) {
	f := finding(t, shop4, rd(HeadDMin, 4, 0.1))
	f.Disposition = Keep
	if err := f.Valid(); err == nil || !strings.Contains(err.Error(), "reason") {
		t.Errorf("an out rivet kept without a reason: %v", err)
	}
	f.Reason = "designer's letter of 3 May"
	if err := f.Valid(); err != nil {
		t.Errorf("kept with a reason: %v", err)
	}
	f.Disposition = "paint over"
	if err := f.Valid(); err == nil || !strings.Contains(err.Error(), "paint over") {
		t.Errorf("unknown disposition: %v", err)
	}
	f.Disposition, f.Answers = Refer, []Answer{{"colour", Yes, ""}}
	if err := f.Valid(); err == nil || !strings.Contains(err.Error(), "colour") {
		t.Errorf("unknown question: %v", err)
	}
	f.Answers = []Answer{{"cracked", "perhaps", ""}}
	if err := f.Valid(); err == nil || !strings.Contains(err.Error(), "perhaps") {
		t.Errorf("unknown answer: %v", err)
	}
}

func TestFindingJSON(t *testing.T) {
	f := finding(t, shop4, rd(HeadDMin, 4.8, 0.1))
	f.Answers = []Answer{{"cracked", No, ""}}
	data, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back Finding
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	again, _ := json.Marshal(back)
	if string(again) != string(data) || back.Verdict() != Within {
		t.Errorf("%s\n%s", data, again)
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
	f := finding(t, shop4)
	all := len(f.Unlooked())
	f.Answers = []Answer{{"cracked", No, ""}, {"tilted", NotLooked, ""}}
	if left := len(f.Unlooked()); left != all-1 {
		t.Errorf("%d of %d questions left after one was answered", left, all)
	}
}
