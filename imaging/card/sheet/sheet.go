// Package sheet draws the printed page with the three scale cards at true size, the circles on which a
// phone is proven, the two check lines and the instructions. Start with [Write]; what the builder measures on the print is
// judged by package checkline.
package sheet

import (
	"fmt"
	"io"
	"time"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/qc/paper"
	"bucktail/qc/paper/checkline"
)

// Options say how the page is made.
type Options struct {
	Paper  paper.Size
	Number string    // of the printed sheet, as typed; empty leaves a space to write it
	Made   time.Time // date of the file
}

// Placed tells where something stands: its origin on the page in millimetres from the top
// left corner, x right, y down. Nothing on the page is turned.
type Placed struct {
	Layout   *card.Layout
	XMM, YMM float64
}

// CheckLine is a check line from end mark to end mark.
type CheckLine struct{ X1, Y1, X2, Y2 float64 }

// column is the width in millimetres that all is drawn in; it leaves 10 mm and more on each
// side of A4 and of Letter, more than printers want (common practice: 4 to 6.4 mm).
const column = 186.0

// left is where the column begins.
func left(z paper.Size) float64 { return (z.WidthMM - column) / 2 }

// Cards tells where each layout stands on the page.
func Cards(z paper.Size) []Placed {
	x := left(z) + 14
	return []Placed{
		{card.ByName("window"), x, 30},
		{card.ByName("corner"), x + 98, 30},
		{card.ByName("strip"), x, 104},
	}
}

// Circles tells where the piece with the circles stands, its top left corner: in the angle of the corner
// card, which is cut out anyway, clear of that card's cut lines.
func Circles(z paper.Size) (xMM, yMM float64) {
	for _, c := range Cards(z) {
		if c.Layout.Name == "corner" {
			return c.XMM + 19.5, c.YMM + 19.5
		}
	}
	return 0, 0
}

// CheckLines tells where the check lines stand: across, along.
func CheckLines(z paper.Size) (across, along CheckLine) {
	x, y := left(z)+14, 134.0
	across = CheckLine{x, y, x + checkline.NominalMM, y}
	x, y = left(z)+4, 30.0
	return across, CheckLine{x, y, x, y + checkline.NominalMM}
}

var (
	black = paper.Colour{}
	grey  = paper.Colour{R: 150, G: 150, B: 150}
	soft  = paper.Colour{R: 70, G: 87, B: 99}

	title = paper.Style{Font: paper.Bold, SizePt: 17, Colour: black}
	bold  = paper.Style{Font: paper.Bold, SizePt: 10, Colour: black}
	body  = paper.Style{Font: paper.Regular, SizePt: 10, Colour: black}
	note  = paper.Style{Font: paper.Regular, SizePt: 8.5, Colour: soft}
	tiny  = paper.Style{Font: paper.Regular, SizePt: 6, Colour: black}
)

// Write makes the page as a PDF.
func Write(w io.Writer, o Options) error {
	d := paper.New(o.Paper, paper.Info{
		Title: "Scale cards", Subject: "Print at 100 %, measure the check lines, cut out", Made: o.Made, TrueSize: true,
	})
	d.AddPage()
	x := left(o.Paper)
	d.Tag(paper.Heading1, "", func() { d.Text(x, 16, "Scale cards", title) })
	d.Tag(paper.Para, "", func() {
		d.Text(x, 22.5, "Print at 100 % (“actual size”). No “fit to page”. Paper: "+paperWords(o.Paper)+".", bold)
	})
	for _, c := range Cards(o.Paper) {
		drawCard(d, c, o.Number)
	}
	drawCircles(d, o)
	checkLines(d, o.Paper)
	fields(d, x+14, 145, o.Number)
	instructions(d, o.Paper)
	return d.Save(w)
}

func paperWords(z paper.Size) string {
	if z.Name == paper.Letter.Name {
		return "Letter, 8½ × 11 in"
	}
	return "A4, 210 × 297 mm"
}

// labels tells where a card's name stands: the middle of its baseline, clear of the rings.
var labels = map[string]geom.CardPoint{
	"corner": {X: 36, Y: 4.2}, "strip": {X: 43, Y: 9.8}, "window": {X: 43, Y: 4.2},
}

// sheetWords names a piece's sheet, with room to write its number, so that cut pieces stay told apart.
func sheetWords(d *paper.Doc, what, number string) string {
	if number == "" {
		return what + " · sheet . . . . . ."
	}
	return what + " · sheet " + d.Fit(number, 12, tiny)
}

