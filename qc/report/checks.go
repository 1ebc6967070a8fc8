package report

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/paper"
	"bucktail/qc/standing"
)

// readingWords tells the judged readings for the alternative text.
func (w *writer) readingWords(l *Location, f *Finding) string {
	var out []string
	for _, c := range standingOf(l, f).Checks {
		out = append(out, c.Reading.What()+" "+w.u.WithU(c.Reading.ValueMM, c.UMM)+", "+limitWords(c.Limit, w.u)+", "+c.Verdict.String())
	}
	if len(out) == 0 {
		return "nothing was judged"
	}
	return strings.Join(out, "; ")
}

// checks is the table of readings against limits, then the readings that were not judged.
func (w *writer) checks(l *Location, f *Finding) {
	s := w.sheet
	s.y += 3
	ww := s.width()
	cols := []column{{"quantity", 0.24 * ww, false}, {"value ± U (" + string(w.u) + ")", 0.14 * ww, true}, {"limit", 0.135 * ww, true},
		{"source", 0.35 * ww, false}, {"verdict", 0.135 * ww, false}}
	k := standingOf(l, f)
	checks := k.Checks
	if len(k.Readings) == 0 {
		return
	}
	judged := func(r qc.Reading) bool {
		return slices.ContainsFunc(checks, func(c qc.Check) bool { return r.Same(c.Reading) })
	}
	shared := w.sharedNotes(k)
	rows := func(t *table) {
		t.beside = 3
		for _, row := range k.Rows {
			var g []qc.Check
			for _, i := range row {
				g = append(g, checks[i])
			}
			value, u := w.valueU(g[0].Reading.ValueMM, g[0].UMM)
			limit, source := w.limitAndSource(g)
			t.row(strings.Join(shared.own(w.notesOn(g)), "; "), cell{text: g[0].Reading.What() + targetOf(k, g[0].Reading), style: text}, cell{bold: value, text: u, style: pale},
				cell{text: limit, style: text}, cell{text: source, style: small}, w.verdictCell(worstOf(g)))
		}
	}
	if len(checks) > 0 {
		s.table(cols, rows)
	}
	for _, n := range shared {
		s.para(upper(n.note)+": "+strings.Join(n.of, ", ")+".", small)
	}
	var unread []string
	for _, m := range k.Missing {
		var limits []string
		for _, x := range m.Limits {
			limits = append(limits, limitWords(x, w.u))
		}
		unread = append(unread, notRead(k, m)+" ("+strings.Join(limits, ", ")+"; "+m.Do+")")
	}
	var also, superseded []string
	for _, r := range k.Readings {
		words := join(", ", r.What()+targetOf(k, r.Reading)+" "+w.u.WithU(r.ValueMM, r.UMM), how(r.Reading))
		switch {
		case !r.Stands():
			superseded = append(superseded, words+", superseded by "+w.byWhom(l, r.By))
		case !judged(r.Reading):
			also = append(also, words)
		}
	}
	var said []string
	if len(also) > 0 {
		said = append(said, "Read, but not judged: "+strings.Join(also, "; ")+".")
	}
	if len(superseded) > 0 {
		said = append(said, "Superseded: "+strings.Join(superseded, "; ")+".")
	}
	if len(unread) > 0 {
		said = append(said, "Not read, so not judged: "+w.inUnits(strings.Join(unread, "; "))+".")
	}
	if len(k.Notes) > 0 {
		said = append(said, upper(w.inUnits(strings.Join(k.Notes, "; ")))+".")
	}
	if len(said) > 0 {
		s.para(strings.Join(said, " "), small)
	}
}

// sharedNote is a note on several rows of a table: it is written once, below it.
type sharedNote struct {
	note string
	of   []string
}

type sharedNotes []sharedNote

// sharedNotes finds what would stand under more than one row.
func (w *writer) sharedNotes(k *standing.Look) (out sharedNotes) {
	for _, row := range k.Rows {
		var g []qc.Check
		for _, i := range row {
			g = append(g, k.Checks[i])
		}
		r := g[0].Reading
		for _, n := range w.notesOn(g) {
			at := slices.IndexFunc(out, func(x sharedNote) bool { return x.note == n })
			if at < 0 {
				at, out = len(out), append(out, sharedNote{note: n})
			}
			out[at].of = append(out[at].of, r.Quantity.Words()+targetOf(k, r))
		}
	}
	return slices.DeleteFunc(out, func(n sharedNote) bool { return len(n.of) < 2 })
}

