package placing

import (
	"cmp"
	"math/cmplx"
	"slices"
	"strings"
)

// What a fastener on a photo may be besides a location that is known.
const (
	New  = "new"  // one that was not entered yet
	None = "none" // not to be kept
)

// Photo is what a photo shows and what was said of it.
type Photo struct {
	Seen []Point // all fasteners that were read
	// Said is what a person said of each: a location's id, [New], [None], "" nothing. As long as
	// Seen.
	Said []string
	// Wanted are the locations for which the photo was taken, in the order in which they are to be
	// read; none where that was left open.
	Wanted []string
}

// Known is what is known of a part.
type Known struct {
	Maps []Map
	// Listed are locations of which nobody knows where they lie, in the order of their tags.
	Listed []string
	// Against reports that something else speaks against a fastener being a location.
	Against func(seen int, location string) bool
}

// Answer says which location each fastener is, and what is to be asked.
type Answer struct {
	// Is has for each fastener a location's id, [New] or [None]; "" where it must be asked.
	Is []string
	// Ask is the fastener to ask about first, -1 for none. Which may it be: Of lists locations, the
	// likely ones where the pattern leaves only these; New says that it may be none of them.
	Ask int
	Of  []string
	New bool
	// Which is the one wanted location of which several fasteners may be it, "" otherwise: asked is
	// not which location a fastener is, but which fastener the location is.
	Which string
	// Unlike says that what was said does not fit the pattern that is known.
	Unlike bool
}

// Match reads a photo.
func Match(p Photo, k Known) Answer {
	a := Answer{Is: slices.Clone(p.Said), Ask: -1}
	open := a.open()
	switch {
	case len(open) == 0:
		return a
	case len(p.Wanted) == 1:
		return a.wanted(p, k)
	case len(k.Maps) == 0 && len(k.Listed) == 0: // the first photo of a part: all are new
		for _, i := range open {
			a.Is[i] = New
		}
		return a
	}
	rest, index := p.kept()
	if said := rest.said(); len(said) == 0 {
		if is, ok := proposed(rest, k); ok {
			for j, i := range index {
				a.Is[i] = is[j]
			}
			return a
		}
	}
	ways := rest.ways(k)
	fits := slices.DeleteFunc(slices.Clone(ways), func(w reading) bool { return !rest.agrees(w) })
	a.Unlike = len(ways) > 0 && len(fits) == 0 && slices.ContainsFunc(rest.Said, func(s string) bool { return s != "" && s != New })
	for j, i := range index {
		// That one is new can't be seen: one that was moved, or that an earlier photo missed, looks
		// the same.
		if a.Is[i] == "" && len(rest.said()) > 0 && len(fits) > 0 && fits[0].is[j] != New && all(fits, j) {
			a.Is[i] = fits[0].is[j]
		}
	}
	if open = a.open(); len(open) == 0 {
		return a
	}
	j := rest.telling(fits, func(j int) bool { return a.Is[index[j]] == "" })
	a.Ask, a.New = index[j], len(k.Maps) == 0 || !slices.ContainsFunc(k.Maps, func(m Map) bool { return m.Whole })
	a.Of = rest.choices(fits, j, k)
	if len(p.Wanted) > 0 && len(rest.said()) == 0 {
		a.Of = slices.DeleteFunc(slices.Clone(p.Wanted), func(id string) bool { return slices.Contains(a.Is, id) })
	}
	return a
}

// wanted is the answer for a photo that was taken for one location: the others on it are not kept
// unless somebody says so.
func (a Answer) wanted(p Photo, k Known) Answer {
	open, want := a.open(), p.Wanted[0]
	it := slices.Index(p.Said, want)
	if it < 0 && len(p.Seen) == 1 {
		it = 0
	}
	if it < 0 && len(open) == len(p.Seen) {
		if is, ok := proposed(p, k); ok {
			it = slices.Index(is, want)
		}
	}
	if it < 0 {
		a.Ask, a.Which, a.Of = open[0], want, []string{want}
		return a
	}
	for _, i := range open {
		a.Is[i] = None
	}
	a.Is[it] = want
	return a
}

func (a Answer) open() (out []int) {
	for i, is := range a.Is {
		if is == "" {
			out = append(out, i)
		}
	}
	return out
}

// kept is the photo without what is not to be kept; index leads back.
func (p Photo) kept() (rest Photo, index []int) {
	rest.Wanted = p.Wanted
	for i, s := range p.Said {
		if s != None {
			rest.Seen, rest.Said, index = append(rest.Seen, p.Seen[i]), append(rest.Said, s), append(index, i)
		}
	}
	return rest, index
}

// said lists the fasteners of which a person said which location they are.
func (p Photo) said() (out []int) {
	for i, s := range p.Said {
		if s != "" {
			out = append(out, i)
		}
	}
	return out
}

