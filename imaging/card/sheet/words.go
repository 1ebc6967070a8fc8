package sheet

import (
	"fmt"

	"bucktail/imaging/card"
	"bucktail/qc/paper"
)

// steps are the instructions in the order of the work.
var steps = []string{
	"Print this page in black on matte card stock of 160 to 300 g/m². Glossy paper mirrors the lamp.",
	"Before cutting, measure both check lines from mark to mark with calipers or a steel rule and write the lengths down. " +
		"Farther from 150 mm than 1.5 mm: the printer scaled the page. Print again.",
	"Cut along the thin grey lines with a sharp knife and a steel rule; cut the window out. " +
		"The circles in the corner card's angle are a piece of their own: a phone is proven on them.",
	"Keep the cards flat and dry. Glue them on a thin plate if wanted, without bubbles, flush with the edges; the circles likewise.",
	"Measure how thick a card is, with what it is glued on.",
	"Type sheet number, both lengths and thickness into the card setup. All cards of this sheet share them; " +
		"each printed sheet has a number of its own.",
	"Lay the card flat on the same face as the rivets, pressed down, all rings in the picture.",
	"Another print, a new backing, a card that got wet: measure again. Readings made before stay as they were.",
}

// caution stands under the instructions.
const caution = "The card gives lengths on the face that it lies on. It approves nothing: the aircraft's drawings and manual come first, " +
	"then the local authority's rules; an inspector who looks at the part confirms."

func instructions(d *paper.Doc, z paper.Size) {
	x, top := left(z)+14, 163.5
	const gap, number = 7.0, 5.5
	w := (column - 14 - gap) / 2
	y := top
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, "How to make them", bold) })
	y += 5.2
	d.Tag(paper.List, "", func() {
		for i, s := range steps {
			if i == 5 {
				x, y = x+w+gap, top+5.2
			}
			d.Tag(paper.Item, "", func() {
				d.Text(x, y, fmt.Sprint(i+1), bold)
				y = lines(d, x+number, y, w-number, s, body)
			})
			y += 1.2
		}
	})
	y += 2
	d.Tag(paper.Heading2, "", func() { d.Text(x, y, "Which one to lay down", bold) })
	y += 5.2
	for _, l := range card.Layouts {
		d.Tag(paper.Para, "", func() {
			d.Text(x, y, l.Name, bold)
			y = lines(d, x+16, y, w-16, l.Use, body)
		})
		y += 1.2
	}
	x = left(z) + 14
	d.Tag(paper.Para, "", func() { lines(d, x, z.HeightMM-15, column-14, caution, note) })
}

// lines writes a paragraph and gives the baseline that follows it.
func lines(d *paper.Doc, x, y, w float64, s string, st paper.Style) float64 {
	for _, l := range d.Wrap(s, w, st) {
		d.Text(x, y, l, st)
		y += st.LeadMM()
	}
	return y
}
