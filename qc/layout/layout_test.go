package layout

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/spec"
	"bucktail/qc/toolroom"

	"pgregory.net/rapid"
)

const d4 = 3.175

var eighth = qc.Spec{Kind: qc.PulledHead, NominalMM: d4, Rivet: qc.Pulled}

// angle is the leg of worked example 1.
func angle(w float64) Input {
	return Input{Name: "angle", Spec: eighth, MarginMM: 1, Tool: &toolroom.Tool{Name: "puller", NoseMM: 12},
		Legs: []Leg{{WidthMM: w, LengthMM: 80, ThicknessMM: 1.6, Bend: &toolroom.Bend{ThicknessMM: 1.6, RadiusMM: 3, LegMM: 25}, EndMM: 8}}}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.4f, want %.4f", what, got, want)
	}
}

func lay(t *testing.T, in Input) Answer {
	t.Helper()
	a, err := Lay(in)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func bound(t *testing.T, bs []Bound, name string) Bound {
	t.Helper()
	for _, b := range bs {
		if strings.HasPrefix(b.Name, name) {
			return b
		}
	}
	t.Fatalf("no bound %q", name)
	return Bound{}
}

// Worked example 1, whole: limits, band, row, number.
func TestWorkedLeg(t *testing.T) {
	a := lay(t, angle(25))
	b := a.Legs[0].Band
	near(t, "2 D", bound(t, b.Bounds, "free edge, 2 D").AtMM, 18.65, 0.005)
	near(t, "4 D", bound(t, b.Bounds, "free edge, not over 4 D").AtMM, 12.30, 0.005)
	near(t, "head on the flat", bound(t, b.Bounds, "head on the flat").AtMM, 7.93, 0.005)
	near(t, "nose, strict", bound(t, b.Bounds, "nose clear").AtMM, 11.60, 0.005)
	near(t, "low", b.LowMM, 12.30, 0.005)
	near(t, "high", b.HighMM, 18.65, 0.005)
	near(t, "low without advice", b.FreeLowMM, 11.60, 0.005)
	if bound(t, b.Bounds, "free edge, not over").Advice != true || b.Low != "free edge, not over 4 D" || b.High != "free edge, 2 D" {
		t.Errorf("binding: %q and %q", b.Low, b.High)
	}
	want := map[int]struct {
		pitch, inD float64
		fits       bool
		by         string
	}{3: {32, 10.08, false, "over 10 D by 0.25 mm"}, 4: {21.333, 6.72, true, ""}, 6: {12.8, 4.03, true, ""}, 7: {10.667, 3.36, true, ""}, 8: {9.143, 2.88, false, "under 3 D by 0.38 mm"}}
	seen := 0
	for _, o := range a.Legs[0].Options {
		w, ok := want[o.Count]
		if !ok {
			continue
		}
		seen++
		near(t, "pitch", o.PitchMM, w.pitch, 0.0005)
		near(t, "pitch in D", o.InD, w.inD, 0.005)
		if o.Fits != w.fits || !strings.HasPrefix(o.Why, w.by) {
			t.Errorf("%d rivets: fits %v, %q", o.Count, o.Fits, o.Why)
		}
	}
	if seen != len(want) {
		t.Errorf("%d of %d options are there", seen, len(want))
	}
	if a.Legs[0].Count != 4 {
		t.Errorf("%d rivets chosen", a.Legs[0].Count)
	}
	for i, at := range []float64{8, 29.33, 50.67, 72} {
		near(t, "position", a.Holes[i].AlongMM, at, 0.005)
	}
}

// A smaller rivet does not cure the leg of 15 mm; a nose of 6.10 or a leg of 17.95 does.
func TestWorkedCures(t *testing.T) {
	b := lay(t, angle(15)).Legs[0].Band
	if b.Open {
		t.Fatal("a band where there is none")
	}
	near(t, "short", b.ShortMM, 2.95, 0.005)
	got := map[string]Cure{}
	for _, c := range b.Cures {
		got[c.What] = c
	}
	if c := got["nose"]; !c.Works {
		t.Error("a narrower nose cures it")
	} else {
		near(t, "nose", c.MM, 6.10, 0.005)
	}
	if c := got["leg"]; !c.Works {
		t.Error("a wider leg cures it")
	} else {
		near(t, "leg", c.MM, 17.95, 0.005)
	}
	if c := got["rivet"]; c.Works || !strings.Contains(c.Text, "nose") {
		t.Errorf("a 3/32 in rivet does not cure it: %q", c.Text)
	}
}

// Shortest bracket with two rivets: 7 D, 22.2 mm.
func TestShortestBracket(t *testing.T) {
	for _, endMM := range []float64{2 * d4, 0} { // as chosen, and where nothing was said: then less than the usual 2.5 D
		in := Input{Spec: eighth, Legs: []Leg{{WidthMM: 25, LengthMM: 22.25, ThicknessMM: 1.6, EndMM: endMM}}}
		if a := lay(t, in); a.Legs[0].Count != 2 {
			t.Errorf("end %.2f: 22.25 mm hold %d", endMM, a.Legs[0].Count)
		}
		in.Legs[0].LengthMM = 22.2
		if a := lay(t, in); a.Legs[0].Count != 1 || !strings.Contains(strings.Join(a.Legs[0].Notes, ""), "22.23 mm") {
			t.Errorf("end %.2f: 22.2 mm hold %d, %q", endMM, a.Legs[0].Count, a.Legs[0].Notes)
		}
	}
}

var lengths = rapid.Custom(func(t *rapid.T) float64 { return math.Round(rapid.Float64Range(4, 400).Draw(t, "mm")*20) / 20 })

func anyInput(t *rapid.T) Input {
	sizes := []float64{2.38125, 3.175, 3.96875, 4.7625, 3.2, 4, 4.8}
	in := Input{MarginMM: rapid.SampledFrom([]float64{0, 0.5, 1, 2}).Draw(t, "margin"), Rows: rapid.IntRange(1, 2).Draw(t, "rows"),
		Spec: qc.Spec{Kind: rapid.SampledFrom(qc.Kinds).Draw(t, "kind"), NominalMM: rapid.SampledFrom(sizes).Draw(t, "d"), Flush: rapid.Bool().Draw(t, "flush")}}
	if rapid.Bool().Draw(t, "tool") {
		in.Tool = &toolroom.Tool{Name: "t", NoseMM: rapid.Float64Range(4, 16).Draw(t, "nose"), LengthMM: rapid.Float64Range(5, 30).Draw(t, "long")}
		in.Tool.BodyMM = in.Tool.NoseMM/2 + rapid.Float64Range(0, 12).Draw(t, "body")
	}
	legs := rapid.IntRange(1, 2).Draw(t, "legs")
	in.AngleDeg = rapid.SampledFrom([]float64{90, 90, 60, 45, 120, 135}).Draw(t, "angle")
	for range legs {
		l := Leg{WidthMM: rapid.Float64Range(6, 60).Draw(t, "w"), LengthMM: lengths.Draw(t, "l"), ThicknessMM: 0.8}
		if l.WidthMM <= in.Spec.NominalMM || l.LengthMM <= in.Spec.NominalMM {
			l.WidthMM, l.LengthMM = 30, 60
		}
		if rapid.Bool().Draw(t, "bend") {
			l.Bend = &toolroom.Bend{ThicknessMM: 0.8, RadiusMM: rapid.Float64Range(0, 4).Draw(t, "r"), LegMM: rapid.Float64Range(8, 40).Draw(t, "stand"),
				AngleDeg: rapid.SampledFrom([]float64{90, 10, 45}).Draw(t, "bent")}
			if l.Bend.Setback() >= l.WidthMM {
				l.Bend = nil
			}
		}
		if rapid.Bool().Draw(t, "layer") {
			from, to, start := rapid.Float64Range(-5, 5).Draw(t, "from"), l.WidthMM+rapid.Float64Range(-8, 20).Draw(t, "to"), rapid.Float64Range(-5, 10).Draw(t, "start")
			if to > from+8 {
				l.Layers = []Layer{{Name: "tube", Tube: rapid.Bool().Draw(t, "tube"), CornerMM: 2, FromMM: &from, ToMM: &to, StartMM: &start}}
			}
		}
		if rapid.Bool().Draw(t, "said") {
			l.PitchMM = in.Spec.NominalMM * rapid.Float64Range(3, 12).Draw(t, "pitch")
		}
		in.Legs = append(in.Legs, l)
	}
	for i := range in.Legs {
		if legs == 2 {
			in.Legs[i].LengthMM += math.Ceil(math.Max(in.inner(i), in.Legs[1-i].WidthMM))
		}
	}
	return in
}

// Every layout that is proposed passes the limits by which a photo is judged: of each hole all edges
// of the outline and the distance to every other hole, measured anew from the drawing.
func TestEveryLayoutPassesThePhotosLimits(t *testing.T) {
	laid := 0
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		a, err := Lay(in)
		if err != nil {
			t.Fatalf("%v: %+v", err, in)
		}
		if len(a.Holes) > 0 {
			laid++
		}
		set, _ := qc.FindSet("")
		for i, h := range a.Holes {
			var rs []qc.Reading
			read := func(q qc.Quantity, mm float64) {
				// 1e-6 for the rounding of what lies exactly on a limit.
				rs = append(rs, qc.Reading{Quantity: q, ValueMM: mm + 1e-6, UMM: 1e-7, How: qc.ByGauge, FromShank: true})
			}
			for _, e := range edges(in) {
				read(qc.EdgeDistance, segment(h.At, e[0], e[1]))
			}
			for j, o := range a.Holes {
				if i != j {
					read(qc.Pitch, math.Hypot(h.At[0]-o.At[0], h.At[1]-o.At[1]))
				}
			}
			s := in.Spec
			s.Rivet = s.ForRivet()
			s.Kind, s.Flush = qc.Hole, in.Spec.Flush || in.Spec.Kind == qc.FlushHead
			res, err := qc.JudgeLocation(s, rs, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range res.Checks {
				if c.Verdict != qc.Within {
					t.Fatalf("%s: %s %.4f is %s (%s)\n%+v", h.Tag, c.Reading.Quantity, c.Reading.ValueMM, c.Verdict, c.Limit.Text(qc.Millimetres), in)
				}
			}
			if l := in.Legs[h.Leg]; l.Bend != nil {
				wide, high, _ := in.Spec.HeadRoom()
				if h.AcrossMM < l.Bend.Setback()+wide/2-1e-6 {
					t.Fatalf("%s: the head stands in the bend", h.Tag)
				}
				if in.Tool != nil {
					axis := qc.Reading{Quantity: qc.LegDistance, ValueMM: h.AcrossMM + 1e-6, UMM: 1e-7, How: qc.ByGauge}
					f, err := toolroom.Judge(axis, *in.Tool, *l.Bend, toolroom.Head{DiameterMM: wide, HeightMM: high}, in.MarginMM, qc.Millimetres)
					if err != nil || f.Verdict != qc.Within {
						t.Fatalf("%s: the tool has no room there: %v %+v\n%+v", h.Tag, err, f, in)
					}
				}
			}
			for _, y := range in.Legs[h.Leg].Layers {
				if !y.Tube && (h.AcrossMM < *y.FromMM+2*in.Spec.NominalMM-1e-6 || h.AcrossMM > *y.ToMM-2*in.Spec.NominalMM+1e-6) || h.AlongMM < *y.StartMM+2*in.Spec.NominalMM-1e-6 && in.AngleDeg == 90 {
					t.Fatalf("%s: too near an edge of the layer %s", h.Tag, y.Name)
				}
			}
		}
		for _, x := range set.Advice(in.Spec) {
			for _, la := range a.Legs {
				if x.Quantity == qc.Pitch && la.Count > 1 && la.PitchMM > x.MaxMM+1e-6 {
					t.Fatalf("pitch %v is over the advice %v and was chosen unasked", la.PitchMM, x.MaxMM)
				}
			}
		}
	})
	if laid == 0 {
		t.Error("nothing was laid out: the test holds nothing")
	}
}

