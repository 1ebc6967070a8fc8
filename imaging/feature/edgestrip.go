package feature

import (
	"math"

	"bucktail/imaging/geom"
)

// strip is the photo straightened along a line: light at (s, n), s along it and n across,
// n growing outward, away from the fasteners. Rows of one chunk are averaged, so that a
// dashed or noisy line shows in each.
type strip struct {
	o, dir, out geom.SheetPoint // s = 0, n = 0; unit vectors
	h           float64         // mm from sample to sample across
	n0          float64         // n of the first sample, mm
	k           int             // samples across
	s0          float64         // s of the first chunk's middle, mm
	chunks      int
	light       []float64 // chunks × k, divided by the chunk's mean
	level       []float64 // that mean, linear light; 0: chunk hidden
	hidden      []bool    // on the card, on a fastener or outside of the picture
}

const (
	chunkMM   = 1.0
	chunkRows = 5
	stripIn   = 1.5 // mm seen on the inner side
	stripOut  = 1.5
)

// straighten samples the photo along the line through o between s = from and to.
func (f *edgeFinder) straighten(o, dir, out geom.SheetPoint, from, to float64) *strip {
	p := 1 / f.cam.PxPerMM(o, 0)
	g := &strip{o: o, dir: dir, out: out, h: min(max(0.75*p, 0.03), 0.12), n0: -stripIn}
	g.k = int((stripIn+stripOut)/g.h) + 1
	g.chunks = max(0, int((to-from)/chunkMM))
	g.s0 = from + chunkMM/2
	need := g.chunks * g.k
	if cap(f.grid) < need {
		f.grid = make([]float64, need)
	}
	g.light = f.grid[:need]
	g.level = make([]float64, g.chunks)
	g.hidden = make([]bool, g.chunks)
	for c := range g.chunks {
		row := g.light[c*g.k : (c+1)*g.k]
		clear(row)
		used := 0
		for r := range chunkRows {
			s := g.s0 + (float64(r)-chunkRows/2)*chunkMM/chunkRows + float64(c)*chunkMM
			at := o.Add(dir.Scale(s))
			if f.covered(at) {
				continue
			}
			a := f.cam.Project(at.Add(out.Scale(g.n0)), 0)
			b := f.cam.Project(at.Add(out.Scale(g.n0+g.h*float64(g.k-1))), 0)
			if !f.pic.Inside(a.U, a.V, 1) || !f.pic.Inside(b.U, b.V, 1) {
				continue
			}
			// Over 3 mm the projection is straight and even to well below 0.05 px.
			du, dv := (b.U-a.U)/float64(g.k-1), (b.V-a.V)/float64(g.k-1)
			for i := range row {
				row[i] += f.pic.Y.SampleLinear(a.U+du*float64(i), a.V+dv*float64(i))
			}
			used++
		}
		if used < 2 {
			g.hidden[c] = true
			continue
		}
		sum := 0.0
		for _, x := range row {
			sum += x
		}
		// A few thousandths keep what is black from being all noise.
		g.level[c] = sum/float64(used*g.k) + 0.004
		for i := range row {
			row[i] /= float64(used) * g.level[c]
		}
	}
	return g
}

// covered tells whether p on the sheet is hidden by the card or a fastener.
func (f *edgeFinder) covered(p geom.SheetPoint) bool {
	for _, r := range f.opt.Fasteners {
		if p.Sub(r.Centre).Norm() < 1.1*r.RadiusMM+0.2 {
			return true
		}
	}
	return f.opt.OnCard(p, 0.6)
}

// response gives the signed contrast at sample i of chunk c: step is outside less inside,
// ridge the middle less both sides, as shares of the chunk's mean light.
func (g *strip) response(c, i int, w, wr int) (step, ridge float64) {
	row := g.light[c*g.k : (c+1)*g.k]
	if i-2*wr-w < 0 || i+2*wr+w >= g.k {
		return 0, 0
	}
	a, b := 0.0, 0.0
	for j := 1; j <= w; j++ {
		a += row[i-j]
		b += row[i+j]
	}
	step = (b - a) / float64(w)
	m := 0.0
	for j := -wr; j <= wr; j++ {
		m += row[i+j]
	}
	m /= float64(2*wr + 1)
	e := 0.0
	for j := 1; j <= w; j++ {
		e += row[i-2*wr-j] + row[i+2*wr+j]
	}
	return step, m - e/float64(2*w)
}

// n gives the offset of sample i in mm.
func (g *strip) n(i int) float64 { return g.n0 + float64(i)*g.h }

// s gives the place of chunk c in mm.
func (g *strip) s(c int) float64 { return g.s0 + float64(c)*chunkMM }

// responses fills step and ridge, chunks × k each.
func (g *strip) responses() (step, ridge []float64) {
	w := max(2, int(math.Round(0.25/g.h)))
	wr := max(1, int(math.Round(0.06/g.h)))
	step, ridge = make([]float64, len(g.light)), make([]float64, len(g.light))
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		for i := range g.k {
			step[c*g.k+i], ridge[c*g.k+i] = g.response(c, i, w, wr)
		}
	}
	return step, ridge
}
