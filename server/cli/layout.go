package cli

import (
	"errors"
	"fmt"
	"strings"

	"bucktail/qc"
	"bucktail/qc/layout"
	"bucktail/qc/template"
	"bucktail/qc/toolroom"
)

const layoutHead = `usage: bucktail layout --rivet SIZE --width W --length L --sheet T [FLAGS]

Lays rivets out on a flange, an angle's leg or a gusset corner: the band in which hole centres may
lie and what binds it, what really cures a leg without one, number and pitch, positions, and with
--pdf a drilling template at 1:1. Across the leg, places go from the outer face of the standing leg,
or from the edge where there is none.

`

// legFlags are those of one leg; the second leg of a corner has them with a 2 behind.
type legFlags struct {
	width, length, sheet, radius, stand, row, gap, pitch, end, tube, butts *float64
	bend                                                                   *float64
	count                                                                  *int
	layers                                                                 names
}

func (b *benchFlags) leg(suffix string) *legFlags {
	l := &legFlags{}
	of := ""
	if suffix != "" {
		of = " of the second leg"
	}
	l.width = b.lengthVar("width"+suffix, "of the leg"+of+", from its datum to the free edge")
	l.length = b.lengthVar("length"+suffix, "of the leg"+of)
	l.sheet = b.lengthVar("sheet"+suffix, "thickness of its sheet")
	l.radius = b.lengthVar("radius"+suffix, "inside radius of the bend to the standing leg")
	l.stand = b.lengthVar("stand"+suffix, "how tall the standing leg is, from the outer face of this one; none: no standing leg")
	l.bend = b.Float64("bend"+suffix, 90, "`DEGREES` that the standing leg is bent through")
	l.row = b.lengthVar("row"+suffix, "where the row lies across the leg (default: in the middle of the band)")
	l.gap = b.lengthVar("gap"+suffix, "between two rows (default: the least)")
	l.pitch = b.lengthVar("pitch"+suffix, "wanted pitch (default: about 6 D)")
	l.end = b.lengthVar("end"+suffix, "from each end of the leg to the first rivet (default: 2.5 D)")
	l.count = b.Int("count"+suffix, 0, "`NUMBER` of rivets in the row (default: by the pitch)")
	l.tube = b.lengthVar("tube"+suffix, "width of a tube behind the leg, its side at the datum")
	l.butts = b.lengthVar("tube-starts"+suffix, "where that tube ends, square from the other leg's outer side")
	b.Var(&l.layers, "layer"+suffix, "`name=N,from=MM,to=MM,start=MM,end=MM`: edges of another sheet under the leg,\nacross and along; what is left out is no edge; may be given several times")
	return l
}

func (l *legFlags) input(corner float64) (layout.Leg, error) {
	leg := layout.Leg{WidthMM: *l.width, LengthMM: *l.length, ThicknessMM: *l.sheet, RowMM: *l.row, GapMM: *l.gap, Count: *l.count, PitchMM: *l.pitch, EndMM: *l.end}
	switch {
	case *l.stand == 0 && *l.radius > 0:
		return leg, errors.New("a bend with a radius has a standing leg: give how tall it is with --stand")
	case *l.tube == 0 && *l.butts > 0:
		return leg, errors.New("a tube that ends is as wide as --tube says: give it")
	case *l.stand > 0:
		leg.Bend = &toolroom.Bend{ThicknessMM: *l.sheet, RadiusMM: *l.radius, LegMM: *l.stand, AngleDeg: *l.bend}
	}
	if *l.tube > 0 {
		zero := 0.0
		y := layout.Layer{Name: "tube", Tube: true, FromMM: &zero, ToMM: l.tube, CornerMM: corner}
		if *l.butts > 0 {
			y.StartMM = l.butts
		}
		leg.Layers = append(leg.Layers, y)
	}
	for _, s := range l.layers {
		y, err := layerOf(s)
		if err != nil {
			return leg, err
		}
		leg.Layers = append(leg.Layers, y)
	}
	return leg, nil
}

// layerOf reads "name=skin,from=2,to=40".
func layerOf(s string) (layout.Layer, error) {
	var y layout.Layer
	for _, part := range strings.Split(s, ",") {
		k, v, ok := strings.Cut(part, "=")
		if k == "name" && ok {
			y.Name = v
			continue
		}
		mm, err := qc.ParseLength(v, qc.Millimetres)
		if !ok || err != nil {
			return y, fmt.Errorf("--layer %q: write name=skin,from=2,to=40,start=0,end=120,sheet=0.8", s)
		}
		switch k {
		case "from":
			y.FromMM = &mm
		case "to":
			y.ToMM = &mm
		case "start":
			y.StartMM = &mm
		case "end":
			y.EndMM = &mm
		case "sheet":
			y.ThicknessMM = mm
		default:
			return y, fmt.Errorf("--layer: %q is not known: write name, from, to, start, end or sheet", k)
		}
	}
	return y, nil
}

