package feature

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
}

const (
	voteReach = 4
	voteBlock = 16
	voteBits  = 20
	rootUnit  = 8191 // the root of full light: four of it fit an int16
)

// What one kind's contrast is made of: this many times the difference of the sides.
var contrastGain = [2]float32{2, 4}

// rootLight gives the root of l in rootUnit: it evens the noise out, shot noise grows with
// the root of the light.
func rootLight(out []int16, l []float32) {
	for i, x := range l {
		out[i] = int16(float32(math.Sqrt(float64(x)))*rootUnit + 0.5)
	}
}

// lay takes the picture l and what is masked of it, long rows of across pixels.
func (c *contrast) lay(l []int16, masked []bool, long, across int) {
	c.long, c.across = long, across
	for k := range c.kind {
		c.kind[k] = grow(c.kind[k], long*across)
	}
	for j := range long {
		row, bad := l[j*across:(j+1)*across], masked[j*across:(j+1)*across]
		step, ridge := c.kind[0][j*across:(j+1)*across], c.kind[1][j*across:(j+1)*across]
		if across < 2*voteReach {
			clear(step)
			clear(ridge)
			continue
		}
		for i := voteReach; i < across-voteReach; i++ {
			w := row[i-4 : i+5 : i+5]
			step[i] = w[5] + w[6] - w[3] - w[2]
			ridge[i] = w[3] + 2*w[4] + w[5] - w[0] - w[1] - w[7] - w[8]
		}
		blank := func(from, to int) {
			from, to = max(from, 0), min(to, across)
			clear(step[from:to])
			clear(ridge[from:to])
		}
		blank(0, voteReach)
		blank(across-voteReach, across)
		for i := 0; i < across; i++ {
			if !bad[i] {
				continue
			}
			from := i
			for i < across && bad[i] {
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

// pack writes the votes of columns from c0 on to out, n words each: from the low lane on step and ridge, then both again with the column turned end for end.
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
		clear(c.line)
		for k := range 2 {
			c.vote(c.kind[k][j*c.across:(j+1)*c.across], c.scale[k][j/voteBlock*c.blocks:], 16*k)
		}
		last := len(c.line) - 1
		for i, v := range c.line {
			col[i] = zeroVotes + v + c.line[last-i]<<32
		}
		for i := len(c.line); i < n; i++ {
			col[i] = zeroVotes
		}
	}
}

// vote adds the votes of one row of contrasts to the line, in the lane from bit shift on.
func (c *contrast) vote(x []int16, scale []int64, shift int) {
	for i0 := 0; i0 < len(x); i0 += voteBlock {
		full := scale[i0/voteBlock]
		from, to := max(i0, 2), min(i0+voteBlock, len(x)-2)
		if from >= to {
			continue
		}
		m1, m2, m3 := magnitude(x[from-1]), magnitude(x[from]), magnitude(x[from+1])
		before := max(magnitude(x[from-2]), m1)
		w := x[from:to]
		line, ahead := c.line[from:][:len(w)], x[from+2:][:len(w)]
		for i, y := range w {
			m4 := magnitude(ahead[i])
			v := min(max(int64(y)*full, -unitVote<<voteBits), unitVote<<voteBits)
			// The flank of a line counts little (0.35): that keeps its place sharp.
			flank := v * 358 >> 10
			if max(before, m3, m4) > m2 {
				v = flank
			}
			before = max(m1, m2)
			m1, m2, m3 = m2, m3, m4
			// Two's complement: the sum with zeroVotes is right in its lane.
			line[i] += uint64((v+1<<(voteBits-1))>>voteBits) << shift
		}
	}
}
