package cli

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/store"
)

// damaged is a closed record of a project and 300 notes, with one note changed in its bytes and
// the page of another overwritten.
func damaged(t *testing.T) (dir string) {
	t.Helper()
	s, dir := record(t)
	me := histtest.NewDevice(2, "Bo", history.Builder)
	p := me.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 3"}})
	keep(t, s, p)
	for i := range 300 {
		keep(t, s, me.Put(history.Draft{Kind: history.KindNote, Project: p.ID, Data: history.NoteData{Text: fmt.Sprintf("note number %d.", i)}}))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "bucktail.db")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b[bytes.Index(b, []byte("note number 100."))+1] ^= 1
	page := bytes.Index(b, []byte("note number 200.")) / 4096 * 4096
	copy(b[page:page+4096], bytes.Repeat([]byte{0xa5}, 4096))
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

func notes(t *testing.T, dir string) (n int) {
	t.Helper()
	s, err := store.OpenReadOnly(dir, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f, err := s.Facts(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return f.Entries
}

func TestWhatIsWholeIsGotOutOfADamagedRecord(t *testing.T) {
	dir := damaged(t)
	before, err := os.ReadFile(filepath.Join(dir, "bucktail.db"))
	if err != nil {
		t.Fatal(err)
	}
	zip, again := filepath.Join(t.TempDir(), "tarn.zip"), filepath.Join(t.TempDir(), "again")
	if st, out, errs := ask("backup", "--data", dir, zip); st != 1 || !strings.Contains(errs, "damaged") || !strings.Contains(errs, "entry number 103") {
		t.Errorf("backup: %d %s %s", st, out, errs)
	}
	if st, out, _ := ask("verify", zip); st != 0 || !strings.Contains(out, "It is whole") || !strings.Contains(out, "entry number 103") {
		t.Errorf("verify: %d %s", st, out)
	}
	if st, out, _ := ask("check", "--data", dir); st != 1 || !strings.Contains(out, "bucktail check --rebuild") {
		t.Errorf("check says nothing of what to do: %d %s", st, out)
	}
	if st, out, errs := ask("restore", "--data", again, zip); st != 0 || !strings.Contains(out, "was damaged when the backup was made") {
		t.Fatalf("restore: %d %s %s", st, out, errs)
	}
	if n := notes(t, again); n < 280 || n > 300 {
		t.Errorf("%d of 302 entries came through", n)
	}
	if st, out, _ := ask("check", "--data", again); st != 1 || !strings.Contains(out, "got out of a damaged one") || !strings.Contains(out, "is not here yet") || strings.Contains(out, "wrong: database") || strings.Contains(out, "What to do") {
		t.Errorf("check of the restored: %d %s", st, out)
	}
	bundle := filepath.Join(t.TempDir(), "out.zip")
	if st, out, errs := ask("export", "--all", "--data", dir, "--project", "Tarn 3", bundle); st != 1 || !strings.Contains(errs, "holds what is whole") || !strings.Contains(out, "entries") {
		t.Errorf("export: %d %s %s", st, out, errs)
	}
	if st, out, errs := ask("verify", bundle); st != 0 {
		t.Errorf("verify: %d %s %s", st, out, errs)
	}
	if st, _, errs := ask("serve", "--no-lan", "--addr", "localhost:0", "--data", dir); st != 1 || !strings.Contains(errs, "damaged") || !strings.Contains(errs, "check --rebuild") {
		t.Errorf("serve: %d %s", st, errs)
	}
	if after, err := os.ReadFile(filepath.Join(dir, "bucktail.db")); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the damaged record was changed (%v)", err)
	}
	if _, out, errs := ask("check", "--rebuild", "--data", dir); !strings.Contains(out, "was put in its place") {
		t.Errorf("rebuild: %s %s", out, errs)
	}
	if n := notes(t, dir); n < 280 || n > 300 {
		t.Errorf("%d of 302 entries came through the rebuilding", n)
	}
	if l, _ := filepath.Glob(filepath.Join(dir, "bucktail.db.damaged-*[0-9]")); len(l) != 1 {
		t.Errorf("put aside: %v", l)
	}
}

// Without its first page the file is no database any more; it is said so, and nothing is changed.
func TestARecordThatCantBeReadAtAll(t *testing.T) {
	s, dir := record(t)
	s.Close()
	name := filepath.Join(dir, "bucktail.db")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	copy(b, make([]byte, 4096))
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if st, _, errs := ask("serve", "--no-lan", "--addr", "localhost:0", "--data", dir); st != 1 || !strings.Contains(errs, "check --rebuild") {
		t.Errorf("serve: %d %s", st, errs)
	}
	zip := filepath.Join(t.TempDir(), "tarn.zip")
	if st, out, errs := ask("backup", "--data", dir, zip); st != 1 || !strings.Contains(out, "0 entries, 1 photo") {
		t.Errorf("backup: %d %s %s", st, out, errs)
	}
}

func TestExportSaysThatAPhotoIsMissing(t *testing.T) {
	photo := corners(t)
	s, dir, part := gusset(t, photo)
	s.Close()
	hash := histtest.PhotoHash(photo)
	if err := os.Remove(filepath.Join(dir, "photos", hash[:2], hash[2:4], hash)); err != nil {
		t.Fatal(err)
	}
	bundle := filepath.Join(t.TempDir(), "out.zip")
	if st, out, errs := ask("export", "--data", dir, part, bundle); st != 0 || !strings.Contains(errs, hash) {
		t.Errorf("export: %d %s %s", st, out, errs)
	}
	if st, out, _ := ask("verify", bundle); st != 0 || !strings.Contains(out, hash) {
		t.Errorf("verify: %d %s", st, out)
	}
}

// A record can be made whole again: who looked at a fault says why it is accepted, and it alarms
// no more.
func TestAFaultThatWasLookedAtAlarmsNoMore(t *testing.T) {
	s, dir := record(t)
	me := histtest.NewDevice(3, "Bo", history.Builder)
	me.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "lost with the phone"}})
	keep(t, s, me.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 4"}}))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if st, out, _ := ask("check", "--data", dir); st != 1 || !strings.Contains(out, "is not here yet") {
		t.Errorf("before: %d %s", st, out)
	}
	if st, out, errs := ask("check", "--accept", "the phone was lost", "--data", dir); st != 0 || !strings.Contains(out, "looked at: the phone was lost") {
		t.Errorf("accept: %d %s %s", st, out, errs)
	}
	if st, out, _ := ask("check", "--data", dir); st != 0 || !strings.Contains(out, "The record is whole") {
		t.Errorf("after: %d %s", st, out)
	}
	if st, _, errs := ask("check", "--accept", "again", "--data", dir); st != 1 || !strings.Contains(errs, "no faults") {
		t.Errorf("nothing to accept: %d %s", st, errs)
	}
}

