package bend

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/spec"

	"pgregory.net/rapid"
)

const in = 25.4

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.5f, want %.5f", what, got, want)
	}
}

func flat(t *testing.T, i Input) Flat {
	t.Helper()
	f, err := Flatten(i)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var angle = Input{ThicknessMM: 1.6, RadiusMM: 3, AngleDeg: 90, LegsMM: []float64{25, 25}, LengthMM: 80}

// Worked example 2, whole.
func TestWorkedAngle(t *testing.T) {
	f := flat(t, angle)
	near(t, "setback", f.SetbackMM, 4.60, 1e-9)
	near(t, "flat", f.FlatsMM[0], 20.40, 1e-9)
	near(t, "allowance a", f.AllowanceMM, 5.829, 0.0006)
	near(t, "width a", f.WidthMM, 46.629, 0.0006)
	near(t, "deduction a", f.DeductionMM, 3.371, 0.0006)
	near(t, "allowance b", f.Others[0].AllowanceMM, 5.969, 0.0006)
	near(t, "width b", f.Others[0].WidthMM, 46.769, 0.0006)
	near(t, "allowance c", f.Others[1].AllowanceMM, 5.794, 0.0006)
	near(t, "width c", f.Others[1].WidthMM, 46.594, 0.0006)
	near(t, "they differ by", f.SpreadMM, 0.175, 0.0006)
	at := map[string]float64{}
	for _, l := range f.Lines {
		at[l.Name] = l.AtMM
	}
	near(t, "first tangent", at["bend 1, first tangent"], 20.40, 1e-9)
	near(t, "second tangent", at["bend 1, second tangent"], 26.229, 0.0006)
	near(t, "middle", at["bend 1, middle"], 23.315, 0.0006)
	near(t, "gusset's setback", flat(t, Input{ThicknessMM: 0.813, RadiusMM: 3, AngleDeg: 10, LegsMM: []float64{40, 40}, LengthMM: 80}).SetbackMM, 0.334, 0.0006)
}

// The radius by the table: the row of 0.064 in for a sheet of 1.6 mm.
func TestWorkedRadius(t *testing.T) {
	for alloy, want := range map[string]struct {
		v         qc.Verdict
		low, high float64
	}{"6061-T6": {qc.TooClose, 1.6, 3.2}, "5052-H32": {qc.Within, 0.8, 1.6}, "2024-T3": {qc.Out, 4.8, 8}} {
		j, err := Radius(alloy, 1.6, 3, qc.Millimetres)
		if err != nil || j.Verdict != want.v {
			t.Errorf("%s: %s, %v", alloy, j.Verdict, err)
		}
		near(t, alloy+" low", j.LowMM, want.low, 1e-9)
		near(t, alloy+" high", j.HighMM, want.high, 1e-9)
	}
	// The thicker row counts: 0.040 in is judged as 0.064, not by something between.
	if j, _ := Radius("2024-T3", 0.040*in, 3, qc.Millimetres); j.Row.LowT != 3 {
		t.Errorf("0.040 in is judged by %v t", j.Row.LowT)
	}
	if j, _ := Radius("6061-T6", 1.6, 3.2, qc.Millimetres); j.Verdict != qc.Within {
		t.Error("the high end itself is good")
	}
}

// Published setbacks and widths, in inches.
func TestPublished(t *testing.T) {
	for _, c := range []struct{ deg, want float64 }{{45, 0.130}, {135, 0.758}} {
		f := flat(t, Input{ThicknessMM: 0.064 * in, RadiusMM: 0.25 * in, AngleDeg: c.deg, LegsMM: []float64{100, 100}, LengthMM: 80})
		near(t, "setback", f.SetbackMM/in, c.want, 0.0005)
	}
	u := flat(t, Input{ThicknessMM: 0.040 * in, RadiusMM: 0.16 * in, AngleDeg: 90, LegsMM: []float64{in, 2 * in, in}, LengthMM: 80, Formula: "b"})
	near(t, "channel's setback", u.SetbackMM/in, 0.2, 1e-9)
	for i, want := range []float64{0.8, 1.6, 0.8} {
		near(t, "channel's flat", u.FlatsMM[i]/in, want, 1e-9)
	}
	near(t, "channel's allowance", u.AllowanceMM/in, 0.283, 0.0005)
	near(t, "channel's width", u.WidthMM/in, 3.765, 0.0006)
	w := flat(t, Input{ThicknessMM: 0.050 * in, RadiusMM: 0.032 * in, AngleDeg: 90, LegsMM: []float64{in, in}, LengthMM: 80})
	near(t, "90 degree allowance", w.AllowanceMM/in, 0.085, 0.0005)
	near(t, "90 degree deduction", w.DeductionMM/in, 0.079, 0.0005)
}

func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open("../../testdata/published/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	all, err := csv.NewReader(file).ReadAll()
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
	return out
}

// The K chart to its printed digits; where the chart cuts instead of rounding it is one off in the
// last. Its misprints, and no others, differ.
func TestKChart(t *testing.T) {
	misprints := map[string]bool{"159": true, "176": true, "86": true}
	n := 0
	for _, r := range rows(t, "k-chart-ac4313.csv") {
		deg, _ := strconv.ParseFloat(r["bend_angle_deg"], 64)
		printed, err := strconv.ParseFloat(r["k_printed"], 64)
		if err != nil || math.IsInf(printed, 0) {
			continue // 180 degrees
		}
		digits := 0
		if _, frac, ok := strings.Cut(r["k_printed"], "."); ok {
			digits = len(frac)
		}
		n++
		off := math.Abs(K(deg) - printed)
		if agrees := off < 1.0001*math.Pow(10, -float64(digits)); agrees == misprints[r["bend_angle_deg"]] && r["bend_angle_deg"] != "86" {
			t.Errorf("%v degrees: %v, printed %s", deg, K(deg), r["k_printed"])
		}
	}
	if n < 179 {
		t.Errorf("%d rows", n)
	}
}

// The table of radii, row by row.
func TestRadiiTable(t *testing.T) {
	all := rows(t, "bend-radius-ac4313.csv")
	for i, r := range all {
		num := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
		got := spec.BendRadii[i]
		if got.Alloy != r["alloy_temper"] || math.Abs(got.ThicknessMM-num(r["thickness_in"])*in) > 1e-9 || got.LowT != num(r["radius_low_t"]) || got.HighT != num(r["radius_high_t"]) ||
			string(got.Basis) != r["basis"] {
			t.Errorf("row %d: %+v, published %v", i, got, r)
		}
	}
	if len(all) != len(spec.BendRadii) {
		t.Errorf("%d rows, published are %d", len(spec.BendRadii), len(all))
	}
}

// Folded again the blank has the legs that were asked for, whatever the formula: what the bend takes
// is what the setbacks give. Lines lie in order, inside the blank.
func TestFoldedAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := Input{ThicknessMM: rapid.Float64Range(0.3, 5).Draw(t, "t"), RadiusMM: rapid.Float64Range(0, 12).Draw(t, "r"),
			AngleDeg: rapid.Float64Range(1, 150).Draw(t, "deg"), LengthMM: 50, Formula: rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(t, "by")}
		for range rapid.IntRange(2, 3).Draw(t, "legs") {
			i.LegsMM = append(i.LegsMM, rapid.Float64Range(1, 200).Draw(t, "leg"))
		}
		f, err := Flatten(i)
		if err != nil {
			var r *qc.Refusal
			if !errors.As(err, &r) || r.Code != "leg" {
				t.Fatal(err)
			}
			return
		}
		sum, n := 0.0, float64(len(i.LegsMM)-1)
		for _, l := range i.LegsMM {
			sum += l
		}
		if got := f.WidthMM + n*f.DeductionMM; math.Abs(got-sum) > 1e-9*sum {
			t.Fatalf("width and deductions make %v, the legs %v", got, sum)
		}
		last := 0.0
		for _, l := range f.Lines {
			if strings.HasSuffix(l.Name, "tangent") {
				if l.AtMM < last || l.AtMM > f.WidthMM {
					t.Fatalf("lines out of order: %+v", f.Lines)
				}
				last = l.AtMM
			}
		}
	})
}

