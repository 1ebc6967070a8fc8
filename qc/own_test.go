package qc

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

const hatch = `{
 "name": "baggage hatch",
 "reference": "BH-12 sheet 3, note 4",
 "limits": [
  {"quantity": "head_d", "kind": "shop-head", "size": "4", "min_mm": 4.2, "max_mm": 5.4},
  {"quantity": "edge_distance", "min_d": 2.25, "note": "frame flanges"},
  {"quantity": "pitch", "min_in": 0.5, "reference": "BH-12 sheet 1"},
  {"quantity": "mandrel_off", "max_mm": 0.3},
  {"quantity": "pitch", "size": "5", "min_in": 0.6}
 ]
}`

func TestOwnLimitsGoBeforePublished(t *testing.T) {
	o, err := ReadOwnLimits(strings.NewReader(hatch))
	if err != nil {
		t.Fatal(err)
	}
	ls, err := Spec{Kind: ShopHead, NominalMM: 3.175, Own: o}.Limits()
	if err != nil {
		t.Fatal(err)
	}
	least := find(t, ls, HeadDMin, false)
	if least.MinMM != 4.2 || least.Basis != "own" || least.Source != "BH-12 sheet 3, note 4" || least.Set != "baggage hatch" {
		t.Errorf("own least width: %+v", least)
	}
	if !least.Laxer || least.Published == nil || math.Abs(least.Published.MinMM-11*in/64) > 1e-9 {
		t.Errorf("4.2 mm is less strict than 11/64 in: %+v", least)
	}
	if l := find(t, ls, HeadDMax, true); l.MaxMM != 5.4 || l.Laxer || l.Published == nil {
		t.Errorf("own greatest width is stricter: %+v", l)
	}
	if l := find(t, ls, EdgeDistance, false); math.Abs(l.MinMM-2.25*3.175) > 1e-9 || l.Laxer || l.Note != "frame flanges" {
		t.Errorf("own edge distance: %+v", l)
	}
	if l := find(t, ls, Pitch, false); math.Abs(l.MinMM-12.7) > 1e-9 || l.Source != "BH-12 sheet 1" {
		t.Errorf("pitch: %+v", l)
	}
	if l := find(t, ls, MandrelOff, true); l.MaxMM != 0.3 || l.Published != nil {
		t.Errorf("a limit that nobody publishes: %+v", l)
	}
	// The more special own limit goes first, whatever the order.
	turned := *o
	turned.Limits = []OwnLimit{o.Limits[4], o.Limits[2]}
	ls, _ = Spec{Kind: Hole, NominalMM: 5 * in / 32, Own: &turned}.Limits()
	if l := find(t, ls, Pitch, false); math.Abs(l.MinMM-0.6*in) > 1e-9 {
		t.Errorf("pitch for -5, special first: %+v", l)
	}
	ls, _ = Spec{Kind: Hole, NominalMM: 5 * in / 32, Own: o}.Limits()
	if l := find(t, ls, Pitch, false); math.Abs(l.MinMM-0.6*in) > 1e-9 || l.Published == nil || l.Published.MinMM != 3*5*in/32 {
		t.Errorf("pitch for -5: %+v", l)
	}
	if l := find(t, ls, HeadDMin, false); l.Quantity != "" {
		t.Errorf("a shop head's limit on a hole: %+v", l)
	}
}

