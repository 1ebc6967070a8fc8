package report

import (
	"strings"

	"bucktail/qc/paper"
)

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
	// most shortens the text to so many lines, where it names what is told in full elsewhere; 0: mostLines.
	most int
}

// table writes rows under a head that is repeated on each page.
type table struct {
	s    *sheet
	cols []column
	// beside is how many columns at the left a row's note may stand under where it takes less
	// height there, beside a long cell at the right; 0: it takes the whole width.
	beside int
}

// mostLines bounds a cell: text without end must not run off the page.
const mostLines = 12

// tableHead is the height of a table's head.
const tableHead = 6.9

func (s *sheet) table(cols []column, body func(t *table)) {
	t := &table{s: s, cols: cols}
	s.need(tableHead + 6.8) // and a row of one line
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

// laidRow is a row in lines.
type laidRow struct {
	cells  [][]string
	notes  []string
	noteAt float64 // from the row's first baseline
	height float64
}

func (t *table) lay(note string, cells []cell) laidRow {
	d := t.s.d
	r := laidRow{cells: make([][]string, len(cells))}
	left, all, width := 0.0, 0.0, 0.0 // heights of the cells over the note and of all; the note's width
	for i, c := range cells {
		lines := []string{c.text}
		switch room := t.cols[i].w - 3 - c.skip; {
		case c.bold != "" || t.cols[i].right:
		case c.most > 0:
			if lines = d.Wrap(c.text, room, c.style); len(lines) > c.most {
				lines = append(lines[:c.most-1], d.Fit(strings.Join(lines[c.most-1:], " "), room, c.style))
			}
		default:
			if lines = d.Wrap(c.text, room, c.style); len(lines) > mostLines {
				lines = append(lines[:mostLines-1], "…")
			}
		}
		r.cells[i] = lines
		// The first line stands on the row's baseline, whatever its size.
		h := text.LeadMM() + float64(len(lines)-1)*c.style.LeadMM()
		if all = max(all, h); i < t.beside {
			left, width = max(left, h), width+t.cols[i].w
		}
	}
	r.height = all
	if note != "" {
		r.notes, r.noteAt = d.Wrap(note, t.s.width()-6, small), all-0.6
		r.height = all + float64(len(r.notes))*small.LeadMM()
		if t.beside > 0 {
			lines := d.Wrap(note, width-6, small)
			if h := max(all, left+float64(len(lines))*small.LeadMM()); h < r.height {
				r.notes, r.noteAt, r.height = lines, left-0.6, h
			}
		}
	}
	if r.height += 2; t.s.dense {
		r.height -= 1
	}
	return r
}

// row writes one row and a note under it.
func (t *table) row(note string, cells ...cell) {
	s, d := t.s, t.s.d
	r := t.lay(note, cells)
	if s.need(r.height) {
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
				for j, l := range r.cells[i] {
					d.Text(x+c.skip, s.y+float64(j)*c.style.LeadMM(), l, c.style)
				}
			})
			x += w
		}
		if len(r.notes) > 0 {
			y := s.y + r.noteAt
			d.Tag(paper.Cell, "", func() {
				for _, l := range r.notes {
					d.Text(margin+3, y, l, small)
					y += small.LeadMM()
				}
			})
		}
	})
	s.y += r.height - text.LeadMM()
	d.Artifact(func() { d.Line(margin, s.y, margin+s.width(), s.y, hair) })
	s.y += text.LeadMM()
}
