package store

import (
	"context"
	"database/sql"

	"bucktail/qc"
	"bucktail/qc/history"
)

// AcceptFaults enters that somebody looked at all faults that the record has now, and why they
// are accepted. It gives them.
func (s *Store) AcceptFaults(ctx context.Context, why string) ([]history.Fault, error) {
	open, _, err := s.Faults(ctx)
	if err != nil {
		return nil, err
	}
	if len(open) == 0 {
		return nil, &qc.Refusal{Code: "no-faults", Text: "there are no faults that were not looked at", Do: "nothing is to be done"}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return open, s.tx(ctx, "accept faults", func(tx *sql.Tx) error {
		return s.say(ctx, tx, history.KindAccepted, history.AcceptedData{Faults: open, Why: why})
	})
}

// accepted gives the faults that were accepted, each with the reason.
func (s *Store) accepted(ctx context.Context) (map[history.Fault]string, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT n, bytes, hash FROM entry WHERE kind = ?`, string(history.KindAccepted))
	l, err := scanEntries(rows, err, nil)
	if err != nil {
		return nil, err
	}
	out := map[history.Fault]string{}
	for _, e := range l {
		if d, err := history.DataOf[history.AcceptedData](e); err == nil {
			for _, f := range d.Faults {
				out[f] = d.Why
			}
		}
	}
	return out, nil
}
