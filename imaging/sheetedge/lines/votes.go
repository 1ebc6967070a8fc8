package lines

import (
	"math"
	"slices"
)

// contrast holds the signed contrast across lines at every pixel of a view that is laid so
// that its rows lie across the lines: long rows of across pixels.
type contrast struct {
	long, across int
	kind         [2][]int16 // step and ridge, in rootUnit; 0 where masked
	scale        [2][]int64 // per block, what makes the usual contrast half a vote, times 2^voteBits
	blocks       int        // blocks in a row
	line         []uint64   // scratch of pack
	sizes        []uint32   // scratch of vote
	pair         []int16    // scratch of lay
}

const (
	voteReach = 4    // pixels to either side that a contrast is made of
	voteBlock = 16   // pixels: the side of a block in which contrast has one usual size
	voteBits  = 20   // of fraction in the factor from contrast to votes
	rootUnit  = 8191 // the root of full light: four of it fit an int16
)

// unitVote is one clipped vote, kept as 0 to 200: sums of 128 of them fit 16 bits.
const unitVote = 100

// What one kind's contrast is made of: this many times the difference of its two sides, or of
// its middle and its sides.
var contrastGain = [2]float32{2, 4}

// rootLight gives the root of l in rootUnit: it evens the noise out, shot noise grows with
// the root of the light. What isn't seen gets maskedRoot.
func rootLight(out []int16, l []float32, seen []bool) {
	for i, x := range l {
		out[i] = int16(float32(math.Sqrt(float64(x)))*rootUnit + 0.5)
		if !seen[i] {
			out[i] = maskedRoot
		}
	}
}

// maskedRoot marks what can't be sheet edge.
const maskedRoot = -1

// lay takes the picture l of roots of light, long rows of across pixels. Within voteReach of
// what is masked there is no contrast.
func (c *contrast) lay(l []int16, long, across int) {
	c.long, c.across = long, across
	for k := range c.kind {
		c.kind[k] = grow(c.kind[k], long*across)
	}
	c.pair = grow(c.pair, max(across-1, 0))
	pair := c.pair
	for j := range long {
		row := l[j*across : (j+1)*across]
		step, ridge := c.kind[0][j*across:(j+1)*across], c.kind[1][j*across:(j+1)*across]
		if across < 2*voteReach {
			clear(step)
			clear(ridge)
			continue
		}
		for i := range pair {
			pair[i] = row[i] + row[i+1]
		}
		x, y := step[:len(pair)], ridge[:len(pair)]
		for i := voteReach; i < len(pair)-(voteReach-1); i++ {
			x[i] = pair[i+1] - pair[i-2]                       // the two after the pixel, less the two before it
			y[i] = pair[i-1] + pair[i] - pair[i-4] - pair[i+3] // the middle twice and both beside it, less two on either side
		}
		blank := func(from, to int) {
			from, to = max(from, 0), min(to, across)
			clear(step[from:to])
			clear(ridge[from:to])
		}
		blank(0, voteReach)
		blank(across-voteReach, across)
		for i := 0; i < across; i++ {
			if row[i] >= 0 {
				continue
			}
			from := i
			for i < across && row[i] < 0 {
				i++
			}
			blank(from-voteReach, i+voteReach)
		}
	}
	for k := range c.kind {
		c.scale[k] = c.scales(c.kind[k], contrastGain[k]*rootUnit, c.scale[k])
	}
}

// magnitude is |x|.
func magnitude(x int16) int {
	return int(max(x, -x)) // never the one value without a positive: see rootUnit
}

