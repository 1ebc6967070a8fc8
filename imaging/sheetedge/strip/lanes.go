package strip

import "math"

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

// lane gives one kind's two lanes of a response x; offset is whole and more than any response.
func lane(x, limit, offset float64) lineSum {
	n := lineSum(x+offset+0.5) - lineSum(offset)
	if x > limit || x < -limit {
		return max(n, -n)
	}
	return n << 16
}
