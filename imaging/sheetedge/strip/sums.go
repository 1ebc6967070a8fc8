package strip

import "math"

// pack readies the responses for sums.
func (g *Strip) pack() {
	// So that the sum over all chunks fits: 5 to 65535, and 2.4 to 32767.
	g.unit = 65000 / maxResponse / float64(max(g.Chunks, 13))
	limit, offset := plainResponse*g.unit, math.Floor(maxResponse*g.unit+1)
	from, to := g.responding()
	g.words = grow(g.words, len(g.light))
	step, ridge := g.resp[0], g.resp[1]
	for c := range g.Chunks {
		if g.hidden[c] {
			continue
		}
		clear(g.words[c*g.k : c*g.k+from])
		clear(g.words[c*g.k+to : (c+1)*g.k])
		words := g.words[c*g.k+from : c*g.k+to]
		a, b := step[c*g.k+from:][:len(words)], ridge[c*g.k+from:][:len(words)]
		for i := range words {
			words[i] = lane(a[i]*g.unit, limit, offset) + lane(b[i]*g.unit, limit, offset)<<32
		}
	}
}

// sums adds the responses along the lines of that slope that start at samples i0 to i1,
// over chunks c0 to c1. The results are good until the next call.
func (g *Strip) sums(slope float64, i0, i1, c0, c1 int) []lineSum {
	n := i1 - i0 + 1
	if n <= 0 {
		return nil
	}
	g.total = grow(g.total, n)
	clear(g.total)
	for c := c0; c <= c1; c++ {
		if g.hidden[c] {
			continue
		}
		shift := i0 + int(math.Round(slope*g.s(c)/g.h))
		from, to := max(0, -shift), min(n, g.k-shift)
		if from >= to {
			continue
		}
		row := g.words[c*g.k+from+shift : c*g.k+to+shift]
		total := g.total[from:to]
		total = total[:len(row)]
		for i, y := range row {
			total[i] += y
		}
	}
	return g.total
}
