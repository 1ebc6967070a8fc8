package store

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// filled is a store with a small record and some photos.
func filled(t testing.TB) (*Store, []string) {
	t.Helper()
	s := open(t, t.TempDir())
	w := histtest.NewWorld(1)
	for i := range 60 {
		w.Step(i%histtest.Actions, i%3)
	}
	put(t, s, w.All()...)
	f := w.Locations[0].Draft(history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 6.0, 12)) // narrow: out
	put(t, s, w.Devices[0].Put(f))
	var photos []string
	for i := range 6 {
		photos = append(photos, putPhoto(t, s, picture(uint64(i), 3000*(i+1))))
	}
	return s, photos
}

func backedUp(t testing.TB, s *Store) []byte {
	t.Helper()
	var b bytes.Buffer
	if _, err := s.Backup(ctx, &b, t.TempDir(), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func restore(b []byte, dir string) ([]Problem, error) {
	_, p, err := Restore(ctx, bytes.NewReader(b), int64(len(b)), dir, options(), nil)
	return p, err
}

func TestARestoredBackupIsTheSameRecord(t *testing.T) {
	s, photos := filled(t)
	b := backedUp(t, s)
	dir := filepath.Join(t.TempDir(), "new", "folder")
	if p, err := restore(b, dir); err != nil {
		t.Fatal(err, p)
	}
	r := open(t, dir)
	sound(t, r)
	if got, want := dump(t, r), dump(t, s); got != want {
		t.Errorf("adds up to\n%s\nwant\n%s", got, want)
	}
	a, z := must(s.EntriesSince(ctx, "", 0)), must(r.EntriesSince(ctx, "", 0))
	for i, e := range a.Entries {
		if z.Entries[i].Hash() != e.Hash() {
			t.Fatalf("entry %d is another", i)
		}
	}
	for _, h := range photos {
		f, err := r.OpenPhoto(ctx, h)
		if err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	// A phone that was in step with the old copy must notice that this is another one.
	if again := must(r.EntriesSince(ctx, a.Cursor, 1)); !again.Again {
		t.Error("the cursor of the old copy is taken as if nothing had happened")
	}
}

// Whoever has a backup can't come in with what stands in it: each device is let in again by hand.
func TestARestoredRecordLetsNoDeviceIn(t *testing.T) {
	s, _ := filled(t)
	d := Device{ID: histtest.NewDevice(1, "", history.Builder).Device, Name: "Ines's phone", Role: history.Builder}
	must(s.Join(ctx, d, TokenHash{1}, false))
	dir := t.TempDir()
	if p, err := restore(backedUp(t, s), dir); err != nil {
		t.Fatal(err, p)
	}
	r := open(t, dir)
	if !must(r.DeviceByToken(ctx, TokenHash{1})).Revoked() {
		t.Error("a device comes in with the token from before")
	}
	if must(r.Join(ctx, d, TokenHash{2}, true)).Revoked() {
		t.Error("it can't be let in again")
	}
}

func TestABackupIsOfOneMomentWhileOthersWrite(t *testing.T) {
	s, _ := filled(t)
	stop := make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		me := newWriter(s, 99)
		p := must(me.put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 3"}}))
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			h := putPhoto(t, s, picture(uint64(1000+i), 2000))
			must(me.put(history.Draft{Kind: history.KindNote, Project: p.ID, Data: history.NoteData{Photos: []string{h}}}))
		}
	})
	for range 3 {
		// As `bucktail backup` does it: another process, reading only.
		ro := must(OpenReadOnly(s.dir, options()))
		b := backedUp(t, ro)
		ro.Close()
		dir := t.TempDir()
		if _, err := restore(b, dir); err != nil {
			t.Fatal(err)
		}
		r := must(OpenReadOnly(dir, options()))
		m := missing(r)
		for _, h := range m.Photos {
			// Photos of the invented world never came; those of the writer must be there.
			if _, err := os.Stat(s.photoPath(h)); err == nil {
				t.Errorf("photo %s came before its entry and is not in the backup", h)
			}
		}
		r.Close()
	}
	close(stop)
	wg.Wait()
}

// The manifest's hashes are held against GNU sha256sum, on files unpacked by another program.
func TestTheManifestAgreesWithSha256sum(t *testing.T) {
	s, _ := filled(t)
	b := backedUp(t, s)
	dir := t.TempDir()
	name := filepath.Join(dir, "b.zip")
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	unpack := exec.Command("python3", "-c", "import sys, zipfile; z = zipfile.ZipFile(sys.argv[1]); assert z.testzip() is None; z.extractall(sys.argv[2])", name, filepath.Join(dir, "out"))
	if out, err := unpack.CombinedOutput(); err != nil {
		t.Fatalf("unpacking with Python's zipfile: %v\n%s", err, out)
	}
	var m Manifest
	if err := json.Unmarshal(must(os.ReadFile(filepath.Join(dir, "out", manifestName))), &m); err != nil {
		t.Fatal(err)
	}
	var list strings.Builder
	for _, f := range m.Files {
		fmt.Fprintf(&list, "%s  %s\n", f.SHA256, filepath.Join(dir, "out", f.Name))
	}
	// The seal: the last 64 bytes are the SHA-256 of all before.
	if err := os.WriteFile(filepath.Join(dir, "body"), b[:len(b)-sealLen], 0o600); err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(&list, "%s  %s\n", b[len(b)-sealLen:], filepath.Join(dir, "body"))
	cmd := exec.Command("sha256sum", "--check", "--strict")
	cmd.Stdin = strings.NewReader(list.String())
	if out, err := cmd.CombinedOutput(); err != nil || strings.Count(string(out), ": OK") != len(m.Files)+1 || len(m.Files) != 7 {
		t.Errorf("%d files, %v\n%s", len(m.Files), err, out)
	}
}

func TestAnyFlippedByteInABackupIsNoticed(t *testing.T) {
	s, _ := filled(t)
	b := backedUp(t, s)
	r := bytes.NewReader(nil)
	step := max(1, len(b)/thorough(80, 400))
	for at := 0; at < len(b); at += step {
		b[at] ^= 0x10
		r.Reset(b)
		_, err := VerifyBackup(ctx, r, int64(len(b)), nil)
		var be *BackupError
		if !errors.As(err, &be) || len(be.Wrong) == 0 {
			t.Fatalf("byte %d of %d: %v", at, len(b), err)
		}
		b[at] ^= 0x10
	}
	// The table of contents and the seal: every byte, or every seventh.
	for at := len(b) - 2000; at < len(b); at += thorough(7, 1) {
		b[at] ^= 0x01
		r.Reset(b)
		if _, err := VerifyBackup(ctx, r, int64(len(b)), nil); err == nil {
			t.Fatalf("byte %d of %d", at, len(b))
		}
		b[at] ^= 0x01
	}
	for _, n := range []int{0, 1, 63, 64, 65, len(b) / 2, len(b) - 1} {
		if _, err := VerifyBackup(ctx, bytes.NewReader(b[:n]), int64(n), nil); err == nil {
			t.Errorf("cut to %d bytes", n)
		}
	}
}

// Each row changes the backup as somebody would who does not want it to show, and seals it
// again where that is said; the answer must name what was changed and leave no data behind.
func TestRestoreNamesWhatWasChanged(t *testing.T) {
	s, photos := filled(t)
	good := backedUp(t, s)
	photo := photosName + "/" + photos[2]
	for _, c := range []struct {
		name, want string
		change     func(files map[string][]byte, m *Manifest)
	}{
		{"photo changed", photo, func(f map[string][]byte, m *Manifest) { f[photo][1000] ^= 1 }},
		{"photo changed, manifest too", photo, func(f map[string][]byte, m *Manifest) {
			f[photo][1000] ^= 1
			relist(m, photo, f[photo])
		}},
		{"photo swapped", photo, func(f map[string][]byte, m *Manifest) {
			f[photo] = f[photosName+"/"+photos[3]]
			relist(m, photo, f[photo])
		}},
		{"photo left out", photo, func(f map[string][]byte, m *Manifest) { delete(f, photo) }},
		{"photo left out, manifest too", photos[2], func(f map[string][]byte, m *Manifest) {
			delete(f, photo)
			m.Files = slices.DeleteFunc(m.Files, func(x ManifestFile) bool { return x.Name == photo })
		}},
		{"file added", "extra.txt", func(f map[string][]byte, m *Manifest) { f["extra.txt"] = []byte("x") }},
		{"way out of the folder", "not a name", func(f map[string][]byte, m *Manifest) {
			f["photos/../../evil"] = []byte("x")
			m.Files = append(m.Files, ManifestFile{Name: "photos/../../evil"})
			relist(m, "photos/../../evil", []byte("x"))
		}},
		{"database changed", dbName, func(f map[string][]byte, m *Manifest) { f[dbName][5000] ^= 1 }},
		{"an entry's words changed, manifest too", "was changed", func(f map[string][]byte, m *Manifest) {
			i := bytes.Index(f[dbName], []byte("too narrow"))
			copy(f[dbName][i:], "quite good")
			relist(m, dbName, f[dbName])
		}},
		{"no database", dbName, func(f map[string][]byte, m *Manifest) { delete(f, dbName) }},
		{"no manifest", manifestName, func(f map[string][]byte, m *Manifest) { m.Format = -1 }},
		{"of a newer version", "newer version", func(f map[string][]byte, m *Manifest) { m.Format = 99 }},
	} {
		changed := rezip(t, good, c.change)
		dir := t.TempDir()
		_, err := restore(changed, dir)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", c.name, err, c.want)
		}
		if left := must(os.ReadDir(dir)); len(left) > 0 {
			t.Errorf("%s: left %v behind", c.name, left)
		}
	}
	if _, err := restore(rezip(t, good, func(map[string][]byte, *Manifest) {}), t.TempDir()); err != nil {
		t.Errorf("changed in nothing: %v", err)
	}
}

