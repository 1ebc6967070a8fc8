package feature

import "math"

// A chunk that shows the line by less than this has no say in its place.
const minEvidence = 0.3

// A chunk that shows it by less than this can't tell where it is on its own.
const trackEvidence = 1.5

// How many chunks at an open end may lie on a corner's round.
const cornerChunks = 4

// run is the stretch of a line that shows in a strip.
type run struct {
	from, to   float64    // s of its ends, mm
	z          float64    // its evidence over that of chance, in standard deviations
	hiddenMM   [2]float64 // how far the strip is hidden beyond either end
	open       [2]bool    // whether the line ends there in the open, in view
	besideCard bool       // most of it lies along the card's border
}

// follow finds the stretch over which l shows, over least chunks that are seen or more, and
// settles l on it.
func (g *strip) follow(l *stripLine, least int) (r run, ok bool) {
	// The run decides the line and the line the run: twice round settles them.
	var ev []float64
	var c0, c1, n int
	noise := g.faceEvidence(*l)
	for round := range 2 {
		ev = g.evidence(l)
		c0, c1, n = longestRun(ev, g.hidden, noise+0.5)
		if n > 0 {
			// A line that shows well ends where it shows half as well, not where chance does.
			c0, c1, n = longestRun(ev, g.hidden, min(noise+0.4*(mean(ev[c0:c1+1], g.hidden[c0:c1+1])-noise), 1.5))
		}
		if n < least {
			return r, false
		}
		if round == 0 {
			// The end of a run in the open may be on the round of a corner.
			a, b := c0, c1
			if _, open := g.beyond(c0, -1); open && n > 2*cornerChunks {
				a += cornerChunks
			}
			if _, open := g.beyond(c1, 1); open && n > 2*cornerChunks {
				b -= cornerChunks
			}
			if q := g.search(*l, 0.12, 0.01, a, b); q.z > 0 {
				*l = q
			}
			g.track(l, ev, a, b, 2)
		}
	}
	sum := 0.0
	for c := c0; c <= c1; c++ {
		if !g.hidden[c] {
			sum += ev[c] - noise
		}
	}
	r = run{from: g.s(c0) - chunkMM/2, to: g.s(c1) + chunkMM/2, z: sum / math.Sqrt(float64(n)) / g.chance[l.kind],
		besideCard: g.alongCard(l, c0, c1)}
	r.hiddenMM[0], r.open[0] = g.beyond(c0, -1)
	r.hiddenMM[1], r.open[1] = g.beyond(c1, 1)
	return r, true
}

// beyond tells how far past chunk c, the last of a run, the strip is hidden, mm, and
// whether the line ends in the open: in view, with nothing to end it.
func (g *strip) beyond(c, way int) (hiddenMM float64, open bool) {
	c += way
	for c >= 0 && c < g.chunks && g.hidden[c] {
		hiddenMM += chunkMM
		c += way
	}
	left := 0
	for ; c >= 0 && c < g.chunks && !g.hidden[c]; c += way {
		left++
	}
	return hiddenMM, hiddenMM == 0 && left >= 3
}

// alongCard tells whether most of the seen stretch from chunk c0 to c1 lies beside the card's border: its edge
// or its shadow.
func (g *strip) alongCard(l *stripLine, c0, c1 int) bool {
	near, n := 0, 0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] {
			continue
		}
		n++
		s := g.s(c)
		if g.cover.nearCard(g.at(s, l.n+l.slope*s), 1.3) {
			near++
		}
	}
	return 10*near > 6*n
}
