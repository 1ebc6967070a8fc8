package shape

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.5f, want %.5f", what, got, want)
	}
}

func p(v float64) *float64 { return &v }

var frame = Input{Name: "twist", Kind: Twist, State: Released, Method: Blocks, ValuesMM: []float64{6.2}, UMM: 0.20, BaseUMM: 0.10, WidthMM: 600, LengthMM: 900}

func judge(t *testing.T, in Input) Result {
	t.Helper()
	r, err := Judge(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Worked example 5.
func TestWorkedTwist(t *testing.T) {
	r := judge(t, frame)
	near(t, "w", r.Value, -6.20, 1e-9)
	near(t, "U", r.U, 0.447, 0.0005)
	near(t, "angle", -r.Lines[1].Value, 0.592, 0.0005)
	near(t, "its U", r.Lines[1].U, 0.043, 0.0005)
	near(t, "rate", -r.Lines[2].Value, 0.658, 0.0005)
	near(t, "its U", r.Lines[2].U, 0.047, 0.0005)
	strings := frame
	strings.Method, strings.ValuesMM = Strings, []float64{-3.10}
	near(t, "by strings", judge(t, strings).Value, -6.20, 1e-9)
	heights := frame
	heights.Method, heights.ValuesMM = Heights, []float64{0, 0, 0, 6.2}
	near(t, "by heights", judge(t, heights).Value, -6.20, 1e-9)

	// Target 8 of the same hand, 1 either way: out. Its mirror is out by its sign alone.
	in := frame
	in.TargetMM, in.ToleranceMM, in.Source = p(-8), 1, "HF-12 note 3"
	if v := judge(t, in).Verdict; v != qc.Out {
		t.Errorf("6.65 of 7.0: %s", v)
	}
	in.TargetMM = p(-6.2)
	if v := judge(t, in).Verdict; v != qc.Within {
		t.Errorf("at its target: %s", v)
	}
	in.TargetMM = p(6.2)
	if v := judge(t, in).Verdict; v != qc.Out {
		t.Errorf("the other hand: %s", v)
	}
	in.TargetMM = p(-7)
	in.ToleranceMM = 0.9
	if v := judge(t, in).Verdict; v != qc.TooClose {
		t.Errorf("across the limit: %s", v)
	}
	for _, s := range []State{Before, Imposed, Riveted} {
		in.State = s
		if r := judge(t, in); r.Verdict != "" || !contains(r.Notes, "only what stands when it is released") {
			t.Errorf("%s: %q", s, r.Verdict)
		}
	}
}

func contains(all []string, want string) bool { return strings.Contains(strings.Join(all, "\n"), want) }

// A twisted frame's diagonals differ by 0.018 mm where one corner is lifted by 6.2, and by nothing
// where the twist is spread over four: they are never taken for twist.
func TestDiagonalsDoNotShowTwist(t *testing.T) {
	in := frame
	in.Method, in.ValuesMM = "diagonals", []float64{1081.68, 1081.66}
	var r *qc.Refusal
	if _, err := Judge(in); !errors.As(err, &r) || !strings.Contains(r.Do, "never twist") {
		t.Errorf("%v", err)
	}
	near(t, "lifted corner", math.Sqrt(900*900+600*600+6.2*6.2)-math.Hypot(900, 600), 0.018, 0.0005)
}

// Neither tilting nor shifting the frame changes its twist.
func TestTwistIsFreeOfTilt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-20, 20), 4, 4).Draw(t, "z")
		a, b, c := rapid.Float64Range(-0.1, 0.1).Draw(t, "a"), rapid.Float64Range(-0.1, 0.1).Draw(t, "b"), rapid.Float64Range(-50, 50).Draw(t, "c")
		at := [4][2]float64{{0, 0}, {600, 0}, {600, 900}, {0, 900}}
		in := frame
		in.Method, in.ValuesMM = Heights, z
		r1, err := Judge(in)
		if err != nil {
			t.Fatal(err)
		}
		tilted := make([]float64, 4)
		for i := range z {
			tilted[i] = z[i] + a*at[i][0] + b*at[i][1] + c
		}
		in.ValuesMM = tilted
		r2, err := Judge(in)
		if err != nil || math.Abs(r1.Value-r2.Value) > 1e-9 {
			t.Fatalf("%v: %v and %v", err, r1.Value, r2.Value)
		}
	})
}

