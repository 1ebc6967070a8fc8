package feature

import "slices"

// contrast holds the signed contrast across lines at every pixel of a view that is laid so
// that its rows lie across the lines: long rows of across pixels.
type contrast struct {
	long, across int
	kind         [2][]float32 // step and ridge; 0 where masked
	scale        [2][]float32 // per block, what makes the usual contrast half a vote
	blocks       int          // blocks in a row
}

const (
	voteReach = 4
	voteBlock = 16
)

// newContrast takes the picture l and what is masked of it, long rows of across pixels.
func newContrast(l []float32, masked []bool, long, across int) *contrast {
	c := &contrast{long: long, across: across}
	bad := make([]bool, across)
	for k := range c.kind {
		c.kind[k] = make([]float32, long*across)
	}
	for j := range long {
		row := l[j*across : (j+1)*across]
		clear(bad)
		for i, m := range masked[j*across : (j+1)*across] {
			if m {
				for q := max(0, i-voteReach); q <= min(across-1, i+voteReach); q++ {
					bad[q] = true
				}
			}
		}
		step, ridge := c.kind[0][j*across:(j+1)*across], c.kind[1][j*across:(j+1)*across]
		for i := voteReach; i < across-voteReach; i++ {
			if bad[i] {
				continue
			}
			w := row[i-4 : i+5]
			step[i] = (w[5] + w[6] - w[3] - w[2]) / 2
			ridge[i] = (w[3] + 2*w[4] + w[5] - w[0] - w[1] - w[7] - w[8]) / 4
		}
	}
	for k := range c.kind {
		c.scale[k] = c.scales(c.kind[k])
	}
	return c
}

// scales gives for each block the factor from contrast to votes: from the mean |contrast|
// in blocks, of which a low one of 3 × 3 is taken, which lines through some don't raise.
func (c *contrast) scales(x []float32) []float32 {
	bw, bh := (c.across+voteBlock-1)/voteBlock, (c.long+voteBlock-1)/voteBlock
	c.blocks = bw
	mean := make([]float32, bw*bh)
	count := make([]int, bw)
	for bj := range bh {
		clear(count)
		sum := mean[bj*bw : (bj+1)*bw]
		for j := bj * voteBlock; j < min((bj+1)*voteBlock, c.long); j++ {
			for i, r := range x[j*c.across : (j+1)*c.across] {
				if r != 0 {
					sum[i/voteBlock] += max(r, -r)
					count[i/voteBlock]++
				}
			}
		}
		for i := range sum {
			if count[i] > voteBlock*voteBlock/4 {
				sum[i] /= float32(count[i])
			} else {
				sum[i] = 0
			}
		}
	}
	out := make([]float32, bw*bh)
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
			out[bj*bw+bi] = unitVote / (2 * size)
		}
	}
	return out
}

// zeroVotes is a word of four votes that say nothing.
const zeroVotes = unitVote | unitVote<<16 | unitVote<<32 | unitVote<<48

// pack writes the votes of stripPx columns from c0 on to out, n words each: from the low
// lane on step and ridge, then both again with the column turned end for end.
func (c *contrast) pack(out []uint64, n, c0 int) {
	for q := range stripPx {
		col := out[q*n : (q+1)*n]
		for i := range col {
			col[i] = zeroVotes
		}
		j := c0 + q
		if j >= c.long {
			continue
		}
		for k := range 2 {
			x := c.kind[k][j*c.across : (j+1)*c.across]
			scale := c.scale[k][j/voteBlock*c.blocks:]
			up, down := 16*k, 32+16*k
			for i := 2; i < len(x)-2; i++ {
				r := x[i]
				if r == 0 {
					continue
				}
				v := r * scale[i/voteBlock]
				v = min(max(v, -unitVote), unitVote)
				// The flank of a line counts little: that keeps its place sharp.
				m := max(r, -r)
				w := x[i-2 : i+3]
				if max(w[0], -w[0]) > m || max(w[1], -w[1]) > m || max(w[3], -w[3]) > m || max(w[4], -w[4]) > m {
					v *= 0.35
				}
				vote := uint64(int(v)) // two's complement: the sum with zeroVotes is right in its lane
				col[i] += vote << up
				col[len(x)-1-i] += vote << down
			}
		}
	}
}
