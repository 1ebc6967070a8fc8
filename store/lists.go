package store

import (
	"context"

	"bucktail/qc/history"
)

// WorkFilter narrows the work list. The zero value takes all.
type WorkFilter struct {
	Part  string
	Kind  history.WorkKind
	Limit int               // 0: no limit
	After *history.WorkItem // go on behind this one
}

// WorkList gives what waits to be done, most urgent first, then oldest first. Its cost is that
// of what it returns.
func (s *Store) WorkList(ctx context.Context, f WorkFilter) ([]history.WorkItem, error) {
	q := `SELECT kind, entry, text, part, location, tag FROM work WHERE 1`
	var args []any
	if f.Part != "" {
		q, args = q+` AND part = ?`, append(args, f.Part)
	}
	if f.Kind != "" {
		q, args = q+` AND urgency = ?`, append(args, f.Kind.Urgency())
	}
	if a := f.After; a != nil {
		q, args = q+` AND (urgency, entry, location) > (?, ?, ?)`, append(args, a.Kind.Urgency(), a.Entry, a.Location)
	}
	q += ` ORDER BY urgency, entry, location LIMIT ?`
	if f.Limit <= 0 {
		f.Limit = -1
	}
	rows, err := s.read.QueryContext(ctx, q, append(args, f.Limit)...)
	if err != nil {
		return nil, explain("read work list", err)
	}
	defer rows.Close()
	var out []history.WorkItem
	for rows.Next() {
		var w history.WorkItem
		if err := rows.Scan(&w.Kind, &w.Entry, &w.Text, &w.Part, &w.Location, &w.Tag); err != nil {
			return nil, explain("read work list", err)
		}
		out = append(out, w)
	}
	return out, explain("read work list", rows.Err())
}

// Awaiting is a location whose finding waits for an inspector's decision.
type Awaiting struct {
	Location string `json:"location"`
	Finding  string `json:"finding"`
	Part     string `json:"part"`
	Tag      string `json:"tag"`
}

// AwaitingDecision gives what waits for an inspector, oldest first, at most limit (0: all),
// those after the given finding and location.
func (s *Store) AwaitingDecision(ctx context.Context, after Awaiting, limit int) ([]Awaiting, error) {
	if limit <= 0 {
		limit = -1
	}
	rows, err := s.read.QueryContext(ctx, `SELECT location, finding, part, tag FROM awaits WHERE (finding, location) > (?, ?) ORDER BY finding, location LIMIT ?`,
		after.Finding, after.Location, limit)
	if err != nil {
		return nil, explain("read decisions waited for", err)
	}
	defer rows.Close()
	var out []Awaiting
	for rows.Next() {
		var a Awaiting
		if err := rows.Scan(&a.Location, &a.Finding, &a.Part, &a.Tag); err != nil {
			return nil, explain("read decisions waited for", err)
		}
		out = append(out, a)
	}
	return out, explain("read decisions waited for", rows.Err())
}

// Chain is how far one device's chain reaches here.
type Chain struct {
	Name string `json:"name,omitempty"`
	history.Standing
}

// Faults names what is wrong or missing in the chains, and clocks that were far off: what nobody
// has accepted yet, and what somebody has.
func (s *Store) Faults(ctx context.Context) (open, accepted []history.Fault, err error) {
	looked, _, err := s.accepted(ctx)
	if err != nil {
		return nil, nil, explain("read faults", err)
	}
	all, err := s.allFaults(ctx)
	for _, f := range all {
		if _, ok := looked[f]; ok {
			accepted = append(accepted, f)
		} else {
			open = append(open, f)
		}
	}
	return open, accepted, err
}

func (s *Store) allFaults(ctx context.Context) ([]history.Fault, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT device, seq, kind, text FROM fault ORDER BY device, seq, kind, text`)
	if err != nil {
		return nil, explain("read faults", err)
	}
	defer rows.Close()
	var out []history.Fault
	for rows.Next() {
		var f history.Fault
		if err := rows.Scan(&f.Device, &f.Seq, &f.Kind, &f.Text); err != nil {
			return nil, explain("read faults", err)
		}
		out = append(out, f)
	}
	return out, explain("read faults", rows.Err())
}