// A hole keeps its place on its leg, and one in the bend is named.
func TestHoles(t *testing.T) {
	i := angle
	i.Holes = []Hole{{"R1", 1, 9.5, 20, 3.3}, {"R2", 2, 15.5, 20, 3.3}, {"R3", 1, 19, 20, 3.3}, {"R4", 2, 6, 20, 3.3}}
	f := flat(t, i)
	near(t, "R1 from the first edge", f.Holes[0].OnBlankMM, 9.5, 1e-9)
	near(t, "R2 from the last edge", f.WidthMM-f.Holes[1].OnBlankMM, 25-15.5, 1e-9)
	near(t, "R2 clear", f.Holes[1].ClearMM, 15.5-4.6-1.65, 1e-9)
	if !strings.Contains(f.Holes[2].Note, "in the bend") || !strings.Contains(f.Holes[3].Note, "in the bend") || f.Holes[0].Note != "" || f.Holes[1].Note != "" {
		t.Errorf("%+v", f.Holes)
	}
}

func TestRefusals(t *testing.T) {
	for what, change := range map[string]func(*Input){
		"thickness":  func(i *Input) { i.ThicknessMM = 0 },
		"thickness ": func(i *Input) { i.ThicknessMM = -1 },
		"radius":     func(i *Input) { i.RadiusMM = math.NaN() },
		"angle":      func(i *Input) { i.AngleDeg = 180 },
		"angle ":     func(i *Input) { i.AngleDeg = 0 },
		"legs":       func(i *Input) { i.LegsMM = []float64{25} },
		"leg":        func(i *Input) { i.LegsMM = []float64{25, 4} },
		"leg ":       func(i *Input) { i.LegsMM = []float64{25, 1e9} },
		"length":     func(i *Input) { i.LengthMM = 0 },
		"formula":    func(i *Input) { i.Formula = "z" },
		"alloy":      func(i *Input) { i.Alloy = "butter" },
		"holes":      func(i *Input) { i.Holes = []Hole{{"R1", 3, 1, 1, 3}} },
		"thickness  ": func(i *Input) {
			i.Alloy, i.ThicknessMM, i.LegsMM = "2024-T3", 12, []float64{200, 200}
		},
	} {
		i := angle
		change(&i)
		_, err := Flatten(i)
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Code != strings.TrimSpace(what) || r.Do == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestThePatternOfTheOtherHand(t *testing.T) {
	in := Input{ThicknessMM: 1.6, RadiusMM: 3, AngleDeg: 90, LegsMM: []float64{25, 25}, LengthMM: 80,
		Holes: []Hole{{Tag: "R1", Leg: 2, AcrossMM: 15.5, AlongMM: 8, DMM: 2.5}}}
	one, err := Flatten(in)
	if err != nil {
		t.Fatal(err)
	}
	in.Mirrored = true
	other, err := Flatten(in)
	if err != nil {
		t.Fatal(err)
	}
	a, b := one.Sketch, other.Sketch
	if b.Min[0] != -a.Max[0] || b.Max[0] != -a.Min[0] || b.Holes[0].At[0] != -a.Holes[0].At[0] || b.Holes[0].At[1] != a.Holes[0].At[1] || one.WidthMM != other.WidthMM {
		t.Errorf("%+v, mirrored %+v", a.Holes, b.Holes)
	}
}
