package report

import (
	"fmt"
	"strings"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// tally is what the first page counts. Locations that were taken out are left out.
type tally struct{ within, unread, close, out, drilled, open, awaits int }

func tallyOf(p *Part) tally {
	var t tally
	for i := range p.Locations {
		l := &p.Locations[i]
		switch {
		case l.Out:
			continue
		case l.Whole == qc.Within:
			t.within++
		case l.Whole == qc.Unread:
			t.unread++
		case l.Whole == qc.TooClose:
			t.close++
		case l.Whole == qc.Out:
			t.out++
		case l.Stage == qc.DrilledOut:
			t.drilled++
		default:
			t.open++
		}
		if l.Awaits {
			t.awaits++
		}
	}
	return t
}

func (t *tally) add(o tally) {
	t.within, t.unread, t.close, t.out = t.within+o.within, t.unread+o.unread, t.close+o.close, t.out+o.out
	t.drilled, t.open, t.awaits = t.drilled+o.drilled, t.open+o.open, t.awaits+o.awaits
}

// cells draws the six counts.
func (w *writer) cells(t tally) {
	s, d := w.sheet, w.sheet.d
	const h = 18.5
	cw := s.width() / 6
	cells := []struct {
		word string
		n    int
		col  paper.Colour
		draw func(x, y float64)
	}{
		{"within", t.within, green, func(x, y float64) { verdictShape(d, qc.Within, x, y, 4.4) }},
		{"not all read", t.unread, green, func(x, y float64) { verdictShape(d, qc.Unread, x, y, 4.4) }},
		{qc.TooClose.String(), t.close, ochre, func(x, y float64) { verdictShape(d, qc.TooClose, x, y, 4.4) }},
		{"out", t.out, vermilion, func(x, y float64) { verdictShape(d, qc.Out, x, y, 4.4) }},
		{"drilled out", t.drilled, ink2, func(x, y float64) { drilledShape(d, x, y, 4.4) }},
		{"open", t.open, ink2, func(x, y float64) { openShape(d, x, y, 4.4) }},
	}
	for i, c := range cells {
		x := margin + float64(i)*cw
		d.Artifact(func() { d.Stroke(new(paper.Path).Rect(x, s.y, cw, h), thin) })
		d.Tag(paper.Para, "", func() {
			c.draw(x+5.5, s.y+5)
			d.Text(x+9.5, s.y+6.3, c.word, inked(text, c.col))
			d.Text(x+3.3, s.y+15.4, itoa(c.n), big)
		})
	}
	s.y += h
}

// facts writes label and value in two columns of a narrow box.
func (w *writer) facts(x, y, width float64, rows [][2]string) float64 {
	d := w.sheet.d
	first := 18.0
	for _, r := range rows {
		if r[1] != "" {
			first = max(first, min(d.Width(r[0], pale)+3, width/2))
		}
	}
	for _, r := range rows {
		if r[1] == "" {
			continue
		}
		lines := w.clipped(r[1], width-first)
		d.Tag(paper.Para, "", func() {
			d.Text(x, y, d.Fit(r[0], first-1, pale), pale)
			for _, l := range lines {
				d.Text(x+first, y, l, text)
				y += text.LeadMM()
			}
		})
		y += 1.3 - text.LeadMM()
		d.Artifact(func() { d.Line(x, y, x+width, y, hair) })
		y += text.LeadMM()
	}
	return y
}

// clipped wraps a fact and cuts it after some lines: the first page has to hold the others too,
// and record.json has it whole.
func (w *writer) clipped(words string, width float64) []string {
	const most = 3
	lines := w.sheet.d.Wrap(words, width, text)
	if len(lines) > most {
		lines = append(lines[:most-1], w.sheet.d.Fit(strings.Join(lines[most-1:most+1], " "), width, text))
	}
	return lines
}

// firstPage is a part's first: what, which drawing, limits and sources, counts, the layout,
// what is out or undecided, the cautions.
func (w *writer) firstPage(p *Part) error {
	s, d := w.sheet, w.sheet.d
	s.heading1(p.Name, "Holes and rivets, measured from photos and by hand", 0)
	w.cells(tallyOf(p))
	w.cautions()
	s.y += 5
	top := s.y
	picW, picH := 0.6*s.width(), 82.0
	if err := w.layout(p, margin, top, picW, picH); err != nil {
		return err
	}
	x := margin + picW + 6
	width := s.width() - picW - 6
	y := top + 3.5
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, "Part", h2) })
	y = w.facts(x, y+6.5, width, w.partFacts(p))
	y += 3
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, "Limits, in this order", h2) })
	var rows [][2]string
	for i, src := range p.Sources {
		if i == 4 {
			rows = append(rows, [2]string{"more", fmt.Sprintf("%d further sources, named beside each limit", len(p.Sources)-i)})
			break
		}
		rows = append(rows, [2]string{itoa(i + 1), src})
	}
	if len(rows) == 0 {
		rows = append(rows, [2]string{"none", "nothing has been judged yet"})
	}
	y = w.narrowFacts(x, y+6.5, width, rows)
	s.y = max(top+picH+3, y-text.LeadMM())
	w.open([]*Part{p})
	w.signed([]*Part{p})
	w.outOrUndecided([]*Part{p})
	w.deviations(p)
	w.lessStrict(p)
	w.shapes(p)
	w.prepared(p)
	w.studies(p)
	return w.wholePart(p)
}

