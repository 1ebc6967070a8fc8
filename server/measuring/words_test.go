package measuring

import (
	"flag"
	"fmt"
	"io"
	"math"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
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
	o, err := read("--what", "hole", "--rivet", "#30", "--hole-for", "pulled", "--pilot", "--card", "strip",
		"--card-scale", "1.002, 0.999", "--card-thickness", "0.3", "--sheet", "0.8", "--tap", "10,20.5", "--tap=-1,3", "--edge", "5,6",
		"--scale", "1,2,3,4,50", "--round", "7,8,19.05", "--limits", "mil")
	if err != nil {
		t.Fatal(err)
	}
	mo, spec := o.Measure, o.Spec
	// #30 is 0.1285 in (qc/spec, drill table).
	if o.Size != "#30" || math.Abs(spec.NominalMM-0.1285*25.4) > 1e-9 || spec.Kind != qc.Hole || spec.Rivet != qc.Pulled || !spec.Pilot || spec.LimitSet != "mil" {
		t.Errorf("spec %+v, size %q", spec, o.Size)
	}
	got := fmt.Sprint(mo.Card, mo.ScaleX, mo.ScaleY, mo.ThicknessMM, mo.SheetMM, mo.Taps, mo.EdgeTaps, *mo.TwoPoints, *mo.Round)
	if want := "strip1.002 0.999 0.3 0.8 [{10 20.5} {-1 3}] [{5 6}] {{1 2} {3 4} 50} {{7 8} 19.05}"; got != want {
		t.Errorf("measure options\n%s, want\n%s", got, want)
	}
}
