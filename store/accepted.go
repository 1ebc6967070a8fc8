package store

import (
	"context"
	"database/sql"

	"bucktail/qc"
	"bucktail/qc/history"
)

// AcceptFaults enters that somebody looked at all faults that the record has now, also photos that
// are damaged or gone, and why they are accepted. It says what they are.
func (s *Store) AcceptFaults(ctx context.Context, why string) (said []string, err error) {
	open, _, err := s.Faults(ctx)
	if err != nil {
		return nil, err
	}
	looked := history.AcceptedData{Faults: append([]history.Fault{}, open...), Why: why}
	for _, f := range open {
		said = append(said, f.Text)
	}
	c := &checker{s: s, ctx: ctx}
	if err := c.photos(); err != nil {
		return nil, explain("read photos", err)
	}
	for _, p := range c.found {
		if p.Wrong && p.photo != "" {
			looked.Lost, said = append(looked.Lost, p.photo), append(said, p.Text)
		}
	}
	if len(said) == 0 {
		return nil, &qc.Refusal{Code: "no-faults", Text: "there are no faults that were not looked at", Do: "nothing is to be done"}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return said, s.tx(ctx, "accept faults", func(tx *sql.Tx) error { return s.say(ctx, tx, history.KindAccepted, looked) })
}

// accepted gives the faults and the lost photos that were accepted, each with the reason.
func (s *Store) accepted(ctx context.Context) (faults map[history.Fault]string, lost map[string]string, err error) {
	rows, err := s.read.QueryContext(ctx, `SELECT n, bytes, hash FROM entry WHERE kind = ?`, string(history.KindAccepted))
	l, err := scanEntries(rows, err, nil)
	if err != nil {
		return nil, nil, err
	}
	faults, lost = map[history.Fault]string{}, map[string]string{}
	for _, e := range l {
		if d, err := history.DataOf[history.AcceptedData](e); err == nil {
			for _, f := range d.Faults {
				faults[f] = d.Why
			}
			for _, h := range d.Lost {
				lost[h] = d.Why
			}
		}
	}
	return faults, lost, nil
}
