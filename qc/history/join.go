package history

import "slices"

// Join gives the union of sets of entries, each entry once, in the fixed order. It is pure:
// the arguments are not changed, and neither their order nor repetition makes a difference.
// Entries that contradict each other (a fork, one id twice) are all kept; [CheckChain] names
// them.
func Join(sets ...[]Entry) []Entry {
	n := 0
	for _, s := range sets {
		n += len(s)
	}
	all := make([]Entry, 0, n)
	for _, s := range sets {
		all = append(all, s...)
	}
	slices.SortFunc(all, Compare)
	return slices.CompactFunc(all, func(a, b Entry) bool { return a.hash == b.hash })
}