// A value from the builder's own copy of a document stands under its edition and page.
func TestOwnLimitsNameEditionAndPage(t *testing.T) {
	o, err := ReadOwnLimits(strings.NewReader(`{"name": "my copy", "reference": "hand book", "edition": "2018", "page": "7-12", "limits": [
		{"quantity": "head_d", "min_mm": 4.4},
		{"quantity": "pitch", "min_d": 3, "page": "7-14"},
		{"quantity": "edge_distance", "min_d": 2, "reference": "BH-12", "edition": "B"},
		{"quantity": "out_of_round", "max_mm": 0.3, "reference": "BH-13"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	ls, err := Spec{Kind: ShopHead, NominalMM: 3.175, Own: o}.Limits()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		quantity Quantity
		greatest bool
		source   string
	}{
		{HeadDMin, false, "hand book, edition 2018, page 7-12"},
		{Pitch, false, "hand book, edition 2018, page 7-14"},
		{EdgeDistance, false, "BH-12, edition B"},
		{OutOfRound, true, "BH-13"},
	} {
		if l := find(t, ls, want.quantity, want.greatest); l.Source != want.source || l.Basis != "own" {
			t.Errorf("%s: %q (%s), want %q", want.quantity, l.Source, l.Basis, want.source)
		}
	}
	if o.Document() != "hand book, edition 2018, page 7-12" {
		t.Errorf("the whole: %s", o.Document())
	}
	long := *o
	long.Page = strings.Repeat("7", 201)
	if long.Valid() == nil {
		t.Error("a page of 201 characters")
	}
}

// A less strict own limit is allowed, says so, and its check names both.
func TestLessStrictLimitNamesBoth(t *testing.T) {
	o, _ := ReadOwnLimits(strings.NewReader(hatch))
	res, err := JudgeLocation(Spec{Kind: ShopHead, NominalMM: 3.175, Own: o}, []Reading{{Quantity: HeadDMin, ValueMM: 4.3, UMM: 0.05}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range res.Checks {
		if c.Limit.MinMM != 4.2 {
			continue
		}
		text := strings.Join(c.Notes, " ")
		for _, want := range []string{"less strict", "4.20 mm", "BH-12", "4.37 mm", "Standard Aircraft Handbook"} {
			if !strings.Contains(text, want) {
				t.Errorf("notes %q lack %q", text, want)
			}
		}
		if c.Verdict != Within {
			t.Errorf("4.30 ± 0.05 is %s against the own 4.20", c.Verdict)
		}
		data, _ := json.Marshal(c)
		for _, want := range []string{`"laxer":true`, `"published":{`, `"min_mm":4.2`} {
			if !strings.Contains(string(data), want) {
				t.Errorf("JSON %s lacks %s", data, want)
			}
		}
		return
	}
	t.Error("no check against the own limit")
}

func TestReadOwnLimitsRefuses(t *testing.T) {
	one := func(limit string) string { return `{"name":"n","reference":"r","limits":[` + limit + `]}` }
	for _, c := range []struct{ in, want string }{
		{``, "end too early"},
		{`{"name":"n",`, "end too early"},
		{"{\n\n nonsense}", "line 3"},
		{`[]`, "wants a"},
		{`{"name":"n","reference":"r","limits":"none"}`, `"limits" wants a`},
		{`{"name":"n","reference":"r","limits":[]}`, "no limit"},
		{`{"reference":"r","limits":[{"quantity":"pitch","min_mm":1}]}`, "need a name"},
		{`{"name":"n","reference":" ","limits":[{"quantity":"pitch","min_mm":1}]}`, "need a reference"},
		{`{"name":"n","reference":"r","colour":"red","limits":[]}`, `unknown field "colour"`},
		{one(`{"quantity":"pitch","min_mm":1}`) + "{}", "after the closing brace"},
		{one(`{"quantity":"width","min_mm":1}`), `quantity "width" is not known`},
		{one(`{"quantity":"pitch"}`), "no bound"},
		{one(`{"quantity":"pitch","min_mm":1,"min_in":1}`), "several units"},
		{one(`{"quantity":"pitch","min_mm":-1}`), "outside"},
		{one(`{"quantity":"pitch","min_mm":5000}`), "outside"},
		{one(`{"quantity":"pitch","min_in":48}`), "1219.2 mm lies outside"},
		{one(`{"quantity":"pitch","min_d":60}`), "60 D lies outside"},
		{one(`{"quantity":"pitch","min_mm":2,"max_mm":2}`), "not below"},
		{one(`{"quantity":"edge_distance","size":"4","min_d":2,"max_mm":6}`), "not below"},
		{one(`{"quantity":"head_d_min","max_mm":2}`), "upper bound makes no sense"},
		{one(`{"quantity":"mandrel_off","min_mm":2}`), "lower bound makes no sense"},
		{one(`{"quantity":"pitch","kind":"bolt","min_mm":2}`), `kind "bolt"`},
		{one(`{"quantity":"pitch","size":"3.2","min_mm":2}`), "has no unit"},
		{one(`{"quantity":"pitch","min_mm":1},{"quantity":"pitch","min_d":3}`), "own limits 1 and 2"},
		{one(`{"quantity":"head_d","min_mm":1},{"quantity":"head_d_min","min_mm":2}`), "own limits 1 and 2"},
		{one(`{"quantity":"pitch","min_mm":"1"}`), "wants a float64"},
		{`{"name":"` + strings.Repeat("n", 300) + `","reference":"r","limits":[]}`, "longer than 200"},
		{one(strings.TrimSuffix(strings.Repeat(`{"quantity":"pitch","min_mm":1},`, 201), ",")), "too many"},
		{one(`{"quantity":"pitch","min_mm":1,"note":"` + strings.Repeat("n", 70000) + `"}`), "longer than 64 kB"},
	} {
		o, err := ReadOwnLimits(strings.NewReader(c.in))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.80s: %+v, error %v; want one with %q", c.in, o, err, c.want)
		}
	}
}

// Whatever is read is valid, can be written and read again, and can be applied.
func FuzzReadOwnLimits(f *testing.F) {
	f.Add(hatch)
	f.Add(`{"name":"n","reference":"r","limits":[{"quantity":"pitch","min_d":3}]}`)
	f.Add(`{"limits":[[[`)
	f.Fuzz(func(t *testing.T, s string) {
		o, err := ReadOwnLimits(strings.NewReader(s))
		if err != nil {
			return
		}
		data, err := json.Marshal(o)
		if err != nil {
			t.Fatal(err)
		}
		// Escapes may make it longer than what is taken.
		if _, err := ReadOwnLimits(strings.NewReader(string(data))); err != nil && len(data) <= maxOwnBytes {
			t.Errorf("written again it is refused: %v", err)
		}
		ls, err := Spec{Kind: ShopHead, NominalMM: 3.175, Own: o}.Limits()
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range ls {
			if (l.MinMM > 0) == (l.MaxMM > 0) || l.Laxer && l.Published == nil {
				t.Errorf("limit %+v", l)
			}
		}
	})
}

// One limit names the kind, another the size: either is as special, and the first stands; one
// that names both goes before them, wherever it stands.
func TestOwnLimitsOfOneRankGoByTheirOrder(t *testing.T) {
	kind := OwnLimit{Quantity: "pitch", Kind: ShopHead, MinMM: 11}
	size := OwnLimit{Quantity: "pitch", Size: "4", MinMM: 12}
	both := OwnLimit{Quantity: "pitch", Kind: ShopHead, Size: "4", MinMM: 13}
	for _, c := range []struct {
		limits []OwnLimit
		want   float64
	}{{[]OwnLimit{kind, size}, 11}, {[]OwnLimit{size, kind}, 12}, {[]OwnLimit{kind, both, size}, 13}, {[]OwnLimit{size, kind, both}, 13}} {
		s := shop4
		s.Own = &OwnLimits{Name: "hatch", Reference: "BH-112", Limits: c.limits}
		ls, err := s.Limits()
		if err != nil {
			t.Fatal(err)
		}
		if l := find(t, ls, Pitch, false); l.MinMM != c.want {
			t.Errorf("%+v: %g mm, want %g", c.limits, l.MinMM, c.want)
		}
	}
}
