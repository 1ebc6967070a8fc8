package spec

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// rows reads a table of published values, see testdata/published/README.md.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/published/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, rec := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = rec[i]
		}
		out = append(out, m)
	}
	if len(out) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return out
}

// num reads a cell; an empty one is 0, which both sides use for "no figure".
func num(t *testing.T, s string) float64 {
	t.Helper()
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func dash(t *testing.T, s string) int { return int(num(t, strings.TrimPrefix(s, "-"))) }

// same compares millimetres with a tolerance that covers the rounding of the published cell.
func same(t *testing.T, what string, gotMM, wantMM, tolMM float64) {
	t.Helper()
	if !(math.Abs(gotMM-wantMM) <= tolMM) {
		t.Errorf("%s: table has %.5f mm, published is %.5f mm", what, gotMM, wantMM)
	}
}

func basis(t *testing.T, what string, got Cite, row map[string]string) {
	t.Helper()
	if string(got.Basis) != row["basis"] {
		t.Errorf("%s: basis %q, published list says %q", what, got.Basis, row["basis"])
	}
	if len(got.Source) < 8 {
		t.Errorf("%s: source %q names no document", what, got.Source)
	}
}

func TestSolidRivetsMatchPublished(t *testing.T) {
	want := rows(t, "solid-rivet-sizes.csv")
	if len(want) != len(SolidRivets) {
		t.Errorf("%d sizes, published are %d", len(SolidRivets), len(want))
	}
	for i, w := range want {
		r := SolidRivets[i]
		if r.Dash != dash(t, w["dash"]) || r.Fraction != w["fraction_in"] {
			t.Errorf("row %d is -%d %s, published is %s %s", i, r.Dash, r.Fraction, w["dash"], w["fraction_in"])
		}
		same(t, w["dash"], r.NominalMM, num(t, w["nominal_diameter_mm"]), 0.00006)
		same(t, w["dash"]+" length step", r.LengthStepMM, num(t, w["length_step_mm"]), 1e-9)
		basis(t, w["dash"], r.Cite, w)
	}
}

func TestSolidHeadsMatchPublished(t *testing.T) {
	seen := 0
	for _, w := range rows(t, "solid-rivet-heads.csv") {
		what := w["head"] + " " + w["dash"]
		heads := UniversalHeads
		if w["head"] != "universal" {
			heads = FlushHeads
		}
		row, ok := Head(heads, dash(t, w["dash"]))
		if !ok {
			t.Errorf("%s is missing", what)
			continue
		}
		same(t, what, row.DiameterMM, num(t, w["head_diameter_mm"]), 1e-9)
		if strings.HasPrefix(w["head"], "countersink") {
			continue // that a head sits in: as wide as the head, with a tolerance of its own
		}
		same(t, what+" tolerance", row.ToleranceMM, num(t, w["head_diameter_tol_pm_mm"]), 1e-9)
		same(t, what+" height", row.HeightMM, num(t, w["head_height_mm"]), 1e-9)
		basis(t, what, row.Cite, w)
		seen++
	}
	if n := len(UniversalHeads) + len(FlushHeads); seen != n {
		t.Errorf("%d rows compared, the tables have %d", seen, n)
	}
}

// Geometry of a 100 degree cone ties head diameter to height, whatever was recalled.
func TestFlushHeadsAreCones(t *testing.T) {
	for _, h := range FlushHeads {
		d := float64(h.Dash) * inch / 32
		cone := (h.DiameterMM - d) / (2 * math.Tan(50*math.Pi/180))
		same(t, "-"+strconv.Itoa(h.Dash)+" cone", h.HeightMM, cone, 0.001*inch)
	}
}

func TestShopHeadsMatchPublished(t *testing.T) {
	for _, w := range rows(t, "shop-head-limits.csv") {
		set := Rule
		switch {
		case strings.HasPrefix(w["source"], "MIL"):
			set = Mil
		case strings.HasPrefix(w["source"], "Standard"):
			set = Handbook
		}
		what := set + " " + w["dash"]
		h, ok := Shop(set, dash(t, w["dash"]))
		if !ok {
			t.Errorf("%s is missing", what)
			continue
		}
		for _, c := range []struct {
			col string
			got float64
		}{
			{"diameter_min_in", h.WidthMinMM}, {"diameter_nominal_in", h.WidthNominal}, {"diameter_max_in", h.WidthMaxMM},
			{"height_min_in", h.HeightMinMM}, {"height_nominal_in", h.HeightNominal}, {"height_max_in", h.HeightMaxMM},
		} {
			same(t, what+" "+c.col, c.got, num(t, w[c.col])*inch, 0.00006*inch) // four decimals printed
		}
		basis(t, what, h.Cite, w)
	}
	// The handbook's other sizes are not published: they must say so and keep its ratios.
	for _, h := range ShopHeads {
		if h.Set != Handbook || h.Dash == 4 {
			continue
		}
		d := float64(h.Dash) * inch / 32
		same(t, "handbook ratio", h.WidthMinMM/d, (11.0/64)/(1.0/8), 1e-12)
		same(t, "handbook ratio", h.WidthMaxMM/d, (7.0/32)/(1.0/8), 1e-12)
		if h.Basis != Derived || h.Note == "" {
			t.Errorf("handbook -%d is derived and must say so, has basis %q note %q", h.Dash, h.Basis, h.Note)
		}
	}
}

func TestPulledRivetsMatchPublished(t *testing.T) {
	want := rows(t, "blind-rivet-dimensions.csv")
	if len(want) != len(PulledRivets) {
		t.Errorf("%d rows, published are %d", len(PulledRivets), len(want))
	}
	for _, w := range want {
		head := DomeHead
		if w["head"] == "large dome" {
			head = LargeHead
		}
		var got PulledRivet
		for _, r := range PulledRivets {
			if r.Head == head && math.Abs(r.NominalMM-num(t, w["nominal_diameter_mm"])) < 0.001 {
				got = r
			}
		}
		what := w["nominal_size"] + " " + head
		const tol = 0.00051 // three decimals printed
		same(t, what+" body", got.BodyMinMM, num(t, w["body_diameter_min_mm"]), tol)
		same(t, what+" body", got.BodyMaxMM, num(t, w["body_diameter_max_mm"]), tol)
		same(t, what+" head", got.HeadMinMM, num(t, w["head_diameter_min_mm"]), tol)
		same(t, what+" head", got.HeadMaxMM, num(t, w["head_diameter_max_mm"]), tol)
		same(t, what+" height", got.HeightMaxMM, num(t, w["head_height_max_mm"]), tol)
		same(t, what+" mandrel", got.MandrelMaxMM, num(t, w["mandrel_diameter_max_mm"]), tol)
		basis(t, what, got.Cite, w)
	}
}

func TestPulledHolesMatchPublished(t *testing.T) {
	want := rows(t, "blind-rivet-holes.csv")
	if len(want) != len(PulledHoles) {
		t.Errorf("%d rows, published are %d", len(PulledHoles), len(want))
	}
	for _, w := range want {
		found := false
		for _, h := range PulledHoles {
			if math.Abs(h.NominalMM-num(t, w["nominal_diameter_mm"])) > 0.001 || !strings.HasPrefix(w["source"], h.Source[:8]) {
				continue
			}
			found = true
			same(t, w["source"], h.MinMM, num(t, w["hole_min_mm"]), 0.00006)
			same(t, w["source"], h.MaxMM, num(t, w["hole_max_mm"]), 0.00006)
			if h.Drill != w["drill"] {
				t.Errorf("%s %s: drill %q, published %q", w["source"], w["nominal_size"], h.Drill, w["drill"])
			}
			basis(t, w["source"], h.Cite, w)
		}
		if !found {
			t.Errorf("%s %s is missing", w["source"], w["nominal_size"])
		}
	}
}

func TestSolidHolesMatchPublished(t *testing.T) {
	for _, w := range rows(t, "solid-rivet-holes.csv") {
		switch w["item"] {
		case "final drill":
			f, ok := Final(dash(t, w["dash"]))
			d, _ := DrillNamed(f.Drill)
			if !ok || f.Drill != w["drill"] {
				t.Errorf("%s: final drill %q, published %q", w["dash"], f.Drill, w["drill"])
			}
			same(t, w["dash"]+" final drill", d.DiameterMM, num(t, w["drill_diameter_in"])*inch, 1e-9)
			basis(t, w["dash"], f.Cite, w)
			h, ok := HoleFor(SolidHoles, num(t, w["nominal_diameter_in"])*inch)
			if !ok || d.DiameterMM < h.MinMM || d.DiameterMM > h.MaxMM {
				t.Errorf("%s: final drill %s (%.3f mm) lies outside the hole limits %.3f to %.3f mm", w["dash"], d.Name, d.DiameterMM, h.MinMM, h.MaxMM)
			}
		case "hole limits":
			h, _ := HoleFor(SolidHoles, num(t, w["nominal_diameter_in"])*inch)
			same(t, w["dash"]+" hole", h.MinMM, num(t, w["hole_min_in"])*inch, 1e-9)
			same(t, w["dash"]+" hole", h.MaxMM, num(t, w["hole_max_in"])*inch, 1e-9)
			basis(t, w["dash"], h.Cite, w)
		}
	}
	for _, h := range SolidHoles[1:] {
		if h.Basis != Derived {
			t.Errorf("hole for %.3f mm is not published and must be marked derived", h.NominalMM)
		}
		// No wider, for its size, than the one row that was read.
		if h.MaxMM-h.NominalMM > SolidHoles[0].MaxMM-SolidHoles[0].NominalMM {
			t.Errorf("hole for %.3f mm is less strict than the row it comes from", h.NominalMM)
		}
	}
}

// Common practice: the final hole's pilot is the next smaller rivet's drill.
func TestPilots(t *testing.T) {
	f, _ := Final(4)
	if f.Pilot != "#40" || f.Drill != "#30" || f.PilotCite.Source != CommonPractice {
		t.Errorf("1/8 in rivet: pilot %s opened to %s by %q, want #40 to #30 by common practice", f.Pilot, f.Drill, f.PilotCite.Source)
	}
	for _, f := range FinalDrills {
		p, ok := DrillNamed(f.Pilot)
		d, _ := DrillNamed(f.Drill)
		if f.Pilot != "" && (!ok || p.DiameterMM >= d.DiameterMM) {
			t.Errorf("-%d: pilot %q is not smaller than %s", f.Dash, f.Pilot, f.Drill)
		}
	}
}

func TestSpacingsMatchPublished(t *testing.T) {
	want := rows(t, "edge-spacing-rules.csv")
	if len(want) != len(Spacings) {
		t.Errorf("%d rules, published are %d", len(Spacings), len(want))
	}
	for _, w := range want {
		s := RuleByID(w["id"])
		got := []float64{s.MinD, s.LowD, s.HighD, s.MaxD, s.ValueMM / inch}
		for i, col := range []string{"min_D", "usual_low_D", "usual_high_D", "max_D", "value_in"} {
			if math.Abs(got[i]-num(t, w[col])) > 1e-12 {
				t.Errorf("%s %s is %v, published %q", w["id"], col, got[i], w[col])
			}
		}
		if s.Quantity != w["quantity"] || s.Head != w["head"] || s.Rows != w["rows"] {
			t.Errorf("%s is for %s %s %s, published %s %s %s", w["id"], s.Quantity, s.Head, s.Rows, w["quantity"], w["head"], w["rows"])
		}
		basis(t, w["id"], s.Cite, w)
	}
}

func TestDrillsMatchPublished(t *testing.T) {
	want := rows(t, "drill-sizes.csv")
	if len(want) != len(Drills) {
		t.Errorf("%d drills, published are %d", len(Drills), len(want))
	}
	for _, w := range want {
		d, ok := DrillNamed(w["name"])
		if !ok || d.Series != w["series"] {
			t.Errorf("%s %s is missing", w["series"], w["name"])
			continue
		}
		same(t, w["name"], d.DiameterMM, num(t, w["diameter_mm"]), 0.00006)
		basis(t, w["name"], d.Cite, w)
	}
}

func TestDrillUnder(t *testing.T) {
	for _, c := range []struct {
		in   float64
		want string
	}{{0.125, "#31"}, {0.09375, "#43"}, {0.15625, "#23"}, {0.1875, "#13"}, {0.25, "D"}} {
		if d, ok := DrillUnder(c.in*inch, 0.05); !ok || d.Name != c.want {
			t.Errorf("under %v in: %q, want %q", c.in, d.Name, c.want)
		}
	}
	if _, ok := DrillUnder(0.5, 0.05); ok {
		t.Error("there is no listed drill under 0.5 mm")
	}
}

// Every published rule and caution is in the tables, with its basis.
func TestTextsMatchPublished(t *testing.T) {
	want := rows(t, "rework-rules.csv")
	for _, w := range want {
		if w["no"] == "W26" {
			continue // a worked example; qc's rework test computes it
		}
		r := ReworkRuleNo(w["no"])
		if r.Text == "" {
			t.Errorf("rule %s is missing", w["no"])
			continue
		}
		basis(t, w["no"], r.Cite, w)
	}
	if len(ReworkRules) != len(want)-1 {
		t.Errorf("%d rules, published are %d", len(ReworkRules), len(want)-1)
	}
	byID := map[string]Caution{}
	for _, c := range Cautions {
		byID[c.ID] = c
	}
	for _, w := range rows(t, "safety-cautions.csv") {
		c, ok := byID[w["id"]]
		if !ok {
			t.Errorf("caution %s is missing", w["id"])
			continue
		}
		if c.Source != CommonPractice { // said by everybody: no document is named
			basis(t, w["id"], c.Cite, w)
		}
	}
	for _, task := range []string{"drill", "punch", "pull", "rivet gun", "clean", "primer"} {
		if len(CautionsFor(task)) == 0 {
			t.Errorf("no caution for %q", task)
		}
	}
}
