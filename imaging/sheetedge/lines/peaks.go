package lines

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
)

// search is a search for lines in a view.
type search struct {
	view *rectified.View
	keep func(Segment) bool // tells which lines are wanted
}

// radonMemory is the memory of the line sums in one direction.
type radonMemory struct {
	contrast contrast
	votes    [2][]uint64
	row      []uint64
	found    [4][]radonPeak
	taken    []radonPeak
}

// radonPeak is a line of a block of columns: it starts at y in the first and rises by s to
// the last. The greater its strength, the greater the word.
type radonPeak uint64

func newRadonPeak(s, y int, z float64) radonPeak {
	return radonPeak(math.Float32bits(float32(z)))<<32 | radonPeak(s)<<16 | radonPeak(y)
}

func (p radonPeak) line() (s, y int) { return int(p >> 16 & 0xffff), int(p & 0xffff) }

func (p radonPeak) z() float64 { return float64(math.Float32frombits(uint32(p >> 32))) }

// The four lanes of a word.
const (
	laneOnes = 1 | 1<<16 | 1<<32 | 1<<48
	laneTops = laneOnes << 15
	laneLow  = 0xffff | 0xffff<<32
)

// laneAbs gives |w - nought| in each lane; w and nought below 2^15.
func laneAbs(w, nought uint64) uint64 {
	d := (w | laneTops) - nought // the top bit stays where w >= nought
	neg := d>>15&laneOnes ^ laneOnes
	return (d^(neg<<15-neg))&^laneTops + neg
}

// laneAbsAll writes laneAbs of all of a to out and gives their totals: of lanes 0 and 2, and of
// lanes 1 and 3, 32 bits each.
func laneAbsAll(out, a []uint64, nought uint64) (even, odd uint64) {
	out = out[:len(a)]
	// Four times the greatest sum still fits a lane, see unitVote.
	i := 0
	for ; i+4 <= len(a); i += 4 {
		p, q := a[i:i+4:i+4], out[i:i+4:i+4]
		w, x, y, z := laneAbs(p[0], nought), laneAbs(p[1], nought), laneAbs(p[2], nought), laneAbs(p[3], nought)
		q[0], q[1], q[2], q[3] = w, x, y, z
		sum := w + x + y + z
		even += sum & laneLow
		odd += sum >> 16 & laneLow
	}
	for ; i < len(a); i++ {
		x := laneAbs(a[i], nought)
		out[i] = x
		even += x & laneLow
		odd += x >> 16 & laneLow
	}
	return even, odd
}

// peaks adds the strongest lines of one block of columns from c0 on, of each lane, that
// are wanted.
func (f *search) peaks(m *radonMemory, sums []uint64, n, across, c0 int, upright bool, out []Segment) []Segment {
	found := &m.found
	for lane := range found {
		found[lane] = found[lane][:0]
	}
	columns := len(sums) / n
	nought := uint64(unitVote*columns) * laneOnes
	m.row = grow(m.row, across)
	row := m.row
	for s := range columns {
		even, odd := laneAbsAll(row, sums[s*n:s*n+across], nought)
		var sigma [4]float64
		limits := uint64(laneTops) // less the least that counts, in each lane
		for lane, total := range [4]uint64{even & 0xffffffff, odd & 0xffffffff, even >> 32, odd >> 32} {
			// 1.25 times the mean of |x| is sigma for Gaussian noise; texture along this slope
			// raises it. At least what independent votes of the usual size would give.
			sigma[lane] = max(1.25*float64(total)/float64(across), 0.3*unitVote*math.Sqrt(float64(columns)))
			limits -= uint64(min(seedZ*sigma[lane], 32767)) << (16 * lane)
		}
		for y := 1; y < across-1; y++ {
			over := (row[y] + limits) & laneTops
			if over == 0 {
				continue
			}
			for lane := range found {
				x := row[y] >> (16 * lane) & 0xffff
				if over>>(16*lane)&0x8000 != 0 && x >= row[y-1]>>(16*lane)&0xffff && x >= row[y+1]>>(16*lane)&0xffff {
					found[lane] = append(found[lane], newRadonPeak(s, y, float64(x)/sigma[lane]))
				}
			}
		}
	}
	for lane := range found {
		out = f.choose(m, found[lane], columns, across, c0, lane, upright, out)
	}
	return out
}

// choose adds the strongest of one lane's peaks to out, one for each line.
func (f *search) choose(m *radonMemory, found []radonPeak, columns, across, c0, lane int, upright bool, out []Segment) []Segment {
	slices.Sort(found)
	start := len(out)
	taken := m.taken[:0]
next:
	for _, p := range slices.Backward(found) {
		s, y := p.line()
		for _, t := range taken {
			// The same line if both ends are within four pixels, or both cross in its middle at
			// less than a fifth.
			ts, ty := t.line()
			if abs(y-ty) <= 4 && abs(y+s-ty-ts) <= 4 || abs(2*y+s-2*ty-ts) <= 4 && abs(s-ts) <= 24 {
				continue next
			}
		}
		at := func(c, y int) geom.SheetPoint {
			if lane >= 2 {
				y = across - 1 - y
			}
			if upright {
				return f.view.Sheet(float64(y), float64(c0+c))
			}
			return f.view.Sheet(float64(c0+c), float64(y))
		}
		taken = append(taken, p)
		line := Segment{A: at(0, y), B: at(columns-1, y+s), Z: p.z()}
		if !f.keep(line) {
			continue
		}
		out = append(out, line)
		if len(out)-start == perStrip {
			break
		}
	}
	m.taken = taken
	return out
}

func abs(x int) int { return max(x, -x) }