// scales gives for each block the factor from contrast to votes: from the mean |contrast|
// in blocks, of which a low one of 3 × 3 is taken, which lines through some don't raise.
// One unit of x is 1/unit of a root of light.
func (c *contrast) scales(x []int16, unit float32, out []int64) []int64 {
	bw, bh := (c.across+voteBlock-1)/voteBlock, (c.long+voteBlock-1)/voteBlock
	c.blocks = bw
	mean := make([]float32, bw*bh)
	sum, count := make([]int32, bw), make([]int32, bw)
	for bj := range bh {
		clear(sum)
		clear(count)
		// Every other row does.
		for j := bj * voteBlock; j < min((bj+1)*voteBlock, c.long); j += 2 {
			row := x[j*c.across : (j+1)*c.across]
			for bi := range sum {
				var s, zeros int32
				block := row[bi*voteBlock : min((bi+1)*voteBlock, c.across)]
				for _, r := range block {
					s += int32(max(r, -r))
					if r == 0 {
						zeros++
					}
				}
				sum[bi] += s
				count[bi] += int32(len(block)) - zeros
			}
		}
		for bi, n := range count {
			if n > voteBlock*voteBlock/8 {
				mean[bj*bw+bi] = float32(sum[bi]) / float32(n) / unit
			}
		}
	}
	out = grow(out, bw*bh)
	var near [9]float32
	for bj := range bh {
		for bi := range bw {
			n := 0
			for y := max(bj-1, 0); y <= min(bj+1, bh-1); y++ {
				for x := max(bi-1, 0); x <= min(bi+1, bw-1); x++ {
					if m := mean[y*bw+x]; m > 0 {
						near[n] = m
						n++
					}
				}
			}
			size := float32(0.002) // of a root of light: half a grey level
			if n > 0 {
				slices.Sort(near[:n])
				size = max(size, near[n/3])
			}
			// Twice the mean |contrast| is about 1.6 sigma of Gaussian noise.
			out[bj*bw+bi] = int64(unitVote / (2 * size * unit) * (1 << voteBits))
		}
	}
	return out
}

// zeroVotes is a word of four votes that say nothing.
const zeroVotes = unitVote | unitVote<<16 | unitVote<<32 | unitVote<<48

// pack writes the votes of columns from c0 on to out, n words each: from the low lane on
// step and ridge, then both again with the column turned end for end.
func (c *contrast) pack(out []uint64, n, c0 int) {
	c.line = grow(c.line, c.across)
	for q := range len(out) / n {
		col := out[q*n : (q+1)*n]
		j := c0 + q
		if j >= c.long {
			for i := range col {
				col[i] = zeroVotes
			}
			continue
		}
		c.vote(j)
		line, start := c.line, col[:len(c.line)]
		for i, v := range line {
			start[i] = zeroVotes + v + line[len(line)-1-i]<<32
		}
		for i := len(line); i < n; i++ {
			col[i] = zeroVotes
		}
	}
}

// vote writes the votes of row j to the line, of both kinds in its lanes.
func (c *contrast) vote(j int) {
	const tops = 1<<15 | 1<<31
	step, ridge := c.kind[0][j*c.across:][:c.across], c.kind[1][j*c.across:][:c.across]
	// How great both are, in one word; two more at either end stand for what is beyond.
	c.sizes = grow(c.sizes, c.across+4)
	clear(c.sizes[:2])
	clear(c.sizes[2+c.across:])
	sizes := c.sizes[2:][:len(step)]
	for i, x := range step {
		sizes[i] = uint32(magnitude(x)) | uint32(magnitude(ridge[i]))<<16
	}
	sizes = c.sizes
	blocks := j / voteBlock * c.blocks
	for i0 := 0; i0 < c.across; i0 += voteBlock {
		line := c.line[i0:min(i0+voteBlock, c.across)]
		x, y := step[i0:][:len(line)], ridge[i0:][:len(line)]
		fullX, fullY := c.scale[0][blocks+i0/voteBlock], c.scale[1][blocks+i0/voteBlock]
		near := sizes[i0:][:len(line)+4]
		for i := range line {
			w := (*[5]uint32)(near[i:])
			// A lane's top bit stays where none of the four beside it is greater.
			at := w[2] | tops
			peak := (at - w[0]) & (at - w[1]) & (at - w[3]) & (at - w[4])
			// Two's complement: the sum with zeroVotes is right in its lane.
			line[i] = oneVote(x[i], fullX, peak>>15&1) + oneVote(y[i], fullY, peak>>31)<<16
		}
	}
}

// voteWeight is what a contrast counts on the flank of a line and on its top, in 1/1024: the
// flank counts a third (tuned), which keeps the line's place sharp.
var voteWeight = [2]int64{358, 1024}

// oneVote gives the vote of the contrast x, on a top (1) or a flank (0).
func oneVote(x int16, full int64, top uint32) uint64 {
	v := min(max(int64(x)*full, -unitVote<<voteBits), unitVote<<voteBits)
	return uint64((v*voteWeight[top&1]>>10 + 1<<(voteBits-1)) >> voteBits)
}

// grow gives a slice of n, in a's memory if that is enough. Its content is left over.
func grow[T any](a []T, n int) []T { return slices.Grow(a[:0], n)[:n] }
