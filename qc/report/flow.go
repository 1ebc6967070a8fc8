package report

import (
	"strings"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// Places on the page in millimetres.
const (
	frame  = 10.0 // the frame's distance from the paper's edge
	margin = 19.0 // the content's
	block  = 25.0 // height of the title block
)

// sheet is the page that is being written, with a cursor.
type sheet struct {
	d          *paper.Doc
	y          float64 // baseline of the next line, or top of the next thing
	part       string  // in the title block
	drawing    string
	aircraft   string
	number     string
	made       string
	running    string  // what goes on, at the head of pages that begin in the middle of it
	dense      bool    // rows stand nearer to each other, so that a few lines more go on the page
	kept       float64 // room at the foot of this page that is taken already
	pagesTotal int     // 0 while they are being counted
}

func (s *sheet) width() float64  { return s.d.Size.WidthMM - 2*margin }
func (s *sheet) bottom() float64 { return s.d.Size.HeightMM - frame - block - 4 - s.kept }

// newPage begins a page with frame and title block.
func (s *sheet) newPage() {
	s.d.AddPage()
	s.y, s.kept = margin, 0
	if s.running != "" {
		s.y += 4
	}
	s.d.Artifact(func() {
		z := s.d.Size
		s.d.Stroke(new(paper.Path).Rect(frame, frame, z.WidthMM-2*frame, z.HeightMM-2*frame), fat)
		s.titleBlock()
		if s.running != "" {
			s.d.Text(margin, frame+5.5, s.d.Fit(s.running, s.width(), small), small)
		}
	})
}

// titleBlock stands at the lower right of each page, as on a drawing.
func (s *sheet) titleBlock() {
	d := s.d
	right, low := d.Size.WidthMM-frame, d.Size.HeightMM-frame
	widths := []float64{50, 41, 36}
	x0 := right - widths[0] - widths[1] - widths[2]
	top, mid := low-block, low-block/2
	tl := paper.Style{Font: paper.Regular, SizePt: 8.25, Colour: ink2}
	tv := paper.Style{Font: paper.Bold, SizePt: 9.5, Colour: ink}
	total := "…"
	if s.pagesTotal > 0 {
		total = itoa(s.pagesTotal)
	}
	// The caution stands beside it, on every page: each may be all that somebody is shown.
	for i, l := range d.Wrap(qc.PhotoCaution, x0-margin-4, tl) {
		d.Text(margin, top+4.6+float64(i)*3.9, l, tl)
	}
	cells := [][2]string{
		{"aircraft", s.aircraft}, {"part", s.part}, {"drawing", s.drawing},
		{"record up to entry", s.number}, {"made", s.made}, {"page", itoa(d.Pages()) + " of " + total},
	}
	d.Line(x0, top, right, top, fat)
	d.Line(x0, top, x0, low, fat)
	d.Line(x0, mid, right, mid, thin)
	x := x0
	for i, w := range widths {
		if i > 0 {
			d.Line(x, top, x, low, thin)
		}
		for r := range 2 {
			y := top + float64(r)*block/2
			c := cells[3*r+i]
			d.Text(x+2.5, y+4.6, c[0], tl)
			s.inCell(c[1], x+2.5, y, w-4, tv)
		}
		x += w
	}
}

// inCell writes a cell of the title block: smaller where it is long, and in two lines where it is
// longer still, for the page may be all that somebody holds of it.
func (s *sheet) inCell(words string, x, y, w float64, st paper.Style) {
	d := s.d
	for st.SizePt > 8 && d.Width(words, st) > w {
		st.SizePt -= 0.25
	}
	if d.Width(words, st) <= w {
		d.Text(x, y+9.4, words, st)
		return
	}
	st.SizePt = 7
	lines := d.Wrap(words, w, st)
	if len(lines) < 2 {
		d.Text(x, y+9.4, words, st)
		return
	}
	d.Text(x, y+8.2, lines[0], st)
	d.Text(x, y+11.2, d.Fit(strings.Join(lines[1:], " "), w, st), st)
}

// need begins a new page unless there is room for h millimetres.
func (s *sheet) need(h float64) bool {
	if s.y+h <= s.bottom() {
		return false
	}
	s.newPage()
	return true
}

// heading1 writes the page's title, in as many lines as it takes, a long one smaller, and what
// stands under it.
func (s *sheet) heading1(title, under string, room float64) {
	st := h1
	lines := s.d.Wrap(title, s.width()-room, st)
	for len(lines) > 2 && st.SizePt > 14 {
		st.SizePt -= 2
		lines = s.d.Wrap(title, s.width()-room, st)
	}
	s.y += 7
	s.d.Tag(paper.Heading1, "", func() {
		for _, l := range lines {
			s.d.Text(margin, s.y, l, st)
			s.y += st.LeadMM()
		}
	})
	s.y += sub.LeadMM() - st.LeadMM() + 1.5
	if under != "" {
		s.d.Tag(paper.Para, "", func() {
			for _, l := range s.d.Wrap(under, s.width(), sub) {
				s.d.Text(margin, s.y, l, sub)
				s.y += sub.LeadMM()
			}
		})
	}
	s.y += 1
}

// heading2 writes a heading and keeps it with what follows, h millimetres at the least.
func (s *sheet) heading2(title string, h float64) {
	lines := s.d.Wrap(title, s.width(), h2)
	above := 5.0
	if s.dense {
		above = 3.5
	}
	s.need(above + float64(len(lines))*5.6 + h)
	s.y += above
	s.d.Tag(paper.Heading2, "", func() {
		for _, l := range lines {
			s.d.Text(margin, s.y, l, h2)
			s.y += 5.6
		}
	})
}

// para writes a paragraph at the cursor, over pages where it must.
func (s *sheet) para(words string, st paper.Style) { s.paraAt(margin, s.width(), words, st) }

func (s *sheet) paraAt(x, w float64, words string, st paper.Style) {
	lines := s.d.Wrap(words, w, st)
	for len(lines) > 0 {
		s.need(2 * st.LeadMM())
		n := min(len(lines), max(1, int((s.bottom()-s.y)/st.LeadMM())))
		s.d.Tag(paper.Para, "", func() {
			for _, l := range lines[:n] {
				s.d.Text(x, s.y, l, st)
				s.y += st.LeadMM()
			}
		})
		lines = lines[n:]
	}
}
