package sheet

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/qc/paper"
)

var sizes = []paper.Size{paper.A4, paper.Letter}

func page(t *testing.T, z paper.Size, number string) []byte {
	t.Helper()
	var b bytes.Buffer
	err := Write(&b, Options{Paper: z, Number: number, Made: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// content gives the page's drawing operators.
func content(t *testing.T, pdf []byte) string {
	t.Helper()
	m := regexp.MustCompile(`<</Filter /FlateDecode /Length \d+>>\s+stream\n`).FindIndex(pdf)
	if m == nil {
		t.Fatal("no page content")
	}
	z, err := zlib.NewReader(bytes.NewReader(pdf[m[1]:]))
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestCheckLinesInThePDF reads the lines out of the file in its own unit, 1/72 in
// (ISO 32000-1, 8.3.2.3): 150 mm are 425.1969 of them.
func TestCheckLinesInThePDF(t *testing.T) {
	for _, z := range sizes {
		pdf := page(t, z, "")
		box := map[string]string{"a4": "[0 0 595.28 841.89]", "letter": "[0 0 612.00 792.00]"}[z.Name]
		if !bytes.Contains(pdf, []byte("/MediaBox "+box)) {
			t.Errorf("%s: the page is not %s", z.Name, box)
		}
		if !bytes.Contains(pdf, []byte("/PrintScaling /None")) {
			t.Errorf("%s: viewers are not asked to print without scaling", z.Name)
		}
		var across, along int
		for _, m := range regexp.MustCompile(`(?m)^q [^\n]* d ([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l S Q$`).FindAllStringSubmatch(content(t, pdf), -1) {
			var p [4]float64
			for i := range p {
				if _, err := fmt.Sscan(m[i+1], &p[i]); err != nil {
					t.Fatal(err)
				}
			}
			switch want := 150 / 25.4 * 72; {
			case p[1] == p[3] && math.Abs(math.Abs(p[2]-p[0])-want) < 0.0005:
				across++
			case p[0] == p[2] && math.Abs(math.Abs(p[3]-p[1])-want) < 0.0005:
				along++
			}
		}
		if across != 1 || along != 1 {
			t.Errorf("%s: %d lines across and %d along are 150 mm long", z.Name, across, along)
		}
	}
}

// TestNothingOverlaps: the three cards, the check lines and the paper's edge keep apart.
func TestNothingOverlaps(t *testing.T) {
	for _, z := range sizes {
		type box struct {
			what           string
			x0, y0, x1, y1 float64
		}
		var all []box
		for _, c := range Cards(z) {
			b := box{c.Layout.Name, math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
			for _, p := range c.Layout.Outline {
				b.x0, b.y0 = math.Min(b.x0, c.XMM+p.X), math.Min(b.y0, c.YMM+p.Y)
				b.x1, b.y1 = math.Max(b.x1, c.XMM+p.X), math.Max(b.y1, c.YMM+p.Y)
			}
			all = append(all, b)
		}
		a, l := CheckLines(z)
		all = append(all, box{"across", a.X1, a.Y1 - 3, a.X2, a.Y2 + 3}, box{"along", l.X1 - 3, l.Y1, l.X2 + 3, l.Y2})
		for i, p := range all {
			const edge = 8 // mm that printers can't print on, with a margin (common practice: 4 to 6.4)
			if p.x0 < edge || p.y0 < edge || p.x1 > z.WidthMM-edge || p.y1 > z.HeightMM-edge {
				t.Errorf("%s: %s lies too near to the paper's edge", z.Name, p.what)
			}
			for _, q := range all[:i] {
				if p.x0 < q.x1+2 && q.x0 < p.x1+2 && p.y0 < q.y1+2 && q.y0 < p.y1+2 {
					t.Errorf("%s: %s and %s overlap", z.Name, p.what, q.what)
				}
			}
		}
		x, y := Circles(z)
		piece := box{"circles", x, y, x + card.CirclesWidthMM, y + card.CirclesHeightMM}
		for _, q := range all {
			if q.what != "corner" && piece.x0 < q.x1+2 && q.x0 < piece.x1+2 && piece.y0 < q.y1+2 && q.y0 < piece.y1+2 {
				t.Errorf("%s: circles and %s overlap", z.Name, q.what)
			}
		}
		if piece.x1 > z.WidthMM-8 {
			t.Errorf("%s: the circles lie too near to the paper's edge", z.Name)
		}
		corner := Cards(z)[1]
		for _, p := range []geom.CardPoint{{X: piece.x0, Y: piece.y0}, {X: piece.x1, Y: piece.y0}, {X: piece.x0, Y: piece.y1}} {
			if d := corner.Layout.DepthMM(geom.CardPoint{X: p.X - corner.XMM, Y: p.Y - corner.YMM}); d > -2 {
				t.Errorf("%s: the circles' piece reaches to %.1f mm from the corner card", z.Name, -d)
			}
		}
		if len(all) != len(card.Layouts)+2 {
			t.Errorf("%d things for %d layouts", len(all), len(card.Layouts))
		}
	}
}

func TestSameBytes(t *testing.T) {
	if !bytes.Equal(page(t, paper.A4, "3"), page(t, paper.A4, "3")) {
		t.Error("two sheets made alike differ")
	}
	if strings.Contains(content(t, page(t, paper.A4, "3")), "NaN") {
		t.Error("a place is no number")
	}
}
