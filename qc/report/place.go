package report

import (
	"fmt"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
)

// locations is the table of all locations of a part.
func (w *writer) locations(p *Part) {
	s := w.sheet
	under := plural(len(p.Locations), "location", "locations")
	if n := tallyOf(p).awaits; n > 0 {
		under += ", " + plural(n, "awaits", "await") + " the inspector"
	}
	s.heading1("Locations", under, 0)
	ww := s.width()
	cols := []column{{"location", 0.1 * ww, false}, {"stands", 0.12 * ww, false}, {"attempt", 0.085 * ww, true}, {"quantity", 0.225 * ww, false},
		{"value (" + string(w.u) + ")", 0.145 * ww, true}, {"limit", 0.115 * ww, true}, {"verdict", 0.145 * ww, false}, {"page", 0.065 * ww, true}}
	if len(p.Locations) == 0 {
		s.para("This part has no locations yet.", text)
		return
	}
	s.running = p.Name + ", locations, continued"
	defer func() { s.running = "" }()
	s.table(cols, func(t *table) {
		for i := range p.Locations {
			l := &p.Locations[i]
			if l.Out {
				t.row("removed from the list", cell{text: l.Tag, style: pale})
				continue
			}
			note := ""
			if v := waits(l); v != "–" {
				note = v
			}
			if f, _ := current(l); f != nil && l.Finding != "" {
				note = join("; ", note, "measured "+w.when.day(f.At)+" by "+w.person(f.By)+oddMark(f))
			}
			t.row(note, append(append([]cell{{text: l.Tag, style: strong}, {text: string(l.Stage), style: text}, num(l.Attempt)}, w.governing(l)...),
				w.headlineCell(l.Whole, len(l.NotRead)), cell{text: w.page(l.ID), style: text})...)
		}
	})
}

func join(sep string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, sep)
}

// location is the page of one location: photo, readings against limits, what was seen, what
// was decided, its attempts side by side, room for the inspector.
func (w *writer) location(p *Part, l *Location) error {
	s, d := w.sheet, w.sheet.d
	f, k := current(l)
	title := l.Tag
	n := attemptOf(l, f)
	if n > 0 {
		title += fmt.Sprintf(", attempt %d", n)
	}
	var verdict qc.Verdict
	word := qc.Headline("", 0)
	if k != nil { // of what stood there last, where it was drilled out
		verdict, word = k.Whole, k.Headline
	}
	s.dense = w.narrow[l.ID]
	defer func() { s.dense = false }()
	top := s.y
	s.heading1(title, w.locationSub(p, l, f), 45)
	s.running = p.Name + ", " + title + ", continued"
	defer func() { s.running = "" }()
	d.Tag(paper.Para, "", func() {
		st := paper.Style{Font: paper.Bold, SizePt: 17, Colour: verdictColour(verdict)}
		d.TextRight(margin+s.width(), top+7, word, st)
		verdictShape(d, verdict, margin+s.width()-d.Width(word, st)-5.5, top+4.9, 7.5)
	})
	if w.foot[l.ID] {
		w.decisionAtFoot()
	}
	if f != nil {
		said, err := w.photo(p, l, f)
		if err != nil {
			return err
		}
		w.checks(l, f)
		w.seenThere(f)
		if !said {
			w.ifDrilledOut(l, f, margin, s.width(), 0)
		}
	}
	w.decided(l)
	if f != nil && len(l.Attempts) < 2 && l.View.NoHole() {
		s.para("The hole of this rivet was never measured.", text)
	}
	if err := w.notePhotos(l.Notes); err != nil {
		return err
	}
	if err := w.attempts(p, l); err != nil {
		return err
	}
	if !w.foot[l.ID] {
		s.y += 1.5
		w.signBoxes(decisionHeight, decisionBoxes("")...)
	}
	return nil
}

func attemptOf(l *Location, f *Finding) int {
	if f != nil {
		for _, a := range l.Attempts {
			for _, g := range a.Findings {
				if g.Entry == f.Entry {
					return a.N
				}
			}
		}
	}
	return 0
}

func (w *writer) locationSub(p *Part, l *Location, f *Finding) string {
	if f == nil {
		return "not measured"
	}
	out := upper(specWords(f.Spec)) + w.limitsApart(p, l) + " · measured " + w.when.minute(f.At) + " by " + w.person(f.By)
	if l.Finding == "" {
		out += " · now " + string(l.Stage)
	}
	return out
}

// limitsApart names the limits in force at a location where they are not the part's.
func (w *writer) limitsApart(p *Part, l *Location) string {
	part := InForce{Set: p.LimitSet}
	if p.Own != nil {
		part.Own = p.Own.Name
	}
	x := l.Limits
	if x == nil || x.Set == part.Set && x.Own == part.Own {
		return ""
	}
	return " · limits: " + join(", ", x.Own, x.Set)
}