func relist(m *Manifest, name string, b []byte) {
	for i := range m.Files {
		if m.Files[i].Name == name {
			m.Files[i].Bytes, m.Files[i].SHA256 = int64(len(b)), histtest.PhotoHash(b)
		}
	}
}

// rezip takes a backup apart, lets it be changed and seals it again. A manifest of format -1 is
// left out.
func rezip(t *testing.T, b []byte, change func(map[string][]byte, *Manifest)) []byte {
	t.Helper()
	z := must(zip.NewReader(bytes.NewReader(b), int64(len(b))))
	files := map[string][]byte{}
	for _, f := range z.File {
		r := must(f.Open())
		files[f.Name] = must(io.ReadAll(r))
		r.Close()
	}
	var m Manifest
	if err := json.Unmarshal(files[manifestName], &m); err != nil {
		t.Fatal(err)
	}
	delete(files, manifestName)
	change(files, &m)
	if m.Format >= 0 {
		files[manifestName] = must(json.Marshal(m))
	}
	var out bytes.Buffer
	seal := newSealer(&out)
	w := zip.NewWriter(seal)
	w.SetComment(strings.Repeat("x", sealLen))
	for name, b := range files {
		f := must(w.Create(name))
		if _, err := f.Write(b); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(w.Close(), seal.finish()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestTheSealIsTheHashOfAllBeforeItHoweverItIsWritten(t *testing.T) {
	body := picture(1, 1000)
	for _, step := range []int{1, 63, 64, 65, 999, 1000} {
		var out bytes.Buffer
		s := newSealer(&out)
		for b := range slices.Chunk(body, step) {
			if n, err := s.Write(b); n != len(b) || err != nil {
				t.Fatal(n, err)
			}
		}
		if err := s.finish(); err != nil {
			t.Fatal(err)
		}
		var h hash.Hash = sha256.New()
		h.Write(body[:1000-sealLen])
		if want := append(slices.Clone(body[:1000-sealLen]), hex.EncodeToString(h.Sum(nil))...); !bytes.Equal(out.Bytes(), want) {
			t.Errorf("in steps of %d", step)
		}
	}
}

func TestRestoreOverwritesNothing(t *testing.T) {
	s, _ := filled(t)
	b := backedUp(t, s)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := restore(b, dir); err == nil || !strings.Contains(err.Error(), "notes.txt") {
		t.Errorf("into a folder that is not empty: %v", err)
	}
	if got := must(os.ReadFile(filepath.Join(dir, "notes.txt"))); string(got) != "mine" {
		t.Error("a file was touched")
	}
}

func TestARestoreThatBreaksOffLeavesNoRecordToBeTakenForWhole(t *testing.T) {
	s, _ := filled(t)
	b := backedUp(t, s)
	dir := t.TempDir()
	c, cancel := context.WithCancel(ctx)
	_, _, err := Restore(c, bytes.NewReader(b), int64(len(b)), dir, options(), func(step string, done, of int64) {
		if step == "restoring" && done == 3 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	if left := must(os.ReadDir(dir)); len(left) > 0 {
		t.Errorf("left %v behind", left)
	}
	// A power cut leaves the mark: nothing opens such a folder.
	if err := os.WriteFile(filepath.Join(dir, halfName), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, options()); !errors.Is(err, ErrDamaged) {
		t.Errorf("opened: %v", err)
	}
}

func TestWhatIsDamagedIsLeftOutOfABackupAndNamed(t *testing.T) {
	s, photos := filled(t)
	flip(t, s.photoPath(photos[1]), 100)
	var b bytes.Buffer
	m, err := s.Backup(ctx, &b, t.TempDir(), nil)
	if err != nil || !slices.Equal(m.LeftOut, photos[1:2]) {
		t.Fatalf("%v, left out %v", err, m.LeftOut)
	}
	dir := t.TempDir()
	p, err := restore(b.Bytes(), dir)
	if err != nil || len(p) == 0 {
		t.Fatalf("%v, problems %v", err, p)
	}
	if !slices.ContainsFunc(p, func(p Problem) bool { return p.Wrong && strings.Contains(p.Text, photos[1]) }) {
		t.Errorf("it is not named: %v", p)
	}
}
