// Package strip rectifies the photo along a line on the sheet and follows the line there. In
// go a level of the photo, the camera over the sheet, what hides it, and a frame along the
// line: s runs along it and n across it, outward, both in mm. Out come the line in that frame,
// the stretch over which it shows and the mean light across it. Start with [Strip.Lay].
package strip

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/cover"
)

// Strip is the photo rectified along a line: light at (s, n), s along it and n across,
// n growing outward, away from the fasteners. Rows of one chunk are averaged, so that a
// dashed or noisy line shows in each.
type Strip struct {
	Frame
	cover  *cover.Cover
	h      float64 // mm from sample to sample across
	n0     float64 // n of the first sample, mm
	k      int     // samples across
	s0     float64 // s of the first chunk's middle, mm
	Chunks int
	light  []float64 // chunks × k, divided by the chunk's mean
	hidden []bool    // on the card, on a fastener or outside of the picture
	seen   int       // chunks not hidden
	margin int       // samples at both ends without a response

	resp   [2][]float64 // step and ridge, chunks × k
	chance [2]float64   // see alongFace

	// The softened responses, ready to be added along many lines: those of both kinds in one
	// word, see pack.
	words []lineSum // chunks × k
	unit  float64   // of a lane
	total []lineSum // scratch
	top   []float64 // scratch

	rows        []int32      // scratch: a chunk's rows added up
	chords      [][2]float64 // scratch
	mag, prefix []float64    // scratch
}

// Tuned on the bundled photos and on drawn scenes, see TestEdgesOfRenderedPhotos of sheetedge.
const (
	chunkMM  = 1.0
	minRows  = 5 // rows averaged in a chunk, more where the photo has more pixels
	maxRows  = 12
	stripIn  = 2.3 // mm seen on the inner side: room for the side face and for the sheet's own
	stripOut = 1.2 // and on the outer
	faceMM   = 0.9 // farther in than this the line itself doesn't show
	// A step is the light over this many mm on either side of the sample, a ridge that over
	// twice ridgeMM in the middle: a rim is about 0.1 mm wide, a joint less.
	ResponseMM = 0.25
	ridgeMM    = 0.06
	besideMM   = 0.35 // a stronger response this near beside a sample has blurred into it
)

// Lay samples a level of the photo along the line n = 0 of the frame between s = from and to.
func (g *Strip) Lay(level rectified.Level, cam *geom.Camera, hides *cover.Cover, at Frame, from, to float64) {
	p := 1 / (cam.PxPerMM(at.O, 0) * level.Scale)
	g.Frame, g.cover, g.h, g.n0 = at, hides, min(max(0.75*p, 0.03), 0.12), -stripIn
	rows := min(max(int(0.5*chunkMM/p), minRows), maxRows)
	g.k = int((stripIn+stripOut)/g.h) + 1
	g.Chunks = max(0, int((to-from)/chunkMM))
	g.s0 = from + chunkMM/2
	g.light = grow(g.light, g.Chunks*g.k)
	g.hidden = grow(g.hidden, g.Chunks)
	clear(g.hidden)
	g.chords = hides.Chords(at.O, at.Dir, g.chords[:0])
	g.rows = grow(g.rows, g.k)
	// The line's two sides at s, in pixels of the level.
	sides := func(s float64) (a, b geom.PxPoint) {
		return level.Pixel(cam.Project(g.At(s, g.n0), 0)), level.Pixel(cam.Project(g.At(s, g.n0+g.h*float64(g.k-1)), 0))
	}
	a0, b0 := sides(from)
	for c := range g.Chunks {
		a1, b1 := sides(from + float64(c+1)*chunkMM)
		clear(g.rows)
		used := 0
		for r := range rows {
			t := (float64(r) + 0.5) / float64(rows)
			s := from + (float64(c)+t)*chunkMM
			if inside(g.chords, s) || hides.OnCard(at.O.Add(at.Dir.Scale(s))) {
				continue
			}
			// Over a chunk, and over 3 mm across, the projection is straight and even to well
			// below 0.05 px.
			a, b := a0.Between(a1, t), b0.Between(b1, t)
			if level.Holds(a) && level.Holds(b) {
				level.AddRow(g.rows, a, b, g.k)
				used++
			}
		}
		a0, b0 = a1, b1
		if used < rows/2 {
			g.hidden[c] = true
			continue
		}
		sum := 0
		for _, x := range g.rows {
			sum += int(x)
		}
		// Four thousandths of full light, 13 levels of black in sRGB, keep what is black from
		// being all noise.
		level := float64(sum)/float64(g.k) + 0.004*rectified.LightUnit*float64(used)
		row := g.light[c*g.k : (c+1)*g.k]
		for i, x := range g.rows {
			row[i] = float64(x) / level
		}
	}
}

