package store

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"bucktail/qc/history/histtest"
)

// A folder that holds other things is left as it is.
func TestAForeignFolderIsRefused(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"cache/thumbnails/a", "photos/incoming/holiday.jpg", "photos/wedding.jpg"} {
		name = filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, []byte("mine"), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	if s, err := Open(dir, options()); !errors.Is(err, ErrForeign) {
		t.Errorf("opened: %v", err)
		s.Close()
	}
	for _, name := range []string{"cache/thumbnails/a", "photos/incoming/holiday.jpg", "photos/wedding.jpg"} {
		if b, err := os.ReadFile(filepath.Join(dir, name)); string(b) != "mine" {
			t.Errorf("%s: %q, %v", name, b, err)
		}
	}
	if l := must(os.ReadDir(dir)); len(l) != 2 {
		t.Errorf("something was made there: %v", l)
	}
}

// Making a record broke off before its database was there: the next start goes on.
func TestABegunFolderIsOurs(t *testing.T) {
	dir := t.TempDir()
	if err := errors.Join(os.MkdirAll(filepath.Join(dir, photosName, incomingName), 0o700), os.WriteFile(filepath.Join(dir, lockName), []byte("1\n"), 0o600)); err != nil {
		t.Fatal(err)
	}
	open(t, dir)
}

// A folder inside the record that is not of our making stays.
func TestNamesOfOthersInTheRecordStay(t *testing.T) {
	dir := t.TempDir()
	open(t, dir).Close()
	other := filepath.Join(dir, photosName, "incoming", "holiday.jpg")
	if err := errors.Join(os.MkdirAll(filepath.Dir(other), 0o700), os.WriteFile(other, []byte("mine"), 0o600)); err != nil {
		t.Fatal(err)
	}
	open(t, dir)
	if b, err := os.ReadFile(other); string(b) != "mine" {
		t.Errorf("%q, %v", b, err)
	}
}

func TestOthersOnTheMachineReadNothing(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such permissions there")
	}
	dir := t.TempDir()
	s := open(t, dir)
	s.PutPhoto(context.Background(), bytes.NewReader([]byte("before")), histtest.PhotoHash([]byte("before")), 6)
	s.Close()
	n := 0
	if err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error { // as after a copy
		n++
		if d.IsDir() {
			return errors.Join(err, os.Chmod(path, 0o755))
		}
		return errors.Join(err, os.Chmod(path, 0o644))
	}); err != nil || n < 8 {
		t.Fatalf("%d files and folders, %v", n, err)
	}
	s = open(t, dir)
	put(t, s, histtest.NewWorld(1).All()...)
	s.PutPhoto(context.Background(), bytes.NewReader([]byte("photo")), histtest.PhotoHash([]byte("photo")), 5)
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// When nothing is written for a while, the database file alone is the record.
func TestAnIdleRecordIsInItsFile(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	s.idle.wait = 20 * time.Millisecond
	entries := histtest.NewWorld(1).All()
	put(t, s, entries...)
	other := t.TempDir()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if err := os.WriteFile(filepath.Join(other, dbName), must(os.ReadFile(filepath.Join(dir, dbName))), 0o600); err != nil {
			t.Fatal(err)
		}
		c, err := Open(other, options())
		n := 0
		if err == nil {
			n = must(c.Facts(context.Background())).Entries
			c.Close()
		}
		if n == len(entries) {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("the file alone holds %d of %d entries (%v)", n, len(entries), err)
		}
		os.RemoveAll(other)
		os.MkdirAll(other, 0o700)
	}
}

// A power cut came between a photo's file and its row.
func TestAPhotoThatWasNotAcknowledgedIsTakenInOrGoes(t *testing.T) {
	dir := t.TempDir()
	open(t, dir).Close()
	whole, half := []byte("a whole photo"), []byte("half a pho")
	lay := func(name string, b []byte) string {
		path := filepath.Join(dir, photosName, name[:2], name[2:4], name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, b, 0o400)); err != nil {
			t.Fatal(err)
		}
		return path
	}
	lay(histtest.PhotoHash(whole), whole)
	gone := lay(histtest.PhotoHash([]byte("half a photo")), half)
	s := open(t, dir)
	if p, err := s.Photo(context.Background(), histtest.PhotoHash(whole)); err != nil || p.Length != int64(len(whole)) {
		t.Errorf("%+v, %v", p, err)
	}
	if _, err := os.Stat(gone); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the half one is still there: %v", err)
	}
	sound(t, s)
}

// A disk that can't be written to is read by way of a copy, with what lies in the log.
func TestACopyOfTheRecordIsRead(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	entries := histtest.NewWorld(1).All()
	put(t, s, entries...)
	r := must(OpenReadOnly(dir, options()))
	if err := r.readCopy(); err != nil {
		t.Fatal(err)
	}
	if n := must(r.Facts(context.Background())).Entries; n != len(entries) {
		t.Errorf("%d of %d entries", n, len(entries))
	}
	temp := r.temp
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(temp); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the copy is still there: %v", err)
	}
}
