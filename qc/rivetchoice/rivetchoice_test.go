package rivetchoice

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc"

	"pgregory.net/rapid"
)

const in = 25.4

var pulled = qc.Spec{Kind: qc.PulledHead, NominalMM: in / 8, Rivet: qc.Pulled}
var solid = qc.Spec{Kind: qc.ShopHead, NominalMM: in / 8}

func stack(mm ...float64) []Layer {
	var out []Layer
	for _, m := range mm {
		out = append(out, Layer{ThicknessMM: m})
	}
	return out
}

func choose(t *testing.T, i Input) Card {
	t.Helper()
	c, err := Choose(i)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func names(c Card) string {
	var out []string
	for _, x := range c.Candidates {
		out = append(out, x.Name)
	}
	return strings.Join(out, ", ")
}

// Worked example 4.
func TestWorkedGrips(t *testing.T) {
	for _, w := range []struct {
		layers []Layer
		want   string
		ask    string
	}{
		{stack(0.032*in, 0.063*in), "number 42", ""},
		{stack(0.063*in, 0.032*in, 0.063*in), "number 43", ""},
		{stack(1.6, 1.6), "number 42, number 43", "gap between two rows"},
		{stack(0.063*in, 0.063*in), "number 43", ""},
		{stack(0.019 * in), "", "no row takes"},
		{stack(0.501 * in), "", "no row takes"},
	} {
		c := choose(t, Input{Spec: pulled, Stack: Stack{Layers: w.layers}})
		if names(c) != w.want || w.ask == "" != (c.Ask == "") || !strings.Contains(c.Ask, w.ask) {
			t.Errorf("%v: %q, %q", w.layers, names(c), c.Ask)
		}
		if first := len(c.Candidates) > 0 && c.Candidates[0].First; first != (c.Ask == "") {
			t.Errorf("%v: chosen silently", w.layers)
		}
	}
}

func TestWorkedInside(t *testing.T) {
	i := Input{Spec: pulled, Stack: Stack{Layers: stack(0.032*in, 0.063*in), Closed: true, TubeMM: in}}
	c := choose(t, i)
	if all := strings.Join(c.Inside, "\n"); !strings.Contains(all, "3.48 mm past the stack") || !strings.Contains(all, "5.08 mm below") || c.Verdict != qc.Within {
		t.Errorf("%s %s", c.Verdict, all)
	}
	i.TubeMM = in / 2
	if c := choose(t, i); c.Verdict != qc.Out || !strings.Contains(strings.Join(c.Inside, ""), "leaves 3.97 mm") {
		t.Errorf("1/2 in tube: %s %v", c.Verdict, c.Inside)
	}
	if !strings.Contains(strings.Join(c.Warnings, ""), "blind-side edge") {
		t.Error("nothing is said of the blind-side edge")
	}
}

func TestWorkedSolid(t *testing.T) {
	i := Input{Spec: solid, Stack: Stack{Layers: stack(0.032*in, 0.063*in)}}
	c := choose(t, i)
	if names(c) != "length -4.5, length -5" || !strings.Contains(c.Candidates[0].Text, "1.49 D") || !strings.Contains(c.Candidates[1].Text, "1.74 D") {
		t.Errorf("%s %+v", names(c), c.Candidates)
	}
	i.Closed = true
	if c := choose(t, i); len(c.Candidates) != 0 || !strings.Contains(c.Ask, "no bar can reach") {
		t.Errorf("in a closed tube: %s %q", names(c), c.Ask)
	}
}

// The drills of each size, the hole band on the card.
func TestCard(t *testing.T) {
	for _, w := range []struct {
		s            qc.Spec
		final, pilot string
	}{{pulled, "#30", "#40"}, {solid, "#30", "#40"}, {qc.Spec{Kind: qc.PulledHead, NominalMM: 5 * in / 32}, "#20", "#30"}, {qc.Spec{Kind: qc.ShopHead, NominalMM: 5 * in / 32}, "#21", "#30"},
		{qc.Spec{Kind: qc.PulledHead, NominalMM: 3.2}, "", ""}} {
		if f, p := w.s.Drills(); f != w.final || p != w.pilot {
			t.Errorf("%v %v: %s from %s", w.s.Kind, w.s.NominalMM, f, p)
		}
	}
	c := choose(t, Input{Spec: pulled, Stack: Stack{Layers: stack(0.095 * in)}, Instead: true, Mixed: true})
	least := map[qc.Quantity]float64{}
	for _, l := range c.Limits {
		least[l.Quantity] = math.Max(least[l.Quantity], l.MinMM)
		if l.From == "" || l.Source == "" {
			t.Errorf("%s has no source", l.Name)
		}
	}
	for q, want := range map[qc.Quantity]float64{qc.HoleDMin: 3.2512, qc.EdgeDistance: 6.35, qc.Pitch: 9.525} {
		if math.Abs(least[q]-want) > 1e-6 {
			t.Errorf("%s at least %v, want %v", q, least[q], want)
		}
	}
	if all := strings.Join(c.Warnings, "\n"); !strings.Contains(all, "4-57f(9)") || !strings.Contains(all, "refer it to the designer") {
		t.Errorf("%s", all)
	}
}

// A row that is chosen alone takes the stack; a solid length leaves about 1.5 D.
func TestChosenSuits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := Input{Spec: rapid.SampledFrom([]qc.Spec{pulled, solid}).Draw(t, "spec"), Stack: Stack{Layers: stack(rapid.Float64Range(0.3, 6).Draw(t, "a"), rapid.Float64Range(0.3, 6).Draw(t, "b")),
			UMM: rapid.SampledFrom([]float64{0, 0.05, 0.2}).Draw(t, "u")}}
		c, err := Choose(i)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range c.Candidates {
			left := x.BodyMM - c.GripMM
			if i.Spec == solid && x.First && math.Abs(left-1.5*in/8) > in/64+1e-9 {
				t.Fatalf("%s leaves %.2f D of %v", x.Name, left/(in/8), c.GripMM)
			}
			if left <= 0 {
				t.Fatalf("%s is shorter than its stack %v", x.Name, c.GripMM)
			}
		}
		if i.Spec != solid && (len(c.Candidates) == 1 && c.Candidates[0].First) != (c.Ask == "") {
			t.Fatalf("%d candidates, asked %q", len(c.Candidates), c.Ask)
		}
	})
}

func TestRefusals(t *testing.T) {
	for what, i := range map[string]Input{
		"layers": {Spec: pulled}, "layers ": {Spec: pulled, Stack: Stack{Layers: stack(0)}}, "layers  ": {Spec: pulled, Stack: Stack{Layers: stack(-1)}}, "layers   ": {Spec: pulled, Stack: Stack{Layers: stack(math.NaN())}},
		"layers u": {Spec: pulled, Stack: Stack{Layers: stack(1), UMM: -1}}, "bad-spec": {Stack: Stack{Layers: stack(1)}},
	} {
		_, err := Choose(i)
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Code != strings.Fields(what)[0] {
			t.Errorf("%s: %v", what, err)
		}
	}
}
