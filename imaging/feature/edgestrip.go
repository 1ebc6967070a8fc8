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
	hidden      []bool    // on the card, on a fastener or outside of the picture
	seen        int       // chunks not hidden
	margin      int       // samples at both ends without a response

	resp                   [2][]float64 // step and ridge, chunks × k
	chance                 [2]float64   // see alongFace
	mag, plus, minus, mean []float64    // scratch
}

const (
	chunkMM  = 1.0
	minRows  = 5 // rows averaged in a chunk, more where the photo has more pixels
	maxRows  = 12
	stripIn  = 2.3 // mm seen on the inner side
	stripOut = 1.2
	faceMM   = 0.9 // farther in than this the line itself doesn't show
)

// grow gives a slice of n, from a's memory if that is enough. Its content is not cleared.
func grow[T any](a []T, n int) []T {
	if cap(a) < n {
		return make([]T, n)
	}
	return a[:n]
}

// straighten samples the photo along the line through o between s = from and to.
// The strip is good until the next call.
func (f *edgeFinder) straighten(o, dir, out geom.SheetPoint, from, to float64) *strip {
	p := 1 / f.cam.PxPerMM(o, 0)
	g := &f.strip
	g.o, g.dir, g.out, g.h, g.n0 = o, dir, out, min(max(0.75*p, 0.03), 0.12), -stripIn
	rows := min(max(int(0.75*chunkMM/p), minRows), maxRows)
	g.k = int((stripIn+stripOut)/g.h) + 1
	g.chunks = max(0, int((to-from)/chunkMM))
	g.s0 = from + chunkMM/2
	g.light = grow(g.light, g.chunks*g.k)
	g.hidden = grow(g.hidden, g.chunks)
	clear(g.hidden)
	for c := range g.chunks {
		row := g.light[c*g.k : (c+1)*g.k]
		clear(row)
		used := 0
		for r := range rows {
			s := g.s0 + ((float64(r)+0.5)/float64(rows)-0.5+float64(c))*chunkMM
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
		if used < rows/2 {
			g.hidden[c] = true
			continue
		}
		sum := 0.0
		for _, x := range row {
			sum += x
		}
		// A few thousandths keep what is black from being all noise.
		level := sum/float64(used*g.k) + 0.004
		for i := range row {
			row[i] /= float64(used) * level
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

// n gives the offset of sample i in mm.
func (g *strip) n(i int) float64 { return g.n0 + float64(i)*g.h }

// s gives the place of chunk c in mm.
func (g *strip) s(c int) float64 { return g.s0 + float64(c)*chunkMM }

// respond fills resp with the signed contrast at each sample: step is outside less
// inside, ridge the middle less both sides, as shares of the chunk's mean light.
// Nought on and close to a fastener.
func (g *strip) respond(fasteners []Round) {
	w := max(2, int(math.Round(0.25/g.h)))
	wr := max(1, int(math.Round(0.06/g.h)))
	for k := range g.resp {
		g.resp[k] = grow(g.resp[k], len(g.light))
		clear(g.resp[k])
	}
	margin := 2*wr + w
	g.margin = margin
	nStep, nMid, nSide := 1/float64(w), 1/float64(2*wr), 1/float64(2*w)
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		row := g.light[c*g.k : (c+1)*g.k]
		for i := margin; i < g.k-margin; i++ {
			var a, b, m, e float64
			for j := 1; j <= w; j++ {
				a += row[i-j]
				b += row[i+j]
				e += row[i-2*wr-j] + row[i+2*wr+j]
			}
			for _, x := range row[i-wr : i+wr+1] {
				m += x
			}
			m -= (row[i-wr] + row[i+wr]) / 2 // a thin line is narrower than its blur
			g.resp[0][c*g.k+i] = (b - a) * nStep
			g.resp[1][c*g.k+i] = m*nMid - e*nSide
		}
		for _, r := range fasteners {
			q := r.Centre.Sub(g.o)
			reach, ds := 1.1*r.RadiusMM+0.4, q.Dot(g.dir)-g.s(c)
			if math.Abs(ds) >= reach {
				continue
			}
			half, n := math.Sqrt(reach*reach-ds*ds), q.Dot(g.out)
			from := max(0, int((n-half-g.n0)/g.h))
			to := min(g.k-1, int((n+half-g.n0)/g.h))
			for i := from; i <= to; i++ {
				g.resp[0][c*g.k+i], g.resp[1][c*g.k+i] = 0, 0
			}
		}
	}
}
