package demo

import (
	"context"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/store"
)

// The story has what its telling promises: whatever the networks read, some locations are within,
// some out, some too close; something failed and was made good; work waits; the sign-off is
// outdated; and the record is whole.
func TestTheStoryIsAllThere(t *testing.T) {
	ctx := context.Background()
	clock := NewClock(time.Date(2026, 11, 20, 18, 0, 0, 0, time.UTC))
	s, err := store.Open(t.TempDir(), store.Options{Now: clock.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := Fill(ctx, s, clock); err != nil {
		t.Fatal(err)
	}
	problems, err := s.Check(ctx, nil)
	if err != nil || len(problems) > 0 {
		t.Errorf("check: %v %v", problems, err)
	}
	verdicts, stages, work := map[qc.Verdict]int{}, map[qc.Stage]int{}, map[history.WorkKind]int{}
	locations, again, outdated := 0, 0, 0
	projects, err := s.Projects(ctx)
	if err != nil || len(projects) != 1 {
		t.Fatalf("projects: %v %v", projects, err)
	}
	parts, err := s.Parts(ctx, projects[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range parts {
		all, err := s.Locations(ctx, part.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range all {
			locations++
			verdicts[l.Whole]++
			stages[l.Stage]++
			for _, w := range l.Work {
				work[w.Kind]++
			}
			if l.Attempt > 1 && l.Stage == qc.SetRivet && l.Verdict == qc.Within {
				again++
			}
			for _, r := range l.Remarks {
				t.Errorf("%s: an entry without effect: %v", l.Tag, r)
			}
		}
		signed, err := s.SignOffs(ctx, part.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range signed {
			if !x.Current() {
				outdated++
			}
		}
	}
	if locations != 60 {
		t.Errorf("%d locations, want 60", locations)
	}
	for _, v := range []qc.Verdict{qc.Within, qc.Out, qc.TooClose} {
		if verdicts[v] == 0 {
			t.Errorf("no location is %s: %v", v, verdicts)
		}
	}
	for _, x := range qc.Stages {
		if stages[x] == 0 {
			t.Errorf("none is at the stage %s: %v", x, stages)
		}
	}
	if labels, pictured, whole := instruments(t, s); labels != 3 || pictured == 0 || whole == 0 {
		t.Errorf("%d instruments with a label, %d notes with a photo of a location, %d of a part as a whole", labels, pictured, whole)
	}
	if again == 0 {
		t.Error("no rivet was drilled out and set again so that it is within")
	}
	if len(work) < 4 {
		t.Errorf("work that waits: %v", work)
	}
	if outdated != 1 {
		t.Errorf("%d sign-offs are outdated, want one", outdated)
	}
	t.Logf("verdicts %v, stages %v, work %v", verdicts, stages, work)
}

// instruments counts the instruments whose label is known, one of which ran out of its calibration,
// and the notes with photos.
func instruments(t *testing.T, s *store.Store) (labels, pictured, whole int) {
	t.Helper()
	page, err := s.EntriesSince(context.Background(), "", 0)
	if err != nil || page.More {
		t.Fatal(page.More, err)
	}
	seen, overdue := map[string]bool{}, false
	for _, e := range page.Entries {
		var id *history.Identity
		switch e.Kind {
		case history.KindCard:
			d, _ := history.DataOf[history.CardData](e)
			id = d.Identity
		case history.KindGauge:
			d, _ := history.DataOf[history.GaugeData](e)
			id = d.Identity
		case history.KindNote:
			if d, _ := history.DataOf[history.NoteData](e); len(d.Photos) > 0 && e.Location != "" {
				pictured++
			} else if len(d.Photos) > 0 {
				whole++
			}
		}
		if id != nil {
			seen[id.Number] = true
			overdue = overdue || id.Overdue(e.At)
		}
	}
	if !overdue {
		t.Error("no instrument runs out of its calibration")
	}
	return len(seen), pictured, whole
}