// drawCircles draws the piece on which a phone is proven.
func drawCircles(d *paper.Doc, o Options) {
	x, y := Circles(o.Paper)
	alt := fmt.Sprintf("%d circles of 3.2 to 10 mm, to prove a phone on. Cut along the outline.", len(card.Circles))
	d.Tag(paper.Figure, alt, func() {
		d.Stroke(new(paper.Path).Rect(x, y, card.CirclesWidthMM, card.CirclesHeightMM), paper.Pen{WidthMM: 0.1, Colour: grey})
		for _, c := range card.Circles {
			outer, inner := c.Radii()
			cx, cy := x+c.At.X, y+c.At.Y
			d.Fill(new(paper.Path).Circle(cx, cy, outer).Circle(cx, cy, inner), black)
		}
		d.TextCentre(x+card.CirclesWidthMM/2, y+card.CirclesHeightMM-2, sheetWords(d, "circles", o.Number), tiny)
	})
}

func drawCard(d *paper.Doc, c Placed, number string) {
	l := c.Layout
	at := func(p geom.CardPoint) (x, y float64) { return c.XMM + p.X, c.YMM + p.Y }
	alt := fmt.Sprintf("Scale card %q: %d ring targets of 5 mm with a millimetre scale, %s. Cut along its outline.", l.Name, len(l.Targets), l.Use)
	d.Tag(paper.Figure, alt, func() {
		cut := paper.Pen{WidthMM: 0.1, Colour: grey}
		for _, loop := range [][]geom.CardPoint{l.Outline, l.Window} {
			var p paper.Path
			var xy []float64
			for _, q := range loop {
				x, y := at(q)
				xy = append(xy, x, y)
			}
			d.Stroke(p.Poly(xy...), cut)
		}
		for _, t := range l.Targets {
			x, y := at(t.At)
			ring := new(paper.Path).Circle(x, y, card.RingOuterRadiusMM).Circle(x, y, card.RingInnerRadiusMM)
			if t.Full {
				ring.Circle(x, y, card.DotRadiusMM)
			}
			d.Fill(ring, black)
		}
		for _, r := range l.Rulers {
			ruler(d, c, r)
		}
		x, y := at(labels[l.Name])
		d.TextCentre(x, y, sheetWords(d, l.Name, number), tiny)
	})
}

// checkLines draws both lines with their words.
func checkLines(d *paper.Doc, z paper.Size) {
	pen := paper.Pen{WidthMM: 0.25, Colour: black}
	// End marks are thin, so that it is plain where to measure, and have pointed ends:
	// renderers shift thin strokes and rectangles to whole pixels, 0.04 mm at 600 dpi.
	const half, tip = 0.06, 0.4
	across, along := CheckLines(z)
	words := fmt.Sprintf("check line %%s: %g mm from mark to mark", checkline.NominalMM)
	d.Tag(paper.Figure, fmt.Sprintf("Check line across, %g mm long", checkline.NominalMM), func() {
		d.Line(across.X1, across.Y1, across.X2, across.Y2, pen)
		for _, x := range []float64{across.X1, across.X2} {
			y := across.Y1
			d.Fill(new(paper.Path).Poly(x, y-3, x+half, y-3+tip, x+half, y+3-tip, x, y+3, x-half, y+3-tip, x-half, y-3+tip), black)
		}
		d.Text(across.X1+3, across.Y1-1.2, fmt.Sprintf(words, "across"), note)
	})
	d.Tag(paper.Figure, fmt.Sprintf("Check line along, %g mm long", checkline.NominalMM), func() {
		d.Line(along.X1, along.Y1, along.X2, along.Y2, pen)
		for _, y := range []float64{along.Y1, along.Y2} {
			x := along.X1
			d.Fill(new(paper.Path).Poly(x-3, y, x-3+tip, y-half, x+3-tip, y-half, x+3, y, x+3-tip, y+half, x-3+tip, y+half), black)
		}
		d.TextUp(along.X1+3.2, along.Y1+100, fmt.Sprintf(words, "along"), note)
	})
}

// fields are the spaces to write into before the sheet is cut.
func fields(d *paper.Doc, x, y float64, number string) {
	const h = 11.0
	cells := []struct {
		label, value string
		w            float64
	}{
		{"sheet no.", number, 22}, {"printed on", "", 27}, {"across, mm", "", 26}, {"along, mm", "", 26},
		{"thickness, mm", "", 28}, {"measured with", "", 43},
	}
	line := paper.Pen{WidthMM: 0.2, Colour: black}
	for _, c := range cells {
		d.Artifact(func() { d.Stroke(new(paper.Path).Rect(x, y, c.w, h), line) })
		d.Tag(paper.Para, "", func() {
			d.Text(x+1.2, y+3.4, c.label, note)
			d.Text(x+1.2, y+9, d.Fit(c.value, c.w-2, bold), bold)
		})
		x += c.w
	}
}
