package report

import (
	"cmp"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/spec"
)

// deviation is a disposition that leaves a rivet standing which is not within.
type deviation struct {
	l *Location
	f *Finding
	Disposition
}

func deviationsOf(p *Part) (out []deviation) {
	for i := range p.Locations {
		l := &p.Locations[i]
		for _, a := range l.Attempts {
			for j := range a.Findings {
				f := &a.Findings[j]
				for _, x := range f.Dispositions {
					if x.Action == qc.Refer || x.Action == qc.Keep && f.Verdict != qc.Within {
						out = append(out, deviation{l, f, x})
					}
				}
			}
		}
	}
	return out
}

// deviations lists what was kept although it is not within, and what was referred to the designer.
func (w *writer) deviations(p *Part) {
	s := w.sheet
	ww := s.width()
	cols := []column{{"location", 0.1 * ww, false}, {"reading", 0.3 * ww, false}, {"limit", 0.14 * ww, false}, {"what was done", 0.46 * ww, false}}
	var rows [][]cell
	for _, x := range deviationsOf(p) {
		reading, limit := "what was seen", ""
		if c := governing(standingOf(x.l, x.f)); c != nil {
			reading = c.Reading.Quantity.Words() + target(c.Reading) + " " + w.u.WithU(c.Reading.ValueMM, c.UMM) + ", " + string(c.Verdict)
			limit = limitWords(c.Limit, w.u)
		}
		done := dispositionWords(x.Action) + ", " + w.person(x.By) + ", " + w.when.day(x.At) + opt(": ", x.Reason) + opt(". Designer: ", x.Answer)
		if x.Action == qc.Refer && x.Answer == "" {
			done += ". No answer yet"
		}
		rows = append(rows, []cell{{text: x.l.Tag, style: strong}, {text: reading, style: text}, {text: limit, style: text}, {text: done, style: text}})
	}
	if len(rows) == 0 {
		return
	}
	s.heading2("Deviations that were kept or referred", 20)
	s.table(cols, func(t *table) {
		for _, r := range rows {
			t.row("", r...)
		}
	})
}

// limitsUsed lists the limits that the readings were held against, by document, with its edition.
func (w *writer) limitsUsed() {
	type line struct {
		doc          spec.Document
		where, basis string
		of           []string
	}
	var lines []line
	for i := range w.rec.Parts {
		for _, c := range w.rec.Parts[i].checks() {
			doc, where, _ := spec.DocumentOf(c.Limit.Source)
			basis := c.Limit.Provenance()
			at := slices.IndexFunc(lines, func(x line) bool { return x.doc == doc && x.where == where && x.basis == basis })
			if at < 0 {
				at, lines = len(lines), append(lines, line{doc: doc, where: where, basis: basis})
			}
			if q := c.Limit.Quantity.Words(); !slices.Contains(lines[at].of, q) {
				lines[at].of = append(lines[at].of, q)
			}
		}
	}
	if len(lines) == 0 {
		return
	}
	slices.SortStableFunc(lines, func(a, b line) int {
		return cmp.Or(strings.Compare(a.doc.Name, b.doc.Name), strings.Compare(a.where, b.where))
	})
	s := w.sheet
	ww := s.width()
	s.heading2("Limits and where they are from", 24)
	s.table([]column{{"document", 0.25 * ww, false}, {"edition, date", 0.22 * ww, false}, {"page, section, table", 0.23 * ww, false}, {"how the figure was had", 0.3 * ww, false}}, func(t *table) {
		for _, x := range lines {
			edition := join(", ", opt("edition ", x.doc.Edition), x.doc.Date)
			t.row(strings.Join(x.of, ", "), cell{text: x.doc.Name, style: strong}, cell{text: cmp.Or(edition, "not noted"), style: text},
				cell{text: cmp.Or(x.where, "as named"), style: text}, cell{text: w.inUnits(x.basis), style: text})
		}
	})
}

// instruments lists what was measured with, besides the photos.
func (w *writer) instruments() {
	type line struct {
		name string
		history.Identity
		readings int
		overdue  bool
		ahead    bool // the calibration is dated after a use
		cards    []string
	}
	var lines []line
	at := func(name string, id *history.Identity) *line {
		x := line{name: name}
		if id != nil {
			x.Identity = *id
		}
		i := slices.IndexFunc(lines, func(l line) bool { return l.name == name && l.Identity == x.Identity })
		if i < 0 {
			i, lines = len(lines), append(lines, x)
		}
		return &lines[i]
	}
	for i := range w.rec.Parts {
		for _, l := range w.rec.Parts[i].Locations {
			for _, a := range l.Attempts {
				for _, f := range a.Findings {
					if f.Gauge {
						x := at(f.Instrument, f.Identity)
						x.readings += len(f.Readings)
						x.overdue = x.overdue || f.Identity.Overdue(f.At)
						x.ahead = x.ahead || f.Identity.Ahead(f.At)
					}
				}
			}
		}
	}
	for _, c := range w.rec.Project.Cards {
		if c.MeasuredWith != "" {
			x := at(c.MeasuredWith, c.Identity)
			x.cards = append(x.cards, c.Sheet)
			x.overdue = x.overdue || c.Identity.Overdue(c.At)
			x.ahead = x.ahead || c.Identity.Ahead(c.At)
		}
	}
	if len(lines) == 0 {
		return
	}
	s := w.sheet
	ww := s.width()
	s.heading2("Instruments", 24)
	s.table([]column{{"instrument", 0.3 * ww, false}, {"number", 0.16 * ww, false}, {"calibrated", 0.2 * ww, false}, {"due", 0.2 * ww, false}, {"readings", 0.14 * ww, true}}, func(t *table) {
		for _, x := range lines {
			note := ""
			if x.overdue {
				note = "Its calibration was overdue when it was used."
			}
			if x.ahead {
				note = join(" ", note, "Its calibration is dated after it was used.")
			}
			if len(x.cards) > 0 {
				note = join(" ", note, "Measured card "+plurals(len(x.cards), "sheet", "sheets")+" "+strings.Join(x.cards, ", ")+".")
			}
			t.row(note, cell{text: x.name, style: strong}, cell{text: cmp.Or(x.Number, "not given"), style: text},
				cell{text: cmp.Or(dateWords(x.Calibrated), "not given"), style: text}, cell{text: cmp.Or(dateWords(x.Due), "not given"), style: text}, num(x.readings))
		}
	})
}
