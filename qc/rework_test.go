package qc

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

func plan(t *testing.T, s Spec, readings, hole []Reading) Rework {
	t.Helper()
	return planIn(t, s, readings, hole, Millimetres)
}

func planIn(t *testing.T, s Spec, readings, hole []Reading, u Units) Rework {
	t.Helper()
	rw, err := PlanRework(s, readings, hole, u)
	if err != nil {
		t.Fatal(err)
	}
	return rw
}

// The worked example from AC 43.13-1B 4-57b and c: a hole opened from 1/8 to 5/32 in needs
// 0.3125 in to the edge and 0.46875 in of pitch (rework-rules.csv W26).
func TestNextSizeWorkedExample(t *testing.T) {
	var want []string
	for _, row := range publishedRows(t, "rework-rules.csv") {
		if row["no"] == "W26" {
			want = strings.Split(row["value"], ";")
		}
	}
	edge, pitch := atof(t, want[0]), atof(t, strings.TrimSpace(want[1]))
	rw := plan(t, Spec{Kind: UniversalHead, NominalMM: 0.125 * in}, []Reading{rd(EdgeDistance, 8.2, 0.1), rd(Pitch, 12.5, 0.1), rd(Pitch, 11.7, 0.1)}, nil)
	n := rw.NextSize
	if n == nil || n.Name != "-5 (5/32 in)" || n.Drill != "#21" {
		t.Fatalf("next size %+v", n)
	}
	var got []Verdict
	for _, c := range n.Checks {
		switch {
		case c.Limit.Quantity == EdgeDistance && c.Limit.MinMM > 0:
			near(t, "edge", c.Limit.MinMM/in, edge, 1e-9)
			got = append(got, c.Verdict)
		case c.Limit.Quantity == Pitch && c.Limit.MinMM > 0:
			near(t, "pitch", c.Limit.MinMM/in, pitch, 1e-9)
			got = append(got, c.Verdict)
		}
	}
	// 8.2 over 7.94 within; 11.7 under 11.91 out; 12.5 within.
	if len(got) != 3 || got[0] != Within || got[1] != Out || got[2] != Within || n.Verdict != Out {
		t.Errorf("verdicts %q, overall %q", got, n.Verdict)
	}
	if len(n.HoleCheck) != 2 || math.Abs(n.HoleCheck[0].MinMM-0.15625*in) > 1e-9 {
		t.Errorf("opened hole: %+v", n.HoleCheck)
	}
	if len(rw.HoleCheck) != 2 || math.Abs(rw.HoleCheck[0].MinMM-0.125*in) > 1e-9 {
		t.Errorf("same hole: %+v", rw.HoleCheck)
	}
}

func TestReworkSteps(t *testing.T) {
	for _, c := range []struct {
		spec Spec
		u    Units
		want []string // in this order
	}{
		{shop4, Inches, []string{"#31 drill (0.120 in)", "punch under its diameter (0.125 in)", "at least 0.125 in"}},
		{shop4, Millimetres, []string{"Centre-punch", "#31 drill (3.05 mm)", "Snap the head off", "punch under its diameter (3.18 mm)", "chips", "card. Hole width, least: at least 3.18 mm"}},
		{Spec{Kind: PulledHead, NominalMM: 3.2}, Millimetres, []string{"stem out", "#31 drill", "Push the body out", "count the pieces", "chips", "Measure the hole", "at least 3.30 mm"}},
	} {
		rw := planIn(t, c.spec, nil, nil, c.u)
		var all, cautions string
		for _, st := range rw.Steps {
			all += st.Text + "\n"
			if len(st.Sources) == 0 {
				t.Errorf("step %q has no source", st.Text)
			}
			for _, x := range st.Cautions {
				cautions += x.Text
			}
		}
		at := 0
		for _, w := range c.want {
			i := strings.Index(all[at:], w)
			if i < 0 {
				t.Errorf("%s: %q is missing after %q", c.spec.Kind, w, all[:at])
				break
			}
			at += i
		}
		for _, w := range []string{"eye protection", "hearing protection", "fuel vapour", "respirator"} {
			if !strings.Contains(cautions, w) {
				t.Errorf("%s: no caution about %q", c.spec.Kind, w)
			}
		}
		if notes := strings.Join(rw.Notes, " "); !strings.Contains(notes, PhotoCaution) || !strings.Contains(notes, "20 percent") {
			t.Errorf("notes: %s", notes)
		}
		if rw.NextSize.Verdict != "" || len(rw.NextSize.Unread) != 2 {
			t.Errorf("without readings nothing is known about the next size: %+v", rw.NextSize)
		}
		if _, err := json.Marshal(rw); err != nil {
			t.Error(err)
		}
	}
}

