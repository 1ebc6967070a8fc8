package qc

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func photoLook(t *testing.T, s Spec, hole []Reading, rs ...Reading) Look {
	t.Helper()
	return Look{ID: "photo", Readings: rs, Result: judge(t, s, rs, hole)}
}

func handLook(t *testing.T, id string, s Spec, hole []Reading, rs ...Reading) Look {
	t.Helper()
	res, err := JudgeHand(s, rs, hole)
	if err != nil {
		t.Fatal(err)
	}
	return Look{ID: id, Readings: rs, Result: res, ByHand: true}
}

// standing lists the readings that stand as "edge_distance 6.40 photo".
func standing(s Standing) string {
	var out []string
	for _, r := range s.Readings {
		if r.Stands() {
			out = append(out, fmt.Sprintf("%s %.2f %s", r.Quantity, r.ValueMM, r.Look))
		}
	}
	return strings.Join(out, ", ")
}

func edgeOf(v float64, of Target) Reading {
	r := gauge(EdgeDistance, v, 0.05)
	r.Of = &of
	return r
}

// A hand reading takes the place of what it measured and of nothing else.
func TestHandReadingReplacesWhatItMeasured(t *testing.T) {
	hole := Spec{Kind: Hole, NominalMM: 3.175} // edge 6.35, pitch 9.525 at the least
	here := []Reading{rd(HoleDMin, 3.26, 0.1), rd(HoleDMax, 3.30, 0.1), rd(EdgeDistance, 6.8, 0.1), rd(EdgeDistance, 6.3, 0.1), rd(Pitch, 9.6, 0.2), rd(Pitch, 9.3, 0.1)}
	here[4].Of, here[5].Of = &Target{Location: "a", Name: "R4"}, &Target{Location: "b", Name: "R5"}
	for _, c := range []struct {
		name, gone string
		verdict    Verdict
		hand       []Reading
	}{
		{"one diameter leaves the other", "hole_d_min 3.26", Out, []Reading{gauge(HoleDMin, 3.28, 0.01)}},
		{"an edge without a word is the nearest", "edge_distance 6.30", Out, []Reading{gauge(EdgeDistance, 6.38, 0.05)}},
		{"the nearest edge", "edge_distance 6.30", Out, []Reading{edgeOf(6.38, Target{Nearest: true})}},
		{"the edge of the photo's third reading", "edge_distance 6.80", Out, []Reading{edgeOf(6.85, Target{Reading: 3})}},
		{"another edge, which the photo did not read", "", Out, []Reading{edgeOf(6.5, Target{Name: "edge at the hinge"})}},
		{"a neighbour by its location", "pitch 9.60", Out, []Reading{{Quantity: Pitch, ValueMM: 9.65, UMM: 0.05, How: ByGauge, Of: &Target{Location: "a"}}}},
		{"the nearest neighbour", "pitch 9.30", TooClose, []Reading{gauge(Pitch, 9.35, 0.2)}},
	} {
		s := Stand([]Look{photoLook(t, hole, nil, here...), handLook(t, "hand", hole, nil, c.hand...)})
		var gone []string
		for _, r := range s.Readings {
			if r.By == "hand" {
				gone = append(gone, fmt.Sprintf("%s %.2f", r.Quantity, r.ValueMM))
			}
		}
		notes := slices.DeleteFunc(s.Notes, func(n string) bool { return strings.HasPrefix(n, "which drill") })
		if strings.Join(gone, ", ") != c.gone || s.Verdict != c.verdict || len(notes) != 0 {
			t.Errorf("%s: superseded %q, want %q; %s, want %s; %q", c.name, gone, c.gone, s.Verdict, c.verdict, s.Notes)
		}
		for _, k := range s.Checks { // no check of a superseded reading is left, none of the others is lost
			for _, r := range s.Readings {
				if r.Same(k.Reading) && !r.Stands() {
					t.Errorf("%s: %s %.2f is still judged", c.name, r.Quantity, r.ValueMM)
				}
			}
		}
	}
}