type seg [2][2]float64

// edges are the free edges of the outline: of a bent leg the datum is none.
func edges(in Input) []seg {
	var out []seg
	at := func(i int, along, across float64) [2]float64 { return in.at(i, along, across) }
	for i, l := range in.Legs {
		if l.Bend == nil {
			out = append(out, seg{at(i, 0, 0), at(i, l.LengthMM, 0)})
		}
		out = append(out, seg{at(i, l.LengthMM, 0), at(i, l.LengthMM, l.WidthMM)})
		if len(in.Legs) == 2 { // the free edge, from the inner corner on
			out = append(out, seg{at(i, in.inner(i), l.WidthMM), at(i, l.LengthMM, l.WidthMM)})
		}
		if len(in.Legs) == 1 {
			out = append(out, seg{at(i, 0, 0), at(i, 0, l.WidthMM)}, seg{at(i, 0, l.WidthMM), at(i, l.LengthMM, l.WidthMM)})
		}
	}
	return out
}

func segment(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	k := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	k = math.Max(0, math.Min(1, k))
	return math.Hypot(p[0]-a[0]-k*dx, p[1]-a[1]-k*dy)
}

// A cure that is said to work does, and where none of them does the answer says so.
func TestCuresCure(t *testing.T) {
	cured := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		in.Legs = in.Legs[:1]
		a, err := Lay(in)
		if err != nil {
			t.Fatal(err)
		}
		if a.Legs[0].Band.Open {
			return
		}
		if len(a.Legs[0].Band.Cures) == 0 || a.Legs[0].Problem == "" {
			t.Fatalf("no band, and not a word about it: %+v", in)
		}
		for _, c := range a.Legs[0].Band.Cures {
			if !c.Works {
				continue
			}
			n := in
			n.Legs = []Leg{in.Legs[0]}
			var tool toolroom.Tool
			if in.Tool != nil {
				tool = *in.Tool
			}
			var bend toolroom.Bend
			if in.Legs[0].Bend != nil {
				bend = *in.Legs[0].Bend
			}
			switch c.What {
			case "nose":
				tool.NoseMM = c.MM
				n.Tool = &tool
			case "tool":
				tool.LengthMM = c.MM
				n.Tool = &tool
			case "leg":
				n.Legs[0].WidthMM = c.MM
			case "radius":
				bend.RadiusMM = c.MM
				n.Legs[0].Bend = &bend
			case "rivet":
				n.Spec.NominalMM = c.MM
			}
			b, err := Lay(n)
			if err != nil || !b.Legs[0].Band.Open {
				t.Fatalf("%s %v is no cure: %v %+v", c.What, c.MM, err, b.Legs[0].Band)
			}
			cured[c.What]++
		}
	})
	for _, what := range []string{"leg", "rivet"} { // noses are rarer: TestWorkedCures has one
		if cured[what] == 0 {
			t.Errorf("no leg was cured by %q: the test holds nothing of it", what)
		}
	}
}

