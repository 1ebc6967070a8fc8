// Package measuring reads what is asked to be measured: the words that say what stands on a
// photo and where. The command line takes them as flags, a request to the server as parameters
// of the same names, so that both mean the same. Start with [Register] and [Studies.ByRequest].
package measuring

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

// Words are the flags once they are parsed.
type Words struct {
	// Open opens a file with own limits; nil: --limits names published sets alone.
	Open func(name string) (io.ReadCloser, error)

	flags                     *flag.FlagSet
	what, rivet, hole         *string
	flush, pilot, mark, large *bool
	limits                    texts
	taps, edges, scale, round numbers
	cardScale, cardThickness  numbers
	grow                      *float64
	options                   answer.Options
}

// Register adds the flags to a set.
func Register(f *flag.FlagSet) *Words {
	w := &Words{
		flags: f,
		taps:  numbers{want: "u,v"}, edges: numbers{want: "u,v"}, scale: numbers{want: "u1,v1,u2,v2,MM"},
		round: numbers{want: "u,v,MM"}, cardScale: numbers{want: "SX,SY[,U]"}, cardThickness: numbers{want: "MM[,U]"},
	}
	mo := &w.options.Measure
	w.what = f.String("what", "", "`KIND`: "+kindWords())
	w.rivet = f.String("rivet", "", "`SIZE`: the rivet's dash number (4), millimetres (3.2mm), inches (1/8), or\nthe drill that makes its hole (#30); where that makes several, --hole-for and --pilot or\n--pilot=false tell which")
	w.hole = f.String("hole-for", "", "`RIVET` that a hole is for: solid or pulled (blind) (default: inch sizes solid, metric pulled)")
	w.flush = f.Bool("flush", false, "the other, manufactured head is countersunk: more edge distance is needed")
	w.pilot = f.Bool("pilot", false, "the hole is a pilot hole, still to be opened")
	w.mark = f.Bool("mark", false, "the hole is only marked yet: edge distance and pitch are judged, for the final rivet; a mark is read where --tap points at it")
	w.large = f.Bool("large-dome", false, "the pulled (blind) rivet has a large dome head")
	f.StringVar(&mo.Card, "card", "auto", "scale `CARD` on the photo: auto, corner, strip, window, none")
	f.Var(&w.cardScale, "card-scale", "`SX,SY[,U]`: measured over printed length of the card's check lines, across and along\n(1.002,0.999), and the expanded uncertainty (k = 2) of both: 0.1 mm over 150 mm is\n0.00067 (default 0.003)")
	f.Var(&w.cardThickness, "card-thickness", "`MM[,U]`: thickness of the card as it lies on the sheet, and its expanded uncertainty\n(k = 2) in mm (default 0.04)")
	w.grow = f.Float64("grow", 1, "`FACTOR` by which every U grows, as the phone's gauge study asks (see bucktail study)")
	f.StringVar(&w.options.Sheet, "card-sheet", "", "`NUMBER` of the printed sheet that the card was cut from, by which a gauge study is chosen")
	f.Float64Var(&mo.SheetMM, "sheet", 0, "thickness of the sheet that is riveted, `MM`")
	f.Var(&w.limits, "limits", "`NAME|FILE`: a published set ("+setNames()+") or a file with your own; one of each may be\ngiven, your own go first")
	f.Var(&w.taps, "tap", "`u,v`: a fastener stands there; may be given several times")
	f.Var(&w.edges, "edge", "`u,v`: a sheet edge runs there; may be given several times")
	f.Var(&w.scale, "scale", "`u1,v1,u2,v2,MM`: two points on the sheet a known distance apart")
	f.Var(&w.round, "round", "`u,v,MM`: a round object of known diameter flat on the sheet, and a point in it")
	return w
}

