package placing

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"
	"strings"
)

// ways lists what the photo may show, given what was said of it: on maps, and along the list of
// locations whose places nobody knows.
func (p Photo) ways(k Known) (out []reading) {
	known := map[string]bool{}
	add := func(is []string, near bool, free []float64, strain float64) {
		if key := strings.Join(is, " "); !known[key] {
			known[key] = true
			out = append(out, reading{is, near, free, strain})
		}
	}
	whole := slices.ContainsFunc(k.Maps, func(m Map) bool { return m.Whole }) // none is new
	for m := range k.Maps {
		mp := &k.Maps[m]
		one := mp.oneOfThree(p)
		for _, w := range p.on(mp.loose(), k) {
			if w.moved && !mp.Scaled && len(p.said()) > 0 && !one {
				continue // with a scale of its own nearly any three are like any others, one moved
			}
			strain := 0.0
			if !mp.Scaled {
				strain = w.worst / mp.NearMM
			}
			add(mp.ids(w), mp.close(w), nil, strain)
		}
		if mp.Whole || !mp.Scaled || whole {
			continue
		}
		for _, i := range p.said() {
			if at := slices.IndexFunc(mp.Places, func(l Place) bool { return l.ID == p.Said[i] }); at >= 0 {
				for _, w := range mp.partly(p.Seen, i, at) {
					add(mp.ids(w), mp.close(w), mp.free(p.Seen, w, k), 0)
				}
			}
		}
	}
	for _, w := range p.along(k) {
		add(w, true, nil, 0)
	}
	if len(out) == 0 {
		for _, w := range p.alongSketches(k) {
			add(w, true, nil, 0)
		}
	}
	return out
}

// alongSketches lists the ways to read a row along pins that were set in a row at a guess, where
// the pitches fit none of them.
func (p Photo) alongSketches(k Known) (out [][]string) {
	for _, m := range k.Maps {
		if m.Scaled || len(m.Places) < 2 {
			continue
		}
		at := make([]Point, len(m.Places))
		for i, l := range m.Places {
			at[i] = l.At
		}
		var list []string
		for _, i := range inRow(at, m.FarMM) {
			list = append(list, m.Places[i].ID)
		}
		out = append(out, p.runs(list)...)
	}
	return out
}

// rowMM is how far the fasteners of a row may lie off its line.
const rowMM = 4

// along lists the ways to read a row along the locations that were wanted, else along the list of
// those that lie nobody knows where, up and down. Fasteners that stand in no row are in no order.
func (p Photo) along(k Known) (out [][]string) {
	list := k.Listed
	if len(p.Wanted) > 0 {
		list = p.Wanted
		if !slices.ContainsFunc(list, func(id string) bool { return slices.Contains(k.Listed, id) }) {
			return nil // where they lie is known, so that the pattern tells
		}
	}
	return p.runs(list)
}

// runs lists the ways to read a row along a list, up and down.
func (p Photo) runs(list []string) (out [][]string) {
	n := len(p.Seen)
	order := inRow(p.Seen, rowMM)
	if order == nil || n > len(list) {
		return nil
	}
	for from := 0; from+n <= len(list); from++ {
		up, down := make([]string, n), make([]string, n)
		for place, i := range order {
			up[i], down[i] = list[from+place], list[from+n-1-place]
		}
		out = append(out, up, down)
	}
	return out
}

// inRow is the order of fasteners that stand in a row, nil where they don't.
func inRow(seen []Point, offMM float64) []int {
	order := make([]int, len(seen))
	for i := range order {
		order[i] = i
	}
	if len(seen) < 2 {
		return order
	}
	ends := bases(seen)[0]
	a, b := seen[ends[1]], seen[ends[0]]
	along := (b - a) / complex(cmplx.Abs(b-a), 0)
	for _, q := range seen {
		if off := imag((q - a) * cmplx.Conj(along)); off > offMM || off < -offMM {
			return nil
		}
	}
	at := func(i int) float64 { return real((seen[i] - a) * cmplx.Conj(along)) }
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(at(i), at(j)) })
	return order
}

// oneOfThree tells of a photo of three, one of which was said, and a sketch of more than one row: the other
// two may then be any, with one of them moved, so that one more has to be said.
func (m *Map) oneOfThree(p Photo) bool {
	if m.Scaled || len(p.Seen) != 3 || len(p.said()) != 1 || len(m.Places) == 0 {
		return false
	}
	a := m.Places[0].At
	b := slices.MaxFunc(m.Places, func(x, y Place) int { return cmp.Compare(cmplx.Abs(x.At-a), cmplx.Abs(y.At-a)) }).At
	return slices.ContainsFunc(m.Places, func(l Place) bool {
		return math.Abs(imag((l.At-a)*cmplx.Conj(b-a))) > m.FarMM*cmplx.Abs(b-a)
	})
}
