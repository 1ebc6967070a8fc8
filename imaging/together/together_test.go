package together

import (
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

var someOptions = measure.Options{Kind: qc.ShopHead, NominalMM: 2.38125, ScaleX: 0.99853, ScaleY: 1.00192, ThicknessMM: 0.29}

// fourTimes is what one photo gave, measured four times.
var fourTimes = sync.OnceValues(func() (rs []*measure.Result, err error) {
	data, err := os.ReadFile("../../testdata/photos/dev-16.jpg")
	for range 4 {
		if err == nil {
			var r *measure.Result
			r, err = measure.Photo(data, someOptions)
			rs = append(rs, r)
		}
	}
	return rs, err
})

// photos gives what one photo gave n times over, as if it were several: each may be changed by itself.
func photos(t *testing.T, n int) (rs []*measure.Result) {
	t.Helper()
	all, err := fourTimes()
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range all[:n] {
		c := *r
		c.SHA256, c.Locations = string(rune('a'+i)), slices.Clone(r.Locations)
		rs = append(rs, &c)
	}
	return rs
}

// grow makes the outline of fastener i larger while the test runs, as if a photo showed another contour.
func grow(t *testing.T, r *measure.Result, i int, by float64) {
	f := &r.Fasteners()[i]
	was := *f
	t.Cleanup(func() { *f = was })
	f.Observations = slices.Clone(f.Observations)
	for k := range f.Observations {
		o := &f.Observations[k]
		o.At = f.Centre.Add(o.At.Sub(f.Centre).Scale(by))
	}
	f.RMM *= by
}

// measured gives the index of a location that a photo alone reads.
func measured(t *testing.T, r *measure.Result) int {
	t.Helper()
	for i := range r.Locations {
		if r.Locations[i].Ask == nil {
			return i
		}
	}
	t.Fatal("nothing was read")
	return 0
}

func (l *Location) reading(q qc.Quantity) *measure.Reading {
	for i := range l.Readings {
		if l.Readings[i].Quantity == q {
			return &l.Readings[i]
		}
	}
	return nil
}

// at gives the location at a place on the first photo's sheet.
func (r *Result) at(t *testing.T, p geom.SheetPoint) *Location {
	t.Helper()
	for i := range r.Locations {
		if r.Locations[i].Centre.Sub(p).Norm() < 0.5 {
			return &r.Locations[i]
		}
	}
	t.Fatalf("nothing stands at %v", p)
	return nil
}

func part(r *measure.Reading, label string) float64 {
	for _, c := range r.Contributions {
		if c.Label == label {
			return c.UMM
		}
	}
	return 0
}

// What all photos share stays in the budget, what is each photo's own falls with their number, and
// U is what the budget adds up to.
func TestCommonPartsStay(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	rs := photos(t, 4)
	k := measured(t, rs[0])
	was := rs[0].Locations[k]
	l := Join(rs, someOptions).at(t, was.Centre)
	if l.Ask != nil {
		t.Fatalf("asked about: %v", l.Ask)
	}
	alone := func(q qc.Quantity) *measure.Reading {
		one := Location{Location: was}
		return one.reading(q)
	}
	for _, q := range []qc.Quantity{qc.HeadDMean, qc.Pitch, qc.EdgeDistance} {
		r, one := l.reading(q), alone(q)
		if r == nil || one == nil {
			t.Fatalf("no %s", q)
		}
		if r.Views != 4 {
			t.Errorf("%s stands on %d photos", q, r.Views)
		}
		if got, want := part(r, "card print scale"), part(one, "card print scale"); math.Abs(got-want) > 0.02*want {
			t.Errorf("%s: the print scale contributes %.5f mm, of one photo %.5f", q, got, want)
		}
		// In a diameter the cameras are told to the joint fit, and stand in what differs between photos.
		want := part(one, "camera fit") / 2
		if q.Diameter() {
			want = 0
		}
		if got := part(r, "camera fit"); math.Abs(got-want) > 0.1*want {
			t.Errorf("%s: the cameras contribute %.5f mm, want half of one: %.5f", q, got, want)
		}
		if !(r.UMM < 0.95*one.UMM) {
			t.Errorf("%s: U %.4f mm by four photos, %.4f by one", q, r.UMM, one.UMM)
		}
		var cs []qc.Contribution
		cs = append(cs, r.Contributions...)
		if b, err := qc.CombineReading(cs); err != nil || math.Abs(b.Expanded-r.UMM) > 1e-9 {
			t.Errorf("%s: U %.6f, its budget %.6f, %v", q, r.UMM, b.Expanded, err)
		}
	}
}

// Weighted parts: what is common adds up as it is, what is a photo's own by squares.
func TestFuse(t *testing.T) {
	one := []qc.Contribution{{Label: "card thickness", UMM: 0.03}, {Label: "camera fit", UMM: 0.03}, {Label: "edge: line fit", UMM: 0.03}}
	got := fuse([][]qc.Contribution{one, one, one, one}, []float64{0.25, 0.25, 0.25, 0.25}, func(string) bool { return false })
	k := commonVariance["edge: line fit"]
	for i, want := range []float64{0.03, 0.015, 0.03 * math.Sqrt(k+(1-k)/4)} {
		if math.Abs(got[i].UMM-want) > 1e-12 {
			t.Errorf("%s: %.5f, want %.5f", got[i].Label, got[i].UMM, want)
		}
	}
}

// Every label that is sorted as common is one that budgets have.
func TestLabelsAreThoseOfBudgets(t *testing.T) {
	known := map[string]bool{}
	for _, l := range photos(t, 1)[0].Locations {
		for _, r := range l.Readings {
			for _, c := range r.Contributions {
				known[c.Label] = true
			}
		}
	}
	for label := range commonVariance {
		if label != "card thickness" && !known[label] { // a thin card's is too small to be kept
			t.Errorf("no budget has %q", label)
		}
	}
}

// The odd one of three photos is left out with its reason, and does not pull.
func TestOddPhotoIsLeftOut(t *testing.T) {
	rs := photos(t, 3)
	k := measured(t, rs[0])
	want := Join([]*measure.Result{rs[0], rs[2]}, someOptions).at(t, rs[0].Locations[k].Centre).reading(qc.HeadDMean).ValueMM
	grow(t, rs[1], k, 1.12)
	l := Join(rs, someOptions).at(t, rs[0].Locations[k].Centre)
	if l.Ask != nil {
		t.Fatalf("asked about: %v", l.Ask)
	}
	if len(l.Looks) != 3 || !l.Looks[0].Used || l.Looks[1].Used || !strings.Contains(l.Looks[1].Why, "disagrees") || !l.Looks[2].Used {
		t.Errorf("%+v", l.Looks)
	}
	if r := l.reading(qc.HeadDMean); math.Abs(r.ValueMM-want) > 0.005 || r.Views != 2 {
		t.Errorf("%.4f mm by %d photos, want %.4f by 2", r.ValueMM, r.Views, want)
	}
}

// Two photos that disagree are not averaged: it is asked about.
func TestTwoThatDisagreeAreAskedAbout(t *testing.T) {
	rs := photos(t, 2)
	k := measured(t, rs[0])
	grow(t, rs[1], k, 1.12)
	l := Join(rs, someOptions).at(t, rs[0].Locations[k].Centre)
	if l.Ask == nil || l.Ask.Code != "views-disagree" || len(l.Readings) > 0 {
		t.Errorf("ask %v, %d readings", l.Ask, len(l.Readings))
	}
	// One of them would be asked about by itself: then that one is left out.
	rs[1].Locations[k].Ask = &qc.Refusal{Code: "two-outlines", Text: "two different outlines are possible"}
	l = Join(rs, someOptions).at(t, rs[0].Locations[k].Centre)
	if l.Ask != nil || !l.Looks[0].Used || l.Looks[1].Used {
		t.Errorf("ask %v, looks %+v", l.Ask, l.Looks)
	}
	if got, alone := l.reading(qc.HeadDMean), rs[0].Locations[k].Readings[0]; got.ValueMM != alone.ValueMM || got.UMM != alone.UMM || got.Views != 1 {
		t.Errorf("%.4f ± %.4f by %d, the photo alone has %.4f ± %.4f", got.ValueMM, got.UMM, got.Views, alone.ValueMM, alone.UMM)
	}
}

// Two photos that would each be asked about settle it where they agree.
func TestAgreementSettlesADoubt(t *testing.T) {
	rs := photos(t, 2)
	k := measured(t, rs[0])
	for _, r := range rs {
		r.Locations[k].Ask = &qc.Refusal{Code: "two-outlines", Text: "two different outlines are possible"}
	}
	l := Join(rs, someOptions).at(t, rs[0].Locations[k].Centre)
	if l.Ask != nil || l.reading(qc.HeadDMean) == nil {
		t.Fatalf("ask %v", l.Ask)
	}
	if l := Join(rs[:1], someOptions).at(t, rs[0].Locations[k].Centre); l.Ask == nil {
		t.Error("one alone is still asked about")
	}
	// That all see one contour does not make a slot's lit end a wall.
	for _, r := range rs {
		r.Locations[k].Ask = &qc.Refusal{Code: "may-be-oblong"}
	}
	if l := Join(rs, someOptions).at(t, rs[0].Locations[k].Centre); l.Ask == nil || l.Ask.Code != "may-be-oblong" || len(l.Readings) > 0 {
		t.Errorf("ask %v, %d readings", l.Ask, len(l.Readings))
	}
}

// The same file is no second view, and views from one place tell no height but how to take the next.
func TestNotFooled(t *testing.T) {
	rs := photos(t, 2)
	k := measured(t, rs[0])
	if l := Join(rs, someOptions).at(t, rs[0].Locations[k].Centre); l.reading(qc.HeadHeight) != nil || !strings.Contains(l.NoHeight, "tilt the phone") {
		t.Errorf("from one place: %v, %q", l.reading(qc.HeadHeight), l.NoHeight)
	}
	rs[1].SHA256 = rs[0].SHA256
	res := Join(rs, someOptions)
	if out := res.Photos[1].LeftOut; out == nil || out.Code != "same-photo" {
		t.Errorf("the same file: %v", out)
	}
	if l := res.at(t, rs[0].Locations[k].Centre); l.reading(qc.HeadDMean).Views != 1 {
		t.Errorf("stands on %d photos", l.reading(qc.HeadDMean).Views)
	}
}

// A photo without a card has no part, and says so.
func TestPhotoWithoutACard(t *testing.T) {
	rs := append(photos(t, 1), &measure.Result{SHA256: "x", Problems: []qc.Refusal{{Code: "no-card", Text: "no card was found"}}})
	res := Join(rs, someOptions)
	if out := res.Photos[1].LeftOut; out == nil || out.Code != "no-card" || len(res.Locations) == 0 {
		t.Errorf("left out: %v, %d locations", out, len(res.Locations))
	}
	if res := Join(rs[1:], someOptions); len(res.Locations) > 0 || res.Photos[0].LeftOut == nil {
		t.Error("something was measured without a card")
	}
}
