package face

import (
	"math"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/strip"
)

// What the network sees has to be as in training: none of the figures here may change without
// training anew (testdata/training).
const (
	rows    = convnet.Directions // along the edge
	columns = 48                 // across it
	stepMM  = 0.032              // from column to column: a third of the narrowest rim that is looked for
	// A row is at most rowMM long, so a patch 16 mm; a shorter line has shorter rows.
	rowMM       = 0.5
	mostSubrows = 6     // lines of samples averaged in a row
	subrowPx    = 1.2   // and as many pixels from one to the next
	mostPx      = 1.6   // pixels of a level that may lie from one column to the next
	innerPart   = 16    // columns of the sheet's own face, its light the reference
	leastRGB    = 24    // the least sum of the gamma-coded R, G and B over which a ratio is taken
	darkLight   = 0.004 // of full light: keeps the logarithm of what is black from being all noise
)

// patch is the photo along a line, rectified: row i lies at s(i) mm along the frame's line, column k
// at n(k) mm outward of it.
type patch struct {
	frame  strip.Frame
	rowMM  float64
	lum    []float32 // rows × columns: log2 of linear light over the sheet's
	rg, gb []float32 // colour ratios less the sheet's
	hidden [rows]bool
	seen   int // rows not hidden
}

func (p *patch) s(i int) float64 { return (float64(i) - (rows-1)/2.0) * p.rowMM }
func n(k float64) float64        { return (k - (columns-1)/2.0) * stepMM }

// lay samples the photo lengthMM along the middle of the frame's line. hides tells what of the
// sheet something lies on.
func lay(pic *raster.Picture, cam *geom.Camera, hides func(geom.SheetPoint) bool, at strip.Frame, lengthMM float64) *patch {
	const size = rows * columns
	v := make([]float32, 3*size)
	p := &patch{frame: at, rowMM: min(lengthMM/rows, rowMM), lum: v[:size], rg: v[size : 2*size], gb: v[2*size:]}
	pxMM := cam.PxPerMM(at.O, 0)
	level := rectified.LevelFor(pic, pxMM*stepMM, mostPx)
	subrows := min(max(int(p.rowMM*pxMM/subrowPx), 1), mostSubrows)
	sums := make([]int32, columns)
	for i := range rows {
		clear(sums)
		used := 0
		for r := range subrows {
			s := p.s(i) + p.rowMM*((float64(r)+0.5)/float64(subrows)-0.5)
			if hides(at.At(s, 0)) {
				continue
			}
			// Over 1.5 mm the projection is straight and even to well below 0.05 px.
			a, b := level.Pixel(cam.Project(at.At(s, n(0)), 0)), level.Pixel(cam.Project(at.At(s, n(columns-1)), 0))
			if level.Holds(a) && level.Holds(b) {
				level.AddRow(sums, a, b, columns)
				used++
			}
		}
		if 2*used <= subrows {
			p.hidden[i] = true
			continue
		}
		p.seen++
		for k, x := range sums {
			p.lum[i*columns+k] = float32(float64(x) / (rectified.LightUnit * float64(used)))
		}
		p.colour(pic, cam, i)
	}
	p.relate()
	return p
}

// colour fills row i of the colour ratios, along its middle.
func (p *patch) colour(pic *raster.Picture, cam *geom.Camera, i int) {
	if pic.Cb == nil {
		return
	}
	cx, cy := float64(pic.ChromaX), float64(pic.ChromaY)
	a, b := cam.Project(p.frame.At(p.s(i), n(0)), 0), cam.Project(p.frame.At(p.s(i), n(columns-1)), 0)
	for k := range columns {
		q := a.Between(b, float64(k)/(columns-1))
		y := pic.Y.Sample(q.U, q.V)
		cb, cr := raster.SamplePair(pic.Cb, pic.Cr, (q.U+0.5)/cx-0.5, (q.V+0.5)/cy-0.5)
		r, g, bl := raster.RGB(y, cb, cr)
		s := max(r+g+bl, leastRGB)
		p.rg[i*columns+k], p.gb[i*columns+k] = float32((r-g)/s), float32((g-bl)/s)
	}
}

// relate takes light and colour of the sheet's own face as the reference; hidden rows are like it.
func (p *patch) relate() {
	ref, mrg, mgb := p.inner(p.lum), p.inner(p.rg), p.inner(p.gb)
	for i := range rows {
		for j := i * columns; j < (i+1)*columns; j++ {
			if p.hidden[i] {
				p.lum[j], p.rg[j], p.gb[j] = 0, 0, 0
				continue
			}
			p.lum[j] = float32(math.Log2(float64((p.lum[j] + darkLight) / (ref + darkLight))))
			p.rg[j] -= mrg
			p.gb[j] -= mgb
		}
	}
}

// inner gives the median over the innermost columns of the rows that are seen.
func (p *patch) inner(v []float32) float32 {
	w := make([]float32, 0, rows*innerPart)
	for i := range rows {
		if !p.hidden[i] {
			w = append(w, v[i*columns:i*columns+innerPart]...)
		}
	}
	if len(w) == 0 {
		return 0
	}
	return fit.UpperMedian(w)
}

// picture gives what the network looks at: light and colour, and the distance itself, all brought to
// about -2 to 2.
func (p *patch) picture(ws *convnet.Workspace) *convnet.Planes {
	x := ws.Strip(convnet.Inputs, rows, columns)
	fill := func(c int, v []float32, k, lo, hi float32) {
		for i := range rows {
			for j, r := 0, x.Row(c, i); j < columns; j++ {
				r[j] = min(max(v[i*columns+j]*k, lo), hi)
			}
		}
	}
	fill(0, p.lum, 0.5, -3, 2)
	fill(1, p.rg, 6, -2, 2)
	fill(2, p.gb, 6, -2, 2)
	for i := range rows {
		for j, r := 0, x.Row(3, i); j < columns; j++ {
			r[j] = 2*float32(j)/(columns-1) - 1
		}
	}
	return x
}

// setting gives what the network is told besides, [convnet.Settings] values a row: the view slope
// outward and along and its size, times five, the logarithm of pixels a column, whether the row is
// hidden, and the logarithm of its length over the longest.
func (p *patch) setting(cam *geom.Camera) []float32 {
	d := cam.ViewSlope(p.frame.O)
	g := make([]float32, rows*convnet.Settings)
	for i := range rows {
		r := g[i*convnet.Settings:]
		r[0], r[1], r[2] = float32(5*d.Dot(p.frame.Out)), float32(5*d.Dot(p.frame.Dir)), float32(5*d.Norm())
		r[3] = float32(math.Log2(cam.PxPerMM(p.frame.O, 0) * stepMM))
		if p.hidden[i] {
			r[4] = 1
		}
		r[5] = float32(math.Log2(p.rowMM / rowMM))
	}
	return g
}
