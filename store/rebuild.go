package store

import (
	"context"
	"database/sql"
	"fmt"

	"bucktail/qc/history"
)

// projections lists the tables that can be made again from the entries.
var projections = []string{"about", "project", "part", "location", "work", "awaits", "chain", "fault", "wanted_entry", "wanted_photo"}

// rebuild empties the projections and makes them again from all entries, by the same code
// that keeps them in step. progress, which may be nil, is told how many entries of how many
// are done.
func rebuild(ctx context.Context, tx *sql.Tx, progress func(done, of int64)) error {
	for _, t := range projections {
		if _, err := tx.Exec(`DELETE FROM ` + t); err != nil {
			return err
		}
	}
	var of, done, last int64
	if err := tx.QueryRow(`SELECT count(*) FROM entry`).Scan(&of); err != nil {
		return err
	}
	p := newProjector(tx)
	for {
		page, err := entryPage(tx, last, 500)
		if err != nil {
			return err
		}
		for _, k := range page {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := p.take(k.n, k.Entry); err != nil {
				return fmt.Errorf("entry %s: %w", k.ID, err)
			}
			last = k.n
		}
		if done += int64(len(page)); progress != nil {
			progress(done, of)
		}
		if len(page) < 500 {
			return p.finish(ctx)
		}
	}
}

// Rebuild makes everything that the entries add up to again.
func (s *Store) Rebuild(ctx context.Context, progress func(done, of int64)) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.tx(ctx, "add the entries up again", func(tx *sql.Tx) error { return rebuild(ctx, tx, progress) })
}

// kept is an entry with its number of arrival.
type kept struct {
	history.Entry
	n int64
}

// entryPage reads entries by number of arrival, those after the given one.
func entryPage(q querier, after int64, limit int) ([]kept, error) {
	rows, err := q.Query(`SELECT n, bytes, hash FROM entry WHERE n > ? ORDER BY n LIMIT ?`, after, limit)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []kept
	for rows.Next() {
		var k kept
		var raw sql.RawBytes
		var hash []byte
		if err := rows.Scan(&k.n, &raw, &hash); err != nil {
			return nil, err
		}
		if k.Entry, err = keptEntry(raw, hash); err != nil {
			return nil, fmt.Errorf("entry number %d: %w", k.n, err)
		}
		out = append(out, k)
	}
	return out, rows.Err()
}