// inside tells whether s lies in one of the stretches.
func inside(stretches [][2]float64, s float64) bool {
	for _, q := range stretches {
		if s > q[0] && s < q[1] {
			return true
		}
	}
	return false
}

// n gives the offset of sample i in mm.
func (g *Strip) n(i int) float64 { return g.n0 + float64(i)*g.h }

// s gives the place of chunk c in mm.
func (g *Strip) s(c int) float64 { return g.s0 + float64(c)*chunkMM }

// sample gives the line's sample at chunk c.
func (g *Strip) sample(l *Line, c int) int {
	return int(math.Round((l.N + l.Slope*g.s(c) - g.n0) / g.h))
}

// respond fills resp with the signed contrast at each sample: step is outside less
// inside, ridge the middle less both sides, as fractions of the chunk's mean light.
// Nought on and close to a fastener.
func (g *Strip) respond() {
	w := max(2, int(math.Round(ResponseMM/g.h)))
	wr := max(1, int(math.Round(ridgeMM/g.h)))
	for k := range g.resp {
		g.resp[k] = grow(g.resp[k], len(g.light))
		clear(g.resp[k])
	}
	margin := 2*wr + w
	g.margin = margin
	nStep, nMid, nSide := 1/float64(w), 1/float64(2*wr), 1/float64(2*w)
	g.prefix = grow(g.prefix, g.k+1)
	for c := range g.Chunks {
		if g.hidden[c] {
			continue
		}
		row := g.light[c*g.k : (c+1)*g.k]
		sum, p := 0.0, g.prefix // p[i] is the sum of the samples before i
		for i, x := range row {
			p[i] = sum
			sum += x
		}
		p[g.k] = sum
		step, ridge := g.resp[0][c*g.k:(c+1)*g.k], g.resp[1][c*g.k:(c+1)*g.k]
		for i := margin; i < g.k-margin; i++ {
			step[i] = (p[i+1+w] - p[i+1] - p[i] + p[i-w]) * nStep
			m := p[i+wr+1] - p[i-wr] - (row[i-wr]+row[i+wr])/2 // a thin line is narrower than its blur
			e := p[i-2*wr] - p[i-2*wr-w] + p[i+2*wr+w+1] - p[i+2*wr+1]
			ridge[i] = m*nMid - e*nSide
		}
	}
	for _, r := range g.cover.Fasteners {
		q := r.Centre.Sub(g.O)
		reach, at, n := 1.1*r.RadiusMM+0.4, q.Dot(g.Dir), q.Dot(g.Out)
		for c := max(0, int(at-reach-g.s0)); c < min(g.Chunks, int(at+reach-g.s0)+2); c++ {
			ds := at - g.s(c)
			if math.Abs(ds) >= reach {
				continue
			}
			half := math.Sqrt(reach*reach - ds*ds)
			from := min(g.k, max(0, int((n-half-g.n0)/g.h)))
			to := max(from, min(g.k, int((n+half-g.n0)/g.h)+1))
			clear(g.resp[0][c*g.k+from : c*g.k+to])
			clear(g.resp[1][c*g.k+from : c*g.k+to])
		}
	}
}

// responding gives the samples from and up to which a chunk has responses.
func (g *Strip) responding() (from, to int) {
	from = min(g.margin, g.k)
	return from, max(from, g.k-g.margin)
}

// grow gives a slice of n, in a's memory if that is enough. Its content is left over.
func grow[T any](a []T, n int) []T { return slices.Grow(a[:0], n)[:n] }
