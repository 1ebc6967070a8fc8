package cli

import (
	"fmt"
	"strconv"
	"strings"

	"bucktail/qc"
	"bucktail/qc/bend"
	"bucktail/qc/template"
)

const bendHead = `usage: bucktail bend --legs A,B[,C] --sheet T --radius R --length L [--alloy 6061-T6] [FLAGS]

Says how a sheet is bent into an angle (two legs) or a channel (three): setback, bend allowance by a
named formula, flat width, tangent and sight lines, whether the radius suits the alloy, and with --pdf
the flat pattern at 1:1. Legs are outside lengths. A trial strip of the same sheet decides.

`

// bendFlat is the subcommand bend.
func bendFlat(c console, args []string) int {
	b := newBench(c, "bend")
	b.withPDF("the flat pattern")
	name := b.String("name", "", "of the part, for the pattern")
	legs := b.String("legs", "", "`A,B[,C]`: outside lengths of the legs")
	sheet := b.lengthVar("sheet", "thickness of the sheet")
	radius := b.lengthVar("radius", "inside radius of the bends")
	length := b.lengthVar("length", "along the bend")
	angle := b.Float64("angle", 90, "`DEGREES` that the sheet is bent through, not the angle that is left between the legs")
	alloy := b.String("alloy", "", "alloy and temper: "+strings.Join(bend.Alloys(), ", "))
	by := b.String("formula", "a", "of the bend allowance: "+formulaWords())
	var holes names
	b.Var(&holes, "hole", "`TAG,LEG,ALONG,ACROSS,DIAMETER`: a hole that must miss the bend, across from the first leg's free\nedge or from the corner before another leg; may be given several times")
	if status, done := b.read(bendHead, args); done {
		return status
	}
	in := bend.Input{Name: *name, Alloy: *alloy, ThicknessMM: *sheet, RadiusMM: *radius, AngleDeg: *angle, LengthMM: *length, Formula: *by, Units: b.shown()}
	var err error
	if in.LegsMM, err = lengths(*legs); err != nil {
		return b.wrong(fmt.Errorf("--legs: %w", err))
	}
	for _, h := range holes {
		hole, err := bendHole(h)
		if err != nil {
			return b.wrong(err)
		}
		in.Holes = append(in.Holes, hole)
	}
	f, err := bend.Flatten(in)
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		if status := b.printJSON(f); status != 0 {
			return status
		}
	} else {
		printBend(b, f)
	}
	if err := b.page(template.OfBend(in, f, b.shown())); err != nil {
		return fail(c, err)
	}
	if f.Radius != nil && f.Radius.Verdict == qc.Out {
		return 1
	}
	return 0
}

func formulaWords() string {
	var out []string
	for _, f := range bend.Formulas {
		out = append(out, f.Name+" "+f.Words)
	}
	return strings.Join(out, "; ")
}

// lengths reads "25,25" or "1in,2in,1in".
func lengths(s string) ([]float64, error) {
	var out []float64
	for _, part := range strings.Split(s, ",") {
		mm, err := qc.ParseLength(part, qc.Millimetres)
		if err != nil {
			return nil, err
		}
		out = append(out, mm)
	}
	return out, nil
}

func bendHole(s string) (bend.Hole, error) {
	p := strings.Split(s, ",")
	wrong := fmt.Errorf("--hole %q: write TAG,LEG,ALONG,ACROSS,DIAMETER, such as R1,1,20,9.5,3.3", s)
	if len(p) != 5 {
		return bend.Hole{}, wrong
	}
	leg, err := strconv.Atoi(p[1])
	mm, lengthErr := lengths(strings.Join(p[2:], ","))
	if err != nil || lengthErr != nil {
		return bend.Hole{}, wrong
	}
	return bend.Hole{Tag: p[0], Leg: leg, AlongMM: mm[0], AcrossMM: mm[1], DMM: mm[2]}, nil
}

func printBend(b *benchFlags, f bend.Flat) {
	u, w := b.shown(), b.c.out
	fmt.Fprintf(w, "setback    %s  (K %.5f)\n", u.Value(f.SetbackMM), f.K)
	for i, x := range f.FlatsMM {
		fmt.Fprintf(w, "flat %d     %s\n", i+1, u.Value(x))
	}
	fmt.Fprintf(w, "allowance  %s  formula %s: %s; %s; %s\n", u.Value(f.AllowanceMM), f.By.Name, f.By.Words, f.By.Source, f.By.From)
	fmt.Fprintf(w, "deduction  %s a bend\nflat width %s\n", u.Value(f.DeductionMM), u.Value(f.WidthMM))
	for _, o := range f.Others {
		fmt.Fprintf(w, "  by formula %s: %s; %s; %s; %s\n", o.Name, u.Value(o.WidthMM), o.Words, o.Source, o.From)
	}
	for _, l := range f.Lines {
		fmt.Fprintf(w, "  %-24s %10s  %s\n", l.Name, u.Value(l.AtMM), qc.NearestFraction(l.AtMM).Exact())
	}
	if r := f.Radius; r != nil {
		fmt.Fprintf(w, "radius: %s\n  %s; %s\n", r.Text, r.Row.Source, r.From)
	} else {
		fmt.Fprintln(w, "radius: not judged, no alloy was given")
	}
	for _, h := range f.Holes {
		fmt.Fprintf(w, "  %-5s on the blank at %s along, %s across; %s clear of the bend  %s\n", h.Tag, u.Value(h.AlongMM), u.Value(h.OnBlankMM), u.Value(h.ClearMM), h.Note)
	}
	for _, n := range f.Notes {
		fmt.Fprintf(w, "note: %s\n", n)
	}
}
