package synth

// grid finds which of many things lie near a place of the sheet: each cell lists the
// things whose box overlaps it. The zero cell count is an empty grid.
type grid struct {
	x0, y0, perMM float64
	nx, ny        int
	cells         [][]int32
}

// newGrid sorts boxes (x0, y0, x1, y1 in mm) into cells of the given size in mm.
func newGrid(boxes [][4]float64, cellMM float64) *grid {
	g := &grid{perMM: 1 / cellMM}
	if len(boxes) == 0 {
		return g
	}
	b := boxes[0]
	for _, c := range boxes {
		b[0], b[1] = min(b[0], c[0]), min(b[1], c[1])
		b[2], b[3] = max(b[2], c[2]), max(b[3], c[3])
	}
	g.x0, g.y0 = b[0], b[1]
	g.nx, g.ny = int((b[2]-b[0])*g.perMM)+1, int((b[3]-b[1])*g.perMM)+1
	g.cells = make([][]int32, g.nx*g.ny)
	for k, c := range boxes {
		i0, j0, i1, j1, _ := g.over(c[0], c[1], c[2], c[3])
		for j := j0; j <= j1; j++ {
			for i := i0; i <= i1; i++ {
				g.cells[j*g.nx+i] = append(g.cells[j*g.nx+i], int32(k))
			}
		}
	}
	return g
}

// at lists the things near a place.
func (g *grid) at(x, y float64) []int32 {
	fx, fy := (x-g.x0)*g.perMM, (y-g.y0)*g.perMM
	if !(fx >= 0 && fy >= 0 && fx < float64(g.nx) && fy < float64(g.ny)) {
		return nil
	}
	return g.cells[int(fy)*g.nx+int(fx)]
}

// over gives the range of cells that a box covers; ok is false where it covers none.
func (g *grid) over(x0, y0, x1, y1 float64) (i0, j0, i1, j1 int, ok bool) {
	clip := func(v float64, n int) int { return int(max(0, min(float64(n-1), v))) }
	fx0, fy0, fx1, fy1 := (x0-g.x0)*g.perMM, (y0-g.y0)*g.perMM, (x1-g.x0)*g.perMM, (y1-g.y0)*g.perMM
	ok = fx1 >= 0 && fy1 >= 0 && fx0 < float64(g.nx) && fy0 < float64(g.ny)
	return clip(fx0, g.nx), clip(fy0, g.ny), clip(fx1, g.nx), clip(fy1, g.ny), ok
}
