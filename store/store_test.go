package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// clock stands still at the end of the test record's first year.
func clock() time.Time { return histtest.Start.AddDate(0, 0, 30) }

func options() Options { return Options{Now: clock} }

func open(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(dir, options())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	relax(s)
	return s
}

// relax leaves out the waiting for the disk, in tests that are not about what a crash leaves.
func relax(s *Store) {
	must(s.write.Exec(`PRAGMA synchronous = OFF`))
}

// all takes in entries of any device.
var all = Sender{Role: history.Builder, Any: true}

func put(t testing.TB, s *Store, entries ...history.Entry) []Result {
	t.Helper()
	var out []Result
	for len(entries) > 0 {
		n := min(len(entries), MaxBatch)
		raws := make([][]byte, n)
		for i := range raws {
			raws[i] = entries[i].Bytes()
		}
		r, err := s.PutEntries(context.Background(), all, raws)
		if err != nil {
			t.Fatal(err)
		}
		out, entries = append(out, r...), entries[n:]
	}
	return out
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// sound fails the test if the store is not as it must be; notes are allowed.
func sound(t testing.TB, s *Store) {
	t.Helper()
	problems, err := s.Check(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		if p.Wrong {
			t.Errorf("check: %s", p.Text)
		}
	}
}

func TestASecondProcessIsToldWhoHasTheFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "folder with ? # % and spaces")
	s := open(t, dir)
	_, err := Open(dir, options())
	if !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), dir) {
		t.Errorf("second: %v", err)
	}
	ro, err := OpenReadOnly(dir, options())
	if err != nil {
		t.Fatalf("reading beside it: %v", err)
	}
	defer ro.Close()
	if _, _, err := ro.PutPhoto(context.Background(), strings.NewReader("x"), histtest.PhotoHash([]byte("x")), 1); !errors.Is(err, ErrReadOnly) {
		t.Errorf("writing a photo there: %v", err)
	}
	if _, err := ro.PutEntries(context.Background(), all, nil); !errors.Is(err, ErrReadOnly) {
		t.Errorf("writing there: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := Open(dir, options())
	if err != nil {
		t.Fatalf("after the first has closed: %v", err)
	}
	again.Close()
}

func TestWhatWasPutIsThereAfterClosing(t *testing.T) {
	dir := t.TempDir()
	w := histtest.NewWorld(1)
	s := open(t, dir)
	put(t, s, w.All()...)
	s.Close()
	s = open(t, dir)
	page := must(s.EntriesSince(context.Background(), "", 0))
	if len(page.Entries) != len(w.All()) || page.More {
		t.Fatalf("%d entries of %d, more %v", len(page.Entries), len(w.All()), page.More)
	}
	for i, e := range page.Entries {
		if e.Hash() != w.All()[i].Hash() {
			t.Errorf("entry %d differs", i)
		}
	}
	sound(t, s)
}

func TestDataOfANewerVersionIsLeftAlone(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.write.Exec(`PRAGMA user_version = 99`); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := Open(dir, options()); !errors.Is(err, ErrNewer) {
		t.Errorf("open: %v", err)
	}
	if _, err := OpenReadOnly(dir, options()); !errors.Is(err, ErrNewer) {
		t.Errorf("open to read: %v", err)
	}
}

func TestAFileThatIsNoDatabaseIsNamed(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, dbName), []byte(strings.Repeat("not a database ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, options()); !errors.Is(err, ErrDamaged) {
		t.Errorf("open: %v", err)
	}
	if _, err := OpenReadOnly(t.TempDir(), options()); !errors.Is(err, ErrNotFound) {
		t.Errorf("nothing there: %v", err)
	}
}

func TestProjectionsOfAnotherVersionAreMadeAgain(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	put(t, s, histtest.NewWorld(1).All()...)
	for _, q := range []string{`UPDATE meta SET value = 'older' WHERE key = 'projection'`, `UPDATE part SET covered = 77`} {
		if _, err := s.write.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	if _, err := OpenReadOnly(dir, options()); err == nil {
		t.Error("sums of another version were read")
	}
	sound(t, open(t, dir))
}
