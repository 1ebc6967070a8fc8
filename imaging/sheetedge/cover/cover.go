// Package cover says what hides the sheet: the scale card and the fasteners themselves. Points
// are on the sheet, mm. Start with [New].
package cover

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
)

// cellPx is the side of a cell in pixels of the view, blockCells that of a block in cells.
const (
	cellPx     = 8
	blockCells = 4
)

// What the card hides of a cell.
const (
	cellOpen   = iota // nothing
	cellHidden        // all of it
	cellPart          // perhaps some: each point is asked for
)

// cardMarginMM beside the card nothing is to be seen: its thickness and its shadow.
const cardMarginMM = 0.6

// Cover is what hides the sheet: the card and the fasteners.
type Cover struct {
	view      *rectified.View
	Fasteners []geom.SheetCircle
	// nearCard tells whether a point lies on the card or within the margin of it.
	NearCard func(p geom.SheetPoint, marginMM float64) bool
	w, h     int // cells
	state    []uint8
}

// New asks for all cells of v, far from the card's border for a block of them at once.
// nearCard is nil where there is no card; a negative margin asks for what lies at least that
// deep inside.
func New(v *rectified.View, fasteners []geom.SheetCircle, nearCard func(p geom.SheetPoint, marginMM float64) bool) *Cover {
	if nearCard == nil {
		nearCard = func(geom.SheetPoint, float64) bool { return false }
	}
	c := &Cover{view: v, Fasteners: fasteners, NearCard: nearCard, w: (v.W + cellPx - 1) / cellPx, h: (v.H + cellPx - 1) / cellPx}
	c.state = make([]uint8, c.w*c.h)
	// ask gives the state of a square of the view from pixel (i, j) on, side pixels wide. Half
	// its diagonal and a fifth more goes to the margin: the card counts in printed millimetres.
	ask := func(i, j, side int) uint8 {
		half := float64(side) / 2
		mid, reach := v.Sheet(float64(i)+half, float64(j)+half), 1.7*half*v.StepMM
		if !nearCard(mid, cardMarginMM+reach) {
			return cellOpen
		}
		if nearCard(mid, cardMarginMM-reach) {
			return cellHidden
		}
		return cellPart
	}
	for bj := 0; bj < c.h; bj += blockCells {
		for bi := 0; bi < c.w; bi += blockCells {
			block := ask(bi*cellPx, bj*cellPx, blockCells*cellPx)
			if block == cellOpen {
				continue
			}
			for y := bj; y < min(bj+blockCells, c.h); y++ {
				for x := bi; x < min(bi+blockCells, c.w); x++ {
					s := block
					if s == cellPart {
						s = ask(x*cellPx, y*cellPx, cellPx)
					}
					c.state[y*c.w+x] = s
				}
			}
		}
	}
	return c
}

// OnCard tells whether the card or its margin hides p.
func (c *Cover) OnCard(p geom.SheetPoint) bool {
	i, j := c.view.Pixel(p)
	if i >= 0 && j >= 0 && i < float64(c.w*cellPx) && j < float64(c.h*cellPx) {
		switch c.state[int(j)/cellPx*c.w+int(i)/cellPx] {
		case cellOpen:
			return false
		case cellHidden:
			return true
		}
	}
	return c.NearCard(p, cardMarginMM)
}

// hiddenReach is how far from its centre a fastener hides the sheet.
func hiddenReach(r geom.SheetCircle) float64 { return 1.1*r.RadiusMM + 0.2 }

// Hides tells whether the card or a fastener hides p.
func (c *Cover) Hides(p geom.SheetPoint) bool {
	for _, r := range c.Fasteners {
		if p.Sub(r.Centre).Norm() < hiddenReach(r) {
			return true
		}
	}
	return c.OnCard(p)
}

// Chords adds to out the stretches [from, to] of the line through o along dir, mm from o, that
// fasteners hide.
func (c *Cover) Chords(o, dir geom.SheetPoint, out [][2]float64) [][2]float64 {
	for _, r := range c.Fasteners {
		q := r.Centre.Sub(o)
		reach, s, n := hiddenReach(r), q.Dot(dir), q.X*dir.Y-q.Y*dir.X
		if math.Abs(n) < reach {
			half := math.Sqrt(reach*reach - n*n)
			out = append(out, [2]float64{s - half, s + half})
		}
	}
	return out
}

// Mask writes with to the pixels of the view that the card and fasteners hide: the card's own
// print would take the places of the sheet's edges among the strongest lines. What of the card
// is left at its border is refused once a line is followed.
func (c *Cover) Mask(view []int16, with int16) {
	v := c.view
	for y := range c.h {
		for x := range c.w {
			switch c.state[y*c.w+x] {
			case cellOpen:
				continue
			case cellPart:
				// Half a cell's diagonal goes to the margin.
				if !c.NearCard(v.Sheet((float64(x)+0.5)*cellPx, (float64(y)+0.5)*cellPx), 0.3+0.71*cellPx/2*v.StepMM) {
					continue
				}
			}
			for j := y * cellPx; j < min((y+1)*cellPx, v.H); j++ {
				row := view[j*v.W+x*cellPx : j*v.W+min((x+1)*cellPx, v.W)]
				for i := range row {
					row[i] = with
				}
			}
		}
	}
	for _, r := range c.Fasteners {
		ci, cj := v.Pixel(r.Centre)
		n := hiddenReach(r) / v.StepMM
		for j := max(0, int(math.Ceil(cj-n))); j <= min(v.H-1, int(cj+n)); j++ {
			half := math.Sqrt(max(n*n-(float64(j)-cj)*(float64(j)-cj), 0))
			for i := max(0, int(math.Ceil(ci-half))); i <= min(v.W-1, int(ci+half)); i++ {
				view[j*v.W+i] = with
			}
		}
	}
}
