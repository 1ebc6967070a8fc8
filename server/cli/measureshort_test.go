package cli

import (
	"bytes"
	"strings"
	"testing"
)

// With the wrong size given, the few lines say so as the full table does.
func TestShortDoubtsTheSize(t *testing.T) {
	if testing.Short() {
		t.Skip("measures a photo")
	}
	for size, want := range map[string]bool{"3": true, "4": false} {
		var out, errs bytes.Buffer
		Run([]string{"measure", "--what", "shop-head", "--rivet", size, "--short", "../demo/photos/aft-left.jpg"}, strings.NewReader(""), &out, &errs)
		flat := strings.Join(strings.Fields(out.String()), " ")
		if strings.Contains(flat, "is the size right?") != want || !strings.Contains(flat, "for rivet "+size) {
			t.Errorf("rivet %s: the size is doubted: not %v\n%s%s", size, want, out.String(), errs.String())
		}
	}
}
