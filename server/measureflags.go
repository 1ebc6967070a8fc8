package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

// measureJob is what the command line of measure asks for.
type measureJob struct {
	photos   []string
	options  answer.Options
	units    qc.Units
	json     bool
	annotate annotateTo
}

// numbers is a flag of finite numbers with commas between, as "812,640". Given several times
// it keeps each.
type numbers struct {
	want string // the shape as it is told to people: "u,v"
	got  [][]float64
}

func (n *numbers) String() string { return "" }

func (n *numbers) Set(s string) error {
	parts := strings.Split(s, ",")
	if len(parts) != strings.Count(n.want, ",")+1 {
		return fmt.Errorf("write it as %s", n.want)
	}
	var vs []float64
	for _, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%q is no number; write it as %s", p, n.want)
		}
		vs = append(vs, v)
	}
	n.got = append(n.got, vs)
	return nil
}

func (n *numbers) px() []geom.PxPoint {
	var out []geom.PxPoint
	for _, v := range n.got {
		out = append(out, geom.PxPoint{U: v[0], V: v[1]})
	}
	return out
}

// one gives the last of several, nil of none.
func (n *numbers) one() []float64 {
	if len(n.got) == 0 {
		return nil
	}
	return n.got[len(n.got)-1]
}

// texts is a flag that may be given several times.
type texts []string

func (l *texts) String() string { return "" }

func (l *texts) Set(s string) error { *l = append(*l, s); return nil }

const measureHead = `usage: bucktail measure --what KIND --rivet SIZE [FLAGS] PHOTO...

Measures the fasteners on each photo by the scale card that lies beside them, and holds
the readings against limits. Places (u,v) are pixels of the upright photo, from its top left.

`

const measureTail = `
Exit status: 0 everything was measured, 1 something was not (said which and why), 2 wrong usage.
`

// parseMeasure reads the command line. Flags and photos may stand in any order; after -- all
// are photos. The error tells what to write instead; flag.ErrHelp after help was shown.
func parseMeasure(args []string, help io.Writer) (*measureJob, error) {
	f := flag.NewFlagSet("measure", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	var (
		job       measureJob
		limits    texts
		taps      = numbers{want: "u,v"}
		edges     = numbers{want: "u,v"}
		scale     = numbers{want: "u1,v1,u2,v2,MM"}
		round     = numbers{want: "u,v,MM"}
		cardScale = numbers{want: "SX,SY"}
		spec      = &job.options.Spec
		mo        = &job.options.Measure
		what      = f.String("what", "", "`KIND`: "+kindWords())
		rivet     = f.String("rivet", "", "`SIZE`: the rivet's dash number (4), millimetres (3.2mm), inches (1/8), for a hole\nalso its drill (#30)")
		hole      = f.String("hole-for", "", "`RIVET` that a hole is for: solid or pulled (default: inch sizes solid, metric pulled)")
		flush     = f.Bool("flush", false, "the other, manufactured head is countersunk: more edge distance is needed")
		pilot     = f.Bool("pilot", false, "the hole is a pilot hole, still to be opened")
		wide      = f.Bool("large-dome", false, "the pulled rivet has a large dome head")
		units     = f.String("units", "mm", "mm or in, for the table and the annotated photo")
		annotate  = f.String("annotate", "", "write the photo with its dimensions to `OUT`: a .jpg or .png file, or a folder (with\nseveral photos always a folder: NAME-annotated.jpg for each)")
	)
	f.StringVar(&mo.Card, "card", "auto", "scale `CARD` on the photo: auto, corner, strip, window, none")
	f.Var(&cardScale, "card-scale", "`SX,SY`: measured over printed length of the card's rulers, both ways (1.002,0.999)")
	f.Float64Var(&mo.ThicknessMM, "card-thickness", 0, "thickness of the card, `MM`")
	f.Float64Var(&mo.SheetMM, "sheet", 0, "thickness of the sheet that is riveted, `MM`")
	f.Var(&limits, "limits", "`NAME|FILE`: a published set ("+setNames()+") or a file with your own; one of each may be\ngiven, your own go first")
	f.Var(&taps, "tap", "`u,v`: a fastener stands there; may be given several times")
	f.Var(&edges, "edge", "`u,v`: a sheet edge runs there; may be given several times")
	f.Var(&scale, "scale", "`u1,v1,u2,v2,MM`: two points on the sheet a known distance apart")
	f.Var(&round, "round", "`u,v,MM`: a round thing of known diameter flat on the sheet, and a point in it")
	f.BoolVar(&job.json, "json", false, "print one JSON object for each photo, a line each, instead of the table")

	photos, err := interleaved(f, args)
	if errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(help, measureHead)
		f.SetOutput(help)
		f.PrintDefaults()
		fmt.Fprint(help, measureTail)
		return nil, flag.ErrHelp
	}
	if err != nil {
		return nil, err
	}
	job.photos = photos
	if job.units, err = qc.ParseUnits(*units); err != nil {
		return nil, err
	}
	if *what == "" || !qc.Kind(*what).Valid() {
		return nil, fmt.Errorf("--what %q: say what stands there: %s", *what, kindWords())
	}
	if *rivet == "" {
		return nil, errors.New("--rivet is missing: give the rivet's dash number (4) or its diameter (3.2mm, 1/8)")
	}
	size, err := qc.ParseSize(*rivet)
	if err != nil {
		return nil, fmt.Errorf("--rivet: %w", err)
	}
	job.options.Size = size.Text
	spec.Kind, spec.NominalMM = qc.Kind(*what), size.NominalMM
	spec.Rivet, spec.Flush, spec.Pilot = qc.Rivet(*hole), *flush, *pilot
	if *wide {
		spec.Head = "large dome"
	}
	if err := readLimits(limits, spec); err != nil {
		return nil, err
	}
	if err := spec.Valid(); err != nil {
		return nil, err
	}
	mo.Taps, mo.EdgeTaps = taps.px(), edges.px()
	if v := scale.one(); v != nil {
		mo.TwoPoints = &measure.TwoPoints{P0Px: geom.PxPoint{U: v[0], V: v[1]}, P1Px: geom.PxPoint{U: v[2], V: v[3]}, MM: v[4]}
	}
	if v := round.one(); v != nil {
		mo.Round = &measure.RoundRef{AtPx: geom.PxPoint{U: v[0], V: v[1]}, DiameterMM: v[2]}
	}
	if v := cardScale.one(); v != nil {
		mo.ScaleX, mo.ScaleY = v[0], v[1]
	}
	if err := checkMeasure(&job); err != nil {
		return nil, err
	}
	job.annotate, err = annotateTargets(*annotate, job.photos)
	return &job, err
}

