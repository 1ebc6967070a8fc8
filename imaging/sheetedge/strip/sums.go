package strip

import "math"

// stripSums holds a strip's softened responses ready to be added along many lines: those
// of both kinds in one word.
type stripSums struct {
	words []lineSum // chunks × k
	unit  float64   // of a lane
	total []lineSum // scratch
	top   []float64 // scratch
}

// lineSum is four sums in one word, from the low end on 16 bits each: of the step's plain
// responses' magnitudes and of its others, then the same of the ridge. Sums of plain ones
// are unsigned, the others in two's complement, borrowing from the lane above.
type lineSum int64

// kindSum is what one kind of contrast gives along a line, in the strip's unit: for a line
// of either sign plain, and signed more for the one and less for the other.
type kindSum struct{ plain, signed int }

// lanes takes the sums apart.
func (w lineSum) lanes() (k [2]kindSum) {
	for i := range k {
		plain := w & 0xffff
		w >>= 16
		signed := lineSum(int16(w))
		w = (w - signed) >> 16
		k[i] = kindSum{int(plain), int(signed)}
	}
	return k
}

// A softened response beyond this is hardly chance, so its sign is free: what lies outside
// of an edge may be darker here and brighter there.
const plainResponse = 2.4

// maxResponse is what soften lets through at most.
const maxResponse = 5

// signed gives how much a softened response says for a line of that sign.
func signed(y, sign float64) float64 {
	if y > plainResponse || y < -plainResponse {
		return math.Abs(y)
	}
	return sign * y
}

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

// lane gives one kind's two lanes of a response x; offset is whole and more than any response.
func lane(x, limit, offset float64) lineSum {
	n := lineSum(x+offset+0.5) - lineSum(offset)
	if x > limit || x < -limit {
		return max(n, -n)
	}
	return n << 16
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