// A photo that no device has any more is acknowledged too, and a restored record is whole.
func TestALostPhotoThatWasLookedAtAlarmsNoMore(t *testing.T) {
	s, dir, _ := gusset(t, corners(t))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	hash := histtest.PhotoHash(corners(t))
	if err := os.Remove(filepath.Join(dir, "photos", hash[:2], hash[2:4], hash)); err != nil {
		t.Fatal(err)
	}
	if st, out, _ := ask("check", "--data", dir); st != 1 || !strings.Contains(out, "wrong: photo "+hash) {
		t.Errorf("before: %d %s", st, out)
	}
	if st, out, errs := ask("check", "--accept", "the phone was lost", "--data", dir); st != 0 || !strings.Contains(out, "accepted: photo "+hash) {
		t.Errorf("accept: %d %s %s", st, out, errs)
	}
	if st, out, _ := ask("check", "--data", dir); st != 0 || !strings.Contains(out, "the file is gone; looked at: the phone was lost") {
		t.Errorf("after: %d %s", st, out)
	}
	bundle := filepath.Join(t.TempDir(), "out.zip")
	if st, _, errs := ask("export", "--data", dir, "--all", bundle); st != 0 || !strings.Contains(errs, "the file is gone") || strings.Contains(errs, dir) {
		t.Errorf("export: %d %s", st, errs)
	}
}
