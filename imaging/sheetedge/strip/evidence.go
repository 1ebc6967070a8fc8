package strip

import (
	"math"

	"bucktail/imaging/fit"
)

// soften turns responses into multiples of sigma of which one chunk counts at most 5: the
// order is kept, one bright speck can't carry a line. A response beside a stronger one
// counts less, so that the flanks of a strong line don't blur its place.
func (g *Strip) soften(resp []float64, sigma float64) {
	near := max(1, int(besideMM/g.h))
	from, to := g.responding()
	g.mag, g.top = grow(g.mag, to-from), grow(g.top, to-from)
	per := 1 / sigma
	for c := range g.Chunks {
		if g.hidden[c] {
			continue
		}
		row := resp[c*g.k+from : c*g.k+to]
		mag := g.mag[:len(row)]
		strong := false
		for i, x := range row {
			m := math.Abs(x) * per
			mag[i] = m
			strong = strong || m > strongResponse
		}
		if !strong {
			for i, m := range mag {
				row[i] *= per / (1 + m/5)
			}
			continue
		}
		strongest(g.top, mag, near)
		top := g.top[:len(row)]
		for i, m := range mag {
			y := per / (1 + m/5)
			if m < top[i] && top[i] > strongResponse {
				y *= m / top[i]
			}
			row[i] *= y
		}
	}
}

// A response beyond this many sigma makes those beside it count less.
const strongResponse = 3

// strongest sets top to the greatest of mag within near samples, strongResponse at least.
func strongest(top, mag []float64, near int) {
	for i := range top {
		top[i] = strongResponse
	}
	for i, m := range mag {
		if m <= strongResponse {
			continue
		}
		// A neighbour that is greater sees to all but the far end.
		j0, j1 := max(0, i-near), min(len(mag)-1, i+near)
		if i+1 < len(mag) && mag[i+1] >= m {
			j1 = i - near
		} else if i > 0 && mag[i-1] > m {
			j0 = i + near
		}
		for j := j0; j <= j1; j++ {
			top[j] = max(top[j], m)
		}
	}
}

// alongFace sets chance: how much greater than for independent chunks the sums of plain
// responses are along the lines of the sheet's own face: brushing runs along lines too.
func (g *Strip) alongFace() {
	var zs [2][]float64
	// Turned in five steps by at most 0.2 mm at the ends, so that the line at n = 0 stays out.
	turn := 0.1 / (float64(max(g.Chunks, 1)) * chunkMM / 2)
	for t := -2; t <= 2; t++ {
		sums := g.sums(turn*float64(t), g.margin, int((-faceMM-g.n0)/g.h), 0, g.Chunks-1)
		for i := 0; i < len(sums); i += 2 {
			for kind, s := range sums[i].lanes() {
				zs[kind] = append(zs[kind], math.Abs(float64(s.signed)))
			}
		}
	}
	for kind, z := range zs {
		g.chance[kind] = 1
		if len(z) > 0 {
			g.chance[kind] = max(1, fit.UpperMedian(z)/g.unit/medianSize/math.Sqrt(float64(g.seen)))
		}
	}
}

const (
	medianSize = 0.6745 // Φ⁻¹(3/4): half of all Gaussian noise is below this many sigma
	leastSigma = 0.004  // of the chunk's light, of which a grey level is some 2 %
)

// sigma gives the usual size of a chunk's response, from the inner side, where the
// sheet's own face lies; 0 where too little of that is seen.
func (g *Strip) sigma(resp []float64) float64 {
	xs := g.mag[:0]
	i1 := int((0.2 - faceMM - g.n0) / g.h)
	every := 1 + g.seen*max(i1-g.margin, 0)/300 // some 300 of them do
	i := g.margin
	for c := range g.Chunks {
		if g.hidden[c] {
			continue
		}
		for ; i < i1; i += every {
			if x := resp[c*g.k+i]; x != 0 {
				xs = append(xs, math.Abs(x))
			}
		}
		i = g.margin + (i-i1)%max(1, i1-g.margin)
	}
	g.mag = xs
	if len(xs) < 20 {
		return 0
	}
	return max(fit.UpperMedian(xs)/medianSize, leastSigma)
}

