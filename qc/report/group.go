package report

import (
	"regexp"
	"strconv"
	"strings"

	"bucktail/qc"
	"bucktail/qc/spec"
)

func worstOf(checks []qc.Check) qc.Verdict {
	var v qc.Verdict
	for _, c := range checks {
		v = qc.Worst(v, c.Verdict)
	}
	return v
}

// limitAndSource words the limits of one reading: "9.53 to 19.05" where it is held against
// one least and one greatest, with the source of each.
func (w *writer) limitAndSource(g []qc.Check) (limit, source string) {
	src := func(l qc.Limit) string {
		words := l.Source + ", " + had(l)
		if pub := l.Published; pub != nil {
			words += " (" + pub.Source + ", " + had(*pub) + ": " + limitWords(*pub, w.u) + ")"
		}
		return words
	}
	if len(g) == 2 {
		a, b := g[0].Limit, g[1].Limit
		if a.MinMM == 0 {
			a, b = b, a
		}
		if a.MinMM > 0 && a.MaxMM == 0 && b.MinMM == 0 && b.MaxMM > 0 {
			both := w.u.Number(a.MinMM) + " to " + w.u.Number(b.MaxMM)
			if src(a) == src(b) {
				return both, src(a)
			}
			return both, "min: " + src(a) + "; max: " + src(b)
		}
	}
	var limits, sources []string
	for _, c := range g {
		limits = append(limits, limitWords(c.Limit, w.u))
		if s := src(c.Limit); len(sources) == 0 || sources[len(sources)-1] != s {
			sources = append(sources, s)
		}
	}
	return strings.Join(limits, ", "), strings.Join(sources, "; ")
}

// had is how a limit was had in a word or two; what it was derived from stands among the notes.
func had(l qc.Limit) string { return spec.Cite{Basis: l.Basis}.Provenance() }

// notesOn collects what is to be said about one reading's checks, each thing once.
func (w *writer) notesOn(g []qc.Check) []string {
	r := g[0].Reading
	all := append([]string{how(r)}, r.Warnings...)
	if w.o.Fractions && w.u == qc.Inches {
		all = append([]string{qc.NearestFraction(r.ValueMM).Exact()}, all...)
	}
	if len(g[0].Added) > 0 {
		add := "read ± " + w.u.Number(r.UMM) + "; the check adds"
		for i, c := range g[0].Added {
			if i > 0 {
				add += ","
			}
			add += " " + c.Label
		}
		all = append(all, add)
	}
	for _, c := range g {
		all = append(all, c.Notes...)
		if c.Limit.Basis == spec.Derived {
			all = append(all, "limit "+c.Limit.Provenance())
		}
	}
	var out []string
	for _, n := range all {
		n = w.inUnits(n)
		if n != "" && !strings.Contains("\x00"+strings.Join(out, "\x00")+"\x00", "\x00"+n+"\x00") {
			out = append(out, n)
		}
	}
	return out
}

// millimetres is a length, the end of a range or not, with its inches beside it or not.
var millimetres = regexp.MustCompile(`\b(?:([0-9]+(?:\.[0-9]+)?) to )?([0-9]+(?:\.[0-9]+)?) mm\b(?: \(([0-9.]+ in)\))?`)

// inUnits gives a note of the program's own, which is kept with its lengths in millimetres, with
// them in the report's units.
func (w *writer) inUnits(note string) string {
	if w.u != qc.Inches {
		return note
	}
	return millimetres.ReplaceAllStringFunc(note, func(s string) string {
		m := millimetres.FindStringSubmatch(s)
		out := ""
		if from, err := strconv.ParseFloat(m[1], 64); err == nil {
			out = w.u.Number(from) + " to "
		}
		if m[3] != "" {
			return out + m[3]
		}
		mm, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return s
		}
		return out + w.u.Value(mm)
	})
}
