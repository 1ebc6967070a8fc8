package template

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/bend"
)

// OfBend is the flat pattern of an angle or a channel.
func OfBend(in bend.Input, f bend.Flat, u qc.Units) Page {
	name := in.Name
	if name == "" {
		name = "Angle"
	}
	p := Page{Title: name + ": flat pattern", Sketch: f.Sketch,
		Use: "Solid: the blank. Long dashes: bend tangents. Short dashes: sight lines. Bend a trial strip first."}
	p.Facts = append(p.Facts,
		fmt.Sprintf("sheet %s, inside radius %s, bent through %g degrees; setback %s, allowance %s", u.Value(in.ThicknessMM), u.Value(in.RadiusMM), in.AngleDeg, u.Value(f.SetbackMM), u.Value(f.AllowanceMM)),
		fmt.Sprintf("blank %s wide, %s long; allowance by formula %s, %s (%s)", u.Value(f.WidthMM), u.Value(in.LengthMM), f.By.Name, f.By.Words, f.By.Source))
	if f.Radius != nil {
		p.Facts = append(p.Facts, f.Radius.Text)
	}
	lines := Table{Title: "Lines, from the blank's first edge", Head: []string{"line", "place", "inches"}, Wide: []float64{80, 45, 60}}
	for _, l := range f.Lines {
		lines.Rows = append(lines.Rows, []string{l.Name, qc.Millimetres.Value(l.AtMM), qc.NearestFraction(l.AtMM).Exact()})
	}
	by := Table{Title: "The published allowances", Head: []string{"formula", "flat width", "source and basis"}, Wide: []float64{62, 30, 96}}
	by.Rows = append(by.Rows, []string{f.By.Name + ": " + f.By.Words + " (used)", u.Value(f.WidthMM), f.By.Source + "; " + f.By.From})
	for _, o := range f.Others {
		by.Rows = append(by.Rows, []string{o.Name + ": " + o.Words, u.Value(o.WidthMM), o.Source + "; " + o.From})
	}
	p.Tables = []Table{lines, by}
	if len(f.Holes) > 0 {
		t := Table{Title: "Holes", Head: []string{"hole", "along", "on the blank", "clear of the bend", "note"}, Wide: []float64{16, 28, 34, 34, 76}}
		for _, h := range f.Holes {
			t.Rows = append(t.Rows, []string{h.Tag, u.Value(h.AlongMM), u.Value(h.OnBlankMM), u.Value(h.ClearMM), h.Note})
		}
		p.Tables = append(p.Tables, t)
	}
	if f.Radius != nil {
		p.Notes = append(p.Notes, "Radius: "+f.Radius.Row.Source+"; "+f.Radius.From+". The row of the next thicker sheet counts, nothing is interpolated.")
	}
	p.Notes = append(p.Notes, f.Notes...)
	return p
}
