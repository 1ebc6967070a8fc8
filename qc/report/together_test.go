//go:build !js

package report

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/paper"
	"bucktail/qc/standing"
)

// pagesOf is the text of each page of a report.
func pagesOf(t *testing.T, rec *Record, o Options) []string {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, o); err != nil {
		t.Fatal(err)
	}
	doc := boxes(t, b.Bytes())
	of := make([]string, len(doc.Pages))
	for i, pg := range doc.Pages {
		for _, w := range pg.Words {
			of[i] += w.Text + " "
		}
	}
	return of
}

// TestASoundRivetHasOnePage: a rivet whose hole was gauged, whose head was measured to five
// neighbours and gauged, and which an inspector confirmed, is told on one page, with the room for
// another decision.
func TestASoundRivetHasOnePage(t *testing.T) {
	d := newDemo(14)
	at := histtest.Place{Project: d.project, Part: d.parts[1]}
	at.Location = d.put(d.builder, at, history.KindLocation, history.LocationData{Tag: "S1"}).ID
	gauged := func(s qc.Spec, finding string, readings ...qc.Reading) {
		for i := range readings {
			readings[i].How, readings[i].Method, readings[i].UMM = qc.ByGauge, "gauge", 0.01
		}
		res, err := qc.JudgeLocation(s, readings, nil)
		if err != nil {
			t.Fatal(err)
		}
		d.put(d.builder, at, history.KindGauge, history.GaugeData{Finding: finding, Spec: s, Instrument: "pin gauges, steps of 0.01 mm", Readings: readings, Result: res})
	}
	s := histtest.ShopHead()
	gauged(s.LookedAt(qc.Hole, qc.FinalHole), "", qc.Reading{Quantity: qc.HoleDMin, ValueMM: 4.85}, qc.Reading{Quantity: qc.HoleDMax, ValueMM: 4.87})
	d.put(d.builder, at, history.KindAttempt, history.AttemptData{})
	hash, data := d.photo(len(d.photos))
	shot := d.put(d.builder, at, history.KindShot, photoShot(data, "", at.Location))
	f := d.put(d.builder, at, history.KindFinding, histtest.HeadFinding(shot.ID, hash, 7.3, 10.4))
	gauged(s, f.ID, qc.Reading{Quantity: qc.HeadHeight, ValueMM: 2.4})
	d.put(d.inspector, at, history.KindDecision, history.DecisionData{Finding: f.ID, Answer: qc.Confirmed, Name: "M. Oduya", Number: "INS-0417"})
	d.put(d.builder, at, history.KindNote, history.NoteData{Text: "Primer touched up round the head."})
	rec := d.record(t, d.parts[1])
	p := &rec.Parts[0]
	l := &p.Locations[len(p.Locations)-1]
	head, k := current(l)
	if head == nil {
		t.Fatal("no finding")
	}
	// As photos give them: pitches to five neighbours, limits of two lines.
	checks := k.Checks
	var pitch qc.Check
	for i, c := range checks {
		if c.Limit.Quantity == qc.Pitch {
			pitch = c
		} else if c.Limit.Quantity != qc.EdgeDistance {
			checks[i].Limit.Source = "Standard Aircraft Handbook, upset head limits (1/8 in rivets)"
		}
	}
	for i := range 4 {
		c := pitch
		c.Reading.ValueMM, c.Reading.Of = 20+float64(i), &qc.Target{Name: fmt.Sprintf("S%d", i+2)}
		checks = append(checks, c)
	}
	k.Summary = standing.Summarize(checks, k.Current(), nil, "")
	head.Answers = []qc.Answer{{Question: qc.Questions[0].ID, Seen: qc.No}}
	for _, page := range pagesOf(t, rec, Options{Picture: d.picture}) {
		if strings.Contains(page, "S1, attempt 1, continued") {
			t.Errorf("it goes on: %s", page)
		}
		if strings.Contains(page, "S1, attempt 1 ") && !(strings.Contains(page, "Primer touched up") && strings.Contains(page, "inspector's decision")) {
			t.Errorf("not all of it stands on its page: %s", page)
		}
	}
}

// TestTheSignOffStandsWithWhatIsOpen: wherever the page before ends, what is open, what a signature
// covers and the room for it stand on one page.
func TestTheSignOffStandsWithWhatIsOpen(t *testing.T) {
	rec := newDemo(14).record(t)
	l := &rec.Parts[0].Locations[8] // the last one with a page
	split := 0
	formSplit := 0
	for notes := 24; notes < 40; notes += 2 {
		for len(l.Notes) < notes {
			l.Notes = append(l.Notes, Note{At: made, By: "Ines K.", Text: "looked at with a lens"})
		}
		o := Options{Paper: paper.A4, Units: qc.Millimetres, Zone: time.UTC}
		first := newWriter(context.Background(), rec, o)
		first.count()
		if err := first.all(); err != nil {
			t.Fatal(err)
		}
		split += len(first.apart)
		c, err := counted(context.Background(), rec, o)
		if err != nil || len(c.apart) > 0 {
			t.Errorf("%d notes: %v, over a page: %v", notes, err, c.apart)
		}
		rec.Parts[0].Locations = append(rec.Parts[0].Locations, rec.Parts[0].Locations[0])
		form, err := countedForm(context.Background(), rec, o, arrangement{})
		if err != nil {
			t.Fatal(err)
		}
		formSplit += len(form.apart)
		if form, err = countedForm(context.Background(), rec, o, arrangement{whole: form.apart}); err != nil || len(form.apart) > 0 {
			t.Errorf("%d notes: %v, the form's signature is not with what is open: %v", notes, err, form.apart)
		}
	}
	if split == 0 || formSplit == 0 {
		t.Error("none would go over a page: this test shows nothing")
	}
}
