package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// picture gives bytes that look like a JPEG to whoever looks at the beginning only.
func picture(seed uint64, n int) []byte {
	b := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16), 7}).Read(b)
	copy(b, "\xff\xd8\xff")
	return b
}

func putPhoto(t testing.TB, s *Store, b []byte) string {
	t.Helper()
	h := histtest.PhotoHash(b)
	if _, _, err := s.PutPhoto(ctx, bytes.NewReader(b), h, int64(len(b))); err != nil {
		t.Fatal(err)
	}
	return h
}

func TestAPhotoComesBackAsItWas(t *testing.T) {
	s := open(t, t.TempDir())
	b := picture(1, 300_000)
	h := histtest.PhotoHash(b)
	p, isNew, err := s.PutPhoto(ctx, bytes.NewReader(b), h, int64(len(b)))
	if err != nil || !isNew || p.Media != "image/jpeg" {
		t.Fatalf("%+v, new %v, %v", p, isNew, err)
	}
	// The same photo again costs nothing: it is not even read.
	if _, isNew, err = s.PutPhoto(ctx, iotest.ErrReader(errors.New("was read")), h, int64(len(b))); err != nil || isNew {
		t.Errorf("again: new %v, %v", isNew, err)
	}
	f, err := s.OpenPhoto(ctx, h)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := must(io.ReadAll(f)); !bytes.Equal(got, b) || f.Length != int64(len(b)) {
		t.Error("came back changed")
	}
	if _, err := s.OpenPhoto(ctx, histtest.PhotoHash(nil)); !errors.Is(err, ErrNotFound) {
		t.Errorf("one that is not here: %v", err)
	}
	sound(t, s)
}

