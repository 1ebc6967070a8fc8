package report

import (
	"testing"

	"bucktail/qc"
)

// Whoever adds a kind is told here that the report has no words for it.
func TestEveryKindHasWords(t *testing.T) {
	for _, k := range qc.Kinds {
		if kindWords[k] == "" {
			t.Error(k)
		}
	}
}