// agrees reports whether a way says of no fastener anything else than was said.
func (p Photo) agrees(w reading) bool {
	for i, s := range p.Said {
		if s != "" && s != w.is[i] {
			return false
		}
	}
	return true
}

// all reports whether all ways say the same of a fastener, and closely.
func all(ways []reading, j int) bool {
	return !slices.ContainsFunc(ways, func(w reading) bool { return !w.close || w.is[j] != ways[0].is[j] })
}

// reading is one way to read a photo, by the names of locations.
type reading struct {
	is    []string
	close bool // all lie where they are known to be
}

// proposed is what the photo shows where that is beyond doubt: each map of the whole part on which
// it can be read at all says the same, no distance between two known places contradicts it, and
// nothing else does.
func proposed(p Photo, k Known) (is []string, ok bool) {
	for m := range k.Maps {
		if !k.Maps[m].Whole {
			continue
		}
		w, one := k.Maps[m].only(p.Seen)
		if !one {
			return nil, false
		}
		now := k.Maps[m].ids(w)
		if is != nil && !slices.Equal(is, now) {
			return nil, false
		}
		is = now
	}
	if is == nil {
		return nil, false
	}
	for _, m := range k.Maps {
		of := make([]int, len(is))
		for i, id := range is {
			of[i] = slices.IndexFunc(m.Places, func(p Place) bool { return p.ID == id })
		}
		if m.Scaled && m.worst(p.Seen, of, 1) > m.NearMM {
			return nil, false
		}
	}
	for i, id := range is {
		if k.Against != nil && k.Against(i, id) {
			return nil, false
		}
	}
	return is, true
}

// ids names the places of a way; those on none are new.
func (m *Map) ids(w way) []string {
	out := make([]string, len(w.of))
	for i, k := range w.of {
		if out[i] = New; k >= 0 {
			out[i] = m.Places[k].ID
		}
	}
	return out
}

// ways lists what the photo may show, given what was said of it: on maps, and along the list of
// locations whose places nobody knows.
func (p Photo) ways(k Known) (out []reading) {
	known := map[string]bool{}
	add := func(is []string, near bool) {
		if key := strings.Join(is, " "); !known[key] {
			known[key] = true
			out = append(out, reading{is, near})
		}
	}
	for m := range k.Maps {
		mp := &k.Maps[m]
		for _, w := range mp.ways(p.Seen) {
			if w.moved && !mp.Scaled && len(p.said()) > 0 {
				continue // with a scale of its own nearly any three are like any others, one moved
			}
			add(mp.ids(w), mp.close(w))
		}
		if mp.Whole || !mp.Scaled {
			continue
		}
		for _, i := range p.said() {
			if at := slices.IndexFunc(mp.Places, func(l Place) bool { return l.ID == p.Said[i] }); at >= 0 {
				for _, w := range mp.partly(p.Seen, i, at) {
					add(mp.ids(w), mp.close(w))
				}
			}
		}
	}
	for _, w := range p.along(k) {
		add(w, true)
	}
	if len(out) == 0 {
		for _, w := range p.alongSketches(k) {
			add(w, true)
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
	list := p.Wanted
	if len(list) == 0 {
		list = k.Listed
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

// telling is the open fastener that tells most: whatever the answer, few ways are left. Of those
// that tell the same it is the outermost, of these the first.
func (p Photo) telling(ways []reading, open func(int) bool) int {
	best, least := -1, 0
	for j := range p.Seen {
		if !open(j) {
			continue
		}
		left, most := map[string]int{}, 0
		for _, w := range ways {
			left[w.is[j]]++
			most = max(most, left[w.is[j]])
		}
		// An end of a row is easier to tell than its middle.
		if best < 0 || most < least || most == least && p.outer(j) > p.outer(best)+rowMM {
			best, least = j, most
		}
	}
	return best
}

// outer is how far a fastener stands from all others together.
func (p Photo) outer(j int) (sum float64) {
	for _, q := range p.Seen {
		sum += cmplx.Abs(q - p.Seen[j])
	}
	return sum
}

// choices are the locations that a fastener may be: what the ways say, else all that are known.
func (p Photo) choices(ways []reading, j int, k Known) (out []string) {
	add := func(id string) {
		if id != New && !slices.Contains(out, id) && !slices.Contains(p.Said, id) {
			out = append(out, id)
		}
	}
	if slices.ContainsFunc(k.Maps, func(m Map) bool { return m.Whole }) || len(p.said()) > 0 {
		for _, w := range ways {
			add(w.is[j])
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, m := range k.Maps {
		for _, l := range m.Places {
			add(l.ID)
		}
	}
	for _, id := range k.Listed {
		add(id)
	}
	return out
}