// Two rows: 4 D in the row, 2.5 D between, staggered by half a pitch.
func TestTwoRows(t *testing.T) {
	a := lay(t, Input{Spec: eighth, Rows: 2, Legs: []Leg{{WidthMM: 40, LengthMM: 120, ThicknessMM: 0.8}}})
	la := a.Legs[0]
	if len(la.Row) != 2 || la.PitchMM < 4*d4 || la.Row[1]-la.Row[0] < 2.5*d4 || la.DiagonalMM < 3*d4 {
		t.Errorf("%+v", la)
	}
	if len(a.Holes) != 2*la.Count-1 {
		t.Errorf("%d holes for %d in the first row", len(a.Holes), la.Count)
	}
	near(t, "stagger", a.Holes[la.Count].AlongMM-a.Holes[0].AlongMM, la.PitchMM/2, 1e-9)
}

// Flush heads: 2.5 D to the edge (read), 3.5 D apart (recalled, and said so).
func TestFlush(t *testing.T) {
	a := lay(t, Input{Spec: qc.Spec{Kind: qc.FlushHead, NominalMM: d4}, Legs: []Leg{{WidthMM: 30, LengthMM: 100, ThicknessMM: 0.8}}})
	near(t, "edge", bound(t, a.Legs[0].Band.Bounds, "free edge, 2.5 D").AtMM, 30-2.5*d4, 1e-9)
	if p := a.Pitches[0]; math.Abs(p.AtMM-3.5*d4) > 1e-9 || p.Basis != spec.Memory {
		t.Errorf("pitch %+v", p)
	}
}

