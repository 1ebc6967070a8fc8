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

// A note names its lengths in the report's unit, a range by both its ends; what stands in inches
// beside millimetres stays as it was written.
func TestANoteInInches(t *testing.T) {
	w := &writer{u: qc.Inches}
	for in, want := range map[string]string{
		"d + 0.1 mm to d + 0.2 mm":                        "d + 0.004 in to d + 0.008 in",
		"aim at 3.23 to 3.28 mm (FAA)":                    "aim at 0.127 to 0.129 in (FAA)", // as it was kept before
		"aim at 3.23 mm (0.127 in) to 3.28 mm (0.129 in)": "aim at 0.127 in to 0.129 in",
		"a go pin of 3.175 mm (0.1250 in)":                "a go pin of 0.1250 in",
	} {
		if got := w.inUnits(in); got != want {
			t.Errorf("%q: %q, not %q", in, got, want)
		}
	}
}
