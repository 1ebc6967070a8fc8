package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
)

// decided lists in order what the builder and the inspector decided, and later gauge readings.
func (w *writer) decided(l *Location) {
	s := w.sheet
	type line struct{ entry, text string }
	var lines []line
	put := func(e Event, what string) {
		if e.At.After(e.Came) { // then its clock alone can be asked about
			for _, odd := range (history.When{At: e.At, Came: e.Came}).Odd() {
				what += ". To be asked about: " + odd
			}
		}
		lines = append(lines, line{e.Entry, w.when.minute(e.At) + ", " + what})
	}
	say := func(e Event, what string) { put(e, join(" ", w.person(e.By)+":", what)) }
	for _, a := range l.Attempts {
		for _, f := range a.Findings {
			if f.Gauge {
				say(f.Event, fmt.Sprintf("measured by %s: %s; %s", w.instrument(&f), w.gaugeValues(l, &f), verdictWord(f.Verdict)))
			}
			for _, x := range f.Dispositions {
				say(x.Event, join(": ", dispositionWords(x.Action), join(". ", x.Reason, x.Answer)))
			}
			for _, x := range f.Decisions {
				put(x.Event, decisionWords(x.By, x.DecisionData))
			}
		}
		if a.Ended != nil && a.DrillMM+float64(len(a.Ended.Why)) > 0 {
			what := "drilled out"
			if a.DrillMM > 0 {
				what += " with " + w.u.Value(a.DrillMM)
			}
			say(*a.Ended, join(": ", what, a.Ended.Why))
		}
	}
	for _, n := range l.Notes {
		say(Event{Entry: n.Entry, At: n.At, By: n.By}, n.Text)
	}
	// In the order of the record, whatever the devices' clocks said.
	slices.SortStableFunc(lines, func(a, b line) int { return cmp.Compare(a.entry, b.entry) })
	s.heading2("What was decided", 12)
	if len(lines) == 0 {
		lines = []line{{text: "Nothing yet. " + upper(waits(l)) + "."}}
	}
	for _, ln := range lines {
		s.para(ln.text, text)
		s.y += 0.8
	}
}

// instrument names a hand gauge as it was given, and that its calibration was overdue or dated later.
func (w *writer) instrument(f *Finding) string {
	out := f.Instrument
	if id := f.Identity; id != nil {
		out += opt(", no. ", id.Number) + opt(", calibration due ", dateWords(id.Due))
		if id.Overdue(f.At) {
			out += " (overdue)"
		}
		if id.Ahead(f.At) {
			out += ", calibration dated " + dateWords(id.Calibrated) + " (after it was used)"
		}
	}
	return out
}

// gaugeValues tells what a hand gauge read, and which of it a later reading took the place of.
func (w *writer) gaugeValues(l *Location, f *Finding) string {
	var out []string
	k := standingOf(l, f)
	for _, r := range f.Readings {
		words := r.Quantity.Words() + target(r) + " " + w.u.WithU(r.ValueMM, r.UMM)
		for _, s := range k.Readings {
			if s.Look == f.Entry && s.Same(r) && !s.Stands() {
				words += ", superseded by " + w.byWhom(l, s.By)
			}
		}
		out = append(out, words)
	}
	return strings.Join(out, "; ")
}

// decisionWords names the inspector once: who wrote the entry is said only where it is somebody
// else.
func decisionWords(by string, d history.DecisionData) string {
	out := "inspector " + d.Name
	if d.Number != "" {
		out += " (" + d.Number + ")"
	}
	if d.OnPaper != nil {
		out += " on paper"
	}
	out = join(": ", out, join(", ", dispositionWords(d.Answer), d.Reason))
	if d.OnPaper != nil {
		return out + ". Entered by " + by + paperWords(d.OnPaper)
	}
	if by != d.Name {
		out += ". Entered by " + by
	}
	return out
}

// paperWords says which page it stands on, and where the page's picture is.
func paperWords(p *history.OnPaper) string {
	return opt(", dated ", dateWords(p.Date)) + opt(", page ", p.Page) + "; photo of the page " + p.Photo[:min(12, len(p.Photo))]
}

// dispositionWords is a disposition as the app and the boxes of the form have it.
func dispositionWords(d qc.Disposition) string {
	if d == qc.ReMeasure {
		return "measure again"
	}
	return string(d)
}

// dateWords writes the date on a page as all dates of the report; what is no date stays as typed.
func dateWords(s string) string {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return s
	}
	return clock{time.UTC}.day(t)
}

func opt(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// box is a space to write in, with its fraction of the page's width.
type box struct {
	label    string
	fraction float64
}

// signBoxes draws a row of boxes to write in.
func (w *writer) signBoxes(h float64, boxes ...box) {
	s := w.sheet
	s.need(h - 1) // they begin above the line
	w.boxesAt(s.y-2, h, boxes)
	s.y += h + 1
}

func (w *writer) boxesAt(y, h float64, boxes []box) {
	s, d := w.sheet, w.sheet.d
	x := margin
	for _, b := range boxes {
		bw := b.fraction * s.width()
		d.Artifact(func() { d.Stroke(new(paper.Path).Rect(x, y, bw, h), thin) })
		d.Tag(paper.Para, "", func() {
			for i, l := range strings.Split(b.label, "\n") {
				d.Text(x+2.5, y+4.4+float64(i)*label.LeadMM(), l, label)
			}
		})
		x += bw
	}
}

// decisionHeight is the height of the boxes for an inspector's decision.
const decisionHeight = 14.0

func decisionBoxes(more string) []box {
	return []box{{"inspector's decision" + more + "\nconfirmed  /  rejected  /  measure again", 0.4}, {"name, authorisation number", 0.32}, {"date, signature", 0.28}}
}

// decisionAtFoot draws the boxes at the foot of the page, above the title block, and keeps their
// room: what is written next goes on beyond the page, and the finding stays with its decision.
func (w *writer) decisionAtFoot() {
	s := w.sheet
	s.kept = 0
	w.boxesAt(s.bottom()-decisionHeight, decisionHeight, decisionBoxes(" (see the next page too)"))
	s.kept = decisionHeight + 3
}
