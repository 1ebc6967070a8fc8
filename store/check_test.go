package store

import (
	"database/sql"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/history/histtest"
)

// tamper changes the database file behind the program's back, as somebody with the file and
// another program could: the guards are taken off first and put back.
func tamper(t *testing.T, dir string, change ...string) {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+filepath.Join(dir, dbName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	guards := must(texts(db.Query(`SELECT sql FROM sqlite_schema WHERE type = 'trigger'`)))
	names := must(texts(db.Query(`SELECT name FROM sqlite_schema WHERE type = 'trigger'`)))
	for _, n := range names {
		change = append([]string{"DROP TRIGGER " + n}, change...)
	}
	for _, q := range append(change, guards...) {
		if _, err := db.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

func TestCheckNamesWhatWasTamperedWith(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     []string
	}{
		{"nothing", "", nil},
		{"words of an entry", "entry number 1", []string{`UPDATE entry SET bytes = replace(bytes, 'Tarn 2', 'Tarn 3') WHERE n = 1`}},
		{"column of an entry", "does not say what its bytes say", []string{`UPDATE entry SET part = '' WHERE n = 2`}},
		{"last entry removed", "were removed", []string{`PRAGMA foreign_keys = OFF`, `DELETE FROM entry WHERE n = (SELECT max(n) FROM entry)`}},
		{"entry in the middle removed", "is not here yet", []string{`PRAGMA foreign_keys = OFF`, `DELETE FROM entry WHERE n = 3`}},
		{"removed with its traces", "were removed", []string{`PRAGMA foreign_keys = OFF`, `DELETE FROM about WHERE n = 4`, `DELETE FROM entry WHERE n = 4`}},
		{"a sum", "table part", []string{`UPDATE part SET covered = covered + 1`}},
		{"a work item taken off the list", "table work", []string{`DELETE FROM work`}},
		{"a verdict", "table location", []string{`UPDATE location SET view = replace(view, '"verdict":"out"', '"verdict":"within"')`}},
		{"a guard taken off", "entry_never_changed", []string{`CREATE TABLE strange (x)`, `DROP TABLE strange`}},
		{"a table added", "strange", []string{`CREATE TABLE strange (x)`}},
		{"a photo's row removed", "", []string{`DELETE FROM photo WHERE hash = (SELECT min(hash) FROM photo)`}},
	} {
		s, _ := filled(t)
		s.Close()
		if c.name == "a guard taken off" {
			db := must(sql.Open("sqlite3", "file:"+filepath.Join(s.dir, dbName)))
			must(db.Exec(`DROP TRIGGER entry_never_changed`))
			db.Close()
		} else {
			tamper(t, s.dir, c.change...)
		}
		r := open(t, s.dir)
		if c.want == "" {
			sound(t, r) // a photo without a row was never acknowledged: a note, no more
		} else if !found(t, r, c.want) {
			t.Errorf("%s: not found: %v", c.name, must(r.Check(ctx, nil)))
		}
	}
}

// SQLite's own command finds the same: the file is a database like any other.
func TestSQLitesOwnCommandFindsTheFileWhole(t *testing.T) {
	s, _ := filled(t)
	s.Close()
	tool, err := exec.LookPath("sqlite3")
	if err != nil {
		t.Log("no sqlite3 command here; the library's own check is in Check")
		db := must(sql.Open("sqlite3", "file:"+filepath.Join(s.dir, dbName)+"?mode=ro"))
		defer db.Close()
		if l := must(texts(db.Query(`PRAGMA integrity_check`))); strings.Join(l, "") != "ok" {
			t.Error(l)
		}
		return
	}
	out, err := exec.Command(tool, filepath.Join(s.dir, dbName), "PRAGMA integrity_check; PRAGMA foreign_key_check; SELECT count(*) FROM entry WHERE hash IS NULL").CombinedOutput()
	if err != nil || string(out) != "ok\n0\n" {
		t.Errorf("%v\n%s", err, out)
	}
}

// One flipped bit anywhere in the database file: check says so, or everything in it still
// reads as before (the bit lay in unused space).
func TestAFlippedBitInTheDatabaseIsNamedOrWithoutEffect(t *testing.T) {
	s, _ := filled(t)
	s.Close() // everything is in the one file now
	name := filepath.Join(s.dir, dbName)
	whole := must(os.ReadFile(name))
	want := content(t, s.dir)
	r := rand.New(rand.NewPCG(1, 2))
	named, harmless := 0, 0
	flips := thorough(50, 150)
	for range flips {
		at := r.Int64N(int64(len(whole)))
		flip(t, name, at)
		c, err := Open(s.dir, options())
		switch {
		case err != nil:
			named++
			if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNewer) {
				t.Logf("byte %d: open says %v", at, err)
			}
		default:
			ps := must(c.Check(ctx, nil))
			wrong := false
			for _, p := range ps {
				wrong = wrong || p.Wrong
			}
			c.Close()
			if wrong {
				named++
			} else if harmless++; content(t, s.dir) != want {
				t.Errorf("byte %d was flipped: check finds nothing, but the content differs", at)
			}
		}
		os.Remove(name + "-wal")
		os.Remove(name + "-shm")
		if err := os.WriteFile(name, whole, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d bits flipped: %d named, %d in unused space", named+harmless, named, harmless)
	if named < flips/3 {
		t.Error("hardly any was named: the test shows little")
	}
}

// content writes down everything that the database says to a reader of SQL.
func content(t *testing.T, dir string) string {
	db := must(sql.Open("sqlite3", "file:"+filepath.Join(dir, dbName)+"?mode=ro"))
	defer db.Close()
	var out strings.Builder
	// Not meta: another record id does no harm, devices send again what is here already. Not
	// received_ms: it is a remark of ours, no part of what anybody entered.
	for _, table := range append([]string{"entry", "photo"}, projections...) {
		cols, err := texts(db.Query(`SELECT 'quote(' || name || ')' FROM pragma_table_info(?) WHERE name <> 'received_ms'`, table))
		if err != nil {
			return "unreadable: " + err.Error()
		}
		rows, err := texts(db.Query(`SELECT ` + strings.Join(cols, ` || '|' || `) + ` FROM ` + table))
		if err != nil {
			return "unreadable: " + err.Error()
		}
		out.WriteString(table + "\n" + strings.Join(rows, "\n") + "\n")
	}
	return histtest.PhotoHash([]byte(out.String()))
}