// checkMeasure says what does not go together or makes no sense.
func checkMeasure(job *measureJob) error {
	mo := &job.options.Measure
	switch mo.Card {
	case "auto", "corner", "strip", "window", "none":
	default:
		return fmt.Errorf("--card %q is not known: write auto, corner, strip, window or none", mo.Card)
	}
	// A printer that errs by more than a tenth prints another size, "fit to page" most likely.
	for _, s := range []float64{mo.ScaleX, mo.ScaleY} {
		if s != 0 && !(s > 0.9 && s < 1.1) {
			return fmt.Errorf("--card-scale %v lies outside 0.9 to 1.1: divide the measured length by the printed one; if it is right, print the card again at 100 %%", s)
		}
	}
	if !(mo.ThicknessMM >= 0 && mo.ThicknessMM <= 10) {
		return fmt.Errorf("--card-thickness %v mm lies outside 0 to 10", mo.ThicknessMM)
	}
	if !(mo.SheetMM >= 0 && mo.SheetMM <= 25) {
		return fmt.Errorf("--sheet %v mm lies outside 0 to 25", mo.SheetMM)
	}
	if t := mo.TwoPoints; t != nil && !(t.MM > 0 && t.P0Px != t.P1Px) {
		return errors.New("--scale wants two different points and a distance above zero")
	}
	if r := mo.Round; r != nil && !(r.DiameterMM > 0) {
		return errors.New("--round wants a diameter above zero")
	}
	if mo.Card == "none" && mo.TwoPoints == nil && mo.Round == nil {
		return errors.New("--card none needs another scale: give --scale or --round")
	}
	if len(job.photos) == 0 {
		return errors.New("no photo is given")
	}
	if len(job.photos) > 1 && (mo.Taps != nil || mo.EdgeTaps != nil || mo.TwoPoints != nil || mo.Round != nil) {
		return errors.New("--tap, --edge, --scale and --round are places on one photo: give one photo with them")
	}
	return nil
}

// interleaved parses flags with other arguments before, between and behind them.
func interleaved(f *flag.FlagSet, args []string) (rest []string, err error) {
	for {
		if err := f.Parse(args); err != nil {
			return nil, err
		}
		left := f.Args()
		if len(left) == 0 {
			return rest, nil
		}
		if n := len(args) - len(left); n > 0 && args[n-1] == "--" {
			return append(rest, left...), nil
		}
		rest, args = append(rest, left[0]), left[1:]
	}
}

// readLimits takes at most one published set and one file of own limits.
func readLimits(limits []string, spec *qc.Spec) error {
	for _, name := range limits {
		if _, ok := qc.FindSet(name); ok && name != "" {
			if spec.LimitSet != "" {
				return fmt.Errorf("--limits names two published sets, %q and %q: keep one", spec.LimitSet, name)
			}
			spec.LimitSet = name
			continue
		}
		if spec.Own != nil {
			return fmt.Errorf("--limits %q is a second file: put all limits of your own into one", name)
		}
		file, err := os.Open(name)
		if errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("--limits %q is neither a published set (%s) nor a file", name, setNames())
		}
		if err != nil {
			return fmt.Errorf("--limits: %w", err)
		}
		own, err := qc.ReadOwnLimits(file)
		file.Close()
		if err != nil {
			return fmt.Errorf("--limits %s: %w", filepath.Base(name), err)
		}
		spec.Own = own
	}
	return nil
}

func setNames() string {
	var names []string
	for _, s := range qc.Sets {
		names = append(names, s.Name)
	}
	return strings.Join(names, ", ")
}

func kindWords() string {
	var names []string
	for _, k := range qc.Kinds {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}