func TestHandReadingAndPhotoMustAgree(t *testing.T) {
	photo := photoLook(t, shop4, nil, rd(HeadDMin, 4.38, 0.1), rd(HeadDMax, 5.0, 0.1)) // 4.366 at the least
	hand := func(id string, v, u float64) Look { return handLook(t, id, shop4, nil, gauge(HeadDMin, v, u)) }
	for _, c := range []struct {
		name, want string
		verdict    Verdict
		notes      int
		looks      []Look
	}{
		{"photo alone", "head_d_min 4.38 photo, head_d_max 5.00 photo", TooClose, 0, []Look{photo}},
		{"settled within", "head_d_max 5.00 photo, head_d_min 4.45 a", Within, 0, []Look{photo, hand("a", 4.45, 0.03)}},
		{"settled out", "head_d_max 5.00 photo, head_d_min 4.30 a", Out, 0, []Look{photo, hand("a", 4.30, 0.03)}},
		{"still too close", "head_d_max 5.00 photo, head_d_min 4.36 a", TooClose, 0, []Look{photo, hand("a", 4.36, 0.03)}},
		// √(0.1² + 0.03²) = 0.104: 0.105 apart is more than both explain, 0.103 is not.
		{"just agreeing", "head_d_max 5.00 photo, head_d_min 4.48 a", Within, 0, []Look{photo, hand("a", 4.483, 0.03)}},
		{"just apart", "head_d_min 4.38 photo, head_d_max 5.00 photo, head_d_min 4.49 a", TooClose, 1, []Look{photo, hand("a", 4.485, 0.03)}},
		{"of another thing", "head_d_min 4.38 photo, head_d_max 5.00 photo, head_d_min 5.00 a", TooClose, 1, []Look{photo, hand("a", 5.0, 0.03)}},
		{"twice by hand goes before the photo", "head_d_max 5.00 photo, head_d_min 5.01 b", Within, 0, []Look{photo, hand("a", 5.0, 0.03), hand("b", 5.01, 0.03)}},
		{"twice, but not the same", "head_d_min 4.38 photo, head_d_max 5.00 photo, head_d_min 4.70 b", TooClose, 1, []Look{photo, hand("a", 5.0, 0.03), hand("b", 4.7, 0.03)}},
		{"the later of two", "head_d_max 5.00 photo, head_d_min 4.31 b", Out, 0, []Look{photo, hand("a", 4.45, 0.03), hand("b", 4.31, 0.03)}},
		{"by hand alone", "head_d_min 4.31 b", Out, 0, []Look{hand("a", 4.45, 0.03), hand("b", 4.31, 0.03)}},
	} {
		s := Stand(c.looks)
		if got := standing(s); got != c.want || s.Verdict != c.verdict || len(s.Notes) != c.notes {
			t.Errorf("%s:\n%s, %s, %q\nwant %s, %s", c.name, got, s.Verdict, s.Notes, c.want, c.verdict)
		}
	}
}

// What a photo did not read is not missing once a hand has measured it; the rest still is.
func TestHandReadingFillsWhatWasUnread(t *testing.T) {
	photo := photoLook(t, shop4, nil, rd(HeadDMin, 4.8, 0.1), rd(HeadDMax, 5.0, 0.1), rd(EdgeDistance, 8, 0.1), rd(Pitch, 12, 0.1))
	if s := Stand([]Look{photo}); Whole(s.Verdict, s.Unread) != Unread || len(MissingOf(s.Unread)) != 1 {
		t.Errorf("photo alone: %+v", s.Unread)
	}
	// 0.375 D to 0.625 D high: 1.19 to 1.98 mm.
	if s := Stand([]Look{photo, handLook(t, "hand", shop4, nil, gauge(HeadHeight, 1.5, 0.05))}); Whole(s.Verdict, s.Unread) != Within || s.Verdict != Within {
		t.Errorf("with its height: %q, unread %+v", Whole(s.Verdict, s.Unread), s.Unread)
	}
}

