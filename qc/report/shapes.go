package report

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/shape"
)

// shapes lists what was measured of a part's shape: what stands first, with its verdict, then what
// led to it.
func (w *writer) shapes(p *Part) {
	if len(p.Shapes) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Shape of the part", 12)
	for _, stands := range []bool{true, false} {
		for _, m := range p.Shapes {
			if m.Stands != stands {
				continue
			}
			for _, line := range w.shapeWords(m) {
				s.para(line, text)
			}
			s.y += 0.8
		}
	}
	s.para(shape.Caution, pale)
}

// shapeWords says one measurement in a few lines.
func (w *writer) shapeWords(m history.Shape) []string {
	first := fmt.Sprintf("%s, %s %s: %s", m.Name, m.State, w.when.day(m.At), w.measure(m.Result.Value, m.Result.U, m.Result.Unit))
	switch {
	case m.Result.Verdict != "":
		first += ", " + m.Result.Verdict.String()
	case m.TargetMM != nil:
		first += ", not judged: only what stands when it is released counts"
	}
	if m.TargetMM != nil {
		first += fmt.Sprintf("; target %s, tolerance %s (%s)", w.plain(*m.TargetMM, m.Result.Unit), w.plain(m.ToleranceMM, m.Result.Unit), m.Source)
	}
	out := []string{first + "."}
	for _, l := range m.Result.Lines[1:] {
		out = append(out, fmt.Sprintf("%s %s (%s).", upper(l.Name), w.measure(l.Value, l.U, l.Unit), l.By))
	}
	for _, st := range m.Result.Stations {
		out = append(out, join(", ", fmt.Sprintf("Station %s: %s", st.Name, w.measure(st.Value, st.U, m.Result.Unit)), st.Verdict.String())+".")
	}
	for _, n := range m.Result.Notes {
		if m.TargetMM != nil && m.Result.Verdict == "" {
			break // said in the first line
		}
		out = append(out, upper(n)+".")
	}
	return out
}

// measure shows a value with its U: lengths in the chosen units, angles as they are.
func (w *writer) measure(v, u float64, unit string) string {
	if unit == "mm" {
		return w.u.WithU(v, u)
	}
	return fmt.Sprintf("%s ± %s %s", qc.Millimetres.Number(v), qc.Millimetres.Number(u), unit)
}

func (w *writer) plain(v float64, unit string) string {
	if unit == "mm" {
		return w.u.Value(v)
	}
	return qc.Millimetres.Number(v) + " " + unit
}