// The photo's place at the top of a location's page; beside it stands what it is and how its
// governing reading stands to the limits.
const (
	photoWidth  = 94.0
	photoHeight = 64.0
	photoNarrow = 70.0 // the width of a small one
	photoGap    = 7.0
)

// photo puts the annotated picture on the page and its caption beside it; said tells that what
// a new rivet would need stands there too.
func (w *writer) photo(p *Part, l *Location, f *Finding) (said bool, err error) {
	s, d := w.sheet, w.sheet.d
	if err := w.step(); err != nil {
		return false, err
	}
	if f.Photo == "" || w.o.Picture == nil {
		w.caption(f, false, margin, s.width())
		w.against(l, f, margin, s.width()/2)
		return false, nil
	}
	y := s.y - 2
	wide, high := photoWidth, photoHeight
	if w.narrow[l.ID] {
		wide, high = photoNarrow, photoNarrow*photoHeight/photoWidth
	}
	pic, err := w.picture(w.pictureOf(p, l, f, wide))
	w.above.of, w.above.pic, w.above.err = f, pic, err
	alt := fmt.Sprintf("Photo of %s as taken, cut to the place: %s", l.Tag, w.readingWords(l, f))
	if pic.Drawing != nil {
		alt = fmt.Sprintf("Photo of %s with its outline and dimension lines: %s", l.Tag, w.readingWords(l, f))
	}
	d.Tag(paper.Figure, alt, func() {
		if !w.counting {
			if err == nil {
				err = w.show(pic, margin, y, wide, high)
			}
			if err != nil {
				w.missing(margin, y, wide, "The picture is not here", err)
			}
		}
		d.Stroke(new(paper.Path).Rect(margin, y, wide, high), thin)
	})
	x := margin + wide + photoGap
	s.y = y + 3
	w.caption(f, pic.Drawing != nil, x, margin+s.width()-x)
	if !w.narrow[l.ID] || w.nextRivet(l, f) == "" { // beside a small picture is room for one of the two
		w.against(l, f, x, margin+s.width()-x)
	}
	said = w.ifDrilledOut(l, f, x, margin+s.width()-x, y+high-s.y)
	s.y = max(s.y, y+high+4.2)
	name := func(what, hash string) { // whole, to be searched for and copied
		d.Tag(paper.Caption, "", func() {
			d.Text(margin, s.y, what, small)
			d.Text(margin+d.Width(what, small), s.y, hash, mono)
		})
		s.y += 3
	}
	name("Photo, SHA-256 ", f.Photo)
	for _, v := range f.Views {
		if v.Photo == f.Photo {
			continue
		}
		what := "Measured together with "
		if !v.Used {
			what = "Left out here: "
		}
		name(what, v.Photo)
	}
	return said, nil
}

// oddMark marks a finding whose times are to be asked about.
func oddMark(f *Finding) string {
	if len(f.Odd) == 0 {
		return ""
	}
	return "; its times are to be asked about"
}

// times says when a photo was taken, its finding written, and when it came to the laptop.
func (w *writer) times(f *Finding) string {
	taken := ""
	if t, ok := history.TakenAt(f.Taken); ok { // the camera's own clock, whatever zone it stood in
		taken = "Photo taken " + t.Format("2 January 2006, 15:04") + " by its camera's clock"
	} else if f.Photo != "" && !f.Gauge {
		taken = "The photo does not say when it was taken"
	}
	came := "when it came to the laptop is not known here"
	if !f.Came.IsZero() {
		came = "came to the laptop " + w.when.minute(f.Came)
	}
	out := join(". ", taken, "Written "+w.when.minute(f.At)+"; "+came)
	if len(f.Odd) > 0 {
		out += ". To be asked about: " + strings.Join(f.Odd, "; ")
	}
	return out + "."
}

// caption tells how the finding was had.
func (w *writer) caption(f *Finding, drawn bool, x, width float64) {
	s := w.sheet
	if f.Gauge {
		s.paraAt(x, width, "Measured by hand gauge: "+w.instrument(f)+". "+w.times(f), small)
		return
	}
	if f.Photo == "" {
		s.paraAt(x, width, "No photo: what was seen, without readings. "+w.times(f), small)
		return
	}
	card := "no scale card"
	if c := f.Card; c != nil {
		card = "Scale card " + c.Layout
		switch {
		case c.Sheet != "":
			card += ", sheet " + c.Sheet + ", calibrated " + w.when.minute(c.At)
		case c.Calibration != "":
			card += ", calibration " + c.Calibration + ", which is not in this record"
		default:
			card += ", its printed sheet not measured"
		}
	}
	unit := "Millimetres"
	if w.u == qc.Inches {
		unit = "Inches"
	}
	lines := "No dimension lines are drawn on it"
	if drawn {
		lines = "Outlines and dimension lines are drawn on it"
	}
	if w.o.Picture == nil {
		lines = ""
	}
	s.paraAt(x, width, join(". ", unit, upper(card), opt("Method ", f.Method), lines)+". "+w.times(f), small)
}
