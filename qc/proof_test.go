package qc

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestInForce(t *testing.T) {
	mine := Setup{Device: "phone", Camera: "A 1", Sheet: "2", Layout: "corner", Kind: ShopHead}
	with := func(change func(*Setup)) Setup { s := mine; change(&s); return s }
	ps := []Proof{
		{"first", mine, "lamp", 1.5, ""},
		{"another phone", with(func(s *Setup) { s.Device = "tablet" }), "lamp", 9, ""},
		{"another camera", with(func(s *Setup) { s.Camera = "" }), "lamp", 8, ""},
		{"holes", with(func(s *Setup) { s.Kind = Hole }), "lamp", 9, ""},
		{"another sheet", with(func(s *Setup) { s.Sheet = "3" }), "lamp", 2, ""},
	}
	and := func(more ...Proof) []Proof { return append(slices.Clone(ps), more...) }
	for _, c := range []struct {
		what  string
		ps    []Proof
		s     Setup
		study string
		f     float64
		other bool
	}{
		{"none", nil, mine, "", 1, false},
		{"its own before a later one of another sheet", ps, mine, "first", 1.5, false},
		{"another card of the sheet", ps, with(func(s *Setup) { s.Layout = "strip" }), "another sheet", 2, true},
		{"a later one ends it", and(Proof{"second", mine, " Lamp", 1, ""}), mine, "second", 1, false},
		{"one in another light does not: no photo tells its light", and(Proof{"second", mine, "sun", 1, ""}), mine, "first", 1.5, false},
		{"the worst of the lights", and(Proof{"second", mine, "sun", 1.7, ""}, Proof{"third", mine, "lamp", 1, ""}), mine, "second", 1.7, false},
		{"a phone that has none: the worst of those with such a camera", ps, with(func(s *Setup) { s.Device = "laptop" }), "another phone", 9, true},
		{"a phone that nobody knows", and(Proof{"second", with(func(s *Setup) { s.Device = "tablet" }), "lamp", 1, ""}), with(func(s *Setup) { s.Device = "" }), "another sheet", 2, true},
		{"circles alone, where nothing was proven of the kind", []Proof{{"circles", with(func(s *Setup) { s.Kind = PrintedCircles }), "lamp", 3, ""}}, mine, "circles", 3, false},
		{"circles do not go before another sheet's heads", append([]Proof{{"circles", with(func(s *Setup) { s.Kind = PrintedCircles }), "lamp", 3, ""}}, ps[4]), mine, "another sheet", 2, true},
		{"heads prove no circles", ps, with(func(s *Setup) { s.Kind = PrintedCircles }), "", 1, false},
		{"another project's sheet of this number", []Proof{{"elsewhere", mine, "lamp", 2, "another"}}, mine, "elsewhere", 2, true},
		{"a camera without a name is no phone", ps, with(func(s *Setup) { s.Device, s.Camera = "laptop", "" }), "", 1, false},
	} {
		if p := InForce(c.ps, c.s); p.Study != c.study || p.Factor != c.f || p.Other != c.other {
			t.Errorf("%s: %+v", c.what, p)
		}
	}
}

// A reading that grew keeps what its photo gave, is what its budget adds up to, and is judged so.
func TestGrow(t *testing.T) {
	r := Reading{Quantity: EdgeDistance, ValueMM: 10, How: ByPhoto, Warnings: []string{"faint"}, Contributions: []Contribution{{Label: "a", UMM: 0.03, DoF: 4}, {Label: "b", UMM: 0.04}}}
	b, err := CombineReading(r.Contributions)
	if err != nil {
		t.Fatal(err)
	}
	r.UMM = b.Expanded
	limit := Limit{Quantity: EdgeDistance, MinMM: 9.85, Source: "test"}
	if v := Judge(r, limit).Verdict; v != Within {
		t.Fatalf("%v before", v)
	}
	g := r.Grow(Proven{Proof: Proof{Study: "id", Factor: 2}})
	if gb, err := CombineReading(g.Contributions); err != nil || math.Abs(gb.Expanded-g.UMM) > 1e-12 || math.Abs(g.UMM-2*r.UMM) > 1e-12 || gb.DoF-b.DoF > 1e-9 {
		t.Errorf("U %v of %v, budget %+v, %v", g.UMM, r.UMM, gb, err)
	}
	if g.Grown == nil || *g.Grown != (Grown{"id", 2, r.UMM}) || len(g.Warnings) != 2 || !strings.Contains(g.Warnings[1], "2.00 times") {
		t.Errorf("%+v, %q", g.Grown, g.Warnings)
	}
	if c := Judge(g, limit); c.Verdict != TooClose || c.UMM < g.UMM {
		t.Errorf("judged %v with %v", c.Verdict, c.UMM)
	}
	if r.Contributions[0].UMM != 0.03 || len(r.Warnings) != 1 {
		t.Error("the photo's own reading was changed")
	}
	r.How = ByGauge
	if g := r.Grow(Proven{Proof: Proof{Study: "id", Factor: 2}}); g.Grown != nil || g.UMM != r.UMM {
		t.Error("calipers grew with the phone's study")
	}
	r.How = ByPhoto
	if g := r.Grow(InForce(nil, Setup{})); g.Grown != nil {
		t.Error("grown without a study")
	}
}

// Printed circles prove the optics: the camera's part of a budget grows, and U by what that comes to.
func TestGrowByOptics(t *testing.T) {
	r := Reading{Quantity: HeadDMean, ValueMM: 5, How: ByPhoto, Contributions: []Contribution{{Label: CameraFit, UMM: 0.03}, {Label: "outline", UMM: 0.04}}}
	b, err := CombineReading(r.Contributions)
	if err != nil {
		t.Fatal(err)
	}
	r.UMM = b.Expanded
	circles := Proven{Proof: Proof{Study: "id", Setup: Setup{Kind: PrintedCircles}, Factor: 2}}
	g := r.Grow(circles)
	if want := b.Expanded * math.Hypot(0.06, 0.04) / 0.05; math.Abs(g.UMM-want) > 1e-9 || g.Contributions[1].UMM != 0.04 || g.Contributions[0].UMM != 0.06 {
		t.Errorf("U %v, want %v: %+v", g.UMM, want, g.Contributions)
	}
	if g.Grown == nil || *g.Grown != (Grown{"id", 2, r.UMM}) || len(g.Warnings) != 1 || !strings.Contains(g.Warnings[0], "1.44 times") {
		t.Errorf("%+v, %q", g.Grown, g.Warnings)
	}
	r.Contributions = r.Contributions[1:]
	if g := r.Grow(circles); g.Grown != nil || g.UMM != r.UMM || len(g.Warnings) > 0 {
		t.Errorf("without the camera: %+v", g)
	}
}
