package report

import (
	"bytes"
	"context"
	"os"
	"slices"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// A page that an inspector wrote is shown once, with all that was entered from it; another
// inspector's page of the same photo is another one.
func TestPagesWrittenOnPaperAreShownOnce(t *testing.T) {
	d := newDemo(14)
	hash, data := d.photo(99)
	on := &history.OnPaper{Photo: hash, Date: "2026-11-20", Page: "4"}
	rec := d.record(t, d.parts[0])
	p := rec.Parts[0]
	at := histtest.Place{Project: d.project, Part: d.parts[0]}
	decided := 0
	for _, l := range p.Locations {
		if l.Awaits && decided < 2 {
			here := at
			here.Location = l.ID
			d.put(d.builder, here, history.KindDecision, history.DecisionData{Finding: l.Finding, Answer: qc.Confirmed, Name: "A. Brandt", OnPaper: on})
			decided++
		}
	}
	ids, digest := history.Covers(d.parts[0], d.entries)
	d.put(d.builder, at, history.KindSignOff, history.SignOffData{Covers: ids, Digest: digest, Name: "A. Brandt", OnPaper: on})
	d.put(d.builder, at, history.KindSignOff, history.SignOffData{Covers: ids, Digest: digest, Name: "E. Salo", OnPaper: on})

	rec = d.record(t, d.parts[0])
	pages := slices.DeleteFunc(writtenFor(&rec.Parts[0]), func(x written) bool { return x.Photo != hash })
	if decided != 2 || len(pages) != 2 || len(pages[0].gives) != 3 || pages[0].name != "A. Brandt" || len(pages[1].gives) != 1 {
		t.Fatalf("%d decided; pages: %+v", decided, pages)
	}
	asked := map[string]int{}
	var b bytes.Buffer
	err := PDF(context.Background(), &b, rec, Options{Picture: d.picture, Page: func(_ context.Context, h string, maxPx int) ([]byte, error) {
		asked[h]++
		if h != hash {
			return nil, ErrNoPhoto
		}
		return data, nil
	}})
	if err != nil || asked[hash] != 2 {
		t.Errorf("asked %v: %v", asked, err)
	}
	if p := os.Getenv("WRITTEN_PDF"); p != "" {
		os.WriteFile(p, b.Bytes(), 0o600)
	}
}
