package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"bucktail/qc/history"
)

// Problem is one thing that [Store.Check] found.
type Problem struct {
	Wrong bool   // false: worth knowing, but nothing is lost or changed
	Text  string // names the thing
	// standing: it was so in the record itself (a fork, an entry that has not come), and a
	// backup keeps it as it is.
	standing bool
	photo    string // the photo that it is about
	Database bool   // the database itself is damaged, see [WhatToDo]
}

// Check reads everything and says what is wrong: SQLite's own integrity check, the tables'
// definitions, every entry's hash and columns, every chain, every photo's hash, and that the
// entries add up to what the tables say. It changes nothing and may run while another process
// writes. The error is about not being able to check.
func (s *Store) Check(ctx context.Context, progress Progress) ([]Problem, error) {
	c := &checker{s: s, ctx: ctx, progress: progress}
	for _, step := range []struct {
		name string
		do   func() error
	}{
		{"database", c.integrity}, {"tables", c.schema}, {"entries", c.entries}, {"chains", c.chains}, {"signatures", c.signatures},
		{"photos", c.photos}, {"photo files", c.strays}, {"sums", c.sums},
	} {
		progress.tell(step.name, 0, 1)
		if err := step.do(); ctx.Err() != nil {
			return c.found, ctx.Err()
		} else if err != nil { // what can't be read is what is wrong
			c.damaged("%s: %v", step.name, err)
		}
	}
	return c.found, nil
}

type checker struct {
	s        *Store
	ctx      context.Context
	progress Progress
	found    []Problem
}

func (c *checker) wrong(format string, args ...any) {
	c.found = append(c.found, Problem{Wrong: true, Text: fmt.Sprintf(format, args...)})
}

func (c *checker) damaged(format string, args ...any) {
	c.found = append(c.found, Problem{Wrong: true, Text: fmt.Sprintf(format, args...), Database: true})
}

func (c *checker) note(format string, args ...any) {
	c.found = append(c.found, Problem{Text: fmt.Sprintf(format, args...)})
}

// integrity asks SQLite itself.
func (c *checker) integrity() error {
	l, err := texts(c.s.read.QueryContext(c.ctx, `PRAGMA integrity_check`))
	if err != nil {
		return err
	}
	for _, t := range l {
		if t != "ok" {
			c.damaged("database: %s", t)
		}
	}
	rows, err := c.s.read.QueryContext(c.ctx, `PRAGMA foreign_key_check`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var table, parent string
		var row sql.NullInt64
		var n int
		if err := rows.Scan(&table, &row, &parent, &n); err != nil {
			return err
		}
		c.wrong("database: a row of table %s refers to a row of %s that is not there", table, parent)
	}
	return rows.Err()
}

const schemaQuery = `SELECT type || ' ' || name || ': ' || coalesce(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY 1`

// schema holds the tables, indexes and triggers against those of a new record.
func (c *checker) schema() error {
	db, err := sql.Open(driverName, "file::memory:")
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	steps, err := pending(c.ctx, db)
	if err != nil {
		return err
	}
	for _, m := range steps {
		if _, err := db.Exec(m.text); err != nil {
			return err
		}
	}
	want, err := texts(db.Query(schemaQuery))
	if err != nil {
		return err
	}
	got, err := texts(c.s.read.QueryContext(c.ctx, schemaQuery))
	if err != nil {
		return err
	}
	c.diff("database definition", want, got)
	return nil
}

// diff names lines that are missing or strange.
func (c *checker) diff(what string, want, got []string) {
	in := map[string]bool{}
	for _, g := range got {
		in[g] = true
	}
	for _, w := range want {
		if !in[w] {
			c.wrong("%s: missing or changed: %.120q", what, w)
		}
		delete(in, w)
	}
	for g := range in {
		c.wrong("%s: strange: %.120q", what, g)
	}
}

