package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// A record whose write-ahead log was lost while nobody had closed it counts as another copy as soon
// as somebody comes who has seen more: all devices begin anew and send again, once.
func TestARecordThatLostItsEndAsksForAllAgain(t *testing.T) {
	ctx, dir, later := context.Background(), t.TempDir(), filepath.Join(t.TempDir(), "later")
	s := open(t, dir)
	d := histtest.NewDevice(94, "Ines K.", history.Builder)
	p := d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	put(t, s, p)
	s.checkpoint()
	s.idle.stop() // what follows stays in the log
	var lost []history.Entry
	for i := range 3 {
		lost = append(lost, d.Put(history.Draft{Kind: history.KindNote, Project: p.ID, Data: history.NoteData{Text: fmt.Sprint("note ", i)}}))
	}
	put(t, s, lost...)
	seen := must(s.EntriesSince(ctx, "", 10)).Cursor
	if page := must(s.EntriesSince(ctx, seen, 10)); page.Again || len(page.Entries) > 0 {
		t.Fatalf("at the end: %+v", page)
	}
	if err := os.MkdirAll(later, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := copyFile(filepath.Join(later, dbName), s.file); err != nil { // without its log
		t.Fatal(err)
	}
	s = open(t, later)
	before := s.ID()
	page := must(s.EntriesSince(ctx, seen, 10))
	if !page.Again || len(page.Entries) != 1 || s.ID() == before || page.Cursor != s.ID()+"-1" {
		t.Fatalf("record %s, was %s: %+v", s.ID(), before, page)
	}
	// The copy that was lost is told from this one also by those who had seen less.
	if page := must(s.EntriesSince(ctx, before+"-1", 10)); !page.Again {
		t.Error("a cursor of the record before it lost its end is taken")
	}
	now := s.ID()
	if page := must(s.EntriesSince(ctx, now+"-99", 10)); page.Again || s.ID() != now {
		t.Errorf("a device makes all others send again and again: again %t, record %s", page.Again, s.ID())
	}
	if got := put(t, s, lost...); got[0].Status != New {
		t.Errorf("sent again: %+v", got[0])
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s = open(t, later); s.ID() != now {
		t.Error("the new name was not kept")
	}
}
