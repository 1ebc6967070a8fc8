package feature

import (
	"math"

	"bucktail/imaging/geom"
)

// What hides the sheet: the card, asked for once per cell of the view, and the fasteners.

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

// cardCells says for each cell of the view what the card hides.
type cardCells struct {
	w, h  int
	state []uint8
}

// lay asks for all cells, far from the card's border for a block of them at once.
func (c *cardCells) lay(v *View, onCard func(geom.SheetPoint, float64) bool) {
	c.w, c.h = (v.W+cellPx-1)/cellPx, (v.H+cellPx-1)/cellPx
	c.state = grow(c.state, c.w*c.h)
	clear(c.state)
	// ask gives the state of a square of the view from pixel (i, j) on, side pixels wide. Half
	// its diagonal and a fifth more goes to the margin: the card counts in printed millimetres.
	ask := func(i, j, side int) uint8 {
		half := float64(side) / 2
		mid, reach := v.Sheet(float64(i)+half, float64(j)+half), 1.7*half*v.StepMM
		if !onCard(mid, cardMarginMM+reach) {
			return cellOpen
		}
		if onCard(mid, cardMarginMM-reach) {
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
}

// onCard tells whether the card or its margin hides p.
func (f *edgeFinder) onCard(p geom.SheetPoint) bool {
	i, j := f.view.Pixel(p)
	if c := &f.mem.cells; i >= 0 && j >= 0 && i < float64(c.w*cellPx) && j < float64(c.h*cellPx) {
		switch c.state[int(j)/cellPx*c.w+int(i)/cellPx] {
		case cellOpen:
			return false
		case cellHidden:
			return true
		}
	}
	return f.opt.OnCard(p, cardMarginMM)
}

// hiddenReach is how far from its centre a fastener hides the sheet.
func hiddenReach(r Round) float64 { return 1.1*r.RadiusMM + 0.2 }

// covered tells whether p on the sheet is hidden by the card or a fastener.
func (f *edgeFinder) covered(p geom.SheetPoint) bool {
	for _, r := range f.opt.Fasteners {
		if p.Sub(r.Centre).Norm() < hiddenReach(r) {
			return true
		}
	}
	return f.onCard(p)
}

// chords gives the stretches of the line through o along dir that fasteners hide.
func (f *edgeFinder) chords(o, dir geom.SheetPoint, out [][2]float64) [][2]float64 {
	for _, r := range f.opt.Fasteners {
		q := r.Centre.Sub(o)
		reach, s, n := hiddenReach(r), q.Dot(dir), q.X*dir.Y-q.Y*dir.X
		if math.Abs(n) < reach {
			half := math.Sqrt(reach*reach - n*n)
			out = append(out, [2]float64{s - half, s + half})
		}
	}
	return out
}

// mask marks in the view's roots of light what the card and fasteners hide: the card's own
// print would take the places of the sheet's edges among the strongest lines. What of the card
// is left at its border is refused once a line is followed.
func (f *edgeFinder) mask(root []int16) {
	v, c := f.view, &f.mem.cells
	for y := range c.h {
		for x := range c.w {
			switch c.state[y*c.w+x] {
			case cellOpen:
				continue
			case cellPart:
				// Half a cell's diagonal goes to the margin.
				if !f.opt.OnCard(v.Sheet((float64(x)+0.5)*cellPx, (float64(y)+0.5)*cellPx), 0.3+0.71*cellPx/2*v.StepMM) {
					continue
				}
			}
			for j := y * cellPx; j < min((y+1)*cellPx, v.H); j++ {
				row := root[j*v.W+x*cellPx : j*v.W+min((x+1)*cellPx, v.W)]
				for i := range row {
					row[i] = maskedRoot
				}
			}
		}
	}
	for _, r := range f.opt.Fasteners {
		ci, cj := v.Pixel(r.Centre)
		n := hiddenReach(r) / v.StepMM
		for j := max(0, int(math.Ceil(cj-n))); j <= min(v.H-1, int(cj+n)); j++ {
			half := math.Sqrt(max(n*n-(float64(j)-cj)*(float64(j)-cj), 0))
			for i := max(0, int(math.Ceil(ci-half))); i <= min(v.W-1, int(ci+half)); i++ {
				root[j*v.W+i] = maskedRoot
			}
		}
	}
}
