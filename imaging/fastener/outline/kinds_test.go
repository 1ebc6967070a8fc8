package outline

import (
	"testing"

	"bucktail/qc"
)

// Whoever adds a kind is told here that it is still taken for a hole.
func TestEveryHeadHasAProfile(t *testing.T) {
	for _, k := range qc.Kinds {
		if k != qc.Hole && ProfileOf(k) == ProfileOf(qc.Hole) {
			t.Errorf("%s has the profile of a hole", k)
		}
	}
}
