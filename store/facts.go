package store

import (
	"context"
	"database/sql"
	"errors"
)

// ID names this copy of the record: a restored backup bears another.
func (s *Store) ID() string {
	id, _ := s.id.Load().(string)
	return id
}

// Facts are the record's size and what is wrong with it, for a look at its health.
type Facts struct {
	Entries       int
	Photos        int
	MissingPhotos int // named by entries and not here yet
	Faults        int
}

// Facts counts. Its cost grows with the record; it is not for each request.
func (s *Store) Facts(ctx context.Context) (Facts, error) {
	var f Facts
	err := s.read.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM entry), (SELECT count(*) FROM photo),
		(SELECT count(DISTINCT hash) FROM wanted_photo), (SELECT count(*) FROM fault)`).
		Scan(&f.Entries, &f.Photos, &f.MissingPhotos, &f.Faults)
	return f, explain("count the record", err)
}

// Chain gives how far one device's chain reaches here; seq 0 when nothing of it is here.
func (s *Store) Chain(ctx context.Context, device string) (Chain, error) {
	c := Chain{}
	c.Device = device
	err := s.read.QueryRowContext(ctx, `SELECT name, seq, hash, count FROM chain WHERE device = ?`, device).Scan(&c.Name, &c.Seq, &c.Hash, &c.Count)
	if errors.Is(err, sql.ErrNoRows) {
		return c, nil
	}
	return c, explain("read chain", err)
}

// PhotosMissing gives those of the photos that are not here.
func (s *Store) PhotosMissing(ctx context.Context, hashes []string) ([]string, error) {
	out := []string{}
	for _, h := range hashes {
		var here bool
		if err := s.read.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM photo WHERE hash = ?)`, h).Scan(&here); err != nil {
			return nil, explain("find photos", err)
		}
		if !here {
			out = append(out, h)
		}
	}
	return out, nil
}
