package cli

import (
	"flag"
	"fmt"
	"strconv"
	"strings"

	"bucktail/qc"
	"bucktail/qc/shape"
)

const shapeHead = `usage: bucktail shape --kind twist --method M --values V[,V...] --u U [FLAGS]
       bucktail shape --spacers S1,S2,S3,S4 --released W --u U --target W

Works out the shape of a part. A twist comes from four heights, from the height of the fourth corner
over three equal blocks, or from the gap of crossed strings; diagonals show squareness, never twist.
Its sign is its hand. Values are millimetres, or degrees of an angle, and may be negative. With
--spacers: which share of an imposed twist was kept, and what to impose next.

`

// signedList is a flag of numbers that may be negative.
type signedList []float64

func (l *signedList) String() string { return fmt.Sprint([]float64(*l)) }
func (l *signedList) Set(s string) error {
	*l = nil
	for _, part := range strings.Split(s, ",") {
		v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(part), "\u2212", "-", 1), 64)
		if err != nil {
			return fmt.Errorf("%.20q is no number", part)
		}
		*l = append(*l, v)
	}
	return nil
}

// measureShape is the subcommand shape.
func measureShape(c console, args []string) int {
	b := newBench(c, "shape")
	kind := b.String("kind", "twist", fmt.Sprintf("`KIND`: %v", join(shape.Kinds)))
	method := b.String("method", string(shape.Heights), fmt.Sprintf("of a twist, `METHOD`: %v", join(shape.Methods)))
	state := b.String("state", string(shape.Released), fmt.Sprintf("`STATE` when it was measured: %v; only released counts", join(shape.States)))
	source := b.String("source", "", "who says the target: drawing and note")
	var values, target, tolerance, spacers, released signedList
	b.Var(&values, "values", "`V,...`: what was read")
	b.Var(&target, "target", "`V`: what it should be, with its sign")
	b.Var(&tolerance, "tolerance", "`V`: how far it may depart, either way")
	b.Var(&spacers, "spacers", "`S1,S2,S3,S4`: heights of the spacers, in order round the frame")
	b.Var(&released, "released", "`V`: twist that was kept after release, with its sign")
	u := b.lengthVar("u", "expanded uncertainty of one value; with --spacers, of both twists")
	base := b.lengthVar("base-u", "expanded uncertainty of the table or the blocks")
	width := b.lengthVar("width", "of the frame, corners 1 to 2")
	long := b.lengthVar("length", "of the frame")
	if status, done := b.read(shapeHead, args); done {
		return status
	}
	for _, one := range []struct {
		name string
		l    signedList
	}{{"target", target}, {"tolerance", tolerance}, {"released", released}} {
		if len(one.l) > 1 {
			return b.wrong(fmt.Errorf("--%s wants one number", one.name))
		}
	}
	if given(b.FlagSet, "spacers") {
		if len(spacers) != 4 || len(released) != 1 || len(target) != 1 {
			return b.wrong(fmt.Errorf("--spacers wants four heights, with --released and --target"))
		}
		return b.keep(shape.Spacers([4]float64(spacers)), released[0], *u, target[0])
	}
	in := shape.Input{Name: *kind, Kind: shape.Kind(*kind), State: shape.State(*state), ValuesMM: values, UMM: *u, BaseUMM: *base, WidthMM: *width, LengthMM: *long, Source: *source, Units: b.shown()}
	if in.Kind == shape.Twist {
		in.Method = shape.Method(*method)
	}
	if in.Kind == shape.Flush || in.Kind == shape.Gap {
		in.ValuesMM = nil
		for i, v := range values {
			in.Stations = append(in.Stations, shape.Station{Name: strconv.Itoa(i + 1), FrameMM: v})
		}
	}
	if len(target) == 1 {
		in.TargetMM = &target[0]
	}
	if len(tolerance) == 1 {
		in.ToleranceMM = tolerance[0]
	}
	r, err := shape.Judge(in)
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		if status := b.printJSON(r); status != 0 {
			return status
		}
	} else {
		printShape(b, r)
	}
	if r.Verdict == qc.Out || r.Verdict == qc.TooClose {
		return 1
	}
	return 0
}

func (b *benchFlags) keep(imposed, released, u, target float64) int {
	k, err := shape.Keep(imposed, released, u, target)
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		return b.printJSON(k)
	}
	fmt.Fprintf(b.c.out, "imposed %s, kept share %.3f ± %.3f\nimpose %s for %s; %s\n", b.shown().Value(imposed), k.Share, k.ShareU, b.shown().WithU(k.NextMM, k.NextUMM), b.shown().Value(target), k.Note)
	return 0
}

func printShape(b *benchFlags, r shape.Result) {
	for _, l := range r.Lines {
		fmt.Fprintf(b.c.out, "%-28s %s  %s\n", l.Name, shapeValue(b, l.Value, l.U, l.Unit), l.By)
	}
	for _, s := range r.Stations {
		fmt.Fprintf(b.c.out, "  station %-4s %s  %s\n", s.Name, shapeValue(b, s.Value, s.U, r.Unit), s.Verdict)
	}
	if r.Verdict != "" {
		fmt.Fprintln(b.c.out, r.Verdict)
	}
	for _, n := range r.Notes {
		fmt.Fprintf(b.c.out, "note: %s\n", n)
	}
	fmt.Fprintln(b.c.out, shape.Caution)
}

func shapeValue(b *benchFlags, v, u float64, unit string) string {
	if unit == "mm" {
		return b.shown().WithU(v, u)
	}
	return fmt.Sprintf("%s ± %s %s", qc.Millimetres.Number(v), qc.Millimetres.Number(u), unit)
}

func join[T ~string](all []T) string {
	var out []string
	for _, x := range all {
		out = append(out, string(x))
	}
	return strings.Join(out, ", ")
}

// given tells whether a flag was set.
func given(f *flag.FlagSet, name string) (set bool) {
	f.Visit(func(x *flag.Flag) { set = set || x.Name == name })
	return set
}
