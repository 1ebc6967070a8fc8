package report

import (
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
	running    string // what goes on, at the head of pages that begin in the middle of it
	pagesTotal int    // 0 while they are being counted
}

func (s *sheet) width() float64  { return s.d.Size.WidthMM - 2*margin }
func (s *sheet) bottom() float64 { return s.d.Size.HeightMM - frame - block - 4 }

// newPage begins a page with frame and title block.
func (s *sheet) newPage() {
	s.d.AddPage()
	s.y = margin
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
			st := tv
			for st.SizePt > 7 && d.Width(c[1], st) > w-4 {
				st.SizePt -= 0.25
			}
			d.Text(x+2.5, y+9.4, d.Fit(c[1], w-4, st), st)
		}
		x += w
	}
}

// need begins a new page unless there is room for h millimetres.
func (s *sheet) need(h float64) bool {
	if s.y+h <= s.bottom() {
		return false
	}
	s.newPage()
	return true
}

// heading1 writes the page's title, in as many lines as it takes, and what stands under it.
func (s *sheet) heading1(title, under string, room float64) {
	s.y += 7
	s.d.Tag(paper.Heading1, "", func() {
		for _, l := range s.d.Wrap(title, s.width()-room, h1) {
			s.d.Text(margin, s.y, l, h1)
			s.y += h1.LeadMM()
		}
	})
	s.y += sub.LeadMM() - h1.LeadMM() + 1.5
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
	s.need(10.6 + h)
	s.y += 5
	s.d.Tag(paper.Heading2, "", func() { s.d.Text(margin, s.y, title, h2) })
	s.y += 5.6
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

// column of a table.
type column struct {
	head  string
	w     float64 // millimetres
	right bool
}

// cell is one field of a table row: text, or something drawn.
type cell struct {
	text  string
	style paper.Style
	bold  string // written before text, in bold
	draw  func(x, baseline float64)
	skip  float64 // room that draw takes before the text
}

// table writes rows under a head that is repeated on each page.
type table struct {
	s    *sheet
	cols []column
	lead float64
}

func (s *sheet) table(cols []column, body func(t *table)) {
	t := &table{s: s, cols: cols, lead: text.LeadMM()}
	s.need(16)
	s.d.Tag(paper.Table, "", func() {
		t.head()
		body(t)
	})
	s.y += 1
}

func (t *table) head() {
	s := t.s
	s.y += 0.5
	s.d.Tag(paper.Row, "", func() {
		x := margin
		for _, c := range t.cols {
			s.d.Tag(paper.Header, "", func() {
				if c.right {
					s.d.TextRight(x+c.w-3, s.y, c.head, label)
				} else {
					s.d.Text(x, s.y, c.head, label)
				}
			})
			x += c.w
		}
	})
	s.y += 1.8
	s.d.Artifact(func() { s.d.Line(margin, s.y, margin+s.width(), s.y, thin) })
	s.y += 4.6
}

// row writes one row and a note of full width under it.
func (t *table) row(note string, cells ...cell) {
	s, d := t.s, t.s.d
	wrapped := make([][]string, len(cells))
	n := 1
	for i, c := range cells {
		if c.bold == "" && !t.cols[i].right {
			wrapped[i] = d.Wrap(c.text, t.cols[i].w-3-c.skip, c.style)
			n = max(n, len(wrapped[i]))
		} else {
			wrapped[i] = []string{c.text}
		}
	}
	var notes []string
	if note != "" {
		notes = d.Wrap(note, s.width()-6, small)
	}
	h := float64(n)*t.lead + float64(len(notes))*small.LeadMM() + 2
	if s.need(h) {
		t.head()
	}
	d.Tag(paper.Row, "", func() {
		x := margin
		for i, c := range cells {
			w := t.cols[i].w
			d.Tag(paper.Cell, "", func() {
				if c.draw != nil {
					c.draw(x, s.y)
				}
				if t.cols[i].right {
					if c.bold != "" { // first, for the order in which the pieces are read
						d.TextRight(x+w-3-d.Width(c.text, c.style), s.y, c.bold, strong)
					}
					d.TextRight(x+w-3, s.y, c.text, c.style)
					return
				}
				for j, l := range wrapped[i] {
					d.Text(x+c.skip, s.y+float64(j)*t.lead, l, c.style)
				}
			})
			x += w
		}
		if len(notes) > 0 {
			y := s.y + float64(n)*t.lead - 0.6
			d.Tag(paper.Cell, "", func() {
				for _, l := range notes {
					d.Text(margin+3, y, l, small)
					y += small.LeadMM()
				}
			})
		}
	})
	s.y += h - 2 - t.lead + 2
	d.Artifact(func() { d.Line(margin, s.y, margin+s.width(), s.y, hair) })
	s.y += t.lead
}