// A 1/8 in hole means another thing to a pulled rivet than to a solid one.
func TestHoleCheckIsForTheSameRivet(t *testing.T) {
	rw := plan(t, Spec{Kind: PulledHead, NominalMM: 0.125 * in}, nil, nil)
	near(t, "hole (TM 10-5410-221-14 Table 4-3)", rw.HoleCheck[0].MinMM/in, 0.128, 1e-9)
	near(t, "next hole (same table)", rw.NextSize.HoleCheck[0].MinMM/in, 0.160, 1e-9)
	if rw.NextSize.Drill != "#20" {
		t.Errorf("drill %q, want #20 (same table)", rw.NextSize.Drill)
	}
}

func TestNextSizes(t *testing.T) {
	for _, c := range []struct {
		spec Spec
		want string
	}{
		{Spec{Kind: ShopHead, NominalMM: 3 * in / 32}, "-4 (1/8 in)"},
		{Spec{Kind: ShopHead, NominalMM: 6 * in / 32}, "-8 (1/4 in)"},
		{Spec{Kind: PulledHead, NominalMM: 3.2}, "4.0 mm"},
		{Spec{Kind: PulledHead, NominalMM: 4 * in / 32}, "5/32 in"},
		{Spec{Kind: PulledHead, NominalMM: 4 * in / 32, Head: "large dome"}, "3/16 in"},
		{Spec{Kind: PulledHead, NominalMM: 6.4}, ""},
		{Spec{Kind: ShopHead, NominalMM: 12 * in / 32}, ""},
	} {
		name := ""
		if n := plan(t, c.spec, nil, nil).NextSize; n != nil {
			name = n.Name
		}
		if name != c.want {
			t.Errorf("after %v mm %s: %q, want %q", c.spec.NominalMM, c.spec.Kind, name, c.want)
		}
	}
}

// A flush rivet keeps its 2.5 D, and a shop head the uncertainty of its shank, at the next size.
func TestNextSizeKeepsWhatTheRivetIs(t *testing.T) {
	r := []Reading{rd(EdgeDistance, 9.8, 0.1)}
	flush := shop4
	flush.Flush = true
	c := plan(t, flush, r, nil).NextSize.Checks[0]
	if math.Abs(c.Limit.MinMM-2.5*5*in/32) > 1e-9 || len(c.Added) != 1 || c.Verdict != TooClose {
		t.Errorf("flush: %+v", c)
	}
	c = plan(t, flush, r, []Reading{rd(EdgeDistance, 10.1, 0.1)}).NextSize.Checks[0]
	if len(c.Added) != 0 || c.Reading.ValueMM != 10.1 || c.Verdict != Within {
		t.Errorf("with the hole's reading: %+v", c)
	}
}

// A drawing that lets a 1/8 in rivet nearer to the edge by a length says nothing of a larger one.
func TestLessStrictLengthDoesNotExcuseTheNextSize(t *testing.T) {
	own := func(limit string) *OwnLimits {
		o, err := ReadOwnLimits(strings.NewReader(`{"name":"n","reference":"r","limits":[` + limit + `]}`))
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	s := Spec{Kind: UniversalHead, NominalMM: 3.175}
	r := []Reading{rd(EdgeDistance, 7, 0.1)}
	for _, c := range []struct {
		limit string
		min   float64
		want  Verdict
	}{
		{`{"quantity":"edge_distance","min_mm":5}`, 2 * 5 * in / 32, Out},
		{`{"quantity":"edge_distance","min_d":1.5}`, 1.5 * 5 * in / 32, Within},
		{`{"quantity":"edge_distance","min_mm":5,"size":"5"}`, 5, Within},
		{`{"quantity":"edge_distance","min_mm":9}`, 9, Out},
	} {
		s.Own = own(c.limit)
		n := plan(t, s, r, nil).NextSize
		if math.Abs(n.Checks[0].Limit.MinMM-c.min) > 1e-9 || n.Verdict != c.want {
			t.Errorf("%s: %+v, %q", c.limit, n.Checks[0].Limit, n.Verdict)
		}
	}
}

func TestPlanReworkRefuses(t *testing.T) {
	if _, err := PlanRework(Spec{Kind: Hole, NominalMM: 3.175}, nil, nil, Millimetres); err == nil {
		t.Error("a hole was drilled out")
	}
	if _, err := PlanRework(Spec{Kind: "bolt", NominalMM: 3.175}, nil, nil, Millimetres); err == nil {
		t.Error("a bolt was drilled out")
	}
}