// layOut is the subcommand layout.
func layOut(c console, args []string) int {
	b := newBench(c, "layout")
	b.withRivet()
	b.withPDF("a drilling template")
	name := b.String("name", "", "of the part, for the template")
	rows := b.Int("rows", 1, "1 or 2, staggered")
	nose := b.lengthVar("nose", "width of the tool's nose")
	noseLength := b.lengthVar("nose-length", "how far the nose reaches before the body begins")
	body := b.lengthVar("body", "how far the tool's body reaches from the nose's axis")
	margin := b.lengthVar("margin", "room to keep about the tool")
	corner := b.lengthVar("corner", "outer corner radius of the tubes")
	angle := b.Float64("angle", 90, "`DEGREES` between the legs of a gusset corner")
	first, second := b.leg(""), b.leg("2")
	if status, done := b.read(layoutHead, args); done {
		return status
	}
	s, err := b.spec()
	if err != nil {
		return b.wrong(err)
	}
	in := layout.Input{Name: *name, Spec: s, Rows: *rows, MarginMM: *margin, AngleDeg: *angle, Units: b.shown()}
	if *nose > 0 {
		in.Tool = &toolroom.Tool{Name: "tool", NoseMM: *nose, LengthMM: *noseLength, BodyMM: *body}
	}
	legs := []*legFlags{first}
	if *second.width > 0 {
		legs = append(legs, second)
		if *angle == 0 { // which the layout takes for an angle that nobody gave
			return b.wrong(errors.New("--angle 0: legs that lie on one another are no gusset corner; give the angle between them, 30 to 150 degrees"))
		}
		if *second.sheet == 0 {
			*second.sheet = *first.sheet
		}
	}
	for _, l := range legs {
		leg, err := l.input(*corner)
		if err != nil {
			return b.wrong(err)
		}
		in.Legs = append(in.Legs, leg)
	}
	a, err := layout.Lay(in)
	if err != nil {
		return b.refused(err)
	}
	if *b.json {
		if status := b.printJSON(a); status != 0 {
			return status
		}
	} else {
		printLayout(b, in, a)
	}
	if len(a.Holes) == 0 {
		return 1
	}
	if err := b.page(template.OfLayout(in, a, b.shown())); err != nil {
		return fail(c, err)
	}
	return 0
}

func printLayout(b *benchFlags, in layout.Input, a layout.Answer) {
	u, w := b.shown(), b.c.out
	for i, l := range a.Legs {
		leg := in.Legs[i]
		fmt.Fprintf(w, "leg %d: %s × %s, sheet %s\n", i+1, u.Number(leg.WidthMM), u.Value(leg.LengthMM), u.Value(leg.ThicknessMM))
		if l.Band.Open {
			fmt.Fprintf(w, "  band %s to %s\n", u.Number(l.Band.LowMM), u.Value(l.Band.HighMM))
		} else {
			fmt.Fprintf(w, "  no band, %s short\n", u.Value(l.Band.ShortMM))
		}
		for _, x := range append(append([]layout.Bound{}, l.Band.Bounds...), l.Along...) {
			printBound(b, x, x.Name == l.Band.Low && !x.High || x.Name == l.Band.High && x.High)
		}
		for _, x := range l.Band.Cures {
			word := "cure:   "
			if !x.Works {
				word = "no cure:"
			}
			fmt.Fprintf(w, "  %s %s\n", word, x.Text)
		}
		if l.Problem != "" {
			fmt.Fprintf(w, "  %s\n", l.Problem)
		}
		for _, o := range l.Options {
			mark := " "
			if o.Chosen {
				mark = ">"
			}
			fmt.Fprintf(w, "  %s %3d rivets, pitch %10s, %5.2f D  %s\n", mark, o.Count, u.Value(o.PitchMM), o.InD, o.Why)
		}
		if l.DiagonalMM > 0 {
			fmt.Fprintf(w, "  two rows, %s apart, diagonal pitch %s\n", u.Value(l.Row[1]-l.Row[0]), u.Value(l.DiagonalMM))
		}
		for _, n := range l.Notes {
			fmt.Fprintf(w, "  note: %s\n", n)
		}
	}
	for _, x := range a.Pitches {
		printBound(b, x, false)
	}
	for _, h := range a.Holes {
		fmt.Fprintf(w, "%-5s leg %d  along %10s  %-18s across %9s  %s\n", h.Tag, h.Leg+1, qc.Millimetres.Value(h.AlongMM), qc.NearestFraction(h.AlongMM).Exact(),
			qc.Millimetres.Value(h.AcrossMM), qc.NearestFraction(h.AcrossMM).Exact())
	}
	for _, n := range a.Notes {
		fmt.Fprintf(w, "note: %s\n", n)
	}
	fmt.Fprintf(w, "%s\n", layout.Caution)
}

func printBound(b *benchFlags, x layout.Bound, binds bool) {
	side, mark := "at least", " "
	if x.High {
		side = "at most"
	}
	if binds {
		mark = "*"
	}
	advice := ""
	if x.Advice {
		advice = "advice; "
	}
	fmt.Fprintf(b.c.out, "  %s %-34s %-8s %10s  %s%s; %s\n", mark, x.Name, side, b.shown().Value(x.AtMM), advice, x.Source, x.Provenance())
}