// own gives the notes that are not shared.
func (s sharedNotes) own(notes []string) []string {
	return slices.DeleteFunc(notes, func(n string) bool {
		return slices.ContainsFunc(s, func(x sharedNote) bool { return x.note == n })
	})
}

// byWhom names the hand reading that took another's place.
func (w *writer) byWhom(l *Location, entry string) string {
	for _, x := range l.View.Location.Filed {
		if x.Entry == entry {
			return "filing " + x.Edge
		}
	}
	f := l.finding(entry)
	if f == nil {
		return "a hand reading"
	}
	return "the hand reading of " + w.when.minute(f.At)
}

// target names the edge or the neighbour that a distance goes to, where that is known.
func target(r qc.Reading) string {
	switch {
	case r.Of == nil || r.Of.Name == "":
		return ""
	case r.Quantity == qc.Pitch:
		return " to " + r.Of.Name
	}
	return ", " + r.Of.Name + ","
}

// targetOf is target, and where nobody named the edge or the neighbour, which one it is: the nearest
// or a farther one of those on the same photo.
func targetOf(k *standing.Look, r qc.Reading) string {
	if t := target(r); t != "" || r.Layer != "" || r.Quantity != qc.EdgeDistance && r.Quantity != qc.Pitch {
		return t
	}
	nearer := 0
	for _, o := range k.Readings {
		if o.Quantity == r.Quantity && o.How == r.How && o.Photo == r.Photo && o.ValueMM < r.ValueMM {
			nearer++
		}
	}
	what := "edge"
	if r.Quantity == qc.Pitch {
		what = "neighbour"
	}
	if nearer == 0 || r.Of != nil && r.Of.Nearest {
		return ", nearest " + what
	}
	return ", " + what + " no. " + itoa(nearer+1)
}

// how says how a reading was had, where it is not the usual way.
func how(r qc.Reading) string {
	switch r.How {
	case qc.ByPhoto:
		return ""
	case qc.ByPhotoHand:
		return "with a mark placed by hand"
	}
	if r.How == qc.ByLayout {
		return "as laid out, not measured"
	}
	return "by " + string(r.How)
}

// seenThere lists the answers to the visual questions: faults first, in full and in bold.
func (w *writer) seenThere(f *Finding) {
	s := w.sheet
	words := map[string]string{}
	for _, q := range qc.Questions {
		words[q.ID] = q.Text
	}
	var yes, not []string
	no := 0
	for _, a := range f.Answers {
		q := words[a.Question]
		if q == "" {
			q = a.Question
		}
		switch a.Seen {
		case qc.Yes:
			yes = append(yes, "Fault seen: "+join(" ", q, "Yes"+opt(": ", strings.TrimSuffix(a.Note, "."))+"."))
		case qc.No:
			no++
		default:
			not = append(not, q)
		}
	}
	if len(f.Answers) == 0 {
		return
	}
	line := "Looked at: " + plural(no, "question was", "questions were") + " answered with no fault."
	if len(not) > 0 {
		line += " Not looked at: " + strings.Join(not, " ")
	}
	s.y += 0.5
	for _, fault := range yes {
		s.para(fault, strong)
	}
	s.para(line, text)
}

// against draws the governing reading against its limits.
func (w *writer) against(l *Location, f *Finding, x, width float64) {
	s, d := w.sheet, w.sheet.d
	k := standingOf(l, f)
	worst := governing(k)
	if worst == nil || worst.Verdict == qc.Within { // settled since, or out by what was seen
		return
	}
	var same []qc.Check
	for _, c := range k.Checks {
		if c.Reading.Same(worst.Reading) {
			same = append(same, c)
		}
	}
	s.y += 5
	y := s.y
	value := w.u.WithU(worst.Reading.ValueMM, worst.UMM)
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, upper(worst.Reading.What()), h2) })
	d.Tag(paper.Figure, fmt.Sprintf("A scale: %s %s, %s, %s", worst.Reading.What(), value, limitWords(worst.Limit, w.u), worst.Verdict), func() {
		limitRule(d, same, w.u, x, y+6.5, width)
	})
	s.y = y + 16
}