// The builder's own limit goes before the published one.
func TestOwnLimits(t *testing.T) {
	s := eighth
	s.Own = &qc.OwnLimits{Name: "BH-115", Reference: "BH-115 note 2", Limits: []qc.OwnLimit{{Quantity: "edge_distance", MinMM: 8}}}
	a := lay(t, Input{Spec: s, Legs: []Leg{{WidthMM: 30, LengthMM: 100, ThicknessMM: 0.8}}})
	if b := a.Legs[0].Band; b.HighMM != 22 || !strings.Contains(bound(t, b.Bounds, "free edge").Source, "BH-115") {
		t.Errorf("%+v", b)
	}
}

// A corner: the second leg's tube ends at the first one's, and both rows keep apart.
func TestCorner(t *testing.T) {
	zero, w, r := 0.0, 25.4, 25.4
	tube := Layer{Name: "tube", Tube: true, FromMM: &zero, ToMM: &w, CornerMM: 3}
	butts := tube
	butts.StartMM = &r
	a := lay(t, Input{Spec: eighth, AngleDeg: 90, Legs: []Leg{{WidthMM: 25.4, LengthMM: 100, ThicknessMM: 0.8, Layers: []Layer{tube}}, {WidthMM: 25.4, LengthMM: 90, ThicknessMM: 0.8, Layers: []Layer{butts}}}})
	if a.Legs[1].FirstMM < 25.4+2*d4-1e-9 {
		t.Errorf("the second leg's first rivet, at %v, is too near its tube's end", a.Legs[1].FirstMM)
	}
	if len(a.Holes) != a.Legs[0].Count+a.Legs[1].Count || a.Legs[1].Count < 2 {
		t.Errorf("%d holes", len(a.Holes))
	}
}