// The file's name is what another program says that its SHA-256 is.
func TestPhotoNamesAgreeWithSha256sum(t *testing.T) {
	tool, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Fatal("sha256sum is needed: it is part of GNU coreutils")
	}
	s := open(t, t.TempDir())
	for i := range 5 {
		putPhoto(t, s, picture(uint64(i), 1000*(i+1)))
	}
	var list strings.Builder
	filepath.WalkDir(filepath.Join(s.dir, photosName), func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			fmt.Fprintf(&list, "%s  %s\n", d.Name(), path)
		}
		return err
	})
	cmd := exec.Command(tool, "--check", "--strict")
	cmd.Stdin = strings.NewReader(list.String())
	if out, err := cmd.CombinedOutput(); err != nil || strings.Count(string(out), ": OK") != 5 {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestPhotosThatAreNotWhatTheySayAreRefused(t *testing.T) {
	s := open(t, t.TempDir())
	b := picture(1, 5000)
	h, n := histtest.PhotoHash(b), int64(len(b))
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	for _, c := range []struct {
		name string
		ctx  context.Context
		r    io.Reader
		hash string
		n    int64
	}{
		{"other bytes", ctx, bytes.NewReader(picture(2, 5000)), h, n},
		{"too short", ctx, bytes.NewReader(b[:4999]), h, n},
		{"too long", ctx, bytes.NewReader(append(b[:5000:5000], 0)), h, n},
		{"length a lie", ctx, bytes.NewReader(b), h, n - 1},
		{"broken off", ctx, io.MultiReader(bytes.NewReader(b[:3000]), iotest.ErrReader(io.ErrUnexpectedEOF)), h, n},
		{"connection lost", ctx, io.MultiReader(bytes.NewReader(b[:3000]), iotest.ErrReader(errors.New("reset"))), h, n},
		{"cancelled", cancelled, bytes.NewReader(b), h, n},
		{"nothing", ctx, bytes.NewReader(nil), h, n},
		{"path", ctx, bytes.NewReader(b), "../../../../tmp/" + h[:48], n},
		{"upper case", ctx, bytes.NewReader(b), strings.ToUpper(h), n},
		{"empty", ctx, bytes.NewReader(nil), histtest.PhotoHash(nil), 0},
		{"huge", ctx, bytes.NewReader(b), h, MaxPhotoBytes + 1},
	} {
		if _, _, err := s.PutPhoto(c.ctx, c.r, c.hash, c.n); err == nil {
			t.Errorf("%s: was taken", c.name)
		}
	}
	if left, _ := os.ReadDir(filepath.Join(s.dir, photosName, incomingName)); len(left) > 0 {
		t.Errorf("%d half photos left", len(left))
	}
	if _, err := s.Photo(ctx, h); !errors.Is(err, ErrNotFound) {
		t.Errorf("a photo is known: %v", err)
	}
	sound(t, s)
}

func TestADamagedPhotoIsNeverHandedOutAndIsHealedByTheGoodOne(t *testing.T) {
	s := open(t, t.TempDir())
	b := picture(1, 5000)
	h := putPhoto(t, s, b)
	for _, damage := range []func(){
		func() { flip(t, s.photoPath(h), 2500) },
		func() { os.Truncate(s.photoPath(h), 100) },
		func() { os.Remove(s.photoPath(h)) },
	} {
		damage()
		if _, err := s.OpenPhoto(ctx, h); !errors.Is(err, ErrDamaged) {
			t.Errorf("opened: %v", err)
		}
		if !found(t, s, "photo "+h) {
			t.Error("check does not name it")
		}
		putPhoto(t, s, b)
		f, err := s.OpenPhoto(ctx, h)
		if err != nil {
			t.Fatalf("not healed: %v", err)
		}
		f.Close()
		sound(t, s)
	}
}

// found says whether check names something wrong that contains the text.
func found(t testing.TB, s *Store, text string) bool {
	t.Helper()
	ps, err := s.Check(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range ps {
		if p.Wrong && strings.Contains(p.Text, text) {
			return true
		}
	}
	return false
}

// flip inverts one bit of a file.
func flip(t testing.TB, name string, at int64) {
	t.Helper()
	os.Chmod(name, 0o600)
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var b [1]byte
	if _, err := f.ReadAt(b[:], at); err != nil {
		t.Fatal(err)
	}
	b[0] ^= 1 << (at % 8)
	if _, err := f.WriteAt(b[:], at); err != nil {
		t.Fatal(err)
	}
}

func TestEntriesMayNamePhotosThatComeLater(t *testing.T) {
	s := open(t, t.TempDir())
	w := histtest.NewWorld(1)
	w.Step(5, 0) // a shot and a finding
	photos := 0
	for _, r := range put(t, s, w.All()...) {
		if r.Missing != nil {
			photos += len(r.Missing.Photos)
		}
	}
	m := missing(s)
	if photos == 0 || len(m.Photos) != 1 {
		t.Fatalf("waiting for %d photos: %+v", photos, m)
	}
	e := must(s.History(ctx, history.Subject{Of: history.OfLocation, ID: w.Locations[0].Location}))
	shot := must(history.DataOf[history.ShotData](e[1]))
	if shot.Photo != m.Photos[0] {
		t.Errorf("waits for %s, the shot names %s", m.Photos[0], shot.Photo)
	}
	putPhoto(t, s, fmt.Appendf(nil, "photo %d of %s", 1, w.Project))
	if m := missing(s); len(m.Photos) != 0 {
		t.Errorf("still waiting: %+v", m)
	}
	sound(t, s)
}

func TestOnePhotoFromManySidesAtOnce(t *testing.T) {
	s := open(t, t.TempDir())
	b := picture(1, 100_000)
	h := histtest.PhotoHash(b)
	var wg sync.WaitGroup
	var mu sync.Mutex
	news := 0
	for range 16 {
		wg.Go(func() {
			_, isNew, err := s.PutPhoto(ctx, bytes.NewReader(b), h, int64(len(b)))
			if err != nil {
				t.Error(err)
			}
			mu.Lock()
			defer mu.Unlock()
			if isNew {
				news++
			}
		})
	}
	wg.Wait()
	if news != 1 {
		t.Errorf("new %d times", news)
	}
	sound(t, s)
}

func TestPreviewsAreACacheThatCanBeThrownAway(t *testing.T) {
	s := open(t, t.TempDir())
	h := putPhoto(t, s, picture(1, 5000))
	made := 0
	maker := func(r io.ReadSeeker, px int) ([]byte, error) {
		made++
		n, err := io.Copy(io.Discard, r)
		return fmt.Appendf(nil, "\xff\xd8%d of %d\xff\xd9", px, n), err
	}
	get := func() string { return string(must(s.Preview(ctx, h, 480, maker))) }
	first := get()
	if get() != first || made != 1 || !strings.Contains(first, "480 of 5000") {
		t.Errorf("%q, made %d times", first, made)
	}
	name := filepath.Join(s.dir, previewsName, h+"-480.jpg")
	if err := os.Truncate(name, 3); err != nil { // a power cut while it was written
		t.Fatal(err)
	}
	if get() != first || made != 2 {
		t.Errorf("half a preview was handed out, made %d times", made)
	}
	if err := os.RemoveAll(filepath.Dir(name)); err != nil { // somebody makes room
		t.Fatal(err)
	}
	if get() != first || made != 3 {
		t.Errorf("without the cache's folder: made %d times", made)
	}
	var r *qc.Refusal
	if _, err := s.Preview(ctx, h, 481, maker); !errors.As(err, &r) {
		t.Errorf("a size of the caller's choosing: %v", err)
	}
	if _, err := s.Preview(ctx, "../../x", 480, maker); !errors.Is(err, ErrNotFound) {
		t.Errorf("a strange name: %v", err)
	}
	if _, err := s.Preview(ctx, h, 160, func(io.ReadSeeker, int) ([]byte, error) { return nil, errors.New("not a picture") }); err == nil || !strings.Contains(err.Error(), h) {
		t.Errorf("a maker that fails: %v", err)
	}
}