func TestWorkedSpacers(t *testing.T) {
	if w := Spacers([4]float64{10, 0, 0, 0}); w != 10 {
		t.Errorf("imposed %v", w)
	}
	k, err := Keep(10, 6.2, 0.447, 8)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "share", k.Share, 0.620, 0.0005)
	near(t, "u of the share", k.ShareU/2, 0.026, 0.0005)
	near(t, "next", k.NextMM, 12.9, 0.05)
	near(t, "U of next", k.NextUMM, 1.1, 0.05)
	for _, bad := range [][4]float64{{10, -6, 0.4, 8}, {10, 0.1, 0.4, 8}, {0, 6, 0.4, 8}, {10, 6, 0, 8}, {math.NaN(), 6, 0.4, 8}} {
		if _, err := Keep(bad[0], bad[1], bad[2], bad[3]); err == nil {
			t.Errorf("%v taken", bad)
		}
	}
}

// Squareness: a rectangle sheared by a small angle gives that angle back.
func TestSquare(t *testing.T) {
	const deg = 0.3
	c := math.Cos(math.Pi/2 - deg*math.Pi/180)
	d1, d2 := math.Sqrt(600*600+900*900+2*600*900*c), math.Sqrt(600*600+900*900-2*600*900*c)
	r := judge(t, Input{Name: "square", Kind: Square, State: Released, ValuesMM: []float64{d1, d2}, UMM: 0.5, WidthMM: 600, LengthMM: 900, TargetMM: p(0), ToleranceMM: 2, Source: "HF-12"})
	near(t, "out of square", r.Lines[1].Value, deg, 0.0001)
	near(t, "U", r.U, 0.707, 0.001)
	if r.Verdict != qc.Out {
		t.Errorf("%v is %s", r.Value, r.Verdict)
	}
}

// Stations: the opening is the target, each station has its verdict and the worst counts.
func TestStations(t *testing.T) {
	in := Input{Name: "seal", Kind: Flush, State: Released, UMM: 0.1, TargetMM: p(0), ToleranceMM: 0.5, Source: "opening measured alike",
		Stations: []Station{{"1", 3.0, p(3.1)}, {"2", 3.0, p(2.2)}, {"3", 3.0, p(3.45)}}}
	r := judge(t, in)
	for i, want := range []qc.Verdict{qc.Within, qc.Out, qc.TooClose} {
		if r.Stations[i].Verdict != want {
			t.Errorf("station %d: %s", i+1, r.Stations[i].Verdict)
		}
	}
	if r.Verdict != qc.Out || math.Abs(r.Value-0.8) > 1e-9 {
		t.Errorf("%s at %v", r.Verdict, r.Value)
	}
}

func TestFormedAngle(t *testing.T) {
	in := Input{Name: "angle", Kind: Angle, State: Released, ValuesMM: []float64{90.2}, UMM: 0.3, TargetMM: p(90), ToleranceMM: 1, Source: "HF-12", Tweaks: 3, Cracks: qc.No, WobbleMM: 0.2}
	if r := judge(t, in); r.Verdict != qc.Within || r.Unit != "deg" || !contains(r.Notes, "3 times") || !contains(r.Notes, "a feeler of 0.20 mm enters") {
		t.Errorf("%+v", r)
	}
	in.Cracks = qc.Yes
	if r := judge(t, in); r.Verdict != qc.Out {
		t.Errorf("a crack is %s", r.Verdict)
	}
	in.Cracks = qc.NotLooked
	if r := judge(t, in); !contains(r.Notes, "nobody has looked at the bend") {
		t.Errorf("not looked at, and nothing says so: %q", r.Notes)
	}
}

func TestRefusals(t *testing.T) {
	for what, change := range map[string]func(*Input){
		"name": func(i *Input) { i.Name = " " }, "kind": func(i *Input) { i.Kind = "colour" }, "state": func(i *Input) { i.State = "" },
		"method": func(i *Input) { i.Method = "" }, "values": func(i *Input) { i.ValuesMM = nil }, "values nan": func(i *Input) { i.ValuesMM = []float64{math.NaN()} },
		"values far": func(i *Input) { i.ValuesMM = []float64{1e9} }, "uncertainty": func(i *Input) { i.UMM = 0 }, "frame": func(i *Input) { i.WidthMM = -1 },
		"tolerance": func(i *Input) { i.TargetMM = p(8); i.Source = "x" }, "source": func(i *Input) { i.TargetMM, i.ToleranceMM = p(8), 1 },
		"stations": func(i *Input) { i.Kind, i.ValuesMM = Gap, nil }, "tweaks": func(i *Input) { i.Tweaks = -1 }, "wobble": func(i *Input) { i.WobbleMM = math.NaN() }, "cracks": func(i *Input) { i.Cracks = "maybe" },
		"values no angle": func(i *Input) { i.Kind, i.ValuesMM = Angle, []float64{-90} }, "values full turn": func(i *Input) { i.Kind, i.ValuesMM = Angle, []float64{360} },
		"values diagonal": func(i *Input) { i.Kind, i.ValuesMM = Square, []float64{0, 5} },
	} {
		in := frame
		change(&in)
		_, err := Judge(in)
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Code != strings.Fields(what)[0] || r.Do == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
}