func TestRefusals(t *testing.T) {
	for what, change := range map[string]func(*Input){
		"width":     func(in *Input) { in.Legs[0].WidthMM = 3 },
		"width ":    func(in *Input) { in.Legs[0].WidthMM = 0 },
		"width  ":   func(in *Input) { in.Legs[0].WidthMM = -25 },
		"width   ":  func(in *Input) { in.Legs[0].WidthMM = math.NaN() },
		"width    ": func(in *Input) { in.Legs[0].WidthMM = 1e9 },
		"width bend": func(in *Input) {
			in.Legs[0].WidthMM = 4
		},
		"length":        func(in *Input) { in.Legs[0].LengthMM = 0 },
		"length ":       func(in *Input) { in.Legs[0].LengthMM = 2 },
		"thickness":     func(in *Input) { in.Legs[0].ThicknessMM = math.Inf(1) },
		"row":           func(in *Input) { in.Legs[0].RowMM = 90 },
		"count":         func(in *Input) { in.Legs[0].Count = 5000 },
		"pitch":         func(in *Input) { in.Legs[0].PitchMM = -1 },
		"legs":          func(in *Input) { in.Legs = nil },
		"length corner": func(in *Input) { in.Legs = append(in.Legs, in.Legs[0]); in.Legs[1].LengthMM = 20 },
		"angle":         func(in *Input) { in.Legs = append(in.Legs, in.Legs[0]); in.AngleDeg = 5 },
		"rows":          func(in *Input) { in.Rows = 7 },
		"bad-spec":      func(in *Input) { in.Spec.NominalMM = 0 },
		"margin":        func(in *Input) { in.MarginMM = 4.1 * qc.MMPerInch }, // typed in inches
		"layer":         func(in *Input) { in.Legs[0].Layers = []Layer{{Name: "tube", Tube: true}} },
		"tool-nose":     func(in *Input) { in.Tool = &toolroom.Tool{Name: "x"} },
	} {
		in := angle(25)
		change(&in)
		_, err := Lay(in)
		var r *qc.Refusal
		if code := strings.Fields(what)[0]; !errors.As(err, &r) || r.Code != code || r.Do == "" || strings.Contains(r.Text, "99999") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// A row asked for outside the band, or more rivets than fit, says so and proposes no holes.
func TestAskedTooMuch(t *testing.T) {
	in := angle(25)
	in.Legs[0].RowMM = 10
	if a := lay(t, in); len(a.Holes) != 0 || !strings.Contains(a.Legs[0].Problem, "outside the band") {
		t.Errorf("%q", a.Legs[0].Problem)
	}
	in = angle(25)
	in.Legs[0].Count = 8
	if a := lay(t, in); len(a.Holes) != 0 || !strings.Contains(a.Legs[0].Problem, "under 3 D") {
		t.Errorf("%q", a.Legs[0].Problem)
	}
	in.Legs[0].Count = 3
	if a := lay(t, in); len(a.Holes) != 3 || !strings.Contains(strings.Join(a.Legs[0].Notes, " "), "over 10 D") {
		t.Errorf("three over the advice: %v %v", a.Legs[0].Problem, a.Legs[0].Notes)
	}
	in.Legs[0].Count = 40
	if a := lay(t, in); len(a.Holes) != 0 || !strings.Contains(a.Legs[0].Problem, "at most 7") {
		t.Errorf("%q", a.Legs[0].Problem)
	}
}

// The outline of the part is as wide and as high as the whole drawing: pins are fractions of it.
func TestTheOutlineHoldsTheDrawing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		in.Mirrored = rapid.Bool().Draw(t, "mirrored")
		a, err := Lay(in)
		if err != nil || len(a.Holes) == 0 {
			return
		}
		o := in.Outline()
		same := func(p, q [2]float64) bool { return math.Abs(p[0]-q[0]) < 1e-9 && math.Abs(p[1]-q[1]) < 1e-9 }
		if !same(o.Min, a.Sketch.Min) || !same(o.Max, a.Sketch.Max) {
			t.Fatalf("%v to %v, the drawing %v to %v", o.Min, o.Max, a.Sketch.Min, a.Sketch.Max)
		}
		for _, h := range a.Holes {
			leg, along, across := in.Place(h.At)
			if leg == h.Leg && (math.Abs(along-h.AlongMM) > 1e-6 || math.Abs(across-h.AcrossMM) > 1e-6) {
				t.Fatalf("%s lies at %v, %v", h.Tag, along, across)
			}
		}
	})
}

