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
		if strings.Contains(flat, "is the size right?") != want || !strings.Contains(flat, "rivet "+size+":") {
			t.Errorf("rivet %s: the size is doubted: not %v\n%s%s", size, want, out.String(), errs.String())
		}
	}
}

// The photo of make photo, which shows all three verdicts, takes three lines of a terminal.
func TestShortIsThreeLines(t *testing.T) {
	if testing.Short() {
		t.Skip("measures a photo")
	}
	args := strings.Fields("--what shop-head --rivet 4 --card-scale 1.002,0.999,0.00067 --card-thickness 0.25,0.02 ../demo/photos/aft-left.jpg")
	var out bytes.Buffer
	job, err := parseMeasure(args, &out)
	if err != nil {
		t.Fatal(err)
	}
	m := job.one(strings.NewReader(""), 0)
	if m.usage != nil {
		t.Fatal(m.usage)
	}
	shown := newTable(&out, job)
	shown.width = helpWidth
	if err := shown.short(m.doc); err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(out.String()), " ")
	for _, want := range []string{"aft-left.jpg, rivet 4: 4 within, 1 can't tell, 1 out; not read: head height (6)", ": can't tell, ", ": out, "} {
		if !strings.Contains(flat, want) {
			t.Errorf("%q is not in\n%s", want, out.String())
		}
	}
	if n := strings.Count(out.String(), "\n"); n != 3 {
		t.Errorf("%d lines:\n%s", n, out.String())
	}
}
