package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// fullDisk is a place that runs full, and gets room again.
type fullDisk struct {
	dir  string
	fill func() // takes nearly all the room that is left
	free func()
}

// writeUntilFull writes entries and photos until both are refused for want of room, frees
// room, and holds what was acknowledged against what is there.
func writeUntilFull(t *testing.T, s *Store, d fullDisk) {
	me := newWriter(s, 1)
	var acked []string
	note := func(n int) error {
		draft := history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}
		if len(acked) > 0 {
			draft = history.Draft{Kind: history.KindNote, Project: acked[0][len("entry "):], Data: history.NoteData{Text: string(bytes.Repeat([]byte("n"), n))}}
		}
		e, err := me.put(draft)
		if err == nil {
			acked = append(acked, "entry "+e.ID)
		}
		return err
	}
	photo := func(n int) error {
		b := picture(rand.Uint64(), n)
		_, _, err := s.PutPhoto(ctx, bytes.NewReader(b), histtest.PhotoHash(b), int64(n))
		if err == nil {
			acked = append(acked, "photo "+histtest.PhotoHash(b))
		}
		return err
	}
	for range 20 {
		if err := errors.Join(note(5000), photo(20_000)); err != nil {
			t.Fatalf("before it was full: %v", err)
		}
	}
	d.fill()
	var noteErr, photoErr error
	for range 500 {
		if noteErr == nil {
			noteErr = note(15_000)
		}
		if photoErr == nil {
			photoErr = photo(200_000)
		}
	}
	for what, err := range map[string]error{"entry": noteErr, "photo": photoErr} {
		if !errors.Is(err, ErrFull) {
			t.Errorf("%s on a full disk: %v, want %v", what, err, ErrFull)
		}
	}
	for _, a := range acked { // reading goes on
		if err := stillThere(s, a); err != nil {
			t.Errorf("while it is full: %s: %v", a, err)
		}
	}
	d.free()
	if err := errors.Join(note(15_000), photo(200_000)); err != nil {
		t.Errorf("with room again: %v", err)
	}
	sound(t, s)
	s.Close()
	s = must(Open(d.dir, options()))
	defer s.Close()
	for _, a := range acked {
		if err := stillThere(s, a); err != nil {
			t.Errorf("after opening again: %s: %v", a, err)
		}
	}
	sound(t, s)
	t.Logf("%d acknowledged; entry: %v; photo: %v", len(acked), noteErr, photoErr)
}

// The quota needs no rights: the database may not grow past a number of pages, and the file
// system answers as a full one does when photos are written.
func TestAQuotaThatIsUsedUp(t *testing.T) {
	s := open(t, t.TempDir())
	var pages int
	limit := func(n int) {
		if _, err := s.write.Exec(fmt.Sprintf(`PRAGMA max_page_count = %d`, n)); err != nil {
			t.Fatal(err)
		}
	}
	incoming := filepath.Join(s.dir, photosName, incomingName)
	writeUntilFull(t, s, fullDisk{
		dir: s.dir,
		fill: func() {
			if err := s.write.QueryRow(`PRAGMA page_count`).Scan(&pages); err != nil {
				t.Fatal(err)
			}
			limit(pages + 20)
			s.createTemp = func(dir, pattern string) (incomingFile, error) {
				f, err := os.CreateTemp(dir, pattern)
				return &limitedFile{File: f, room: 100_000}, err
			}
		},
		free: func() {
			limit(1 << 30)
			s.createTemp = osCreateTemp
			if left := must(os.ReadDir(incoming)); len(left) > 0 {
				t.Errorf("%d half photos left", len(left))
			}
		},
	})
}

// limitedFile takes so many bytes and then answers as a full file system does.
type limitedFile struct {
	*os.File
	room int
}

func (l *limitedFile) Write(p []byte) (int, error) {
	n := min(len(p), l.room)
	l.room -= n
	if m, err := l.File.Write(p[:n]); m < n || err != nil {
		return m, err
	}
	if n < len(p) {
		return n, &os.PathError{Op: "write", Path: l.Name(), Err: syscall.ENOSPC}
	}
	return n, nil
}

// A real file system of 24 MB, where the test may mount one.
func TestARealDiskThatRunsFull(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here (%v: %s); the quota test shows the same without one", err, bytes.TrimSpace(out))
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("umount: %v: %s", err, out)
		}
	})
	data := filepath.Join(dir, "data")
	s, err := Open(data, options())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ballast := filepath.Join(dir, "ballast")
	writeUntilFull(t, s, fullDisk{
		dir: data,
		fill: func() {
			f := must(os.Create(ballast))
			defer f.Close()
			for chunk := make([]byte, 1<<20); ; { // until it no longer takes a megabyte
				if _, err := f.Write(chunk); err != nil {
					break
				}
			}
			// Leave a little room, so that it runs full in the middle of a write.
			f.Truncate(must(f.Stat()).Size() - 300_000)
		},
		free: func() { os.Remove(ballast) },
	})
}
