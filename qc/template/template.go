// Package template makes pages at 1:1: drilling templates and flat patterns, as PDF, to be laid on
// the metal. What is larger than a page goes over several, with lines to join them by. Each page has
// two check lines that must be measured before anything is marked through it. Start with [Write].
package template

import (
	"fmt"
	"io"
	"math"
	"time"

	"bucktail/qc/paper"
	"bucktail/qc/sketch"
)

// Page is what is to be printed.
type Page struct {
	Title  string   // "Corner gusset, left: drilling template"
	Facts  []string // short lines under the title of each page
	Sketch sketch.Sketch
	Use    string // what to do with it, one sentence
	Tables []Table
	Notes  []string // sources, cautions: after the tables
}

// Table is a list on the pages behind the template.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
	Wide  []float64 // of each column, mm
}

// Options say how it is made.
type Options struct {
	Paper paper.Size
	Made  time.Time
}

// CheckMM is how long both check lines are, from mark to mark.
const CheckMM = 150

// The window of a page in which the drawing stands: margins leave room for title, check lines and
// what printers can't print on.
const (
	leftMM, rightMM, topMM, bottomMM = 24, 10, 40, 30
	overlapMM                        = 10 // of neighbouring pages
	marginMM                         = 10 // of the text
)

// Tile is one page's piece of the drawing.
type Tile struct {
	Col, Row, Cols, Rows int
	// From is the place of the drawing that stands at the window's top left corner.
	From   sketch.XY
	W, H   float64 // of the window, mm
	Turned bool    // the drawing is turned by a quarter: its x runs down the page
}

// Tiles cuts a drawing for a paper: turned where that takes fewer pages.
func Tiles(s sketch.Sketch, z paper.Size) []Tile {
	w, h := z.WidthMM-leftMM-rightMM, z.HeightMM-topMM-bottomMM
	const rim = 3 // mm about the drawing
	dx, dy := s.Max[0]-s.Min[0]+2*rim, s.Max[1]-s.Min[1]+2*rim
	need := func(dx, dy float64) (c, r int) { return pages(dx, w), pages(dy, h) }
	c, r := need(dx, dy)
	turned := false
	if tc, tr := need(dy, dx); tc*tr < c*r {
		c, r, turned = tc, tr, true
	}
	var out []Tile
	for row := range r {
		for col := range c {
			fx, fy := float64(col)*(w-overlapMM), float64(row)*(h-overlapMM)
			if turned {
				fx, fy = fy, fx
			}
			out = append(out, Tile{col, row, c, r, sketch.XY{s.Min[0] - rim + fx, s.Min[1] - rim + fy}, w, h, turned})
		}
	}
	return out
}

func pages(need, have float64) int {
	if need <= have {
		return 1
	}
	return 1 + int(math.Ceil((need-have)/(have-overlapMM)))
}

// At gives where a place of the drawing stands on the page, mm from its top left corner.
func (t Tile) At(p sketch.XY) (x, y float64) {
	dx, dy := p[0]-t.From[0], p[1]-t.From[1]
	if t.Turned { // a quarter turn, not a mirror: x down the page, y from right to left
		return leftMM + t.W - dy, topMM + dx
	}
	return leftMM + dx, topMM + dy
}

// CheckLines tells where a page's check lines stand: x1, y1, x2, y2, across and along.
func CheckLines(z paper.Size) (across, along [4]float64) {
	y := z.HeightMM - 18
	return [4]float64{leftMM, y, leftMM + CheckMM, y}, [4]float64{15, topMM, 15, topMM + CheckMM}
}

// Write makes the pages.
func Write(w io.Writer, p Page, o Options) error {
	d := paper.New(o.Paper, paper.Info{Title: p.Title, Subject: "Print at 100 %, measure the check lines", Made: o.Made, TrueSize: true})
	tiles := Tiles(p.Sketch, o.Paper)
	if len(tiles) > mostPages {
		return fmt.Errorf("a template of %d pages is more than %d", len(tiles), mostPages)
	}
	for i, t := range tiles {
		d.AddPage()
		head(d, p, o.Paper, t, i+1, len(tiles))
		checkLines(d, o.Paper)
		d.Tag(paper.Figure, fmt.Sprintf("%s at true size, piece %d of %d", p.Title, i+1, len(tiles)), func() {
			d.Clip(leftMM, topMM, t.W, t.H, func() { draw(d, p.Sketch, t) })
		})
		d.Artifact(func() { joins(d, t, len(tiles)) })
	}
	rest(d, p, o.Paper)
	return d.Save(w)
}

// mostPages bounds the work: the longest strip that is laid out takes 31.
const mostPages = 120

