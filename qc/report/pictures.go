package report

import (
	"strings"

	"bucktail/qc/paper"
)

// captioned is a photo that goes with words, and what stands under it.
type captioned struct{ photo, words string }

// The place of such a photo, three beside each other; the whole part has one of the page's width.
const (
	besideHigh = 42.0
	besideGap  = 4.0
	wholeHigh  = 105.0
)

// photoRow puts photos beside each other, three in a row.
func (w *writer) photoRow(all []captioned) error {
	s, d := w.sheet, w.sheet.d
	width := (s.width() - 2*besideGap) / 3
	for i := 0; i < len(all); i += 3 {
		row := all[i:min(i+3, len(all))]
		lines, most := make([][]string, len(row)), 0
		for k, x := range row {
			lines[k] = d.Wrap(x.words, width, label)
			most = max(most, len(lines[k]))
		}
		high := besideHigh + 4 + float64(most)*label.LeadMM()
		s.need(high)
		top := s.y - 2
		for k, x := range row {
			if err := w.step(); err != nil {
				return err
			}
			at := margin + float64(k)*(width+besideGap)
			d.Tag(paper.Figure, "Photo: "+x.words, func() { w.pagePhoto(x.photo, at, top, width, besideHigh) })
			d.Tag(paper.Caption, "", func() {
				for n, line := range lines[k] {
					d.Text(at, top+besideHigh+4+float64(n)*label.LeadMM(), line, label)
				}
			})
		}
		s.y = top + high + 4
	}
	return nil
}

// wholePhoto is the photo that shows a part as a whole, and what is said of it: the one that its
// pins lie on, else the last one of its notes; a drawn grid shows no metal. "" where there is none.
func wholePhoto(p *Part) (photo string, of *Note) {
	if p.Layout != nil && p.Layout.Photo != "" {
		return p.Layout.Photo, nil
	}
	for i := range p.Notes {
		if n := &p.Notes[i]; len(n.Photos) > 0 {
			photo, of = n.Photos[len(n.Photos)-1], n
		}
	}
	return photo, of
}

// wholePart shows the part as a whole.
func (w *writer) wholePart(p *Part) error {
	s, d := w.sheet, w.sheet.d
	photo, of := wholePhoto(p)
	if photo == "" {
		return nil
	}
	words := "The photo that the locations are pinned on"
	if of != nil {
		words = w.when.minute(of.At) + ", " + w.person(of.By) + opt(": ", of.Text)
	}
	s.heading2("The part as a whole", wholeHigh+10)
	if err := w.step(); err != nil {
		return err
	}
	top := s.y - 2
	d.Tag(paper.Figure, "Photo of "+p.Name+" as a whole", func() { w.pagePhoto(photo, margin, top, s.width(), wholeHigh) })
	s.y = top + wholeHigh + 4.2
	s.para(strings.TrimSuffix(words, ".")+". Photo, SHA-256 "+photo[:min(12, len(photo))], small)
	return nil
}

// pagePhoto puts a whole photo into a place.
func (w *writer) pagePhoto(hash string, x, y, width, high float64) {
	d := w.sheet.d
	defer d.Stroke(new(paper.Path).Rect(x, y, width, high), thin)
	switch {
	case w.counting:
	case w.o.Page == nil:
		d.TextCentre(x+width/2, y+7, "photo left out", pale)
	default:
		data, err := w.o.Page(w.ctx, hash, pixels(max(width, high)))
		if err == nil {
			_, _, _, _, err = d.Picture(data, x, y, width, high)
		}
		if err != nil {
			w.missing(x, y, width, "The photo is not here", err)
		}
	}
}
