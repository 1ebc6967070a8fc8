package placing

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

// Point is a place on the sheet: x + iy in millimetres, y up. As complex numbers a turn is a
// product.
type Point = complex128

// Place is where a location lies.
type Place struct {
	ID string
	At Point
}

// Map is what is known of where a part's locations lie, in one frame.
type Map struct {
	Places []Place
	// Scaled is false where the picture's size is not known: its lengths are in a unit of their own.
	Scaled bool
	// Whole says that the part has no fastener that this map lacks. Without it a fastener on a
	// photo may always be one that was never entered.
	Whole bool
	// NearMM is how far a fastener may lie from its place; what lies within FarMM of it still counts
	// as another way to read the photo. In the unit of Places.
	NearMM, FarMM float64
}

// movedMM is how far one fastener may have been set from where the map has it, so that the pattern
// of all others still speaks for its location: a hole that was laid out anew, to the next line of
// the usual layouts. Ways to read a photo that need this are never proposed; they make others
// doubtful. In TestNeverWrong no proposal survives that was wrong for one that was moved.
const movedMM = 6

// way is one way to read a photo: for each fastener the index of its place, -1 for none.
type way struct {
	of      []int
	moved   bool    // one lies farther than FarMM off
	crowded bool    // another place lies within FarMM of one
	worst   float64 // the largest difference between a distance on the photo and on the map
}

// turn maps the photo to the map: p -> m p + n, with p mirrored first where flip is set. A layout
// may have been drawn from the other side of the sheet.
type turn struct {
	m, n Point
	flip bool
}

func (t turn) of(p Point) Point {
	if t.flip {
		p = cmplx.Conj(p)
	}
	return t.m*p + t.n
}

// turnBetween takes a to p and b towards q; with scaled by a turn alone, so that the middle of a
// and b comes to the middle of p and q.
func turnBetween(a, b, p, q Point, flip, scaled bool) turn {
	if flip {
		a, b = cmplx.Conj(a), cmplx.Conj(b)
	}
	m := (q - p) / (b - a)
	if scaled {
		m /= complex(cmplx.Abs(m), 0)
	}
	return turn{m, (p+q)/2 - m*(a+b)/2, flip}
}

// ways lists every way in which all fasteners lie on places of the map, at most one of them moved.
// Of one fastener alone each place is a way.
func (m *Map) ways(seen []Point) []way {
	if len(seen) == 0 || len(seen) > len(m.Places) {
		return nil
	}
	if len(seen) == 1 {
		out := make([]way, len(m.Places))
		for k := range out {
			out[k] = way{of: []int{k}}
		}
		return out
	}
	if len(seen) == 2 {
		return m.pairs(cmplx.Abs(seen[1] - seen[0]))
	}
	var out []way
	known := map[string]bool{}
	for _, base := range bases(seen) {
		for _, t := range m.turns(seen, base) {
			if w, ok := m.along(seen, t); ok && !known[fmt.Sprint(w.of)] {
				known[fmt.Sprint(w.of)] = true
				out = append(out, w)
			}
		}
	}
	return out
}

// pairs lists the ways to take two fasteners that lie so far apart, both ways round. There is only
// the one distance to tell by.
func (m *Map) pairs(apart float64) (out []way) {
	for i, p := range m.Places {
		for j, q := range m.Places {
			off := 0.0
			if m.Scaled {
				off = math.Abs(cmplx.Abs(q.At-p.At) - apart)
			}
			if i != j && off <= max(movedMM, m.FarMM) {
				out = append(out, way{of: []int{i, j}, moved: off > m.FarMM, worst: off})
			}
		}
	}
	return out
}

// bases are pairs of fasteners, far apart, from which a turn is tried. One that was moved may spoil
// a pair, so that there are two without a common fastener, or all of three.
func bases(seen []Point) [][2]int {
	var all [][2]int
	for i := range seen {
		for j := range i {
			all = append(all, [2]int{i, j})
		}
	}
	slices.SortStableFunc(all, func(a, b [2]int) int {
		return cmp.Compare(cmplx.Abs(seen[b[0]]-seen[b[1]]), cmplx.Abs(seen[a[0]]-seen[a[1]]))
	})
	if len(seen) <= 4 {
		return all
	}
	out := all[:1:1]
	for _, p := range all[1:] {
		if p[0] != out[0][0] && p[0] != out[0][1] && p[1] != out[0][0] && p[1] != out[0][1] {
			return append(out, p)
		}
	}
	return out
}

