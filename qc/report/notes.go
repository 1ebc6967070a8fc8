package report

import "slices"

// notes lists what was written about a part, and about those of its locations that have no page
// of their own; and what was taken back, which stands nowhere else.
func (w *writer) notes(p *Part) error {
	var lines []string
	var with []Note // photos
	whole, of := wholePhoto(p)
	say := func(about string, n Note) {
		line := join(", ", about, w.when.minute(n.At), w.person(n.By)) + ": " + n.Text
		if len(n.Photos) > 0 {
			line += " (" + plural(len(n.Photos), "photo", "photos") + ")"
			n.Photos = slices.DeleteFunc(slices.Clone(n.Photos), func(h string) bool { return h == whole })
			with = append(with, n)
		}
		lines = append(lines, line)
	}
	for i, n := range p.Notes {
		if of != &p.Notes[i] || len(n.Photos) > 1 { // else it stands, words and photo, as the part as a whole
			say("", n)
		}
	}
	for i := range p.Locations {
		if l := &p.Locations[i]; !needsPage(l) {
			for _, n := range l.Notes {
				say(l.Tag, n)
			}
		}
		for _, r := range p.Locations[i].Replaced {
			what := "corrected"
			if r.Withdrawn {
				what = "withdrawn"
			}
			lines = append(lines, join(", ", p.Locations[i].Tag, w.when.minute(r.By.At), r.By.By)+": "+string(r.Kind)+" of "+w.when.minute(r.At)+" "+what+opt(": ", r.By.Why))
		}
	}
	if len(lines) == 0 {
		return nil
	}
	w.sheet.heading2("Notes", 12)
	for _, ln := range lines {
		w.sheet.para(ln, text)
		w.sheet.y += 0.8
	}
	return w.notePhotos(with)
}

// notePhotos shows the photos of notes.
func (w *writer) notePhotos(notes []Note) error {
	var all []captioned
	for _, n := range notes {
		for _, h := range n.Photos {
			all = append(all, captioned{h, w.when.minute(n.At) + ", " + w.person(n.By) + opt(": ", n.Text)})
		}
	}
	if len(all) == 0 {
		return nil
	}
	w.sheet.y += 3
	return w.photoRow(all)
}

// calibrations lists the calibrations of printed cards that the readings of this record were
// taken with: a later one changes none of them.
func (w *writer) calibrations() {
	findings := map[string]int{}
	for i := range w.rec.Parts {
		for _, l := range w.rec.Parts[i].Locations {
			for _, a := range l.Attempts {
				for _, f := range a.Findings {
					if f.Card != nil {
						findings[f.Card.Calibration]++
					}
				}
			}
		}
	}
	s := w.sheet
	ww := s.width()
	used := 0
	for _, c := range w.rec.Project.Cards {
		if findings[c.ID] > 0 {
			used++
		}
	}
	if used == 0 {
		return
	}
	s.heading2("Calibrations of the scale cards", 30)
	s.para("Each photo names the calibration that it was measured with. A later one changes no reading that was taken before.", text)
	s.y += 3
	s.table([]column{{"sheet", 0.08 * ww, false}, {"calibrated", 0.33 * ww, false}, {"check lines, across and along", 0.3 * ww, true}, {"thickness", 0.17 * ww, true},
		{"findings", 0.12 * ww, true}}, func(t *table) {
		for _, c := range w.rec.Project.Cards {
			if n := findings[c.ID]; n > 0 {
				t.row(opt("measured with ", c.MeasuredWith), cell{text: c.Sheet, style: strong}, cell{text: w.when.minute(c.At), style: text},
					cell{text: w.u.Number(c.CheckAcrossMM) + " and " + w.u.WithU(c.CheckAlongMM, c.CheckUMM), style: text},
					cell{text: w.u.AsTypedWithU(c.ThicknessMM, c.ThicknessUMM), style: text}, num(n))
			}
		}
	})
}
