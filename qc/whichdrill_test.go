package qc

import (
	"strings"
	"testing"
)

// The worked example: 3.31 ± 0.06 mm excludes #31 and #29 and admits six sizes.
func TestWhichDrillMadeIt(t *testing.T) {
	s := Spec{Kind: Hole, NominalMM: 3.175, Rivet: Pulled}
	res := judge(t, s, []Reading{rd(HoleDMean, 3.31, 0.06), rd(HoleDMin, 3.30, 0.06), rd(HoleDMax, 3.32, 0.06)}, nil)
	w, ok := WhichDrill([]Reading{rd(HoleDMean, 3.31, 0.06)}, []Limit{{Quantity: HoleDMin, MinMM: 3.2512}, {Quantity: HoleDMax, MaxMM: 3.3528}})
	if !ok {
		t.Fatal("not said")
	}
	var names []string
	for _, d := range w.Admits {
		names = append(names, d.Name)
	}
	if got := strings.Join(names, ", "); got != "1/8, 3.2 mm, 3.25 mm, #30, 3.3 mm, 3.35 mm" {
		t.Errorf("admits %s", got)
	}
	for _, part := range []string{"can't tell: not a #31, not a #29", "pins of 3.251 mm (0.1280 in) and 3.353 mm (0.1320 in)"} {
		if !strings.Contains(w.Text, part) || !strings.Contains(strings.Join(res.Notes, ";"), part) {
			t.Errorf("%q is not in %q", part, w.Text)
		}
	}
	if c := of(res, HoleDMin, false)[0]; c.Verdict != TooClose || !strings.Contains(c.Settle(), "go pin of 3.251 mm") {
		t.Errorf("%s, %q", c.Verdict, c.Settle())
	}
	if c := of(res, HoleDMax, true)[0]; !strings.Contains(c.Settle(), "no-go pin of 3.353 mm") {
		t.Errorf("%q", c.Settle())
	}
	if w, _ := WhichDrill([]Reading{rd(HoleDMean, 3.264, 0.001)}, nil); !strings.Contains(w.Text, "#30") || strings.Contains(w.Text, "pins") {
		t.Errorf("%q", w.Text)
	}
	if w, _ := WhichDrill([]Reading{rd(HoleDMean, 40, 0.01)}, nil); len(w.Admits) != 0 || !strings.Contains(w.Text, "none of the tables") {
		t.Errorf("%q", w.Text)
	}
	if _, ok := WhichDrill([]Reading{rd(HeadDMean, 6, 0.1)}, nil); ok {
		t.Error("a drill made a head")
	}
}

func TestPinsSettleAHole(t *testing.T) {
	s := Spec{Kind: Hole, NominalMM: 3.175, Rivet: Pulled}
	photo := []Reading{rd(HoleDMin, 3.30, 0.06), rd(HoleDMax, 3.32, 0.06)}
	ls, _ := s.Limits()
	least, greatest := band(ls)
	for _, c := range []struct {
		name      string
		go_, noGo bool
		want      Verdict
	}{{"in the band", true, false, Within}, {"too narrow", false, false, Out}, {"too wide", true, true, Out}} {
		pins, err := Pins(least, greatest, c.go_, c.noGo)
		if err != nil {
			t.Fatal(err)
		}
		h, err := JudgeHand(s, pins, nil)
		if err != nil {
			t.Fatal(err)
		}
		if h.Verdict != c.want {
			t.Errorf("%s: %s", c.name, h.Verdict)
		}
		if c.want == Within {
			st := Stand([]Look{{ID: "a", Readings: photo, Result: judge(t, s, photo, nil)}, {ID: "b", Readings: pins, Result: h, ByHand: true}})
			if st.Verdict != Within {
				t.Errorf("on the photo: %s", st.Verdict)
			}
		}
	}
	for _, bad := range [][2]float64{{0, 1}, {3, 3}, {3.4, 3.3}, {-1, 2}} {
		if _, err := Pins(bad[0], bad[1], true, false); err == nil {
			t.Errorf("pins of %v", bad)
		}
	}
	if _, err := Pins(0.132*in, 0.128*in, true, false); err == nil || !strings.Contains(err.Error(), "pins of 3.353 mm (0.1320 in) and") {
		t.Errorf("pins typed in inches: %v", err)
	}
	if _, err := Pins(3.2, 3.3, false, true); err == nil {
		t.Error("the larger pin alone entered")
	}
}

func TestAPilotHoleIsHeldAgainstItsOwnDrill(t *testing.T) {
	for _, s := range []Spec{{Kind: Hole, NominalMM: 3.175, Rivet: Pulled, Pilot: true}, {Kind: Hole, NominalMM: 3.175, Rivet: Solid, Pilot: true}} {
		res := judge(t, s, []Reading{rd(HoleDMax, 2.51, 0.06)}, nil)
		if c := of(res, HoleDMax, true); len(c) != 1 || c[0].Verdict != Within || c[0].Limit.MaxMM < 2.58 || c[0].Limit.MaxMM > 2.60 {
			t.Errorf("%s: %+v", s.Rivet, c)
		}
		if c := of(judge(t, s, []Reading{rd(HoleDMax, 2.75, 0.06)}, nil), HoleDMax, true); c[0].Verdict != Out {
			t.Errorf("%s: a wide pilot hole is %s", s.Rivet, c[0].Verdict)
		}
	}
}

// On a mark there is only what is measured from it.
func TestAMarkIsJudgedForTheFinalRivet(t *testing.T) {
	s := Spec{Kind: Hole, NominalMM: 3.175, Rivet: Pulled, Mark: true}
	res := judge(t, s, []Reading{rd(EdgeDistance, 5, 0.2), rd(Pitch, 20, 0.2)}, nil)
	if res.Verdict != Out || len(res.Unread) != 0 || len(res.Checks) != 2 {
		t.Errorf("%+v", res)
	}
	if (Spec{Kind: PulledHead, NominalMM: 3.175, Mark: true}).Valid() == nil || (Spec{Kind: Hole, NominalMM: 3.175, Mark: true, Pilot: true}).Valid() == nil {
		t.Error("a head or a pilot hole that is a mark")
	}
}
