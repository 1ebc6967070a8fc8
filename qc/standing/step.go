package standing

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc/history"
)

// OtherStack says of a location that one photo shows with others that its stack is not theirs: the card
// lies on one sheet, and what stands on a higher one is read too large, and aside. seen are the other
// locations of the photo. "" where all stacks are alike, and for the many among which one differs.
func OtherStack(st *history.State, location string, seen []string) string {
	l, ok := st.Location(location)
	if !ok {
		return ""
	}
	part, _, _ := st.Part(l.Part)
	thick := func(l history.Location) (mm []float64) {
		if l.Stack == nil {
			for _, y := range part.Layers {
				mm = append(mm, y.ThicknessMM)
			}
			return mm
		}
		for _, y := range l.Stack.Layers {
			mm = append(mm, y.ThicknessMM)
		}
		return mm
	}
	own, alike := thick(l), 1
	var others []string
	for _, id := range seen {
		o, ok := st.Location(id)
		switch {
		case !ok || id == location || o.Part != l.Part || len(thick(o)) == 0:
		case slices.Equal(thick(o), own):
			alike++
		default:
			others = append(others, o.Tag)
		}
	}
	if len(own) == 0 || len(others) == 0 || alike > len(others) {
		return ""
	}
	return fmt.Sprintf("its stack is another one than that of %s: where its upper sheet lies higher than the one with the card, diameters and distances are read too large, beyond their U; lay the card on its own sheet and photograph it by itself", strings.Join(others, ", "))
}