// Two bends that meet get a relief hole where their inner tangents cross.
func TestReliefWhereBendsMeet(t *testing.T) {
	for _, deg := range []float64{90, 60, 120} {
		b := &toolroom.Bend{ThicknessMM: 1, RadiusMM: 3, LegMM: 20, AngleDeg: 90} // tangents at 4 mm
		in := Input{Spec: qc.Spec{Kind: qc.PulledHead, NominalMM: 3.175, Rivet: qc.Pulled}, AngleDeg: deg,
			Legs: []Leg{{WidthMM: 30, LengthMM: 120, ThicknessMM: 1, Bend: b}, {WidthMM: 30, LengthMM: 120, ThicknessMM: 1, Bend: b}}}
		at, d, ok := in.Relief()
		if !ok || math.Abs(d-25.4/8) > 1e-9 || math.Abs(at[1]-4) > 1e-9 {
			t.Fatalf("%v°: %v, %v, %t", deg, at, d, ok)
		}
		s, c := math.Sincos(deg * math.Pi / 180)
		if across := at[0]*s - at[1]*c; math.Abs(across-4) > 1e-9 {
			t.Errorf("%v°: %v mm from the second leg", deg, across)
		}
		a := lay(t, in)
		if n := len(a.Sketch.Holes); n != len(a.Holes)+1 || a.Sketch.Holes[0].Tag != "relief" || !strings.Contains(strings.Join(a.Notes, ";"), "relief hole of 3.18 mm") {
			t.Errorf("%v°: %d holes drawn, %q", deg, n, a.Notes)
		}
		in.Legs[1].Bend = nil
		if _, _, ok := in.Relief(); ok {
			t.Error("relief for one bend")
		}
	}
}

// A squeezer's throat is its reach from the free edge: a row farther in is told of.
func TestAThroatThatDoesNotReach(t *testing.T) {
	in := angle(25)
	for reach, told := range map[float64]bool{0: false, 30: false, 5: true} {
		in.Tool = &toolroom.Tool{Name: "squeezer", NoseMM: 12, ReachMM: reach}
		a := lay(t, in)
		if got := strings.Contains(strings.Join(a.Legs[0].Notes, "; "), "does not reach"); got != told {
			t.Errorf("reach %v: %q", reach, a.Legs[0].Notes)
		}
	}
}
