package placing

import (
	"math"

	"bucktail/qc/history"
)

// hand says that the pattern of holes on a photo is not the part's as it was laid out: it is that
// pattern turned over, so that the part lies the wrong way up or is the other hand, or it is another
// part's. "" where it fits, where it fits nothing that is known, and where it can't be told, as of
// holes in one line. Only layouts in true millimetres tell; what is seen must lie on all of them, so
// that it can be said before anything is drilled up.
func hand(st *history.State, part history.Part, seen []Point) string {
	own, ok := laidOut(st, part)
	if !ok || len(seen) < 3 || inLine(seen) {
		return ""
	}
	switch {
	case own.fits(seen, false):
		return ""
	case own.fits(seen, true):
		text := "the holes lie as laid out, but turned over: the part lies the wrong way up or is the other hand"
		if other := fitting(st, part, seen); other != "" {
			text += "; they are those of " + other
		}
		return text
	}
	if other := fitting(st, part, seen); other != "" {
		return "the holes are not this part's: number and spacing are those of " + other
	}
	return ""
}

// fitting names another part of the project whose layout the holes fit as they lie.
func fitting(st *history.State, part history.Part, seen []Point) string {
	for _, id := range st.Parts(part.Project) {
		p, _, _ := st.Part(id)
		if m, ok := laidOut(st, p); id != part.ID && ok && m.fits(seen, false) {
			return p.Name
		}
	}
	return ""
}

// laidOut is the map of a part's pins where they come from a layout in true millimetres.
func laidOut(st *history.State, p history.Part) (Map, bool) {
	if p.Layout == nil || p.Layout.Plan == nil {
		return Map{}, false
	}
	m := pinned(p.Layout, there(st.Locations(p.ID)))
	return m, m.Whole && m.Scaled
}

func there(all []history.Location) (out []history.Location) {
	for _, l := range all {
		if !l.Out && !l.Stray {
			out = append(out, l)
		}
	}
	return out
}

// fits reports whether all that is seen lies on the map, as it is or turned over.
func (m *Map) fits(seen []Point, flip bool) bool {
	if len(seen) > len(m.Places) {
		return false
	}
	for _, base := range bases(seen) {
		for _, t := range m.turns(seen, base) {
			if t.flip != flip {
				continue
			}
			if w, ok := m.along(seen, t); ok && !w.moved && m.offBy(seen, w, t) <= m.NearMM {
				return true
			}
		}
	}
	return false
}

// offBy is how far the farthest hole lies from its place.
func (m *Map) offBy(seen []Point, w way, t turn) (worst float64) {
	for i, p := range seen {
		d := t.of(p) - m.Places[w.of[i]].At
		worst = max(worst, math.Hypot(real(d), imag(d)))
	}
	return worst
}

// inLine reports whether all lie so near to one line that turned over they are the same.
func inLine(seen []Point) bool {
	base := bases(seen)[0]
	a, b := seen[base[0]], seen[base[1]]
	ab := b - a
	for _, p := range seen {
		d := p - a
		if math.Abs(real(ab)*imag(d)-imag(ab)*real(d)) > 2*measuredFarMM*math.Hypot(real(ab), imag(ab)) {
			return false
		}
	}
	return true
}
