package report

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// Form writes a plain form for an inspector who only takes paper: what waits for a decision
// first, each finding with its readings and boxes to tick, then a sign-off for each part. The
// builder enters the decisions afterwards as given on paper, with a photo of the page; the
// line at the head of each page says which record it belongs to.
//
// It has no pictures, for the inspector stands before the part itself.
func Form(ctx context.Context, w io.Writer, rec *Record, o Options) error {
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	if o.Units == "" {
		o.Units = qc.Millimetres
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	count, err := countedForm(ctx, rec, o, arrangement{})
	if err == nil && len(count.apart) > 0 {
		count, err = countedForm(ctx, rec, o, arrangement{whole: count.apart})
	}
	if err != nil {
		return err
	}
	fw := newWriter(ctx, rec, o)
	fw.sheet.pagesTotal, fw.total, fw.arrangement = count.sheet.d.Pages(), count.done, count.arrangement
	if err := fw.form(); err != nil {
		return err
	}
	return fw.sheet.d.Save(w)
}

func countedForm(ctx context.Context, rec *Record, o Options, a arrangement) (*writer, error) {
	c := newWriter(ctx, rec, o)
	c.count()
	c.arrangement = a
	return c, c.form()
}

func (w *writer) form() error {
	s := w.sheet
	for i := range w.rec.Parts {
		p := &w.rec.Parts[i]
		s.part, s.drawing = p.Name, p.Drawing
		s.newPage()
		s.d.Bookmark(p.Name, 0)
		var err error
		s.d.Tag(paper.Section, "", func() { err = w.formPart(p) })
		if err != nil {
			return err
		}
	}
	if len(w.rec.Parts) == 0 {
		s.newPage()
		s.heading1("Nothing to decide", "This project has no parts yet.", 0)
	}
	return nil
}

func (w *writer) formPart(p *Part) error {
	s := w.sheet
	s.heading1("Inspector's form: "+p.Name, join(" · ", p.Drawing, opt("limits: ", p.LimitSet), "record "+w.rec.Chain.Number, w.when.day(w.rec.Made)), 0)
	s.para("Look at the part itself before you decide. A photo can't show the hidden side, a hair crack or a loose rivet; the aircraft's drawings and manual and the authority's rules come first. "+
		"Tick one box for each finding; a reason is needed unless it is confirmed.", text)
	s.running = p.Name + ", inspector's form, record " + w.rec.Chain.Number
	defer func() { s.running = "" }()
	s.y += 1
	waiting, rest := formOrder(p)
	w.formList(p, "Waiting for a decision", waiting)
	if err := w.step(); err != nil {
		return err
	}
	w.formList(p, "Not finished, or decided already", rest)
	w.formList(p, "Not measured", unmeasured(p))
	if removed := removedFrom(p); len(removed) > 0 {
		s.heading2("Removed from the list", 6)
		s.para(tagList(removed), text)
	}
	if w.whole[p.ID] {
		s.newPage()
	}
	first := s.d.Pages()
	w.open([]*Part{p})
	w.formSign(p)
	if s.d.Pages() > first { // who signs has all that is open before him
		w.apart[p.ID] = true
	}
	return w.step()
}

// formOrder gives the findings that wait for a decision, the worst first, and all others.
func formOrder(p *Part) (waiting, rest []*Location) {
	for _, v := range append(slices.Clone(qc.Verdicts), "") {
		for i := range p.Locations {
			l := &p.Locations[i]
			switch {
			case l.Out || l.Finding == "" || l.Whole != v:
			case l.Awaits:
				waiting = append(waiting, l)
			default:
				rest = append(rest, l)
			}
		}
	}
	return waiting, rest
}

// unmeasured gives the locations of which nothing that stands there now was measured.
func unmeasured(p *Part) (out []*Location) {
	for i := range p.Locations {
		if l := &p.Locations[i]; !l.Out && l.Finding == "" {
			out = append(out, l)
		}
	}
	return out
}

func removedFrom(p *Part) (tags []string) {
	for _, l := range p.Locations {
		if l.Out {
			tags = append(tags, l.Tag)
		}
	}
	return tags
}

func (w *writer) formList(p *Part, title string, ls []*Location) {
	if len(ls) == 0 {
		return
	}
	s := w.sheet
	s.heading2(title+", "+strconv.Itoa(len(ls)), 24)
	for _, l := range ls {
		w.formRow(p, l)
	}
}

// formRow is one finding: what was read and found, and the boxes.
func (w *writer) formRow(p *Part, l *Location) {
	s, d := w.sheet, w.sheet.d
	f, _ := current(l)
	line := "nothing was judged"
	if cells := w.governing(l); cells[0].text != "" {
		line = join(" ", cells[0].text, cells[1].bold+cells[1].text, opt(string(w.u)+", ", cells[2].text))
	}
	line += w.limitsApart(p, l)
	if len(l.NotRead) > 0 {
		line += "; not read: " + strings.Join(l.NotRead, ", ")
	}
	if len(l.Work) > 0 {
		line += "; waits: " + workWords[l.Work[0].Kind]
	}
	if l.Decision != "" {
		line += "; inspector: " + dispositionWords(l.Decision)
	}
	if f != nil {
		line += "; entry " + f.Entry
	}
	if l.Finding == "" {
		line += "; now " + string(l.Stage)
	}
	const left = 26.0
	lines := d.Wrap(line, s.width()-left, small)
	tag := d.Wrap(l.Tag, left-3, strong)
	below := float64(len(tag)-1) * strong.LeadMM()
	h := 14 + max(float64(len(lines))*small.LeadMM(), below)
	s.need(h)
	d.Tag(paper.Para, "", func() {
		for i, t := range tag {
			d.Text(margin, s.y+float64(i)*strong.LeadMM(), t, strong)
		}
		verdictShape(d, l.Whole, margin+2.2, s.y+below+4.6, 4)
		d.Text(margin+6, s.y+below+5.8, verdictWord(l.Whole), inked(label, verdictColour(l.Whole)))
		y := s.y
		for _, ln := range lines {
			d.Text(margin+left, y, ln, small)
			y += small.LeadMM()
		}
	})
	y := s.y + max(float64(len(lines))*small.LeadMM(), below) + 1.8
	x := margin + left
	for _, b := range []string{"confirmed", "rejected", "measure again"} {
		d.Artifact(func() { d.Stroke(new(paper.Path).Rect(x, y-3.4, 4, 4), thin) })
		d.Tag(paper.Para, "", func() { d.Text(x+5.5, y, b, text) })
		x += 9.5 + d.Width(b, text)
	}
	d.Tag(paper.Para, "", func() { d.Text(x+2, y, "reason", label) })
	d.Artifact(func() {
		d.Line(x+14, y+0.6, margin+s.width(), y+0.6, hairInk)
		d.Line(margin, y+4, margin+s.width(), y+4, hair)
	})
	s.y = y + 9
}

var hairInk = paper.Pen{WidthMM: 0.15, Colour: ink}

// formSign is the room for the signature.
func (w *writer) formSign(p *Part) {
	s, d := w.sheet, w.sheet.d
	s.need(63) // all of it, down to the last box
	s.heading2("Signed for "+p.Name, 50)
	s.para(fmt.Sprintf("The decisions above, and nothing else, unless the box for the whole part is ticked. The whole part as of now is %s, digest:", plural(p.Covers.Entries, "entry", "entries")), text)
	d.Tag(paper.Para, "", func() { d.Text(margin, s.y, p.Covers.Digest, mono) })
	s.y += 6
	d.Artifact(func() { d.Stroke(new(paper.Path).Rect(margin, s.y-3.4, 4, 4), thin) })
	d.Tag(paper.Para, "", func() { d.Text(margin+5.5, s.y, "I sign off the whole part as it stands in these entries.", text) })
	s.y += 6
	w.signBoxes(14, box{"name of the inspector", 0.5}, box{"authorisation number", 0.5})
	s.y -= 1
	w.signBoxes(18, box{"date", 0.25}, box{"signature", 0.4}, box{"remark", 0.35})
}
