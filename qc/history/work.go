package history

import (
	"cmp"
	"slices"
)

// WorkItem is one line of the work list.
type WorkItem struct {
	Work
	Part     string `json:"part"`
	Location string `json:"location"`
	Tag      string `json:"tag"`
}

// CompareWork orders the work list: by kind, most urgent first, then by age.
func CompareWork(a, b WorkItem) int {
	return cmp.Or(cmp.Compare(a.Kind.Urgency(), b.Kind.Urgency()), cmp.Compare(a.Entry, b.Entry), cmp.Compare(a.Location, b.Location))
}

// Urgency is the kind's place in [WorkKinds]; 0 is the most urgent.
func (k WorkKind) Urgency() int {
	if i := slices.Index(WorkKinds, k); i >= 0 {
		return i
	}
	return len(WorkKinds)
}

// WorkList gives all that waits in all parts.
func (s *State) WorkList() []WorkItem {
	s.settleAll()
	var out []WorkItem
	for _, l := range s.locations {
		for _, w := range l.Work {
			out = append(out, WorkItem{w, l.Part, l.ID, l.Tag})
		}
	}
	sortBy(out, CompareWork)
	return out
}
