package measuring

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/history"
)

// read gives what a command line asks for.
func read(args ...string) (answer.Options, error) {
	f := flag.NewFlagSet("measure", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	w := Register(f)
	if err := f.Parse(args); err != nil {
		return answer.Options{}, err
	}
	return w.Options()
}

func TestWords(t *testing.T) {
	o, err := read("--what", "hole", "--rivet", "#30", "--hole-for", "solid", "--pilot", "--card", "strip",
		"--card-scale", "1.002, 0.999", "--card-thickness", "0.3", "--sheet", "0.8", "--tap", "10,20.5", "--tap=-1,3", "--edge", "5,6",
		"--scale", "1,2,3,4,50", "--round", "7,8,19.05", "--limits", "mil")
	if err != nil {
		t.Fatal(err)
	}
	mo, spec := o.Measure, o.Spec
	// #30 is the pilot drill of a -5 rivet (qc/spec, FinalDrills).
	if o.Size != "#30" || math.Abs(spec.NominalMM-5*25.4/32) > 1e-9 || spec.Kind != qc.Hole || spec.Rivet != qc.Solid || !spec.Pilot || spec.LimitSet != "mil" {
		t.Errorf("spec %+v, size %q", spec, o.Size)
	}
	got := fmt.Sprint(mo.Card, mo.ScaleX, mo.ScaleY, mo.ThicknessMM, mo.SheetMM, mo.Taps, mo.EdgeTaps, *mo.TwoPoints, *mo.Round)
	if want := "strip1.002 0.999 0.3 0.8 [{10 20.5} {-1 3}] [{5 6}] {{1 2} {3 4} 50} {{7 8} 19.05}"; got != want {
		t.Errorf("measure options\n%s, want\n%s", got, want)
	}
	if mo.ScaleU != 0 || mo.ThicknessU != 0 {
		t.Errorf("uncertainties that nobody gave: %v, %v", mo.ScaleU, mo.ThicknessU)
	}
}

// What a gauge study asks for is said as one factor; U never shrinks.
func TestWordsOfAStudy(t *testing.T) {
	o, err := read("--what", "hole", "--rivet", "4", "--grow", "1.4")
	if err != nil || o.Given == nil || o.Given.Factor != 1.4 {
		t.Errorf("%+v, %v", o.Given, err)
	}
	if o, err := read("--what", "hole", "--rivet", "4"); err != nil || o.Given != nil {
		t.Errorf("nothing said: %+v, %v", o.Given, err)
	}
	for _, wrong := range []string{"0.9", "NaN", "1e9"} {
		if _, err := read("--what", "hole", "--rivet", "4", "--grow", wrong); err == nil {
			t.Errorf("--grow %s was taken", wrong)
		}
	}
}

// A drill is judged by the rivet whose hole it makes; where it makes several, what else was
// said decides, and else it is asked.
func TestWordsOfDrills(t *testing.T) {
	for _, c := range []struct {
		args  string
		mm    float64
		rivet qc.Rivet
		pilot bool
	}{
		{"--rivet #20", 3.96875, qc.Pulled, false},
		{"--rivet #21 --pilot", 4.7625, qc.Solid, true},
		{"--rivet #21 --pilot=false", 3.96875, qc.Solid, false},
		{"--rivet #30 --hole-for pulled", 3.175, qc.Pulled, false},
		{"--rivet #30 --hole-for solid --pilot=false", 3.175, qc.Solid, false},
		{"--rivet #30 --pilot", 3.96875, qc.Solid, true},
	} {
		o, err := read(append([]string{"--what", "hole"}, strings.Fields(c.args)...)...)
		if s := o.Spec; err != nil || math.Abs(s.NominalMM-c.mm) > 1e-9 || s.Rivet != c.rivet || s.Pilot != c.pilot {
			t.Errorf("%s: %+v, %v", c.args, s, err)
		}
	}
	if _, err := read("--what", "hole", "--rivet", "#30"); !errors.Is(err, qc.ErrWhichHole) || !strings.Contains(err.Error(), "--hole-for solid") {
		t.Errorf("#30 alone: %v", err)
	}
	// Silence about the pilot is no word for a final hole.
	if o, err := read("--what", "hole", "--rivet", "#21"); !errors.Is(err, qc.ErrWhichHole) {
		t.Errorf("#21 alone: %+v, %v", o.Spec, err)
	}
	if o, err := read("--what", "shop-head", "--rivet", "#30"); err != nil || o.Spec.NominalMM != 3.175 || o.Spec.Rivet != "" || o.Spec.Pilot {
		t.Errorf("a head: %+v, %v", o.Spec, err)
	}
}

// What the app keeps of a card can be said here: its expanded uncertainties (k = 2), that of
// the check lines over their length, become the standard ones that measuring takes.
func TestCardUncertainties(t *testing.T) {
	c := history.CardData{CheckNominalMM: 150, CheckAcrossMM: 149.55, CheckAlongMM: 149.62, CheckUMM: 0.1, ThicknessMM: 0.255, ThicknessUMM: 0.02}
	x, y := c.Scale()
	o, err := read("--what", "hole", "--rivet", "4", "--card-scale", fmt.Sprintf("%v,%v,%v", x, y, c.CheckUMM/c.CheckNominalMM), "--card-thickness", fmt.Sprintf("%v,%v", c.ThicknessMM, c.ThicknessUMM))
	mo := o.Measure
	if err != nil || mo.ScaleX != x || mo.ScaleY != y || math.Abs(mo.ScaleU-0.05/150) > 1e-15 || mo.ThicknessMM != 0.255 || mo.ThicknessU != 0.01 {
		t.Errorf("%+v, %v", mo, err)
	}
	for want, args := range map[string][]string{
		"it is relative":                       {"--card-scale", "1,1,0.1"},
		"not between 0 and 0.05":               {"--card-scale", "1,1,0"},
		"not between 0 and 5":                  {"--card-thickness", "0.3,-0.1"},
		"outside 0 to 20":                      {"--card-thickness", "25"},
		"write it as SX,SY[,U]":                {"--card-scale", "1"},
		"write it as MM[,U]":                   {"--card-thickness", "1,2,3"},
		`"x" is no number; write it as MM[,U]`: {"--card-thickness", "x"},
	} {
		if _, err := read(append([]string{"--what", "hole", "--rivet", "4"}, args...)...); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", args, err, want)
		}
	}
}
