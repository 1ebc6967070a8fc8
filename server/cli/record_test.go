package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/store"
)

// ask runs a command as a person would and gives what it says.
func ask(args ...string) (status int, out, err string) {
	var o, e bytes.Buffer
	status = Run(args, strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

// keep hands an entry in, as the builder's phone does.
func keep(t *testing.T, s *store.Store, e history.Entry) {
	t.Helper()
	r, err := s.PutEntries(context.Background(), store.Sender{Device: e.Device, Role: e.Role}, [][]byte{e.Bytes()})
	if err != nil || r[0].Status == store.Refused {
		t.Fatalf("%v %+v", err, r)
	}
}

func record(t *testing.T) (*store.Store, string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	s, err := store.Open(dir, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	keep(t, s, histtest.NewDevice(1, "Ines K.", history.Builder).Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}))
	photo := []byte("\xff\xd8\xff a photo, as far as the record can tell")
	if _, _, err := s.PutPhoto(context.Background(), bytes.NewReader(photo), histtest.PhotoHash(photo), int64(len(photo))); err != nil {
		t.Fatal(err)
	}
	return s, dir
}

func TestBackupRestoreCheckWhileTheRecordIsOpen(t *testing.T) {
	_, dir := record(t) // stays open, as in a running server
	zip := filepath.Join(t.TempDir(), "tarn.zip")
	if st, out, err := ask("check", "--data", dir); st != 0 || !strings.Contains(out, "whole") {
		t.Errorf("check: %d %s %s", st, out, err)
	}
	if st, out, err := ask("backup", "--data", dir, zip); st != 0 || !strings.Contains(out, "1 entry, 1 photo") || err != "" {
		t.Fatalf("backup: %d %s %s", st, out, err)
	}
	if left, _ := os.ReadDir(filepath.Dir(zip)); len(left) != 1 {
		t.Errorf("beside the backup lies more: %v", left)
	}
	if st, _, err := ask("backup", "--data", dir, zip); st != 1 || !strings.Contains(err, "never overwritten") {
		t.Errorf("backup over a backup: %d %s", st, err)
	}
	if st, _, err := ask("check", "--rebuild", "--data", dir); st != 1 || !strings.Contains(err, "in use") {
		t.Errorf("rebuild beside a running server: %d %s", st, err)
	}
	if st, out, err := ask("verify", zip); st != 0 || !strings.Contains(out, "This is a backup of the whole record") || !strings.Contains(out, "It is whole: 1 entry, 1 photo") {
		t.Errorf("verify of a backup: %d %s %s", st, out, err)
	}
	again := filepath.Join(t.TempDir(), "again")
	if st, out, err := ask("restore", "--data", again, zip); st != 0 || !strings.Contains(out, "1 entry, 1 photo, as of ") || !strings.Contains(out, "before it is invited again") {
		t.Errorf("restore: %d %s %s", st, out, err)
	}
	if st, out, err := ask("check", "--rebuild", "--data", again); st != 0 || !strings.Contains(out, "whole") {
		t.Errorf("check of the restored: %d %s %s", st, out, err)
	}
	if st, _, err := ask("restore", "--data", again, zip); st != 1 || !strings.Contains(err, "not empty") {
		t.Errorf("restore over a record: %d %s", st, err)
	}
}

func TestDamageIsToldByStatusAndName(t *testing.T) {
	s, dir := record(t)
	s.Close()
	zip := filepath.Join(t.TempDir(), "tarn.zip")
	if st, _, err := ask("backup", "--data", dir, zip); st != 0 {
		t.Fatal(err)
	}
	b, err := os.ReadFile(zip)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(b, []byte("as far as the record"))
	b[i] ^= 1
	if err := os.WriteFile(zip, b, 0o600); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(t.TempDir(), "new")
	if st, out, err := ask("restore", "--data", empty, zip); st != 1 || out != "" || !strings.Contains(err, `"photos/`) {
		t.Errorf("restore of a changed backup: %d %s %s", st, out, err)
	}
	photos, err := filepath.Glob(filepath.Join(dir, "photos", "??", "??", "*"))
	if err != nil || len(photos) != 1 {
		t.Fatal(photos, err)
	}
	if err := os.Remove(photos[0]); err != nil {
		t.Fatal(err)
	}
	if st, out, _ := ask("check", "--data", dir); st != 1 || !strings.Contains(out, "wrong: photo "+filepath.Base(photos[0])) {
		t.Errorf("check: %d %s", st, out)
	}
	zip2 := filepath.Join(t.TempDir(), "tarn.zip")
	if st, _, err := ask("backup", "--data", dir, zip2); st != 1 || !strings.Contains(err, filepath.Base(photos[0])) {
		t.Errorf("backup: %d %s", st, err)
	}
}

func TestRecordCommandsAreUsedWrongly(t *testing.T) {
	for _, c := range []struct {
		args   []string
		status int
		err    string
	}{
		{[]string{"backup"}, 2, "bucktail help backup"},
		{[]string{"restore", "a", "b"}, 2, "bucktail help restore"},
		{[]string{"check", "x"}, 2, "bucktail help check"},
		{[]string{"check", "--data", "/nowhere"}, 1, "not found"},
		{[]string{"check", "--rebuild", "--data", "/nowhere"}, 1, "no such file"},
		{[]string{"backup", "--data", "/nowhere", "/tmp/x.zip"}, 1, "not found"},
		{[]string{"restore", "--data", "/nowhere", "/nowhere.zip"}, 1, `there is no file "/nowhere.zip": check the name`},
		{[]string{"serve", "--data", t.TempDir(), "--addr", "8442"}, 2, `--addr "8442" is not host:port`},
		{[]string{"serve", "--data", t.TempDir(), "--addr", "localhost:0", "--tls-addr", "8443"}, 2, `--tls-addr "8443" is not host:port`},
	} {
		if st, _, err := ask(c.args...); st != c.status || !strings.Contains(err, c.err) {
			t.Errorf("%q: %d %s", c.args, st, err)
		}
	}
}

// What is piped in is read as a file is, also where its end has to be read first.
func TestBackupFromStandardInput(t *testing.T) {
	_, dir := record(t)
	zip := filepath.Join(t.TempDir(), "tarn.zip")
	if st, _, err := ask("backup", "--data", dir, zip); st != 0 {
		t.Fatalf("backup: %s", err)
	}
	for _, args := range [][]string{{"verify", "-"}, {"restore", "--data", filepath.Join(t.TempDir(), "again"), "-"}} {
		in, err := os.Open(zip)
		if err != nil {
			t.Fatal(err)
		}
		var out, errs bytes.Buffer
		if st := Run(args, in, &out, &errs); st != 0 || !strings.Contains(out.String(), "1 entry, 1 photo") {
			t.Errorf("%q: %d %s %s", args, st, out.String(), errs.String())
		}
		in.Close()
	}
}

// Serving as root into root's own home is warned of; a folder that was named is not.
func TestRootIsWarned(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("for root")
	}
	for _, c := range []struct {
		args []string
		set  string
		want bool
	}{{nil, "", true}, {[]string{"--data", t.TempDir()}, "", false}, {nil, t.TempDir(), false}} {
		t.Setenv("BUCKTAIL_DATA", c.set)
		t.Setenv("HOME", t.TempDir())
		f := newFlags("serve")
		var errs bytes.Buffer
		said := console{err: &errs}
		if _, status, done := recordFlags(said, f, "serve", c.args, 0); done {
			t.Fatalf("%q: status %d, %s", c.args, status, errs.String())
		}
		warnRoot(said, f)
		if got := strings.Contains(errs.String(), "you are root"); got != c.want {
			t.Errorf("%q, BUCKTAIL_DATA=%q: warned %v", c.args, c.set, got)
		}
	}
}