var (
	black  = paper.Colour{}
	soft   = paper.Colour{R: 70, G: 87, B: 99}
	pencil = paper.Colour{R: 11, G: 87, B: 164}
	title  = paper.Style{Font: paper.Bold, SizePt: 14, Colour: black}
	bold   = paper.Style{Font: paper.Bold, SizePt: 9.5, Colour: black}
	body   = paper.Style{Font: paper.Regular, SizePt: 9.5, Colour: black}
	note   = paper.Style{Font: paper.Regular, SizePt: 8, Colour: soft}
	tag    = paper.Style{Font: paper.Bold, SizePt: 8, Colour: black}
)

func head(d *paper.Doc, p Page, z paper.Size, t Tile, n, of int) {
	wide := z.WidthMM - 2*marginMM
	d.Tag(paper.Heading1, "", func() { d.Text(marginMM, 14, d.Fit(p.Title, wide-22, title), title) })
	d.Tag(paper.Para, "", func() { d.TextRight(z.WidthMM-marginMM, 14, fmt.Sprintf("page %d of %d", n, of), note) })
	y := 19.5
	for _, f := range p.Facts {
		d.Tag(paper.Para, "", func() { d.Text(marginMM, y, d.Fit(f, wide, body), body) })
		y += 4.4
	}
	d.Tag(paper.Para, "", func() {
		words := fmt.Sprintf("Print at 100 %% (“actual size”). Measure both check lines: %d mm each, to 0.2 mm, or don't use this page. %s", CheckMM, p.Use)
		for _, line := range d.Wrap(words, wide, bold) {
			d.Text(marginMM, y, line, bold)
			y += 4.4
		}
	})
}

// checkLines draws both, with pointed thin end marks as on the page of scale cards: renderers shift
// thin strokes to whole pixels.
func checkLines(d *paper.Doc, z paper.Size) {
	pen := paper.Pen{WidthMM: 0.25, Colour: black}
	const half, tip = 0.06, 0.4
	a, l := CheckLines(z)
	d.Tag(paper.Figure, fmt.Sprintf("Check line across, %d mm long", CheckMM), func() {
		d.Line(a[0], a[1], a[2], a[3], pen)
		for _, x := range []float64{a[0], a[2]} {
			y := a[1]
			d.Fill(new(paper.Path).Poly(x, y-3, x+half, y-3+tip, x+half, y+3-tip, x, y+3, x-half, y+3-tip, x-half, y-3+tip), black)
		}
		d.Text(a[0]+3, a[1]+3.4, fmt.Sprintf("check line across: %d mm from mark to mark. Measured: . . . . . . mm", CheckMM), note)
	})
	d.Tag(paper.Figure, fmt.Sprintf("Check line along, %d mm long", CheckMM), func() {
		d.Line(l[0], l[1], l[2], l[3], pen)
		for _, y := range []float64{l[1], l[3]} {
			x := l[0]
			d.Fill(new(paper.Path).Poly(x-3, y, x-3+tip, y-half, x+3-tip, y-half, x+3, y, x+3-tip, y+half, x-3+tip, y+half), black)
		}
		d.TextUp(l[0]-1.4, l[1]+130, fmt.Sprintf("check line along: %d mm from mark to mark. Measured: . . . . . . mm", CheckMM), note)
	})
}

// rest writes tables and notes on the pages behind.
func rest(d *paper.Doc, p Page, z paper.Size) {
	if len(p.Tables)+len(p.Notes) == 0 {
		return
	}
	const foot = 16
	y := math.Inf(1)
	room := func(need float64) {
		if y+need > z.HeightMM-foot {
			d.AddPage()
			d.Tag(paper.Heading2, "", func() { d.Text(marginMM, 14, d.Fit(p.Title, z.WidthMM-2*marginMM, title), title) })
			y = 22
		}
	}
	for _, t := range p.Tables {
		room(16)
		d.Tag(paper.Heading2, "", func() { d.Text(marginMM, y, t.Title, bold) })
		y += 5
		for i, row := range append([][]string{t.Head}, t.Rows...) {
			style := body
			if i == 0 {
				style = note
			}
			var cells [][]string
			lines := 1
			for k, cell := range row {
				l := d.Wrap(cell, t.Wide[k]-2, style)
				cells, lines = append(cells, l), max(lines, len(l))
			}
			room(float64(lines)*4.2 + 1)
			x := float64(marginMM)
			d.Tag(paper.Table, "", func() {
				d.Tag(paper.Row, "", func() {
					for k, l := range cells {
						d.Tag(paper.Cell, "", func() {
							for j, s := range l {
								d.Text(x, y+float64(j)*4.2, s, style)
							}
						})
						x += t.Wide[k]
					}
				})
			})
			y += float64(lines)*4.2 + 1
		}
		y += 4
	}
	for _, n := range p.Notes {
		lines := d.Wrap(n, z.WidthMM-2*marginMM, body)
		room(float64(len(lines))*4.2 + 2)
		d.Tag(paper.Para, "", func() {
			for _, l := range lines {
				d.Text(marginMM, y, l, body)
				y += 4.2
			}
		})
		y += 2
	}
}
