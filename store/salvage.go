package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bucktail/qc/history"
)

// lostKey is where a record that was got out of a damaged one says so: a JSON list of texts.
const lostKey = "lost"

// Damage says what is wrong with the database: SQLite's own check, the tables' definitions and
// each entry's hash. It reads all of it, but no photo.
func (s *Store) Damage(ctx context.Context, progress Progress) []string {
	return s.damage(ctx, progress, "integrity", "schema", "entries")
}

func (s *Store) damage(ctx context.Context, progress Progress, names ...string) []string {
	c := &checker{s: s, ctx: ctx, progress: progress}
	steps := map[string]func() error{"integrity": c.integrity, "schema": c.schema, "entries": c.entries, "sums": c.sums}
	for _, name := range names {
		if err := steps[name](); err != nil {
			c.wrong("%s: %v", name, err)
		}
	}
	var out []string
	for _, p := range c.found {
		if p.Wrong {
			out = append(out, p.Text)
		}
	}
	return out
}

// soundCopy puts a copy of the database that is whole under a name: the database as it stands,
// or, where that is damaged, a new one with all that is whole in it. It says what was wrong.
func (s *Store) soundCopy(ctx context.Context, name string, progress Progress) (wrong []string, err error) {
	err = s.copyDB(ctx, name, progress)
	if err == nil {
		var db *sql.DB
		if db, err = openDB(name, true); err == nil {
			c := &Store{dir: s.dir, file: name, now: s.now, rand: s.rand, read: db}
			wrong = c.damage(ctx, progress, "integrity", "schema", "entries", "sums")
			err = db.Close()
		}
	}
	if ctx.Err() != nil || errors.Is(err, ErrFull) || err == nil && len(wrong) == 0 {
		return nil, errors.Join(ctx.Err(), err)
	}
	if err != nil { // it can't even be copied
		wrong = append(wrong, err.Error())
	}
	for _, end := range []string{"", "-journal", "-wal", "-shm"} {
		if err := os.Remove(name + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	lost, err := s.salvage(ctx, name, wrong, progress)
	return append(wrong, lost...), err
}

// salvage makes a new database of what is whole in this one: entries whose bytes have their
// hash, photos whose files have theirs, and devices. It names what could not be read.
func (s *Store) salvage(ctx context.Context, name string, wrong []string, progress Progress) (lost []string, err error) {
	to := newStore(filepath.Dir(name), Options{Now: s.now, Rand: s.rand})
	to.file = name
	db, err := openDB(name, false)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	to.write = db
	if err := to.migrate(ctx); err != nil {
		return nil, err
	}
	g := rescue{from: s, ctx: ctx, progress: progress}
	err = to.tx(ctx, "save what is whole", func(tx *sql.Tx) error {
		g.to = tx
		for _, do := range []func() error{g.entries, g.photos, g.devices} {
			if err := do(); err != nil {
				return err
			}
		}
		if err := rebuild(ctx, tx, nil); err != nil {
			return err
		}
		j, err := json.Marshal(append(wrong, g.lost...))
		if err == nil {
			_, err = tx.Exec(`INSERT INTO meta (key, value) VALUES (?, ?)`, lostKey, string(j))
		}
		return err
	})
	to.idle.stop()
	if err != nil {
		return nil, err
	}
	_, err = db.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
	if err == nil {
		_, err = db.ExecContext(ctx, `PRAGMA journal_mode = DELETE`)
	}
	return g.lost, errors.Join(err, db.Close())
}

// lostBefore says what was lost when the record was got out of a damaged one.
func (s *Store) lostBefore(ctx context.Context) ([]string, error) {
	var j string
	err := s.read.QueryRowContext(ctx, `SELECT value FROM meta WHERE key = ?`, lostKey).Scan(&j)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	var out []string
	if err == nil {
		err = json.Unmarshal([]byte(j), &out)
	}
	return out, err
}

// rescue reads what it can.
type rescue struct {
	from     *Store
	to       *sql.Tx
	ctx      context.Context
	progress Progress
	lost     []string
}

func (g *rescue) miss(format string, args ...any) {
	g.lost = append(g.lost, fmt.Sprintf(format, args...))
}

// most gives the greatest number of a table's rows that can be found out. Rows are looked up one
// by one, so that a damaged page takes its own rows with it and no others; an index that lies
// about the last one may hide rows behind it, so the numbers given out are asked as well.
func (g *rescue) most() int64 {
	var most int64
	for _, q := range []string{`SELECT seq FROM sqlite_sequence WHERE name = 'entry'`, `SELECT max(n) FROM entry`, `SELECT max(n) FROM about`, `SELECT count(*) FROM entry`} {
		var n sql.NullInt64
		if g.from.read.QueryRowContext(g.ctx, q).Scan(&n) == nil {
			most = max(most, n.Int64)
		}
	}
	return most
}

func (g *rescue) entries() error {
	most := g.most()
	if most == 0 {
		g.miss("no entry could be read")
	}
	for n := int64(1); n <= most; n++ {
		if err := g.ctx.Err(); err != nil {
			return err
		}
		var raw, hash []byte
		var received int64
		err := g.from.read.QueryRowContext(g.ctx, `SELECT bytes, hash, received_ms FROM entry WHERE n = ?`, n).Scan(&raw, &hash, &received)
		var e history.Entry
		if err == nil {
			e, err = keptEntry(raw, hash)
		}
		if err != nil {
			g.miss("entry number %d could not be read: %v", n, err)
			continue
		}
		if _, _, err := insertEntry(g.to, e, time.UnixMilli(received)); err != nil {
			return err
		}
		g.progress.tell("entries", n, most)
	}
	return nil
}

// photos goes by the files: they tell their hash themselves.
func (g *rescue) photos() error {
	root := filepath.Join(g.from.dir, photosName)
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		hash := ""
		if d != nil {
			hash = d.Name()
		}
		if err != nil || d.IsDir() || !history.IsPhotoHash(hash) || path != g.from.photoPath(hash) {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		if err := g.from.verify(g.ctx, hash, info.Size()); err != nil {
			if g.ctx.Err() == nil {
				g.miss("photo %s: %v", hash, err)
			}
			return g.ctx.Err()
		}
		received := g.from.now().UnixMilli()
		_ = g.from.read.QueryRowContext(g.ctx, `SELECT received_ms FROM photo WHERE hash = ?`, hash).Scan(&received) // else it counts as come now
		_, err = g.to.Exec(`INSERT INTO photo (hash, length, media, received_ms) VALUES (?, ?, ?, ?)`, hash, info.Size(), g.from.mediaOfFile(hash), received)
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// devices are taken if they can all be read: one that is lost joins again.
func (g *rescue) devices() error {
	all, err := g.from.Devices(g.ctx)
	if err != nil {
		g.miss("the list of devices could not be read; they join again: %v", err)
		return nil
	}
	for _, d := range all {
		var token []byte
		if err := g.from.read.QueryRowContext(g.ctx, `SELECT token FROM device WHERE id = ?`, d.ID).Scan(&token); err != nil {
			g.miss("device %q could not be read; it joins again", d.Name)
			continue
		}
		var revoked sql.NullInt64
		if d.Revoked() {
			revoked = sql.NullInt64{Int64: d.RevokedAt.UnixMilli(), Valid: true}
		}
		if _, err := g.to.Exec(`INSERT INTO device (id, name, role, owner, token, joined_ms, seen_ms, revoked_ms, key, keyed_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?, nullif(?, ''), ?)`,
			d.ID, d.Name, string(d.Role), d.Owner, token, d.JoinedAt.UnixMilli(), d.SeenAt.UnixMilli(), revoked, d.Key, d.JoinedAt.UnixMilli()); err != nil {
			return err
		}
	}
	return nil
}

// OpenDamaged opens a record for reading whatever its state. Of a damaged one it gives all that
// is whole, from a new database in tempDir that goes when the store is closed, and says what was
// wrong.
func OpenDamaged(ctx context.Context, dir, tempDir string, o Options, progress Progress) (s *Store, wrong []string, err error) {
	if s, err = OpenReadOnly(dir, o); err == nil {
		if wrong = s.Damage(ctx, progress); len(wrong) == 0 {
			return s, nil, ctx.Err()
		}
		if err := s.Close(); err != nil {
			return nil, wrong, err
		}
	} else if !errors.Is(err, ErrDamaged) {
		return nil, nil, err
	}
	if err := refuseHalf(dir); err != nil {
		return nil, nil, err
	}
	tmp, err := os.MkdirTemp(tempDir, "bucktail-whole-")
	if err != nil {
		return nil, wrong, explain("get out what is whole", err)
	}
	from := newStore(dir, o)
	if from.read, err = openRaw(from.file); err != nil {
		return nil, wrong, errors.Join(err, os.RemoveAll(tmp))
	}
	defer from.Close()
	s = newStore(dir, o)
	s.file, s.temp = filepath.Join(tmp, dbName), tmp
	more, err := from.soundCopy(ctx, s.file, progress)
	if err == nil {
		err = s.openRead()
	}
	if err != nil {
		return nil, wrong, errors.Join(err, s.Close())
	}
	s.wrong = more
	return s, more, nil
}

// openRaw opens a database file for reading without looking into it.
func openRaw(path string) (*sql.DB, error) {
	db, err := sql.Open(driverName, dsn(path, true))
	return db, explain("open record", err)
}

// RebuildDamaged puts a new database with all that is whole in the place of a damaged one, which
// stays beside it under the name that is returned; "" means that nothing was wrong. The new one
// counts as another copy of the record: phones send again what it lacks.
func RebuildDamaged(ctx context.Context, dir string, o Options, progress Progress) (aside string, wrong []string, err error) {
	held := newStore(dir, o)
	if err := held.takeLock(); err != nil {
		return "", nil, err
	}
	defer held.Close()
	s, wrong, err := OpenDamaged(ctx, dir, dir, o, progress)
	if err != nil || len(wrong) == 0 {
		if s != nil {
			err = errors.Join(err, s.Close())
		}
		return "", wrong, err
	}
	defer s.Close()
	aside = held.file + ".damaged-" + s.now().UTC().Format("20060102-150405")
	// Copied, so that at no time anything is in one place only that is not whole.
	for _, end := range []string{"", "-wal"} {
		if err := copyFile(aside+end, held.file+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", wrong, explain("put the damaged record aside", err)
		}
	}
	for _, end := range []string{"-wal", "-shm"} { // they belong to the damaged one
		if err := os.Remove(held.file + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return aside, wrong, explain("put the damaged record aside", err)
		}
	}
	if err := os.Rename(s.file, held.file); err != nil {
		return aside, wrong, explain("put the new record in its place", err)
	}
	return aside, wrong, explain("put the new record in its place", syncDir(dir))
}

func copyFile(to, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// OpenSound is [Open] for a record that is to be served: a damaged one gets a [DamageError].
func OpenSound(ctx context.Context, dir string, o Options) (*Store, error) {
	s, err := Open(dir, o)
	if errors.Is(err, ErrDamaged) && refuseHalf(dir) == nil {
		return nil, &DamageError{dir, []string{err.Error()}}
	}
	if err != nil {
		return nil, err
	}
	if wrong := s.Damage(ctx, nil); len(wrong) > 0 {
		return nil, errors.Join(&DamageError{dir, wrong}, s.Close())
	}
	return s, nil
}

// WhatToDo is said of a damaged record, each step on a line.
const WhatToDo = `
  1. bucktail backup FILE.zip       saves all that is whole, also now
  2. bucktail check --rebuild       puts a record of all that is whole in its place
                                    and keeps the damaged file beside it
  3. bucktail serve                 each phone that comes then sends again what it wrote itself
  or, in an empty folder:           bucktail restore the last good backup`

// DamageError is a record that is not fit to be served.
type DamageError struct {
	Dir   string
	Wrong []string
}

// Error says what is wrong and what to do.
func (e *DamageError) Error() string {
	some := e.Wrong
	if len(some) > 5 {
		some = append(some[:5:5], fmt.Sprintf("and %d more; bucktail check names all", len(e.Wrong)-5))
	}
	return fmt.Sprintf("the record in %s is damaged:\n  %s\nNothing was changed. What to do:%s", e.Dir, strings.Join(some, "\n  "), WhatToDo)
}

// Unwrap makes it an [ErrDamaged].
func (e *DamageError) Unwrap() error { return ErrDamaged }
