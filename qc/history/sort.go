package history

import "sort"

// sortBy sorts s, as slices.SortFunc does. That is compiled once for each type of elements, which
// costs the phone's program 20 kB each time; what stands behind this one is shared by all. What may
// be long, the entries of a record, is sorted by package slices.
func sortBy[E any](s []E, compare func(a, b E) int) {
	sort.Slice(s, func(i, j int) bool { return compare(s[i], s[j]) < 0 })
}

// sortStablyBy sorts s as slices.SortStableFunc does, like sortBy.
func sortStablyBy[E any](s []E, compare func(a, b E) int) {
	sort.SliceStable(s, func(i, j int) bool { return compare(s[i], s[j]) < 0 })
}
