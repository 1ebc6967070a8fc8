package report

import (
	"fmt"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// attempts puts the attempts of a location side by side, four in a row; one alone is all on
// the page already.
func (w *writer) attempts(p *Part, l *Location) error {
	s := w.sheet
	if len(l.Attempts) < 2 {
		return nil
	}
	const perRow, gap = 4, 4.0
	n := min(perRow, len(l.Attempts))
	cw := (s.width() - float64(n-1)*gap) / float64(n)
	if n < 3 {
		cw = (s.width() - 2*gap) / 3
	}
	picH := cw * photoHeight / photoWidth // so that the picture above stands here too
	s.heading2("Attempts side by side", picH+32)
	for at := 0; at < len(l.Attempts); at += perRow {
		row := l.Attempts[at:min(at+perRow, len(l.Attempts))]
		height := 0.0
		lines := make([][]string, len(row))
		for i := range row {
			lines[i] = w.attemptLines(l, &row[i], cw)
			height = max(height, 9+picH+float64(len(lines[i]))*label.LeadMM())
		}
		s.need(height)
		for i := range row {
			if err := w.attempt(p, l, &row[i], margin+float64(i)*(cw+gap), cw, picH, lines[i]); err != nil {
				return err
			}
		}
		s.y += height
	}
	return nil
}

// shotOf is the finding that stands for an attempt: its last one of a rivet, by photo where
// there is one.
func shotOf(a *Attempt) *Finding {
	var best *Finding
	for i := range a.Findings {
		f := &a.Findings[i]
		if best == nil || f.Photo != "" && (f.Spec.Kind != qc.Hole || best.Spec.Kind == qc.Hole) || best.Photo == "" {
			best = f
		}
	}
	return best
}

func (w *writer) attemptLines(l *Location, a *Attempt, cw float64) []string {
	d := w.sheet.d
	var lines []string
	add := func(s string) { lines = append(lines, d.Wrap(s, cw, label)...) }
	f := shotOf(a)
	if f == nil {
		if a.Set == nil {
			add("not set yet")
		} else {
			add("set " + w.when.day(a.Set.At) + ", not measured")
		}
	} else {
		k := standingOf(l, f)
		for _, row := range k.Rows[:min(3, len(k.Rows))] {
			c := k.Checks[row[0]]
			add(c.Reading.What())
			add(w.u.WithU(c.Reading.ValueMM, c.UMM) + ", " + limitWords(c.Limit, w.u))
		}
		add("measured " + w.when.day(f.At))
	}
	if f != nil && f.Spec.Kind != qc.Hole && !holeMeasured(a) {
		add("its hole was never measured")
	}
	if a.Ended != nil {
		add("ended " + w.when.day(a.Ended.At) + opt(": ", a.Ended.Why))
	} else if f != nil {
		add("stands")
	}
	const most = 16 // a reason may be long; it stands in full among what was decided
	if len(lines) > most {
		lines = append(lines[:most-1], "…")
	}
	return lines
}

func (w *writer) attempt(p *Part, l *Location, a *Attempt, x, cw, picH float64, lines []string) error {
	s, d := w.sheet, w.sheet.d
	f := shotOf(a)
	y := s.y
	d.Tag(paper.Para, "", func() {
		head := fmt.Sprintf("Attempt %d", a.N)
		d.Text(x, y, head, strong)
		if a.Verdict != "" {
			verdictShape(d, a.Verdict, x+d.Width(head, strong)+5, y-1.2, 4)
			d.Text(x+d.Width(head, strong)+8.5, y, verdictWord(a.Verdict), inked(text, verdictColour(a.Verdict)))
		}
	})
	y += 2.5
	if err := w.step(); err != nil {
		return err
	}
	d.Tag(paper.Figure, fmt.Sprintf("%s, attempt %d: %s", l.Tag, a.N, verdictWord(a.Verdict)), func() {
		switch {
		case f == nil || f.Photo == "" || w.o.Picture == nil:
			d.TextCentre(x+cw/2, y+picH/2, "no picture", label)
		default:
			pic, err := w.above.pic, w.above.err
			if f != w.above.of {
				pic, err = w.picture(w.pictureOf(p, l, f, cw))
			}
			if err == nil && !w.counting {
				err = w.show(pic, x, y, cw, picH)
			}
			if err != nil {
				w.missing(x, y, cw, "Not here", err)
			}
		}
		d.Stroke(new(paper.Path).Rect(x, y, cw, picH), paper.Pen{WidthMM: 0.2, Colour: rule})
	})
	y += picH + 4.4
	d.Tag(paper.Para, "", func() {
		for _, ln := range lines {
			d.Text(x, y, ln, label)
			y += label.LeadMM()
		}
	})
	return nil
}
