package placing

import (
	"math/cmplx"
	"slices"
)

// What a fastener on a photo may be besides a location that is known.
const (
	New  = "new"  // one that was not entered yet
	None = "none" // not to be kept
)

// Photo is what a photo shows and what was said of it.
type Photo struct {
	Seen []Point // all fasteners that were read
	// Edges are those of the sheet near each fastener; as long as Seen, or nil.
	Edges [][]Edge
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
	// Not reports that a fastener can't be a location: a hole is none where a rivet stands.
	Not func(seen int, location string) bool
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
	// Ways are all that the fasteners may be together, each as long as Is, where one answer about one
	// fastener would leave several: to be chosen from. Nil where there are too many.
	Ways [][]string
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
	fits := plain(slices.DeleteFunc(slices.Clone(ways), func(w reading) bool { return !rest.agrees(w) }), rest)
	a.Unlike = len(ways) > 0 && len(fits) == 0 && slices.ContainsFunc(rest.Said, func(s string) bool { return s != "" && s != New })
	for j, i := range index {
		// That one is new can't be seen where a known one is not far: one that was moved looks the same.
		if a.Is[i] == "" && len(rest.said()) > 0 && len(fits) > 0 && all(fits, j) && (fits[0].is[j] != New || far(fits, j)) {
			a.Is[i] = fits[0].is[j]
		}
	}
	if open = a.open(); len(open) == 0 {
		return a
	}
	j := rest.telling(fits, func(j int) bool { return a.Is[index[j]] == "" })
	a.Ask, a.New = index[j], len(k.Maps) == 0 || !slices.ContainsFunc(k.Maps, func(m Map) bool { return m.Whole })
	a.Of = rest.choices(fits, j, k)
	a.offer(p, fits, index, j)
	if len(p.Wanted) >= len(rest.Seen) && len(rest.said()) == 0 { // one that shows more shows others too
		a.Of = slices.DeleteFunc(slices.Clone(p.Wanted), func(id string) bool { return slices.Contains(a.Is, id) })
	}
	return a
}

// mostWays is how many ways to read a photo are offered to be chosen from, mostMore how many once one
// fastener was said: what is asked then ends with the answer.
const mostWays, mostMore = 6, 12

// offer lists the ways that are left, those of what is expected next before all others, where the answer
// about fastener j would leave more than one, as it does where others may be new.
func (a *Answer) offer(p Photo, fits []reading, index []int, j int) {
	expected := slices.DeleteFunc(slices.Clone(fits), func(w reading) bool {
		return slices.ContainsFunc(w.is, func(id string) bool { return !slices.Contains(p.Wanted, id) })
	})
	left := map[string]int{}
	for _, w := range fits {
		left[w.is[j]]++
	}
	// What does not lie where it is known to be never follows from an answer.
	one := !slices.ContainsFunc(fits, func(w reading) bool { return left[w.is[j]] > 1 || !w.close })
	if len(expected) > 0 {
		fits = expected
	}
	most := mostWays
	if slices.ContainsFunc(p.Said, func(s string) bool { return s != "" && s != None }) {
		most = mostMore
	}
	if one && !a.New && len(expected) == 0 || len(fits) == 0 || len(fits) > most || len(p.Seen) < 2 {
		return
	}
	for _, w := range fits {
		is := slices.Clone(p.Said)
		for j, i := range index {
			is[i] = w.is[j]
		}
		a.Ways = append(a.Ways, is)
	}
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
		it = p.sought(k, want)
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

// sought is the fastener that a location is for which the photo was taken, so that it shows it: the only
// one that it may be on the map of the whole part that is known best, even if one was moved; -1 where that
// is in doubt.
func (p Photo) sought(k Known, want string) int {
	at := slices.IndexFunc(k.Maps, func(m Map) bool { return m.Whole })
	if at < 0 || !k.Maps[at].Scaled {
		return -1
	}
	m, it, near := k.Maps[at].loose(), -1, false
	for _, w := range m.ways(p.Seen) {
		i := slices.Index(m.ids(w), want)
		switch {
		case i < 0:
			continue
		case it >= 0 && i != it:
			return -1
		}
		it, near = i, near || m.close(w)
	}
	if !near || k.Against != nil && k.Against(it, want) {
		return -1
	}
	return it
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
			if p.Edges != nil {
				rest.Edges = append(rest.Edges, p.Edges[i])
			}
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

// far reports whether a fastener lies far from all places that the other ones leave, however the photo
// is read.
func far(ways []reading, j int) bool {
	return !slices.ContainsFunc(ways, func(w reading) bool { return w.free == nil || w.free[j] < farthestMM })
}

// reading is one way to read a photo, by the names of locations.
type reading struct {
	is    []string
	close bool      // all lie where they are known to be
	free  []float64 // how far each lies from the nearest place that no other one takes, in mm; nil: not known
	// strain is, of a way on a sketch, the largest difference between a distance on the photo and on it,
	// in how far a pin of it may be off; 0 of any other way.
	strain float64
}

// fewestPlain is from how many fasteners on a pattern is more than what a sketch of any scale can be
// stretched to.
const fewestPlain = 4

// plain are the ways that are left on a sketch once a person has said one: the one that lies as it was
// drawn, where the sketch would have to be drawn wrongly for all others.
func plain(fits []reading, p Photo) []reading {
	if len(p.said()) == 0 || len(p.Seen) < fewestPlain {
		return fits
	}
	it := -1
	for i, w := range fits {
		switch {
		case w.strain == 0:
			return fits
		case !w.close || w.strain > 1:
		case it >= 0:
			return fits
		default:
			it = i
		}
	}
	if it < 0 {
		return fits
	}
	for i, w := range fits {
		if i != it && w.strain < 1+2*fits[it].strain {
			return fits
		}
	}
	return fits[it : it+1]
}

// proposed is what the photo shows where that is beyond doubt: on the map of the whole part that is
// known best it can be read in one way alone, with nothing moved; that is a way to read it on each
// other map of the whole part, no distance between two known places contradicts it, and nothing else does.
func proposed(p Photo, k Known) (is []string, ok bool) {
	for m := range k.Maps {
		mp := &k.Maps[m]
		if !mp.Whole {
			continue
		}
		ws := p.on(mp.ofThree(p), k)
		if is == nil {
			if len(ws) != 1 || !mp.close(ws[0]) {
				return nil, false
			}
			is = mp.ids(ws[0])
		} else if !slices.ContainsFunc(ws, func(w way) bool { return mp.close(w) && slices.Equal(mp.ids(w), is) }) {
			return nil, false
		}
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

// on lists the ways to read the photo on a map that neither the sheet's edges nor what stands at a
// place exclude.
func (p Photo) on(m *Map, k Known) []way {
	ws := m.struck(p.Seen, p.Edges, m.ways(p.Seen))
	if k.Not == nil {
		return ws
	}
	left := slices.DeleteFunc(slices.Clone(ws), func(w way) bool {
		for i, at := range w.of {
			if at >= 0 && k.Not(i, m.Places[at].ID) {
				return true
			}
		}
		return false
	})
	if len(left) == 0 {
		return ws
	}
	return left
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
