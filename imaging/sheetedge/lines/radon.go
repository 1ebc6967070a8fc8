package lines

// All sums of a signed contrast along straight stretches of stripPx columns, and of half
// as many, are made by the approximate discrete Radon transform: sums over 2n columns from
// two of n, every slope and offset, n log n work. At 0.1 mm a pixel 128 columns are
// 12.8 mm; a short edge shows in a half.
// Four sums go in one word: step and ridge, rising and falling lines.
//
// Source: M. L. Brady, SIAM J. Comput. 27 (1998) 107-119; W. A. Goetz and H. J. Druckmueller,
// Pattern Recognition 29 (1996) 711-718 (both from memory).
const (
	stripPx  = 128
	seedZ    = 3.5 // chance gives a few of these a photo, the full picture sorts them
	perStrip = 12  // best seeds kept of a strip, slope sign and kind of contrast
	maxSeeds = 50
)

// radonStep makes the sums over blocks of 2 width columns from those over width columns.
// Of a block from column c on, from[(c+s)*n + y] is the sum along the line that starts at y
// in the first column and rises by s pixels to the last.
func radonStep(from, to []uint64, n, width int) {
	for c := 0; c+2*width <= len(from)/n; c += 2 * width {
		for s := range width {
			left := from[(c+s)*n : (c+s+1)*n]
			right := from[(c+width+s)*n : (c+width+s+1)*n]
			for odd := range 2 {
				d := to[(c+2*s+odd)*n : (c+2*s+odd+1)*n]
				r := right[s+odd:]
				lo, sum := left[:len(r)], d[:len(r)]
				for y := range sum {
					sum[y] = lo[y] + r[y]
				}
				// beyond the end all votes are nought
				for y := len(r); y < n; y++ {
					d[y] = left[y] + uint64(width)*zeroVotes
				}
			}
		}
	}
}

// radonSteps is two of radonStep, from blocks of width columns to blocks of 4 width, in one
// pass over the memory.
func radonSteps(from, to []uint64, n, width int) {
	for c := 0; c+4*width <= len(from)/n; c += 4 * width {
		for t := range 2 * width { // what the line rises by in each half of the block
			s, up := t/2, t-t/2 // and in each quarter; up to the next quarter
			var q [4][]uint64
			for i := range q {
				q[i] = from[(c+i*width+s)*n:][:n]
			}
			d0, d1 := to[(c+2*t)*n:][:n], to[(c+2*t+1)*n:][:n]
			inside := max(0, n-up-t-1)
			if inside > 0 {
				sum0, sum1 := d0[:inside], d1[:inside]
				q0, q1, q2, q3 := q[0][:inside], q[1][up:][:inside], q[2][t+1:][:inside], q[3][t+up+1:][:inside]
				right := q[2][t] + q[3][t+up]
				for y := range sum0 {
					left := q0[y] + q1[y]
					sum0[y] = left + right
					right = q2[y] + q3[y]
					sum1[y] = left + right
				}
			}
			at := func(i, y int) uint64 {
				if y < n {
					return q[i][y]
				}
				return uint64(width) * zeroVotes // beyond the end all votes are nought
			}
			for y := inside; y < n; y++ {
				left := q[0][y] + at(1, y+up)
				d0[y] = left + at(2, y+t) + at(3, y+t+up)
				d1[y] = left + at(2, y+t+1) + at(3, y+t+up+1)
			}
		}
	}
}
