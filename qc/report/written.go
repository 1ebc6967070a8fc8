package report

import (
	"slices"

	"bucktail/qc/history"
	"bucktail/qc/paper"
)

// written is a page that an inspector wrote, and what was entered from it.
type written struct {
	history.OnPaper
	name  string
	gives []string
}

// writtenFor gives the pages that decisions about a part were entered from, as they first come.
func writtenFor(p *Part) []written {
	var out []written
	add := func(on *history.OnPaper, name, what string) {
		if on == nil {
			return
		}
		i := slices.IndexFunc(out, func(x written) bool { return x.OnPaper == *on && x.name == name })
		if i < 0 {
			i, out = len(out), append(out, written{OnPaper: *on, name: name})
		}
		out[i].gives = append(out[i].gives, what)
	}
	for i := range p.Locations {
		l := &p.Locations[i]
		for _, a := range l.Attempts {
			for _, f := range a.Findings {
				for _, d := range f.Decisions {
					add(d.OnPaper, d.Name, l.Tag+" "+dispositionWords(d.Answer))
				}
			}
		}
	}
	for _, so := range p.SignOffs {
		add(so.OnPaper, so.Name, "sign-off of the part")
	}
	return out
}

// The place of a page's photo, two beside each other.
const (
	writtenHigh = 118.0
	writtenGap  = 6.0
)

// written shows the pages that an inspector wrote, each with what was entered from it.
func (w *writer) written(p *Part) error {
	s, d := w.sheet, w.sheet.d
	pages := writtenFor(p)
	width := (s.width() - writtenGap) / 2
	for i := 0; i < len(pages); i += 2 {
		row := pages[i:min(i+2, len(pages))]
		var words [][]string
		most := 0
		for _, x := range row {
			text := "Written by " + x.name + opt(", dated ", dateWords(x.Date)) + opt(", page ", x.Page) + ": " + join(", ", x.gives...) + ". Photo " + x.Photo[:min(12, len(x.Photo))]
			words = append(words, d.Wrap(text, width, small))
			most = max(most, len(words[len(words)-1]))
		}
		high := writtenHigh + 4 + float64(most)*small.LeadMM()
		if i == 0 {
			s.need(high + 12)
			s.heading2("Written on paper", high)
		}
		s.need(high)
		top := s.y
		for k, x := range row {
			if err := w.step(); err != nil {
				return err
			}
			at := margin + float64(k)*(width+writtenGap)
			d.Tag(paper.Figure, "Photo of a page that "+x.name+" wrote", func() { w.pagePhoto(x.Photo, at, top, width, writtenHigh) })
			d.Tag(paper.Caption, "", func() {
				for n, line := range words[k] {
					d.Text(at, top+writtenHigh+4+float64(n)*small.LeadMM(), line, small)
				}
			})
		}
		s.y = top + high + 4
	}
	return nil
}