// turns are the ways to lay a pair of fasteners onto two places.
func (m *Map) turns(seen []Point, base [2]int) (out []turn) {
	a, b := seen[base[0]], seen[base[1]]
	apart := cmplx.Abs(b - a)
	if apart < 1e-6 {
		return nil
	}
	for i, p := range m.Places {
		for j, q := range m.Places {
			if i == j || p.At == q.At || m.Scaled && math.Abs(cmplx.Abs(q.At-p.At)-apart) > m.FarMM {
				continue
			}
			out = append(out, turnBetween(a, b, p.At, q.At, false, m.Scaled), turnBetween(a, b, p.At, q.At, true, m.Scaled))
		}
	}
	return out
}

// along lays all fasteners onto the map; ok is false where they don't lie on places of their own.
func (m *Map) along(seen []Point, t turn) (w way, ok bool) {
	w.of = make([]int, len(seen))
	for i, p := range seen {
		k, off, next := m.nearest(t.of(p))
		if slices.Contains(w.of[:i], k) {
			return way{}, false
		}
		w.crowded = w.crowded || next <= m.FarMM
		if off > m.FarMM {
			if w.moved || off > m.moved(t) {
				return way{}, false
			}
			w.moved = true
		}
		w.of[i] = k
	}
	w.worst = m.worst(seen, w.of, cmplx.Abs(t.m))
	return w, true
}

// moved is movedMM in the unit of the map.
func (m *Map) moved(t turn) float64 { return movedMM * cmplx.Abs(t.m) }

// nearest is the place nearest to a point, how far it is, and how far the next one is.
func (m *Map) nearest(p Point) (k int, off, next float64) {
	off, next = math.Inf(1), math.Inf(1)
	for i := range m.Places {
		by := m.Places[i].At - p
		if d := real(by)*real(by) + imag(by)*imag(by); d < off {
			k, off, next = i, d, off
		} else {
			next = min(next, d)
		}
	}
	return k, math.Sqrt(off), math.Sqrt(next)
}

// close reports whether all lie where the map has them, each nearest to one place alone.
func (m *Map) close(w way) bool { return !w.moved && !w.crowded && w.worst <= m.NearMM }

// worst is the largest difference between a distance on the photo, times scale, and on the map.
func (m *Map) worst(seen []Point, of []int, scale float64) (worst float64) {
	for i := range seen {
		for j := range i {
			if of[i] >= 0 && of[j] >= 0 {
				worst = max(worst, math.Abs(cmplx.Abs(seen[i]-seen[j])*scale-cmplx.Abs(m.Places[of[i]].At-m.Places[of[j]].At)))
			}
		}
	}
	return worst
}

// only is the way in which the photo is to be read, where there is one alone, close and with
// nothing moved. Two fasteners can always be taken the other way round.
func (m *Map) only(seen []Point) (w way, ok bool) {
	if !m.Whole || len(seen) == 2 {
		return way{}, false
	}
	ws := m.ways(seen)
	if len(ws) != 1 || !m.close(ws[0]) {
		return way{}, false
	}
	return ws[0], true
}

// partly lists the ways in which some of the fasteners, the one at fixed among them, lie on places of
// the map and the others on none: those may be new.
func (m *Map) partly(seen []Point, fixed, place int) []way {
	alone := way{of: make([]int, len(seen))}
	for i := range alone.of {
		alone.of[i] = -1
	}
	alone.of[fixed] = place
	out := []way{alone}
	for j := range seen {
		for q := range m.Places {
			apart := cmplx.Abs(seen[j] - seen[fixed])
			if j == fixed || q == place || math.Abs(cmplx.Abs(m.Places[q].At-m.Places[place].At)-apart) > m.FarMM {
				continue
			}
			for _, flip := range []bool{false, true} {
				t := turnBetween(seen[fixed], seen[j], m.Places[place].At, m.Places[q].At, flip, true)
				if w, ok := m.some(seen, t); ok && w.of[fixed] == place && !slices.ContainsFunc(out, func(o way) bool { return slices.Equal(o.of, w.of) }) {
					out = append(out, w)
				}
			}
		}
	}
	return out
}

// some lays those fasteners onto the map that lie on places.
func (m *Map) some(seen []Point, t turn) (w way, ok bool) {
	w.of = make([]int, len(seen))
	for i, p := range seen {
		k, off, next := m.nearest(t.of(p))
		w.crowded = w.crowded || next <= m.FarMM
		if off > m.FarMM {
			k = -1
		} else if slices.Contains(w.of[:i], k) {
			return way{}, false
		}
		w.of[i] = k
	}
	w.worst = m.worst(seen, w.of, 1)
	return w, true
}