// narrowFacts is facts with a narrow first column.
func (w *writer) narrowFacts(x, y, width float64, rows [][2]string) float64 {
	d := w.sheet.d
	for _, r := range rows {
		first := 6.0
		if len(r[0]) > 2 {
			first = 11
		}
		d.Tag(paper.Para, "", func() {
			d.Text(x, y, r[0], pale)
			for _, l := range w.clipped(r[1], width-first) {
				d.Text(x+first, y, l, text)
				y += text.LeadMM()
			}
		})
		y += 1
	}
	return y
}

func (w *writer) partFacts(p *Part) [][2]string {
	rows := [][2]string{{"Drawing", p.Drawing}}
	for i, l := range p.Layers {
		name := l.Name
		if name == "" {
			name = "Sheet"
		}
		if i == 3 {
			rows = append(rows, [2]string{"…", fmt.Sprintf("%d more layers", len(p.Layers)-i)})
			break
		}
		rows = append(rows, [2]string{upper(name), fmt.Sprintf("%s, %s", l.Material, w.u.AsTyped(l.ThicknessMM))})
	}
	if p.Spec != nil {
		rows = append(rows, [2]string{"Rivet", specWords(*p.Spec)})
	}
	if set, ok := qc.FindSet(p.LimitSet); ok {
		rows = append(rows, [2]string{"Limit set", set.Title})
	}
	if p.Own != nil {
		rows = append(rows, [2]string{"Own limits", p.Own.Name + ", " + p.Own.Document()})
	}
	return append(rows, [2]string{"Builder", w.rec.Project.Builder}, [2]string{"Measured by", w.measurers([]*Part{p})}, [2]string{"Authority", w.rec.Project.Authority})
}

func upper(s string) string {
	r := []rune(s)
	if len(r) > 0 {
		r[0] = []rune(strings.ToUpper(string(r[:1])))[0]
	}
	return string(r)
}

// cautionsHeight is the room that cautions take.
const cautionsHeight = 30.0

// cautions are the two short lists that stand at the foot of every first page, whatever else it
// has to hold: they are written first, and keep their room.
func (w *writer) cautions() {
	s, d := w.sheet, w.sheet.d
	half := (s.width() - 6) / 2
	lists := []struct {
		head  string
		items []string
	}{
		{"What a photo can't show", []string{"the hidden side, and how the shank fills the hole", "gaps and cracks finer than the picture", "the fit of a stem, and whether a rivet is loose"}},
		{"Who decides", []string{"the aircraft's drawings and manual, first", "the local authority's rules", "an inspector who looks at the part confirms"}},
	}
	s.kept = cautionsHeight
	top := s.bottom() + 4
	d.Artifact(func() { d.Line(margin, top, margin+s.width(), top, hair) })
	for i, l := range lists {
		x := margin + float64(i)*(half+6)
		y := top + 6
		d.Tag(paper.Heading2, "", func() { d.Text(x, y, l.head, h2) })
		y += 6
		d.Tag(paper.List, "", func() {
			for _, it := range l.items {
				d.Tag(paper.Item, "", func() {
					for j, ln := range d.Wrap(it, half-4, text) {
						if j == 0 {
							d.Text(x, y, "–", text)
						}
						d.Text(x+4, y, ln, text)
						y += text.LeadMM()
					}
				})
			}
		})
	}
}

// overview is the first page of a report on several parts.
func (w *writer) overview() {
	s := w.sheet
	p := w.rec.Project
	s.heading1(p.Name, "Holes and rivets, measured from photos and by hand", 0)
	var sum tally
	var parts []*Part
	for i := range w.rec.Parts {
		sum.add(tallyOf(&w.rec.Parts[i]))
		parts = append(parts, &w.rec.Parts[i])
	}
	w.cells(sum)
	w.cautions()
	s.y += 8
	s.y = w.facts(margin, s.y, s.width(), [][2]string{{"Aircraft", p.Aircraft}, {"Mark", p.Mark}, {"Builder", p.Builder}, {"Measured by", w.measurers(parts)}, {"Authority", p.Authority}})
	s.heading2("Parts", 20)
	ww := s.width()
	cols := []column{{"part", 0.27 * ww, false}, {"drawing", 0.15 * ww, false}, {"within", 0.08 * ww, true}, {"not all read", 0.1 * ww, true}, {qc.TooClose.String(), 0.09 * ww, true}, {"out", 0.06 * ww, true},
		{"drilled out", 0.11 * ww, true}, {"open", 0.08 * ww, true}, {"page", 0.07 * ww, true}}
	if len(parts) == 0 {
		s.para("This project has no parts yet.", text)
	} else {
		s.table(cols, func(t *table) {
			for _, p := range parts {
				n := tallyOf(p)
				t.row("", cell{text: p.Name, style: strong}, cell{text: p.Drawing, style: text}, num(n.within), num(n.unread), num(n.close), num(n.out), num(n.drilled), num(n.open),
					cell{text: w.page(p.ID), style: text})
			}
		})
	}
	w.open(parts)
	w.signed(parts)
	w.outOrUndecided(parts)
}

func num(n int) cell { return cell{text: itoa(n), style: text} }
