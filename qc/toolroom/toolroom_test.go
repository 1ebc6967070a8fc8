package toolroom

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc"

	"pgregory.net/rapid"
)

var angle = Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.4f, want %.4f", what, got, want)
	}
}

func line(ls []Line, o Obstacle) float64 {
	for _, l := range ls {
		if l.Obstacle == o {
			return l.XMM
		}
	}
	return math.NaN()
}

// Worked example 1: 1/8 in pulled rivet, nose 12 mm, margin 1.
func TestLinesOfTheWorkedLeg(t *testing.T) {
	tool := &Tool{Name: "puller", NoseMM: 12}
	near(t, "head", line(Lines(tool, angle, Head{6.655, 1}, 1, true), HeadOnFlat), 7.93, 0.005)
	near(t, "strict", line(Lines(tool, angle, Head{6.655, 1}, 1, true), NoseStrict), 11.60, 0.005)
	near(t, "fillet", line(Lines(tool, angle, Head{6.655, 1}, 1, false), NoseFillet), 9.36, 0.006)
}

// Worked example 6: the nose fits and the body hits.
func TestWorkedToolRoom(t *testing.T) {
	axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: 12.5, UMM: 0.2, How: qc.ByGauge}
	tool := Tool{Name: "puller", NoseMM: 12.7, LengthMM: 20, BodyMM: 19}
	f, err := Judge(axis, tool, angle, Head{6.655, 1}, 1, qc.Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	got := map[Obstacle]Check{}
	for _, c := range f.Checks {
		got[c.Obstacle] = c
	}
	near(t, "nose to fillet", got[NoseFillet].GapMM, 3.79, 0.005)
	near(t, "body to leg", got[BodyLeg].GapMM, -8.1, 0.005)
	if got[NoseFillet].Verdict != qc.Within || got[BodyLeg].Verdict != qc.Out || f.Verdict != qc.Out {
		t.Errorf("nose %s, body %s, all %s", got[NoseFillet].Verdict, got[BodyLeg].Verdict, f.Verdict)
	}
	// With a nose as long as the cure says the body no longer counts, a hair shorter and it does.
	for mm, want := range map[float64]qc.Verdict{23.4: qc.Within, 23.3: qc.Out} {
		long := tool
		long.LengthMM = mm
		if f, _ := Judge(axis, long, angle, Head{6.655, 1}, 1, qc.Millimetres); f.Verdict != want {
			t.Errorf("nose %v mm long: %s, want %s", mm, f.Verdict, want)
		}
	}
	near(t, "least x with a long nose", line(Lines(&Tool{NoseMM: 12.7, LengthMM: 40, BodyMM: 19}, angle, Head{6.655, 1}, 1, false), NoseFillet), 9.71, 0.005)
	turned := tool
	turned.NarrowMM = 9
	if f, _ := Judge(axis, turned, angle, Head{6.655, 1}, 1, qc.Millimetres); !f.Turned {
		t.Error("the narrow side passes, which was not said")
	}
}

// A cure that is none is not named: no rivet's head is 0 mm wide.
func TestNoHeadIsNoCure(t *testing.T) {
	for at, smaller := range map[float64]bool{3: false, 7: true} {
		axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: at, UMM: 0.2, How: qc.ByGauge}
		f, err := Judge(axis, Tool{Name: "puller", NoseMM: 9}, angle, Head{6.655, 1}, 1, qc.Millimetres)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(f.Cures, "; "), "a head of at most"); got != smaller {
			t.Errorf("hole at %v mm: %q", at, f.Cures)
		}
	}
}

// The face of fillet and leg runs on without a step, and a leg bent less far leaves more room.
func TestInnerFace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Bend{ThicknessMM: rapid.Float64Range(0.4, 4).Draw(t, "t"), RadiusMM: rapid.Float64Range(0.1, 10).Draw(t, "r"), LegMM: 60,
			AngleDeg: rapid.Float64Range(5, 90).Draw(t, "deg")}
		h := rapid.Float64Range(0, 20).Draw(t, "h")
		if step := b.inner(h) - b.inner(h+1e-7); step < -1e-9 || step > 1e-2 {
			t.Fatalf("the face steps by %v at height %v", step, h)
		}
		if b.inner(0)-b.Setback() > 1e-9 {
			t.Fatalf("the face begins at %v, its tangent lies at %v", b.inner(0), b.Setback())
		}
		up := b
		up.AngleDeg = 90
		// From the tangent, a leg that is bent farther comes nearer at every height.
		if up.inner(h)-up.Setback() < b.inner(h)-b.Setback()-1e-9 {
			t.Fatalf("bent through %v degrees the leg comes nearer than upright", b.AngleDeg)
		}
	})
}