// Options gives what the words ask for. The error tells what to write instead.
func (w *Words) Options() (answer.Options, error) {
	o := w.options
	if *w.what == "" || !qc.Kind(*w.what).Valid() {
		return o, fmt.Errorf("--what %q: say what stands there: %s", *w.what, kindWords())
	}
	if *w.rivet == "" {
		return o, errors.New("--rivet is missing: give the rivet's dash number (4) or its diameter (3.2mm, 1/8)")
	}
	size, err := qc.ParseSize(*w.rivet, w.use())
	switch {
	case errors.Is(err, qc.ErrWhichHole):
		return o, fmt.Errorf("--rivet: %w; the words are --hole-for solid, --hole-for pulled, --pilot and --pilot=false", err)
	case err != nil:
		return o, fmt.Errorf("--rivet: %w", err)
	}
	o.Size = size.Text
	o.Spec.Kind, o.Spec.NominalMM = qc.Kind(*w.what), size.NominalMM
	o.Spec.Rivet, o.Spec.Flush, o.Spec.Pilot, o.Spec.Mark = qc.Rivet(*w.hole), *w.flush, *w.pilot, *w.mark
	if size.Drill != "" && o.Spec.Kind == qc.Hole {
		o.Spec.Rivet, o.Spec.Pilot = size.Rivet, size.Hole == qc.PilotHole
	}
	if *w.large {
		o.Spec.Head = "large dome"
	}
	if err := w.readLimits(&o.Spec); err != nil {
		return o, err
	}
	if err := o.Spec.Valid(); err != nil {
		return o, err
	}
	if !(*w.grow >= 1 && *w.grow <= 1000) {
		return o, fmt.Errorf("--grow %v is not between 1 and 1000: U never shrinks", *w.grow)
	}
	if *w.grow > 1 {
		o.Given = &qc.Proven{Proof: qc.Proof{Study: "given", Setup: qc.Setup{Kind: o.Spec.Kind}, Factor: *w.grow}}
	}
	mo := &o.Measure
	mo.Taps, mo.EdgeTaps = w.taps.px(), w.edges.px()
	if v := w.scale.one(); v != nil {
		mo.TwoPoints = &measure.TwoPoints{P0Px: geom.PxPoint{U: v[0], V: v[1]}, P1Px: geom.PxPoint{U: v[2], V: v[3]}, MM: v[4]}
	}
	if v := w.round.one(); v != nil {
		mo.Round = &measure.RoundRef{AtPx: geom.PxPoint{U: v[0], V: v[1]}, DiameterMM: v[2]}
	}
	if err := w.card(mo); err != nil {
		return o, err
	}
	return o, check(mo)
}

// Card gives what the words say of the card alone, as a study of printed circles needs it.
func (w *Words) Card() (measure.Options, error) {
	mo := w.options.Measure
	if err := w.card(&mo); err != nil {
		return mo, err
	}
	return mo, check(&mo)
}

// use gives what the words say of a hole beside the drill that makes it.
func (w *Words) use() qc.Use {
	u := qc.Use{Kind: qc.Kind(*w.what), Rivet: qc.Rivet(*w.hole)}
	w.flags.Visit(func(f *flag.Flag) {
		switch {
		case f.Name != "pilot": // left out, it says nothing
		case *w.pilot:
			u.Hole = qc.PilotHole
		default:
			u.Hole = qc.FinalHole
		}
	})
	return u
}

// card reads what is known of the printed card. Uncertainties are said expanded, k = 2, as the
// record keeps them; measuring wants standard ones.
func (w *Words) card(mo *measure.Options) error {
	if v := w.cardScale.one(); v != nil {
		mo.ScaleX, mo.ScaleY = v[0], v[1]
		if len(v) > 2 {
			if !(v[2] > 0 && v[2] <= 0.05) {
				return fmt.Errorf("--card-scale: an uncertainty of %v is not between 0 and 0.05: it is relative, so that 0.1 mm over 150 mm is 0.00067", v[2])
			}
			mo.ScaleU = v[2] / 2
		}
	}
	if v := w.cardThickness.one(); v != nil {
		mo.ThicknessMM = v[0]
		if len(v) > 1 {
			if !(v[1] > 0 && v[1] <= 5) {
				return fmt.Errorf("--card-thickness: an uncertainty of %.6g mm is not between 0 and 5", v[1])
			}
			mo.ThicknessU = v[1] / 2
		}
	}
	return nil
}

// check says what does not go together or makes no sense.
func check(mo *measure.Options) error {
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
	if !(mo.ThicknessMM >= 0 && mo.ThicknessMM <= 20) {
		return fmt.Errorf("--card-thickness %.6g mm lies outside 0 to 20", mo.ThicknessMM)
	}
	if !(mo.SheetMM >= 0 && mo.SheetMM <= 25) {
		return fmt.Errorf("--sheet %.6g mm lies outside 0 to 25", mo.SheetMM)
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
	return nil
}

func (w *Words) readLimits(spec *qc.Spec) error { return ReadLimits(spec, w.limits, w.Open) }

// ReadLimits takes at most one published set and one file of own limits; open opens a file, nil
// where files are not taken.
func ReadLimits(spec *qc.Spec, names []string, open func(name string) (io.ReadCloser, error)) error {
	for _, name := range names {
		if _, ok := qc.FindSet(name); ok && name != "" {
			if spec.LimitSet != "" {
				return fmt.Errorf("--limits names two published sets, %q and %q: keep one", spec.LimitSet, name)
			}
			spec.LimitSet = name
			continue
		}
		if open == nil {
			return fmt.Errorf("--limits %q is not a published set: %s", name, setNames())
		}
		if spec.Own != nil {
			return fmt.Errorf("--limits %q is a second file: put all limits of your own into one", name)
		}
		file, err := open(name)
		if errors.Is(err, fs.ErrNotExist) {
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
