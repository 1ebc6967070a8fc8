package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
)

// mostUndecided is how many rows the list of what is out or undecided has at the most: a part on
// which nothing was right yet is told by its table of locations.
const mostUndecided = 40

// outOrUndecided lists what is out, undecided or waiting, over the page's end where it must.
func (w *writer) outOrUndecided(parts []*Part) {
	s := w.sheet
	type line struct {
		p *Part
		l *Location
	}
	var lines []line
	var open tally
	for _, p := range parts {
		open.add(tallyOf(p))
		for i := range p.Locations {
			l := &p.Locations[i]
			if !l.Out && (l.Whole == qc.Out || l.Whole == qc.TooClose || len(l.Work) > 0) {
				lines = append(lines, line{p, l})
			}
		}
	}
	slices.SortStableFunc(lines, func(a, b line) int { return order(a.l.Whole) - order(b.l.Whole) })
	s.y += 2
	if len(lines) == 0 {
		s.heading2("Out or undecided", 6)
		words := "Nothing is out, undecided or waiting."
		if n := open.unread; n > 0 {
			words += " Of " + plural(n, "location", "locations") + " that " + plurals(n, "is", "are") + " within, not all was read."
		}
		if n := open.open; n > 0 { // and nobody knows what is there
			words += " " + plural(n, "location is", "locations are") + " open: nothing was judged there."
		}
		s.para(words, text)
		return
	}
	shown := lines[:min(len(lines), mostUndecided)]
	ww := s.width()
	cols := []column{{"location", 0.1 * ww, false}, {"quantity", 0.22 * ww, false}, {"value (" + string(w.u) + ")", 0.145 * ww, true}, {"limit", 0.105 * ww, true},
		{"verdict", 0.155 * ww, false}, {"what waits", 0.205 * ww, false}, {"page", 0.07 * ww, true}}
	if len(parts) > 1 {
		cols = []column{{"part", 0.14 * ww, false}, {"location", 0.08 * ww, false}, {"quantity", 0.155 * ww, false}, {"value (" + string(w.u) + ")", 0.135 * ww, true},
			{"limit", 0.105 * ww, true}, {"verdict", 0.145 * ww, false}, {"what waits", 0.18 * ww, false}, {"page", 0.06 * ww, true}}
	}
	var rows [][]cell
	for _, ln := range shown {
		cells := append(append([]cell{{text: ln.l.Tag, style: strong}}, w.governing(ln.l)...), w.headlineCell(ln.l.Whole, len(ln.l.NotRead)),
			cell{text: waits(ln.l), style: text}, cell{text: w.page(ln.l.ID), style: text})
		if len(parts) > 1 {
			cells = append([]cell{{text: ln.p.Name, style: text, most: 3}}, cells...)
		}
		rows = append(rows, cells)
	}
	first := table{s: s, cols: cols}
	s.heading2("Out or undecided", tableHead+first.lay("", rows[0]).height)
	of := parts[0].Name
	if len(parts) > 1 {
		of = w.rec.Project.Name
	}
	s.running = of + ", out or undecided, continued"
	defer func() { s.running = "" }()
	s.table(cols, func(t *table) {
		for _, cells := range rows {
			t.row("", cells...)
		}
	})
	if n := len(lines) - len(shown); n > 0 {
		s.para(fmt.Sprintf("and %d more, in the %s.", n, plurals(len(parts), "table of locations", "tables of locations")), pale)
	}
}

// governing gives the cells of the check that makes the verdict: quantity, value ± U, limit.
func (w *writer) governing(l *Location) []cell {
	f, k := current(l)
	c := governing(k)
	switch {
	case f == nil:
		return []cell{{text: "not measured", style: pale}, {style: text}, {style: text}}
	case c == nil || c.Verdict != k.Verdict: // what was seen makes the verdict
		words := "looked at"
		if slices.ContainsFunc(f.Answers, func(a qc.Answer) bool { return a.Seen == qc.Yes }) {
			words = "fault seen"
		}
		return []cell{{text: words, style: text}, {style: text}, {style: text}}
	}
	value, u := w.valueU(c.Reading.ValueMM, c.UMM)
	return []cell{{text: c.Reading.Quantity.Words(), style: text}, {bold: value, text: u, style: pale}, {text: limitWords(c.Limit, w.u), style: text}}
}

// valueU gives the two halves of "6.99 ± 0.06".
func (w *writer) valueU(mm, uMM float64) (value, u string) {
	s := strings.TrimSuffix(w.u.WithU(mm, uMM), " "+string(w.u))
	value, u, _ = strings.Cut(s, " ")
	return value, " " + u
}

func (w *writer) verdictCell(v qc.Verdict) cell { return w.headlineCell(v, 0) }

// headlineCell shows how a location stands as a whole.
func (w *writer) headlineCell(whole qc.Verdict, notRead int) cell {
	d := w.sheet.d
	return cell{text: qc.Headline(whole, notRead), style: inked(strong, verdictColour(whole)), skip: 6,
		draw: func(x, y float64) { verdictShape(d, whole, x+2.2, y-1.2, 4) }}
}

// order is a verdict's place where the worst stands first and what is open last.
func order(v qc.Verdict) int {
	if i := slices.Index(qc.Verdicts, v); i >= 0 {
		return i
	}
	return len(qc.Verdicts)
}

// waits says what is to be done at a location, or what was decided.
func waits(l *Location) string {
	if len(l.Work) > 0 {
		return workWords[l.Work[0].Kind]
	}
	if l.Decision != "" {
		return "inspector: " + dispositionWords(l.Decision)
	}
	if f, _ := current(l); f != nil && f.Entry == l.Finding {
		if n := len(f.Dispositions); n > 0 {
			return join("; ", dispositionWords(f.Dispositions[n-1].Action), awaits(l))
		}
	}
	return cmp.Or(awaits(l), "–")
}

func awaits(l *Location) string {
	if l.Awaits {
		return "awaits the inspector"
	}
	return ""
}

// lessStrict names the builder's own limits that ask for less than the published ones.
func (w *writer) lessStrict(p *Part) {
	if len(p.Laxer) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Own limits that are less strict than the published ones", 12)
	for _, l := range p.Laxer {
		pub := ""
		if q := l.Limit.Published; q != nil {
			pub = "published: " + limitWords(*q, w.u) + ", " + q.Source
		}
		s.para(join("; ", l.Limit.Quantity.Words()+" "+limitWords(l.Limit, w.u)+" "+string(w.u)+", after "+l.Reference, pub, l.Said)+".", text)
		s.y += 0.8
	}
}
