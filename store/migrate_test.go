package store

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"testing/fstest"
)

// What is left to do is told by a file's number and the database's version, wherever the file
// stands in the folder.
func TestMigrationsAreChosenByNumber(t *testing.T) {
	dir := fstest.MapFS{"0002_b.sql": {}, "0010_d.sql": {}, "0004_c.sql": {}, "0001_a.sql": {}}
	all, err := listMigrations(dir)
	if err != nil {
		t.Fatal(err)
	}
	for version, want := range map[int]string{0: "0001_a.sql", 1: "0002_b.sql", 2: "0004_c.sql", 3: "0004_c.sql", 4: "0010_d.sql", 9: "0010_d.sql", 10: ""} {
		left, err := migrationsFrom(all, version)
		got := ""
		if len(left) > 0 {
			got = left[0].file
		}
		if err != nil || got != want || len(left) > 0 && left[len(left)-1].version != 10 {
			t.Errorf("version %d: %v, %v", version, left, err)
		}
	}
	if _, err := migrationsFrom(all, 11); !errors.Is(err, ErrNewer) {
		t.Errorf("a newer one: %v", err)
	}
	for _, bad := range []fstest.MapFS{{"0000_a.sql": {}}, {"1_a.sql": {}}, {"0001_a.sql": {}, "0001_b.sql": {}}, {"0001_a.txt": {}}, {}} {
		if all, err := listMigrations(bad); err == nil {
			t.Errorf("%v: taken as %v", bad, all)
		}
	}
}

// A database that an older version left behind gets what came since, and nothing twice.
func TestOlderDatabaseIsBroughtToThisVersion(t *testing.T) {
	data := t.TempDir()
	s := open(t, data)
	name := filepath.Join(data, dbName)
	s.Close()
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	db := must(openDB(name, false))
	for _, m := range must(pending(ctx, db))[:2] {
		must(db.Exec(m.text))
	}
	must(db.Exec(`INSERT INTO meta (key, value) VALUES ('record', '0123456789abcdef')`))
	must(db.Exec(`PRAGMA user_version = 2`))
	db.Close()
	s = open(t, data)
	var version, devices int
	if err := s.read.QueryRow(`PRAGMA user_version`).Scan(&version); err != nil || version != 4 {
		t.Errorf("version %d, %v", version, err)
	}
	if err := s.read.QueryRow(`SELECT count(*) FROM device`).Scan(&devices); err != nil || s.ID() != "0123456789abcdef" {
		t.Errorf("%v, record %s", err, s.ID())
	}
	sound(t, s)
}

// Columns are named where rows are written, so that a later migration may add one.
func TestInsertsNameTheirColumns(t *testing.T) {
	files := must(filepath.Glob("*.go"))
	into := regexp.MustCompile(`(?i)INSERT\s+(?:OR\s+\w+\s+)?INTO\s+\w+\s*(\(?)`)
	seen := 0
	for _, f := range files {
		if f == "entries_test.go" || f == "migrate_test.go" { // what must not work there stays short
			continue
		}
		for _, m := range into.FindAllStringSubmatch(string(must(os.ReadFile(f))), -1) {
			if seen++; m[1] == "" {
				t.Errorf("%s: %s names no columns", f, m[0])
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d found", seen)
	}
}