// entries holds every entry's bytes against its hash and its columns.
func (c *checker) entries() error {
	lost, err := c.s.lostBefore(c.ctx)
	if err != nil {
		return err
	}
	for _, l := range lost {
		c.note("this record was got out of a damaged one: %s", l)
	}
	var of, most, issued sql.NullInt64
	if err := c.s.read.QueryRowContext(c.ctx, `SELECT (SELECT count(*) FROM entry), (SELECT max(n) FROM entry), (SELECT seq FROM sqlite_sequence WHERE name = 'entry')`).Scan(&of, &most, &issued); err != nil {
		return err
	}
	if last := max(most.Int64, issued.Int64); of.Int64 < last {
		c.wrong("entries: %d numbers were given out and %d entries are here: %d were removed", last, of.Int64, last-of.Int64)
	}
	rows, err := c.s.read.QueryContext(c.ctx, `SELECT n, hash, id, device, seq, prev, kind, part, at_ms, bytes FROM entry ORDER BY n`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for done := int64(1); rows.Next(); done++ {
		var n, seq, at int64
		var hash []byte
		var raw sql.RawBytes
		var id, device, prev, kind, part string
		if err := rows.Scan(&n, &hash, &id, &device, &seq, &prev, &kind, &part, &at, &raw); err != nil {
			return err
		}
		e, err := keptEntry(raw, hash)
		switch {
		case err != nil:
			c.damaged("entry number %d (%q, %s): %v", n, kind, id, err)
		case e.ID != id || e.Device != device || e.Seq != seq || e.Prev != prev || string(e.Kind) != kind || e.ConcernsPart() != part || e.At.UnixMilli() != at:
			c.wrong("entry number %d (%q, %s): its row does not say what its bytes say", n, e.Kind, e.ID)
		}
		if done%500 == 0 {
			c.progress.tell("entries", done, of.Int64)
		}
	}
	return rows.Err()
}

// chains judges every chain by its links.
func (c *checker) chains() error {
	rows, err := c.s.read.QueryContext(c.ctx, `SELECT device, seq, prev, lower(hex(hash)) FROM entry ORDER BY device, seq, hash`)
	if err != nil {
		return err
	}
	defer rows.Close()
	accepted, _, err := c.s.accepted(c.ctx)
	if err != nil {
		return err
	}
	var device string
	var before, here []history.Link
	place := func() {
		if len(here) == 0 {
			return
		}
		seq := here[0].Seq
		if len(before) > 0 && before[0].Seq != seq-1 {
			before = nil
		}
		for _, f := range history.FaultsAt(device, seq, before, here) {
			if why, ok := accepted[f]; ok {
				c.note("chain: %s; looked at: %s", f.Text, why)
				continue
			}
			c.found = append(c.found, Problem{Wrong: true, Text: "chain: " + f.Text, standing: true})
		}
	}
	for rows.Next() {
		var d string
		var l history.Link
		if err := rows.Scan(&d, &l.Seq, &l.Prev, &l.Hash); err != nil {
			return err
		}
		switch {
		case d != device:
			place()
			device, before, here = d, nil, []history.Link{l}
		case l.Seq != here[0].Seq:
			place()
			before, here = here, []history.Link{l}
		default:
			here = append(here, l)
		}
	}
	place()
	return errors.Join(rows.Err(), c.twins())
}

// signatures tests those of all chains that have a key.
func (c *checker) signatures() error {
	var all []history.Entry
	for last := int64(0); ; {
		page, err := entryPage(withCtx{c.ctx, c.s.read}, last, 500)
		if err != nil {
			return err
		}
		for _, k := range page {
			all, last = append(all, k.Entry), k.n
		}
		if len(page) < 500 {
			break
		}
	}
	faults, unsigned := history.CheckSignatures(all)
	for _, f := range faults {
		c.found = append(c.found, Problem{Wrong: true, Text: "signature: " + f.Text, standing: true})
	}
	n := 0
	for _, k := range unsigned {
		n += k
	}
	if n > 0 {
		c.note("%d entries are not signed: they are from before their devices had keys", n)
	}
	return nil
}

func (c *checker) twins() error {
	l, err := texts(c.s.read.QueryContext(c.ctx, `SELECT id FROM entry GROUP BY id HAVING count(*) > 1 ORDER BY id`))
	for _, id := range l {
		c.found = append(c.found, Problem{Wrong: true, Text: fmt.Sprintf("chain: two different entries bear the id %s", id), standing: true})
	}
	clocks, err2 := texts(c.s.read.QueryContext(c.ctx, `SELECT text || ' (device ' || device || ', entry ' || seq || ')' FROM fault WHERE kind = ?`, string(clockFault)))
	for _, t := range clocks {
		c.note("clock: %s", t)
	}
	return errors.Join(err, err2)
}

// photos holds every photo's file against its hash.
func (c *checker) photos() error {
	type row struct {
		hash, media string
		length      int64
	}
	var all []row
	rows, err := c.s.read.QueryContext(c.ctx, `SELECT hash, media, length FROM photo ORDER BY hash`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var r row
		if err := rows.Scan(&r.hash, &r.media, &r.length); err != nil {
			return err
		}
		all = append(all, r)
	}
	_, lost, err := c.s.accepted(c.ctx)
	if err != nil {
		return err
	}
	for i, r := range all {
		if !history.IsPhotoHash(r.hash) {
			c.wrong("photo %q: its name is not a SHA-256", r.hash)
			continue
		}
		if err := c.s.verify(c.ctx, r.hash, r.length); err != nil {
			p := Problem{Wrong: true, Text: fmt.Sprintf("photo %s: %v", r.hash, err), photo: r.hash}
			if why, ok := lost[r.hash]; ok {
				p.Wrong, p.Text = false, p.Text+"; looked at: "+why
			}
			c.found = append(c.found, p)
		} else if m := c.s.mediaOfFile(r.hash); m != r.media {
			c.wrong("photo %s: its row says %q, its bytes %q", r.hash, r.media, m)
		}
		c.progress.tell("photos", int64(i+1), int64(len(all)))
	}
	return rows.Err()
}

// strays looks for files among the photos that no row knows, and for photos that entries name
// and that never came.
func (c *checker) strays() error {
	root := filepath.Join(c.s.dir, photosName)
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || c.ctx.Err() != nil {
			return cmp.Or(c.ctx.Err(), err)
		}
		rel, _ := filepath.Rel(root, path)
		if d.IsDir() {
			if rel == incomingName {
				return fs.SkipDir
			}
			return nil
		}
		if _, err := c.s.Photo(c.ctx, d.Name()); errors.Is(err, ErrNotFound) {
			c.note("photos: the file %s was never acknowledged; it came before a power cut, or was put there by hand", rel)
		} else if err != nil {
			return err
		}
		return nil
	})
	if errors.Is(err, os.ErrNotExist) {
		err = nil // no photo yet; rows without files were named above
	}
	var entries, photos int
	if qerr := c.s.read.QueryRowContext(c.ctx, `SELECT (SELECT count(DISTINCT id) FROM wanted_entry), (SELECT count(DISTINCT hash) FROM wanted_photo)`).Scan(&entries, &photos); qerr != nil {
		return errors.Join(err, qerr)
	}
	if entries > 0 {
		c.note("%d entries that others name have not come yet", entries)
	}
	if photos > 0 {
		c.note("%d photos that entries name have not come yet", photos)
	}
	return err
}

