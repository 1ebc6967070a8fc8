package history_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

const noTime = "ffffffff-ffff-7fff-bfff-ffffffffffff"

// withID gives an entry another id, as an odd device might write it.
func withID(t *testing.T, e history.Entry, id string) history.Entry {
	t.Helper()
	h := e.Head
	h.ID = id
	b, err := json.Marshal(h)
	if err != nil {
		t.Fatal(err)
	}
	out, err := history.Parse(b)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A record that holds an id without a time, and what was written after it by the rule of then
// (which gave all of it that same time), adds up as it was written: each location bears the
// last of its tags.
func TestARecordHitByAnIDWithoutATimeAddsUp(t *testing.T) {
	d := histtest.NewDevice(7, "Ines K.", history.Builder)
	p := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	part := d.Put(history.Draft{Kind: history.KindPart, Project: p.ID, Data: history.PartData{Name: "Gusset"}})
	hit := withID(t, d.Put(history.Draft{Kind: history.KindNote, Project: p.ID, Data: history.NoteData{Text: "hello"}}), noTime)
	all := []history.Entry{p, part, hit}
	src := rand.NewChaCha8([32]byte{3})
	saturated := func(e history.Entry) history.Entry {
		id, err := history.NewID(1<<48-1, src)
		if err != nil {
			t.Fatal(err)
		}
		return withID(t, e, id)
	}
	for i := range 60 {
		l := saturated(d.Put(history.Draft{Kind: history.KindLocation, Project: p.ID, Part: part.ID, Data: history.LocationData{Tag: fmt.Sprintf("R%d", i)}}))
		all = append(all, l)
		for _, tag := range []string{"a", "b", "c"} {
			all = append(all, saturated(d.Put(history.Draft{Kind: history.KindLocation, Project: p.ID, Part: part.ID, Location: l.ID, Data: history.LocationData{Tag: fmt.Sprintf("R%d%s", i, tag)}})))
		}
	}
	s := history.StateOf(all)
	for i, l := range s.Locations(part.ID) {
		if want := fmt.Sprintf("R%dc", i); l.Tag != want || !l.Known {
			t.Errorf("location %d bears the tag %q, want %q", i, l.Tag, want)
		}
		h := s.History(history.Subject{Of: history.OfLocation, ID: l.ID})
		for k := 1; k < len(h); k++ {
			if h[k].Seq < h[k-1].Seq {
				t.Errorf("history of %s stands out of order", l.Tag)
			}
		}
	}
	// What is written from now on has its time again.
	if got := history.NextMS(histtest.Start, s.Latest()); got > histtest.Start.Add(history.Ahead).UnixMilli() {
		t.Errorf("the next id lies at %v", time.UnixMilli(got))
	}
}

func TestAnIDWithoutATimeDoesNotPushTheClock(t *testing.T) {
	if got := history.NextMS(histtest.Start, noTime); got != histtest.Start.UnixMilli() {
		t.Errorf("after %s the next id lies at %v", noTime, time.UnixMilli(got))
	}
	year := histtest.Start.AddDate(1, 0, 0)
	for _, x := range []struct {
		id, held string
		ahead    bool
	}{
		{noTime, "", true},
		{noTime, noTime, true},
		{idAt(t, histtest.Start.Add(25*time.Hour)), "", true},
		{idAt(t, histtest.Start.Add(25*time.Hour)), noTime, true},
		{idAt(t, histtest.Start.Add(23*time.Hour)), "", false},
		{idAt(t, year.Add(23*time.Hour)), idAt(t, year), false}, // the record itself stands a year ahead
		{idAt(t, year.Add(25*time.Hour)), idAt(t, year), true},
		{idAt(t, histtest.Start.Add(23*time.Hour)), idAt(t, histtest.Start.AddDate(-1, 0, 0)), false},
	} {
		if got := history.IDAhead(x.id, histtest.Start, x.held); got != x.ahead {
			t.Errorf("%s where the record holds %q: ahead %t, want %t", x.id, x.held, got, x.ahead)
		}
	}
}

// Ids from NoTime on tell no time, those before it do.
func TestNoTimeIsWhereTheYear9999Ends(t *testing.T) {
	end := time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)
	if last, first := idAt(t, end.Add(-time.Millisecond)), idAt(t, end); last >= history.NoTime || first < history.NoTime {
		t.Errorf("%s lies between %s and %s", history.NoTime, last, first)
	}
}

func idAt(t *testing.T, at time.Time) string {
	t.Helper()
	id, err := history.NewID(at.UnixMilli(), rand.NewChaCha8([32]byte{4}))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func parseHead(h history.Head) (history.Entry, error) {
	b, err := json.Marshal(h)
	if err != nil {
		return history.Entry{}, err
	}
	return history.Parse(b)
}

// A name that reads one way and is another is refused when it is new; what older records hold
// is still read.
func TestTextsThatCantBeSeen(t *testing.T) {
	for _, bad := range []string{"E. Sa\u202elo", "E. Salo\u200b", "E.\u2066Salo", "\ufeffE. Salo", "E. Salo\ufffd"} {
		d := histtest.NewDevice(81, bad, history.Inspector)
		e, err := d.Try(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone"}})
		if err == nil {
			t.Errorf("%q is taken: %s", bad, e.Bytes())
		}
		d = histtest.NewDevice(81, "E. Salo", history.Inspector)
		good := d.Put(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone"}})
		h := good.Head
		h.By = bad
		raw, err := json.Marshal(h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := history.Read(raw); err != nil {
			t.Errorf("%q can't be read any more: %v", bad, err)
		}
	}
	if _, err := history.Parse([]byte(`{"at":"2026-11-13T10:00:00Z","by":"E. Sa\ud800lo","data":{"name":"x"},"device":"01928f00-0000-7000-8000-00000000aa01","format":1,"id":"019a7c62-4000-7000-8000-0000000000a7","kind":"device","role":"builder","seq":1}`)); err == nil {
		t.Error("half of a surrogate pair is taken")
	}
}