// A tool that is said to fit does by the lines themselves, less the uncertainty, and every verdict
// of out lies beyond a line.
func TestJudgeAgreesWithLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: rapid.Float64Range(1, 40).Draw(t, "x"), UMM: rapid.Float64Range(0.01, 1).Draw(t, "u"), How: qc.ByGauge}
		nose := rapid.Float64Range(3, 20).Draw(t, "nose")
		tool := Tool{Name: "t", NoseMM: nose, LengthMM: rapid.Float64Range(1, 40).Draw(t, "long"), BodyMM: nose/2 + rapid.Float64Range(0, 20).Draw(t, "body")}
		b := Bend{ThicknessMM: 1, RadiusMM: rapid.Float64Range(0, 6).Draw(t, "r"), LegMM: rapid.Float64Range(10, 50).Draw(t, "leg")}
		h := Head{rapid.Float64Range(3, 10).Draw(t, "head"), 1}
		f, err := Judge(axis, tool, b, h, 0.5, qc.Millimetres)
		if err != nil {
			t.Fatal(err)
		}
		least := 0.0
		for _, l := range Lines(&tool, b, h, 0.5, false) {
			least = math.Max(least, l.XMM)
		}
		want := qc.TooClose
		switch {
		case axis.ValueMM-axis.UMM >= least:
			want = qc.Within
		case axis.ValueMM+axis.UMM < least:
			want = qc.Out
		}
		if f.Verdict != want {
			t.Fatalf("%s, want %s: axis %v ± %v, least %v", f.Verdict, want, axis.ValueMM, axis.UMM, least)
		}
		if (f.Verdict == qc.Within) != (len(f.Cures) == 0) {
			t.Fatalf("verdict %s with cures %v", f.Verdict, f.Cures)
		}
	})
}

func TestRefusals(t *testing.T) {
	good := Tool{Name: "puller", NoseMM: 12}
	axis := qc.Reading{ValueMM: 12, UMM: 0.1}
	for code, try := range map[string]func() error{
		"tool-name":      func() error { return Tool{NoseMM: 1}.Valid() },
		"tool-nose":      func() error { return Tool{Name: "x"}.Valid() },
		"tool-body":      func() error { return Tool{Name: "x", NoseMM: 10, BodyMM: 2}.Valid() },
		"tool-length":    func() error { return Tool{Name: "x", NoseMM: 10, BodyMM: 20}.Valid() },
		"tool-size":      func() error { return Tool{Name: "x", NoseMM: 10, ReachMM: math.NaN()}.Valid() },
		"tool-kind":      func() error { return Tool{Name: "x", NoseMM: 10, Kind: "spoon"}.Valid() },
		"bend-thickness": func() error { return Bend{RadiusMM: 1, LegMM: 9}.Valid() },
		"bend-radius":    func() error { return Bend{ThicknessMM: 1, RadiusMM: -1, LegMM: 9}.Valid() },
		"bend-angle":     func() error { return Bend{ThicknessMM: 1, LegMM: 9, AngleDeg: 120}.Valid() },
		"bend-leg":       func() error { return Bend{ThicknessMM: 1, RadiusMM: 3, LegMM: 2}.Valid() },
		"margin":         func() error { _, err := Judge(axis, good, angle, Head{}, -1, qc.Millimetres); return err },
		"axis": func() error {
			_, err := Judge(qc.Reading{ValueMM: 3}, good, angle, Head{}, 1, qc.Millimetres)
			return err
		},
	} {
		var r *qc.Refusal
		if err := try(); !errors.As(err, &r) || r.Code != code || r.Do == "" {
			t.Errorf("%s: %v", code, err)
		}
	}
}

// Those that fit come first.
func TestBest(t *testing.T) {
	axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: 12.5, UMM: 0.2, How: qc.ByGauge}
	fits, err := Best(axis, []Tool{{Name: "wide", NoseMM: 12.7, LengthMM: 20, BodyMM: 19}, {Name: "long", NoseMM: 9, LengthMM: 40, BodyMM: 19}}, angle, Head{6.655, 1}, 1, qc.Millimetres)
	if err != nil || fits[0].Tool.Name != "long" || fits[0].Verdict != qc.Within || fits[1].Verdict != qc.Out {
		t.Errorf("%v %+v", err, fits)
	}
}

// Beside a flap that is hardly bent nothing is in the nose's way: it has room wherever the head is on
// the flat.
func TestAFlapThatLeansOut(t *testing.T) {
	axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: 12, UMM: 0.2, How: qc.ByGauge}
	f, err := Judge(axis, Tool{Name: "puller", NoseMM: 9.2, LengthMM: 27}, Bend{ThicknessMM: 0.8, LegMM: 18, AngleDeg: 10}, Head{DiameterMM: 4, HeightMM: 1}, 0, qc.Millimetres)
	if err != nil || f.Verdict != qc.Within || len(f.Cures) > 0 {
		t.Errorf("%v: %s, %q", err, f.Verdict, f.Cures)
	}
}
