package placing

import (
	"slices"

	"bucktail/qc/history"
)

// Next are the locations that a next photo is expected to show, in the order of their tags, after one
// that was kept for those saved: as many as it showed, of those with nothing measured yet, going on
// after the last of them; none where all is measured.
func Next(st *history.State, part string, saved []string) []string {
	all, last := st.Locations(part), -1
	for i := range all {
		if slices.Contains(saved, all[i].ID) {
			last = i
		}
	}
	out := []string{}
	for i := range all {
		l := &all[(last+1+i)%len(all)]
		if len(out) < len(saved) && !l.Out && l.Finding == "" && !slices.Contains(saved, l.ID) {
			out = append(out, l.ID)
		}
	}
	return out
}