// The hole's axis is where the shank is: a distance from the driven head never takes its place, one
// from the manufactured head does.
func TestDistanceFromTheShankGoesFirst(t *testing.T) {
	hole := []Reading{rd(EdgeDistance, 6.4, 0.1)}
	photo := photoLook(t, shop4, hole, rd(EdgeDistance, 6.6, 0.1))
	off, on := gauge(EdgeDistance, 6.55, 0.05), gauge(EdgeDistance, 6.45, 0.05)
	on.FromShank = true
	if s := Stand([]Look{photo, handLook(t, "hand", shop4, hole, off)}); s.Verdict != TooClose || len(s.Checks) != 1 || s.Checks[0].Reading.ValueMM != 6.4 {
		t.Errorf("from the driven head: %s, %+v", standing(s), s.Checks)
	}
	s := Stand([]Look{photo, handLook(t, "hand", shop4, hole, on)})
	if s.Verdict != Within || len(s.Checks) != 1 || s.Checks[0].Reading.ValueMM != 6.45 {
		t.Errorf("from the manufactured head: %s, %+v", standing(s), s.Checks)
	}
	// Without the hole's photo it takes the place of the driven head's reading, which may be off by
	// as much as the shank is.
	s = Stand([]Look{photoLook(t, shop4, nil, rd(EdgeDistance, 6.8, 0.1)), handLook(t, "hand", shop4, nil, on)})
	if s.Verdict != Within || standing(s) != "edge_distance 6.45 hand" {
		t.Errorf("%s: %s", s.Verdict, standing(s))
	}
}

// However often and whatever is measured by hand: one reading of each thing stands at the most,
// the verdict is the worst of the checks, and no reading is lost.
func TestStandProperties(t *testing.T) {
	qs := []Quantity{HeadDMin, HeadDMax, EdgeDistance, Pitch, HeadHeight}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(how How) Reading {
			r := rd(rapid.SampledFrom(qs).Draw(t, "q"), rapid.Float64Range(1, 12).Draw(t, "v"), rapid.Float64Range(0.01, 2).Draw(t, "U"))
			r.How = how
			if how == ByGauge && distance(r.Quantity) {
				r.Of = rapid.SampledFrom([]*Target{nil, {Nearest: true}, {Reading: 1}, {Reading: 2}, {Name: "far"}, {Location: "a"}}).Draw(t, "of")
				r.FromShank = rapid.Bool().Draw(t, "shank")
			}
			return r
		}
		var looks []Look
		n := 0
		for i := range rapid.IntRange(1, 5).Draw(t, "looks") {
			how, l := ByGauge, Look{ID: fmt.Sprint(i), ByHand: i > 0}
			if i == 0 {
				how = ByPhoto
			}
			for range rapid.IntRange(1, 4).Draw(t, "readings") {
				l.Readings = append(l.Readings, draw(how))
			}
			n += len(l.Readings)
			var err error
			if l.Result, err = JudgeLocation(shop4, l.Readings, nil); l.ByHand {
				l.Result, err = JudgeHand(shop4, l.Readings, nil)
			}
			if err != nil {
				t.Fatal(err)
			}
			looks = append(looks, l)
		}
		s := Stand(looks)
		if len(s.Readings) != n {
			t.Fatalf("%d readings of %d", len(s.Readings), n)
		}
		hands := map[string]bool{}
		for _, r := range s.Readings {
			if !r.Stands() || r.How != ByGauge {
				continue
			}
			key := fmt.Sprint(r.Quantity, r.Look == looks[len(looks)-1].ID)
			if distance(r.Quantity) || hands[key] {
				continue // one entry may hold a quantity twice
			}
			hands[key] = true
			for _, o := range s.Readings {
				if o.Stands() && o.How == ByGauge && o.Quantity == r.Quantity && o.Look != r.Look {
					t.Fatalf("two hand readings of %s stand", r.Quantity)
				}
			}
		}
		var worst Verdict
		for _, c := range s.Checks {
			worst = Worst(worst, c.Verdict)
		}
		if worst != s.Verdict {
			t.Fatalf("%q, worst %q", s.Verdict, worst)
		}
	})
}
