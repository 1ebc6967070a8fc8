package placing

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
)

// Point is a place on the sheet: x + iy in millimetres, y up. As complex numbers a turn is a
// product.
type Point = complex128

// Place is where a location lies.
type Place struct {
	ID    string
	At    Point
	Edges []Edge // of the sheet near it, where they are known
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
	// OneSide says that the map was seen from the side of the sheet from which the photo was taken:
	// then it is not laid over the photo the other way up.
	OneSide bool
	// MovedMM is how far one fastener may have been set from where the map has it, so that the pattern
	// of all others still speaks for its location; 0: none farther than FarMM. In millimetres.
	MovedMM float64
}

// flips lists whether the map may lie over a photo as it is, and turned over.
func (m *Map) flips() []bool {
	if m.OneSide {
		return []bool{false}
	}
	return []bool{false, true}
}

// movedMM is [Map.MovedMM] of pins, of marks and of pilot holes: a hole that was laid out anew, to the
// next line of the usual layouts. Ways to read a photo that need this are never proposed; they make
// others doubtful. What was measured stays where it is, for no hole moves; but see ofThree.
const movedMM = 8

// way is one way to read a photo: for each fastener the index of its place, -1 for none.
type way struct {
	of      []int
	moved   bool    // one lies farther than FarMM off
	crowded bool    // another place lies within FarMM of one
	worst   float64 // the largest difference between a distance on the photo and on the map
}

// key is the same for ways that say the same.
func (w way) key() string {
	b := make([]byte, 0, 64)
	for _, k := range w.of {
		b = append(b, byte(k), byte(k>>8))
	}
	return string(b)
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
			if w, ok := m.along(seen, t); ok && !known[w.key()] {
				known[w.key()] = true
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
			if i != j && off <= max(m.MovedMM, m.FarMM) {
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
			for _, flip := range m.flips() {
				out = append(out, turnBetween(a, b, p.At, q.At, flip, m.Scaled))
			}
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

// moved is MovedMM in the unit of the map.
func (m *Map) moved(t turn) float64 { return m.MovedMM * cmplx.Abs(t.m) }

// farthestMM is farther than any fastener was set from where it was known to be: one that lies as far
// from all known locations is a new one.
const farthestMM = 12

// loose is the map for what is asked and for what follows from an answer: whatever was moved is a way then.
func (m *Map) loose() *Map {
	l := *m
	l.MovedMM = farthestMM
	return &l
}

// ofThree is the map for proposing. Three have so little pattern that with one of them moved they may be
// their own mirror image, or others: whatever was moved, and also where the map holds that none moves,
// that is a way then.
func (m *Map) ofThree(p Photo) *Map {
	if len(p.Seen) != 3 {
		return m
	}
	return m.loose()
}

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
			for _, flip := range m.flips() {
				t := turnBetween(seen[fixed], seen[j], m.Places[place].At, m.Places[q].At, flip, true)
				if w, ok := m.some(seen, t); ok && w.of[fixed] == place && !slices.ContainsFunc(out, func(o way) bool { return slices.Equal(o.of, w.of) }) {
					out = append(out, w)
				}
			}
		}
	}
	return out
}

// free is how far each fastener lies at least from the nearest place that no other one takes, whichever
// way the photo is turned where only one is on the map. It is nil where locations are listed whose places
// nobody knows: then any may be one of these.
func (m *Map) free(seen []Point, w way, k Known) []float64 {
	if len(k.Listed) > 0 || slices.ContainsFunc(k.Maps, func(o Map) bool {
		return slices.ContainsFunc(o.Places, func(l Place) bool { return !m.has(l.ID) })
	}) {
		return nil
	}
	base := slices.IndexFunc(w.of, func(at int) bool { return at >= 0 })
	out := make([]float64, len(seen))
	for i := range out {
		out[i] = math.Inf(1)
		for at, l := range m.Places {
			if slices.Contains(w.of, at) {
				continue
			}
			apart := math.Abs(cmplx.Abs(seen[i]-seen[base]) - cmplx.Abs(l.At-m.Places[w.of[base]].At))
			out[i] = min(out[i], apart)
		}
	}
	return out
}

func (m *Map) has(id string) bool {
	return slices.ContainsFunc(m.Places, func(l Place) bool { return l.ID == id })
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
