package sheet

import (
	"math"
	"strconv"

	"bucktail/imaging/card"
	"bucktail/qc/paper"
)

// clearMM is how far marks and figures stay from the rings: more than the strip of white
// that is searched for a ring's border.
const clearMM = 0.9

// ruler draws a millimetre scale along a cut edge. Marks are shortened and figures left out
// where they would come too near to a ring.
func ruler(d *paper.Doc, c Placed, r card.Ruler) {
	dx, dy := r.To.X-r.From.X, r.To.Y-r.From.Y
	length := math.Hypot(dx, dy)
	dx, dy = dx/length, dy/length
	sx, sy := 0.0, -1.0
	if r.Side == "left" {
		sx, sy = -1, 0
	}
	var marks paper.Path
	for i := 0; float64(i) <= length+1e-9; i++ {
		n := 1.1
		switch {
		case i%10 == 0:
			n = 2.4
		case i%5 == 0:
			n = 1.8
		}
		x, y := r.From.X+dx*float64(i), r.From.Y+dy*float64(i)
		for n > 0.5 && !free(c.Layout, x+sx*n, y+sy*n, 0, 0) {
			n -= 0.1
		}
		marks.Move(c.XMM+x, c.YMM+y).Line(c.XMM+x+sx*n, c.YMM+y+sy*n)
		if i%10 == 0 && i > 0 {
			figure(d, c, strconv.Itoa(i), x+sx*2.8, y+sy*2.8, r.Side == "left")
		}
	}
	d.Stroke(&marks, paper.Pen{WidthMM: 0.16, Colour: black})
}

// figure writes a number behind a mark's end.
func figure(d *paper.Doc, c Placed, s string, x, y float64, left bool) {
	w, h := d.Width(s, tiny), 0.72*tiny.SizePt*paper.MMPerPt // cap height of the Go fonts
	lx, base := x-w/2, y
	if left {
		lx, base = x-w, y+h/2
	}
	if free(c.Layout, lx+w/2, base-h/2, w/2, h/2) {
		d.Text(c.XMM+lx, c.YMM+base, s, tiny)
	}
}

// free tells whether a box about (x, y) in card millimetres keeps clear of all rings.
func free(l *card.Layout, x, y, halfW, halfH float64) bool {
	for _, t := range l.Targets {
		gapX := math.Max(0, math.Abs(t.At.X-x)-halfW)
		gapY := math.Max(0, math.Abs(t.At.Y-y)-halfH)
		if math.Hypot(gapX, gapY) < card.RingOuterRadiusMM+clearMM {
			return false
		}
	}
	return true
}