// sums adds the entries up again, in memory, and holds the result against the tables.
func (c *checker) sums() error {
	db, err := sql.Open(driverName, "file::memory:")
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	// SQLite looks up a table that is not in memory in the attached record: the rebuilt
	// tables stand in memory, entries and photos are read from the record.
	if _, err := db.ExecContext(c.ctx, `ATTACH ? AS record`, dsn(c.s.file, true)); err != nil {
		return err
	}
	steps, err := pending(c.ctx, db)
	if err != nil {
		return err
	}
	tx, err := db.BeginTx(c.ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	for _, m := range steps {
		if strings.Contains(m.file, "projection") {
			if _, err := tx.Exec(m.text); err != nil {
				return err
			}
		}
	}
	if err := rebuild(c.ctx, tx, func(done, of int64) { c.progress.tell("sums", done, of) }); err != nil {
		return err
	}
	for _, t := range projections {
		for _, d := range []struct{ what, a, b string }{{"lacks or has changed", "main", "record"}, {"holds what no entry gives", "record", "main"}} {
			var n int
			if err := tx.QueryRow(fmt.Sprintf(`SELECT count(*) FROM (SELECT * FROM %s.%s EXCEPT SELECT * FROM %s.%s)`, d.a, t, d.b, t)).Scan(&n); err != nil {
				return fmt.Errorf("table %s: %w", t, err)
			}
			if n > 0 {
				c.wrong("sums: table %s %s: %d rows; bucktail check --rebuild makes it again from the entries", t, d.what, n)
			}
		}
	}
	return nil
}
