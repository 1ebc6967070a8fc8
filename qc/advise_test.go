package qc

import (
	"strings"
	"testing"
)

// The fitting choice stands first, and the advice says why with the location's own numbers.
func TestAdvice(t *testing.T) {
	least, most := heightLimits(t, shop4)
	hole := Spec{Kind: Hole, NominalMM: 3.175}
	for _, c := range []struct {
		name    string
		spec    Spec
		rs      []Reading
		answers []Answer
		want    Disposition
		says    string
		not     Disposition
	}{
		{"short edge", shop4, []Reading{rd(EdgeDistance, 5, 0.1)}, nil, Refer, "next size, -5 (5/32 in), needs", ""},
		{"short edge and narrow", shop4, []Reading{rd(EdgeDistance, 5, 0.1), rd(HeadDMin, 4, 0.1)}, nil, Refer, "not mended by drilling out", ""},
		{"short edge as planned", shop4, []Reading{layout(EdgeDistance, 5, 0.1)}, nil, ReMeasure, "nobody has measured it", ""},
		{"narrow and high", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most+0.5, 0.05)}, nil, ReMeasure, "driven a little further", ""},
		{"narrow, height not read", shop4, []Reading{rd(HeadDMin, 4, 0.1)}, nil, ReMeasure, "Measure its height", ""},
		{"cracked and narrow, height not read", shop4, []Reading{rd(HeadDMin, 4, 0.1)}, []Answer{{"cracked", Yes, ""}}, DrillOut, "can't be driven back", ""},
		{"cracked, narrow and high", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most+0.5, 0.05)}, []Answer{{"cracked", Yes, ""}}, DrillOut, "can't be driven back", ""},
		{"narrow and low", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, least-0.5, 0.05)}, nil, DrillOut, "drilled out and replaced", ""},
		{"wide and low", shop4, []Reading{rd(HeadDMax, 7, 0.1), gauge(HeadHeight, least-0.5, 0.05)}, nil, DrillOut, "can't be driven back", ""},
		{"gap", shop4, []Reading{rd(HeadDMin, 4, 0.1), gauge(HeadHeight, most+0.5, 0.05)}, []Answer{{"gap-shop", Yes, ""}}, DrillOut, "gap is not closed", ""},
		{"pulled", Spec{Kind: PulledHead, NominalMM: 3.2}, []Reading{rd(HeadDMin, 5, 0.05)}, nil, DrillOut, "never set again", ""},
		{"close", shop4, []Reading{rd(HeadDMin, 4.4, 0.1)}, nil, ReMeasure, "use calipers", ""},
		{"close by hand", shop4, []Reading{gauge(HeadDMin, 4.38, 0.05)}, nil, Refer, "keep it with a reason", ""},
		{"hole too wide", hole, []Reading{rd(HoleDMax, 3.8, 0.05)}, nil, Refer, "next size", DrillOut},
		{"within", shop4, []Reading{rd(HeadDMin, 4.8, 0.1)}, nil, Keep, "Nothing", ""},
	} {
		var next *NextSize
		if rw, err := PlanRework(c.spec, c.rs, nil, Millimetres); err == nil {
			next = rw.NextSize
		}
		a := Advise(c.spec.Kind, judge(t, c.spec, c.rs, nil).Checks, c.answers, next, Millimetres)
		if a.Choices[0] != c.want || !strings.Contains(a.Text, c.says) || a.Source == "" {
			t.Errorf("%s: %v, %q; want %s first, %q", c.name, a.Choices, a.Text, c.want, c.says)
		}
		for _, d := range a.Choices {
			if d == c.not {
				t.Errorf("%s: %s is offered", c.name, d)
			}
		}
	}
}

// A builder who reads inches reads the advice in inches.
func TestAdviceInInches(t *testing.T) {
	short := []Reading{rd(EdgeDistance, 5, 0.1)}
	next := planIn(t, shop4, short, nil, Inches).NextSize
	a := Advise(shop4.Kind, judge(t, shop4, short, nil).Checks, nil, next, Inches)
	if want := "needs 0.313 in where there are 0.197 ± 0.017 in"; !strings.Contains(a.Text, want) {
		t.Errorf("%q; want %q", a.Text, want)
	}
}

// heightLimits are the limits in force of a driven head's height, in mm.
func heightLimits(t *testing.T, s Spec) (least, most float64) {
	t.Helper()
	limits, err := s.Limits()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range limits {
		if l.Quantity == HeadHeight {
			most, least = max(most, l.MaxMM), max(least, l.MinMM)
		}
	}
	if most == 0 || least == 0 {
		t.Fatalf("the limits of a driven head's height are %v to %v", least, most)
	}
	return least, most
}

// A hole lies between the pin that enters and the one that does not, anywhere alike.
