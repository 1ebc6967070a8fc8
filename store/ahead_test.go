package store

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// sent sends entries as the device itself does.
func sent(t *testing.T, s *Store, d *histtest.Device, entries ...history.Entry) []Result {
	t.Helper()
	var raws [][]byte
	for _, e := range entries {
		raws = append(raws, e.Bytes())
	}
	got, err := s.PutEntries(context.Background(), Sender{Device: d.Device, Role: history.Builder}, raws)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// A laptop whose clock stood a year ahead while it let a device in goes on when the clock is right
// again: whoever has seen its entry follows on from its id.
func TestALaptopWhoseClockStoodAheadGoesOn(t *testing.T) {
	dir := t.TempDir()
	now := clock().AddDate(1, 0, 0)
	s := must(Open(dir, Options{Now: func() time.Time { return now }}))
	t.Cleanup(func() { s.Close() })
	must(s.Join(context.Background(), Device{ID: "01928f00-0000-4000-8000-00000000bb01", Name: "phone", Role: history.Builder}, TokenHash{1}, false))
	now = clock()
	ahead := must(s.EntriesSince(context.Background(), "", 0)).Entries
	follow := func(device uint64) {
		t.Helper()
		d := histtest.NewDevice(device, "Ines K.", history.Builder)
		d.Saw(ahead...)
		e := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
		if got := sent(t, s, d, e); got[0].Status != New {
			t.Errorf("after the laptop's clock was put right: %+v", got[0])
		}
	}
	follow(91)
	must(s.Join(context.Background(), Device{ID: "01928f00-0000-4000-8000-00000000bb02", Name: "tablet", Role: history.Builder}, TokenHash{2}, false))
	all := must(s.EntriesSince(context.Background(), "", 0)).Entries
	own := ""
	for _, e := range all {
		if e.Kind == history.KindMember {
			if e.ID < own {
				t.Errorf("the laptop's entry %s stands before its earlier %s", e.ID, own)
			}
			own = e.ID
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	follow(92)
}

// What a device wrote while its clock stood a year ahead is refused, taken in from a file by the
// owner, and the device goes on. An id that tells no time comes in on neither way.
func TestADeviceWhoseClockStoodAheadGoesOn(t *testing.T) {
	s := open(t, t.TempDir())
	d := histtest.NewDevice(93, "Ines K.", history.Builder)
	d.Clock = d.Clock.AddDate(1, 0, 0)
	first := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	if got := sent(t, s, d, first); got[0].Status != Refused || got[0].Refusal.Code != "id-ahead" {
		t.Fatalf("a year ahead: %+v", got[0])
	}
	h := first.Head
	h.ID = "ffffffff-ffff-7fff-bfff-ffffffffffff"
	odd := must(history.Parse(must(json.Marshal(h))))
	if got := put(t, s, odd); got[0].Status != Refused || got[0].Refusal.Code != "id-ahead" {
		t.Errorf("an id that tells no time, from a file: %+v", got[0])
	}
	if got := put(t, s, first); got[0].Status != New {
		t.Fatalf("from a file: %+v", got[0])
	}
	next := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 3"}})
	if got := sent(t, s, d, next); got[0].Status != New {
		t.Errorf("the device's next one: %+v", got[0])
	}
}

// A device that lost its key and was invited again tells another, also where the laptop's clock was set
// back in between, or stood; but one alone.
func TestAnotherKeyIsTakenAfterTheClockWasSetBack(t *testing.T) {
	ctx, now := context.Background(), clock()
	s := must(Open(t.TempDir(), Options{Now: func() time.Time { return now }}))
	t.Cleanup(func() { s.Close() })
	d := Device{ID: "01928f00-0000-4000-8000-00000000bb03", Name: "phone", Role: history.Builder}
	must(s.Join(ctx, d, TokenHash{1}, false))
	must(s.TellKey(ctx, d.ID, strings.Repeat("a", 40)))
	for _, back := range []time.Duration{0, time.Hour} {
		now = now.Add(-back)
		must(s.Join(ctx, d, TokenHash{2, byte(back)}, true))
		again, err := s.TellKey(ctx, d.ID, strings.Repeat("b", 40)+back.String())
		if err != nil || again.ID == d.ID {
			t.Fatalf("set back by %v: %v, goes on as %s", back, err, again.ID)
		}
		d = again
		if _, err := s.TellKey(ctx, d.ID, strings.Repeat("c", 40)); !errors.Is(err, ErrKeyKnown) {
			t.Errorf("set back by %v: a third key: %v", back, err)
		}
	}
}
