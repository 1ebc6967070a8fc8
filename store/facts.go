package store

import "context"

// ID names this copy of the record: a restored backup bears another.
func (s *Store) ID() string { return s.id }

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
