package report

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// readingWords tells the judged readings for the alternative text.
func (w *writer) readingWords(l *Location, f *Finding) string {
	var out []string
	for _, c := range settled(l, f) {
		out = append(out, c.Reading.Quantity.Words()+" "+w.u.WithU(c.Reading.ValueMM, c.UMM)+", "+limitWords(c.Limit, w.u)+", "+string(c.Verdict))
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
	cols := []column{{"quantity", 0.235 * ww, false}, {"value ± U (" + string(w.u) + ")", 0.15 * ww, true}, {"limit", 0.165 * ww, true},
		{"source", 0.3 * ww, false}, {"verdict", 0.15 * ww, false}}
	checks := settled(l, f)
	if len(checks)+len(f.Readings) == 0 {
		return
	}
	judged := func(r qc.Reading) bool {
		for _, c := range checks {
			if sameReading(r, c.Reading) {
				return true
			}
		}
		return false
	}
	rows := func(t *table) {
		t.beside = 3
		for _, g := range byReading(checks) {
			value, u := w.valueU(g[0].Reading.ValueMM, g[0].UMM)
			limit, source := w.limitAndSource(g)
			t.row(w.notesOn(g), cell{text: g[0].Reading.Quantity.Words(), style: text}, cell{bold: value, text: u, style: pale},
				cell{text: limit, style: text}, cell{text: source, style: small}, w.verdictCell(worstOf(g)))
		}
	}
	if len(checks) > 0 {
		s.table(cols, rows)
	}
	var unread []string
	for _, x := range f.Result.Unread {
		unread = append(unread, x.Quantity.Words()+" "+limitWords(x, w.u))
	}
	var also, byGauge []string
	for _, r := range f.Readings {
		words := join(", ", r.Quantity.Words()+" "+w.u.WithU(r.ValueMM, r.UMM), how(r))
		switch {
		case judged(r):
		case slices.ContainsFunc(f.Result.Checks, func(c qc.Check) bool { return sameReading(r, c.Reading) }):
			byGauge = append(byGauge, words) // its checks gave way to the gauge's
		default:
			also = append(also, words)
		}
	}
	var said []string
	if len(also) > 0 {
		said = append(said, "Read, but not judged: "+strings.Join(also, "; ")+".")
	}
	if len(byGauge) > 0 {
		said = append(said, "Read on the photo, and measured by hand gauge since: "+strings.Join(byGauge, "; ")+".")
	}
	if len(unread) > 0 {
		said = append(said, "Not read, so not judged: "+strings.Join(unread, "; ")+".")
	}
	if len(f.Result.Notes) > 0 {
		said = append(said, upper(w.inUnits(strings.Join(f.Result.Notes, "; ")))+".")
	}
	if len(said) > 0 {
		s.para(strings.Join(said, " "), small)
	}
}

// how says how a reading was had, where it is not the usual way.
func how(r qc.Reading) string {
	switch r.How {
	case qc.ByPhoto:
		return ""
	case qc.ByPhotoHand:
		return "with a mark placed by hand"
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
		line += " Not looked: " + strings.Join(not, " ")
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
	_, worst := worstCheck(l)
	if worst == nil || worst.Verdict == qc.Within { // settled since, or out by what was seen
		return
	}
	var same []qc.Check
	for _, c := range settled(l, f) {
		if sameReading(c.Reading, worst.Reading) {
			same = append(same, c)
		}
	}
	s.y += 5
	y := s.y
	value := w.u.WithU(worst.Reading.ValueMM, worst.UMM)
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, upper(worst.Reading.Quantity.Words()), h2) })
	d.Tag(paper.Figure, fmt.Sprintf("A scale: %s %s, %s, %s", worst.Reading.Quantity.Words(), value, limitWords(worst.Limit, w.u), worst.Verdict), func() {
		limitRule(d, same, w.u, x, y+6.5, width)
	})
	s.y = y + 16
}
