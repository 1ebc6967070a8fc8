package template

import (
	"fmt"
	"strings"

	"bucktail/qc"
	"bucktail/qc/layout"
)

// OfLayout is the drilling template of a layout.
func OfLayout(in layout.Input, a layout.Answer, u qc.Units) Page {
	name := in.Name
	if name == "" {
		name = "Layout"
	}
	p := Page{Title: name + ": drilling template", Sketch: a.Sketch,
		Use: "Cut out along the outline, lay it on the metal edge to edge, tape it, centre-punch through the dots."}
	p.Facts = append(p.Facts, fmt.Sprintf("%s, D %s; the circles are the pilot drill, %s", kindWords(in.Spec), u.Value(in.Spec.NominalMM), pilotWords(a, u)))
	for i, l := range in.Legs {
		p.Facts = append(p.Facts, legFact(in, a, i, l, u))
	}
	t := Table{Title: "Positions", Head: []string{"hole", "along, from the datum", "along, inches", "across", "across, inches"}, Wide: []float64{26, 38, 44, 36, 44}}
	for _, h := range a.Holes {
		tag := h.Tag
		if len(in.Legs) > 1 {
			tag += fmt.Sprintf(" (leg %d)", h.Leg+1)
		}
		t.Rows = append(t.Rows, []string{tag, qc.Millimetres.Value(h.AlongMM), qc.NearestFraction(h.AlongMM).Exact(), qc.Millimetres.Value(h.AcrossMM), qc.NearestFraction(h.AcrossMM).Exact()})
	}
	p.Tables = []Table{t, limitsTable(a, u)}
	p.Notes = append(p.Notes, "Along is measured from the leg's beginning (of a corner: from where the outer sides meet), across from its datum: the outer face of the standing leg, or the edge where there is none. A fraction is the nearest 64th with what is left over.")
	p.Notes = append(p.Notes, a.Notes...)
	for _, l := range a.Legs {
		p.Notes = append(p.Notes, l.Notes...)
	}
	p.Notes = append(p.Notes, layout.Caution)
	return p
}

func kindWords(s qc.Spec) string {
	words := string(s.ForRivet()) + " rivet"
	if s.Flush || s.Kind == qc.FlushHead {
		words = "flush " + words
	}
	return words
}

func pilotWords(a layout.Answer, u qc.Units) string {
	if len(a.Sketch.Holes) == 0 {
		return "none"
	}
	return u.Value(a.Sketch.Holes[len(a.Sketch.Holes)-1].DMM) // a relief hole comes first
}

func legFact(in layout.Input, a layout.Answer, i int, l layout.Leg, u qc.Units) string {
	la := a.Legs[i]
	who := "leg"
	if len(in.Legs) > 1 {
		who = fmt.Sprintf("leg %d", i+1)
	}
	words := fmt.Sprintf("%s %s × %s", who, u.Number(l.WidthMM), u.Value(l.LengthMM))
	if la.Problem != "" {
		return words + ": " + la.Problem
	}
	words += fmt.Sprintf(": %d rivets", len(legHoles(a, i)))
	if la.PitchMM > 0 {
		words += ", pitch " + u.Value(la.PitchMM)
	}
	var rows []string
	for _, x := range la.Row {
		rows = append(rows, u.Number(x))
	}
	return words + fmt.Sprintf(", row at %s of a band %s to %s", strings.Join(rows, " and "), u.Number(la.Band.LowMM), u.Value(la.Band.HighMM))
}

func legHoles(a layout.Answer, i int) []layout.Hole {
	var out []layout.Hole
	for _, h := range a.Holes {
		if h.Leg == i {
			out = append(out, h)
		}
	}
	return out
}

func limitsTable(a layout.Answer, u qc.Units) Table {
	t := Table{Title: "What binds, and where it is from", Head: []string{"limit", "place", "source and basis"}, Wide: []float64{58, 34, 98}}
	for i, l := range a.Legs {
		for _, b := range l.Band.Bounds {
			side := "at least "
			if b.High {
				side = "at most "
			}
			name := b.Name
			if len(a.Legs) > 1 {
				name = fmt.Sprintf("leg %d: %s", i+1, name)
			}
			if b.Advice {
				name += " (advice)"
			}
			t.Rows = append(t.Rows, []string{name, side + u.Value(b.AtMM), b.Source + "; " + b.Provenance()})
		}
	}
	for _, b := range a.Pitches {
		side := "at least "
		if b.High {
			side = "at most "
		}
		t.Rows = append(t.Rows, []string{b.Name, side + u.Value(b.AtMM), b.Source + "; " + b.Provenance()})
	}
	return t
}
