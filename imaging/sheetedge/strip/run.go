package strip

import "math"

// How many chunks at an open end may lie on a corner's round.
const cornerChunks = 4

// Run is the stretch of a line that shows in a strip.
type Run struct {
	From, To   float64    // s of its ends, mm
	Z          float64    // its evidence over that of chance, in standard deviations
	HiddenMM   [2]float64 // how far the strip is hidden beyond either end
	Open       [2]bool    // whether the line ends there in the open, in view
	BesideCard bool       // most of it lies along the card's border
}

// Follow finds the stretch over which l shows, leastMM of it in sight or more, and settles l
// on it.
func (g *Strip) Follow(l *Line, leastMM float64) (r Run, ok bool) {
	// The run decides the line and the line the run: twice round settles them.
	var ev []float64
	var c0, c1, n int
	noise := g.faceEvidence(*l)
	for round := range 2 {
		ev = g.evidence(l)
		c0, c1, n = longestRun(ev, g.hidden, noise+0.5)
		if n > 0 {
			// A line that shows well ends where it shows less than half as well, not where chance does.
			c0, c1, n = longestRun(ev, g.hidden, min(noise+0.4*(mean(ev[c0:c1+1], g.hidden[c0:c1+1])-noise), trackEvidence))
		}
		if float64(n)*chunkMM < leastMM {
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
			if q := g.search(*l, 0.12, 0.01, a, b); q.Z > 0 {
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
	r = Run{From: g.s(c0) - chunkMM/2, To: g.s(c1) + chunkMM/2, Z: sum / math.Sqrt(float64(n)) / g.chance[l.kind],
		BesideCard: g.alongCard(l, c0, c1)}
	r.HiddenMM[0], r.Open[0] = g.beyond(c0, -1)
	r.HiddenMM[1], r.Open[1] = g.beyond(c1, 1)
	return r, true
}

// beyond tells how far past chunk c, the last of a run, the strip is hidden, mm, and
// whether the line ends in the open: in view, with nothing to end it.
func (g *Strip) beyond(c, way int) (hiddenMM float64, open bool) {
	c += way
	for c >= 0 && c < g.Chunks && g.hidden[c] {
		hiddenMM += chunkMM
		c += way
	}
	left := 0
	for ; c >= 0 && c < g.Chunks && !g.hidden[c]; c += way {
		left++
	}
	return hiddenMM, hiddenMM == 0 && left >= 3
}

// besideCardMM is how far beside the card its edge and its shadow lie.
const besideCardMM = 1.3

// alongCard tells whether most of the seen stretch from chunk c0 to c1 lies beside the card's
// border: its edge or its shadow.
func (g *Strip) alongCard(l *Line, c0, c1 int) bool {
	near, n := 0, 0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] {
			continue
		}
		n++
		s := g.s(c)
		if g.cover.NearCard(g.At(s, l.N+l.Slope*s), besideCardMM) {
			near++
		}
	}
	return 10*near > 6*n // six in ten
}
