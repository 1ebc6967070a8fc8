//go:build !js

package report

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
)

// TestWhatWaitsIsSaid: a rivet that the builder keeps waits for the inspector, and says both; the
// list of several parts has their names whole; where nothing was measured, nothing is not "nothing
// out".
func TestWhatWaitsIsSaid(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t)
	l := &rec.Parts[0].Locations[6]
	f, _ := current(l)
	f.Dispositions = append(f.Dispositions, Disposition{Event: f.Event})
	f.Dispositions[0].Action = qc.Keep
	l.Work, l.Awaits = nil, true
	if got := waits(l); got != "keep; awaits the inspector" {
		t.Errorf("kept and not decided on: %q", got)
	}
	l.Awaits = false
	if got := waits(l); got != "keep" {
		t.Errorf("kept: %q", got)
	}
	l.Decision = qc.Confirmed
	if got := waits(l); got != "inspector: confirmed" {
		t.Errorf("confirmed: %q", got)
	}
	l.Decision = qc.ReMeasure
	if got := waits(l); got != "inspector: measure again" { // as the box of the form has it
		t.Errorf("to be measured again: %q", got)
	}
	said := history.DecisionData{Name: "A. Brandt", Answer: qc.ReMeasure, Reason: "burr", OnPaper: &history.OnPaper{Photo: "00112233445566", Date: "2026-11-20", Page: "4"}}
	if got := decisionWords("Ines K.", said); got != "inspector A. Brandt on paper: measure again, burr. Entered by Ines K., dated 20 November 2026, page 4; photo of the page 001122334455" {
		t.Errorf("on paper: %q", got)
	}
	rec.Parts[0].Name = "Baggage-hatch frame, left"
	if text := printed(t, rec); strings.Contains(text, "…") || strings.Contains(text, "nothing was judged there") {
		t.Errorf("of two parts: %s", text)
	}
	alone := d.record(t, d.parts[1])
	if text := printed(t, alone); !strings.Contains(text, "Nothing is out, undecided or waiting. 3 locations are open: nothing was judged there.") {
		t.Errorf("of a part that nobody measured: %s", text)
	}
}

// TestTitleBlockHasTheName: each page names its part whole, whatever else is on it.
func TestTitleBlockHasTheName(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t, d.parts[0])
	const name = "Baggage-hatch frame, corner angle aft"
	rec.Parts[0].Name = name
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{}); err != nil {
		t.Fatal(err)
	}
	for n, pg := range boxes(t, b.Bytes()).Pages {
		var words []string
		for _, w := range pg.Words {
			if w.Y0 > pg.Height-(frame+block)/paper.MMPerPt && w.X0 > pg.Width/2 {
				words = append(words, w.Text)
			}
		}
		if !strings.Contains(strings.Join(words, " "), name) {
			t.Errorf("page %d: %s", n+1, strings.Join(words, " "))
		}
	}
}

// printed is the text of the first page.
func printed(t *testing.T, rec *Record) string {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{}); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(tool(t, "pdftotext", "-l", "1", save(t, "first.pdf", b.Bytes()), "-")), " ")
}