// evidence gives for each chunk how well it shows the line l: the softened response of
// l's sign, less than nothing where a stronger one lies close beside it (then the line
// only grazes another). Along one edge step and ridge may take turns, so a plain response
// of the other kind counts too.
func (g *Strip) evidence(l *Line) []float64 {
	ev := make([]float64, g.Chunks)
	near := int(math.Ceil(besideMM / g.h))
	play := max(1, int(linePlayMM/g.h))
	play2 := max(1, int(otherPlayMM/g.h))
	for c := range g.Chunks {
		if g.hidden[c] {
			continue
		}
		j := g.sample(l, c)
		if j < 1 || j >= g.k-1 {
			continue
		}
		at, beside := peakAt(g.resp[l.kind][c*g.k:(c+1)*g.k], j, play, near, l.sign)
		if beside > at+1 {
			ev[c] = min(at, 0) - 1
			continue
		}
		ev[c] = at
		at, beside = peakAt(g.resp[1-l.kind][c*g.k:(c+1)*g.k], j, play2, near, 0)
		if at > otherResponse && beside < at+0.5 {
			ev[c] = max(ev[c], at)
		}
	}
	return ev
}

// peakAt gives the greatest response for a line of that sign (0: either) within play
// samples of j, and beside that within near.
func peakAt(row []float64, j, play, near int, sign float64) (at, beside float64) {
	at, beside = noResponse, noResponse
	for i := max(0, j-near); i <= min(len(row)-1, j+near); i++ {
		x := math.Abs(row[i])
		if sign != 0 {
			x = signed(row[i], sign)
		}
		if max(i-j, j-i) <= play {
			at = max(at, x)
		} else {
			beside = max(beside, x)
		}
	}
	return at, beside
}

// What counts as evidence for a line; tuned with the strip's other constants.
const (
	linePlayMM    = 0.08         // how far from the line a response of its kind may lie
	otherPlayMM   = 0.13         // and one of the other kind: a step's middle and a rim line's lie half a rim apart
	otherResponse = 1.8          // what a chunk must respond with in the other kind to count
	noResponse    = -maxResponse // where the strip ends: no response is less
)

// Evidence of a chunk, in sigma: below minEvidence it has no say in the line's place, below
// trackEvidence it can't tell where the line is on its own.
const minEvidence, trackEvidence = 0.3, 1.5

// longestRun gives the stretch with the greatest sum of evidence over a level, hidden
// chunks counting nothing, and how many seen chunks it has.
func longestRun(evidence []float64, hidden []bool, level float64) (c0, c1, seen int) {
	best, sum, start := 0.0, 0.0, -1
	c0, c1 = 0, -1
	for c, e := range evidence {
		if hidden[c] {
			continue
		}
		if start < 0 || sum <= 0 {
			sum, start = 0, c
		}
		sum += e - level
		if sum > best {
			best, c0, c1 = sum, start, c
		}
	}
	for c := c0; c <= c1; c++ {
		if !hidden[c] {
			seen++
		}
	}
	return c0, c1, seen
}

// mean gives the mean evidence of the chunks that are seen, 0 if there are none.
func mean(evidence []float64, hidden []bool) float64 {
	sum, n := 0.0, 0
	for c, e := range evidence {
		if !hidden[c] {
			sum += e
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// faceEvidence gives the mean evidence that chance makes for a line like l: along lines
// beside it on the sheet's own face.
func (g *Strip) faceEvidence(l Line) float64 {
	sum, n := 0.0, 0
	for _, shiftMM := range [4]float64{1.0, 1.2, 1.4, 1.6} { // between the line's own width and the strip's inner end
		m := l
		m.N -= shiftMM
		ev := g.evidence(&m)
		for c, e := range ev {
			if !g.hidden[c] && e > -4 && e != 0 {
				sum += e
				n++
			}
		}
	}
	return max(0, sum/float64(max(n, 1)))
}
