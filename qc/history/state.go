package history

import (
	"cmp"
	"maps"
	"slices"
	"time"
)

// State is what a set of entries adds up to. The zero value is the state of no entries.
//
// Entries may be added in any order and more than once: the answers depend on the set alone.
// Adding costs the logarithm of what is there; an answer costs the things that have changed
// since the last one, each in proportion to its own entries.
type State struct {
	seen    map[Hash]bool
	about   map[Subject][]Entry // in the order in which they add up
	changed map[Subject]bool

	locations map[string]Location
	parts     map[string]Part
	projects  map[string]Project
	counts    map[string]*Counts         // by part
	members   map[string]map[string]bool // location ids by part
	concerns  map[string][]Entry         // entries that a sign-off of the part covers, or is
	all       []Entry                    // as they came
	latest    string
	came      map[string]time.Time // by entry, see [State.CameIn]
	phones    Phones
}

// StateOf adds up a set of entries.
func StateOf(entries []Entry) *State {
	s := &State{}
	for _, e := range entries {
		s.Add(e)
	}
	return s
}

// Add takes in one entry and says whether it was new.
func (s *State) Add(e Entry) bool {
	if s.seen == nil {
		s.seen, s.about, s.changed = map[Hash]bool{}, map[Subject][]Entry{}, map[Subject]bool{}
		s.locations, s.parts, s.projects = map[string]Location{}, map[string]Part{}, map[string]Project{}
		s.counts, s.members, s.concerns = map[string]*Counts{}, map[string]map[string]bool{}, map[string][]Entry{}
	}
	if s.seen[e.hash] {
		return false
	}
	s.seen[e.hash] = true
	s.all = append(s.all, e)
	s.latest = latest(s.latest, e.ID)
	s.phones.Take(e)
	for _, sub := range e.Subjects() {
		list := s.about[sub]
		i, _ := slices.BinarySearchFunc(list, e, CompareInTime)
		s.about[sub] = slices.Insert(list, i, e)
		s.changed[sub] = true
	}
	if p := e.ConcernsPart(); p != "" {
		s.concerns[p] = append(s.concerns[p], e)
	}
	return true
}

// settleAll brings the answers up to date.
func (s *State) settleAll() {
	for sub := range s.changed {
		entries := s.about[sub]
		switch sub.Of {
		case OfLocation:
			s.count(s.locations[sub.ID], -1)
			s.locations[sub.ID] = LocationOf(sub.ID, entries)
			s.count(s.locations[sub.ID], 1)
		case OfPart:
			s.parts[sub.ID] = PartOf(sub.ID, entries)
		case OfProject:
			s.projects[sub.ID] = ProjectOf(sub.ID, entries)
		}
	}
	clear(s.changed)
}

func (s *State) count(l Location, n int) {
	if l.Entries == 0 {
		return
	}
	if s.counts[l.Part] == nil {
		s.counts[l.Part], s.members[l.Part] = &Counts{}, map[string]bool{}
	}
	s.counts[l.Part].Add(l, n)
	if n > 0 {
		s.members[l.Part][l.ID] = true
	} else {
		delete(s.members[l.Part], l.ID)
	}
}

// Latest is the greatest entry id that tells a time, for [Maker.Latest].
func (s *State) Latest() string { return s.latest }

// Entries gives all entries in the fixed order.
func (s *State) Entries() []Entry { return Join(s.all) }

// Location says how a location stands; ok is false when no entry is about it.
func (s *State) Location(id string) (l Location, ok bool) {
	s.settleAll()
	l, ok = s.locations[id]
	return l, ok
}

// History gives the entries about a thing in the order in which they add up, those without effect too.
func (s *State) History(sub Subject) []Entry { return slices.Clone(s.about[sub]) }

// Part gives a part and its counts; ok is false when no entry is about it or its locations.
func (s *State) Part(id string) (p Part, c Counts, ok bool) {
	s.settleAll()
	p, ok = s.parts[id]
	if n := s.counts[id]; n != nil && len(s.members[id]) > 0 {
		c = *n
		if !ok { // its locations came before it
			p, ok = Part{ID: id}, true
		}
	}
	return p, c, ok
}

// Locations gives the locations of a part by tag, "R2" before "R10", those taken out too.
func (s *State) Locations(part string) []Location {
	s.settleAll()
	out := make([]Location, 0, len(s.members[part]))
	for id := range s.members[part] {
		out = append(out, s.locations[id])
	}
	sortBy(out, func(a, b Location) int {
		return cmp.Or(CompareTags(a.Tag, b.Tag), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// Parts gives the ids of all parts of a project, in the order in which they were made.
func (s *State) Parts(project string) []string {
	s.settleAll()
	ids := map[string]bool{}
	for id, p := range s.parts {
		if p.Project == project {
			ids[id] = true
		}
	}
	for id, members := range s.members { // locations may come before their part
		for l := range members {
			if _, ok := s.parts[id]; !ok && s.locations[l].Project == project {
				ids[id] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(ids))
}

// Projects gives all projects in the order in which they were made.
func (s *State) Projects() []Project {
	s.settleAll()
	out := slices.Collect(maps.Values(s.projects))
	sortBy(out, func(a, b Project) int { return cmp.Compare(a.ID, b.ID) })
	return s.phones.Follow(out)
}

// Phone gives the id under which a device writes now, see [Phones].
func (s *State) Phone(device string) string { return s.phones.Now(device) }

// SignOff holds a sign-off entry against what is there now.
func (s *State) SignOff(e Entry) (SignOffStatus, error) {
	d, err := DataOf[SignOffData](e)
	if err != nil {
		return SignOffStatus{}, err
	}
	return CheckSignOff(e.ID, e.Part, d, s.concerns[e.Part]), nil
}

// Concerning gives the entries that concern a part and its locations, in the fixed order.
func (s *State) Concerning(part string) []Entry { return Join(s.concerns[part]) }

// Faults names what is wrong in the chains.
func (s *State) Faults() []Fault { return CheckChain(s.all) }

// CompareTags orders tags as people do: "R2" before "R10".
func CompareTags(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		nx, rx := digits(x)
		ny, ry := digits(y)
		if nx != "" && ny != "" {
			if c := cmp.Or(cmp.Compare(len(nx), len(ny)), cmp.Compare(nx, ny)); c != 0 {
				return c
			}
			x, y = rx, ry
			continue
		}
		if x[0] != y[0] {
			return cmp.Compare(x[0], y[0])
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(a, b))
}

// digits cuts a leading number off, without its leading zeros.
func digits(s string) (number, rest string) {
	i := 0
	for i < len(s) && '0' <= s[i] && s[i] <= '9' {
		i++
	}
	if i == 0 {
		return "", s
	}
	j := 0
	for j < i-1 && s[j] == '0' {
		j++
	}
	return s[j:i], s[i:]
}
