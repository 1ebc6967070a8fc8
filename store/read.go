package store

import (
	"bytes"
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
)

// querier is a database or a transaction.
type querier interface {
	Query(query string, args ...any) (*sql.Rows, error)
	QueryRow(query string, args ...any) *sql.Row
}

// keptEntry reads an entry from its row and holds its bytes against its hash.
func keptEntry(raw, hash []byte) (history.Entry, error) {
	var h history.Hash
	if len(hash) != len(h) {
		return history.Entry{}, fmt.Errorf("its hash has %d bytes: %w", len(hash), ErrDamaged)
	}
	copy(h[:], hash)
	e, err := history.ParseKept(bytes.Clone(raw), h)
	if err != nil {
		return e, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return e, nil
}

// scanEntries reads rows of number of arrival, bytes and hash; entries at hand are taken from there.
func scanEntries(rows *sql.Rows, err error, atHand map[int64]history.Entry) ([]history.Entry, error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []history.Entry
	for rows.Next() {
		var raw sql.RawBytes
		var hash []byte
		var n int64
		if err := rows.Scan(&n, &raw, &hash); err != nil {
			return nil, err
		}
		e, known := atHand[n]
		if !known {
			if e, err = keptEntry(raw, hash); err != nil {
				return nil, err
			}
		}
		out = append(out, e)
	}
	return out, rows.Err()
}

// Arrivals gives when each entry came here, by its id.
func (s *Store) Arrivals(ctx context.Context) (map[string]time.Time, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT id, received_ms FROM entry`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string]time.Time{}
	for rows.Next() {
		var id string
		var ms int64
		if err := rows.Scan(&id, &ms); err != nil {
			return nil, err
		}
		out[id] = time.UnixMilli(ms)
	}
	return out, rows.Err()
}

func texts(rows *sql.Rows, err error) ([]string, error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}

// views reads rows of one view each.
func views[T any](rows *sql.Rows, err error) ([]T, error) {
	l, err := texts(rows, err)
	if err != nil {
		return nil, err
	}
	out := make([]T, len(l))
	for i, s := range l {
		if err := json.Unmarshal([]byte(s), &out[i]); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
		}
	}
	return out, nil
}

// entriesAbout gives entries in the order in which they add up. Those that are at hand already, by
// their numbers of arrival, are not read again.
func entriesAbout(q querier, sub history.Subject, atHand map[int64]history.Entry) ([]history.Entry, error) {
	rows, err := q.Query(`SELECT n, e.bytes, e.hash FROM about a JOIN entry e USING (n) WHERE a.of = ? AND a.subject = ? ORDER BY a.id, a.hash`, string(sub.Of), sub.ID)
	l, err := scanEntries(rows, err, atHand)
	slices.SortStableFunc(l, history.CompareInTime)
	return l, err
}

// Projects gives all projects in the order in which they were made.
func (s *Store) Projects(ctx context.Context) ([]history.Project, error) {
	v, err := views[history.Project](s.read.QueryContext(ctx, `SELECT view FROM project ORDER BY id`))
	phones, also := s.phones(ctx)
	return phones.Follow(v), explain("read projects", errors.Join(err, also))
}

// phones tells which devices went on under another id.
func (s *Store) phones(ctx context.Context) (out history.Phones, err error) {
	rows, err := s.read.QueryContext(ctx, `SELECT n, e.bytes, e.hash FROM about a JOIN entry e USING (n) WHERE a.of = ? AND e.kind = ?`, string(history.OfDevice), string(history.KindMember))
	members, err := scanEntries(rows, err, nil)
	for _, e := range members {
		out.Take(e)
	}
	return out, err
}

// Proofs gives what the gauge studies of all projects say of readings, in the order in which they were made.
func (s *Store) Proofs(ctx context.Context) ([]qc.Proof, error) {
	ps, err := s.Projects(ctx)
	var out []qc.Proof
	if len(ps) > 0 {
		out = ps[0].Proofs // each has those of all
	}
	for i := range out {
		out[i].Elsewhere = "" // what is asked about is of no project
	}
	return out, err
}

// TakenBy gives the device that took a photo, by the first entry that names it, under the id that it
// writes with now; "" where none does.
func (s *Store) TakenBy(ctx context.Context, hash string) (string, error) {
	var device string
	err := s.read.QueryRowContext(ctx, `SELECT device FROM entry WHERE instr(bytes, ?) ORDER BY n LIMIT 1`, hash).Scan(&device)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	phones, also := s.phones(ctx)
	return phones.Now(device), explain("find who took a photo", errors.Join(err, also))
}

// Part is a part as it stands, with what its locations add up to.
type Part struct {
	history.Part
	Counts history.Counts `json:"counts"`
	// Since is how many entries the latest sign-off does not cover; 0 when there is none or
	// it is up to date. [Store.SignOffs] says which, and checks more.
	Since int `json:"since,omitempty"`
}

func scanPart(view, counts string, covered int) (Part, error) {
	var p Part
	if err := json.Unmarshal([]byte(view), &p.Part); err != nil {
		return p, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if err := json.Unmarshal([]byte(counts), &p.Counts); err != nil {
		return p, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if n := len(p.SignOffs); n > 0 {
		p.Since = max(0, covered-p.SignOffs[n-1].Covered)
	}
	return p, nil
}

// Parts gives the parts of a project in the order in which they were made, all parts when
// project is empty.
func (s *Store) Parts(ctx context.Context, project string) ([]Part, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT view, counts, covered FROM part WHERE ?1 = '' OR project = ?1 ORDER BY id`, project)
	if err != nil {
		return nil, explain("read parts", err)
	}
	defer rows.Close()
	var out []Part
	for rows.Next() {
		var view, counts string
		var covered int
		if err := rows.Scan(&view, &counts, &covered); err != nil {
			return nil, explain("read parts", err)
		}
		p, err := scanPart(view, counts, covered)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, explain("read parts", rows.Err())
}

// Part gives one part; [ErrNotFound] when no entry is about it or its locations.
func (s *Store) Part(ctx context.Context, id string) (Part, error) {
	var view, counts string
	var covered int
	if err := s.read.QueryRowContext(ctx, `SELECT view, counts, covered FROM part WHERE id = ?`, id).Scan(&view, &counts, &covered); err != nil {
		return Part{}, explain("read part", err)
	}
	return scanPart(view, counts, covered)
}

// Locations gives the locations of a part by tag, those taken out too.
func (s *Store) Locations(ctx context.Context, part string) ([]history.Location, error) {
	ls, err := views[history.Location](s.read.QueryContext(ctx, `SELECT view FROM location WHERE part = ? ORDER BY id`, part))
	slices.SortStableFunc(ls, func(a, b history.Location) int {
		return cmp.Or(history.CompareTags(a.Tag, b.Tag), cmp.Compare(a.ID, b.ID))
	})
	return ls, explain("read locations", err)
}

// Location gives one location; [ErrNotFound] when no entry is about it.
func (s *Store) Location(ctx context.Context, id string) (history.Location, error) {
	ls, err := views[history.Location](s.read.QueryContext(ctx, `SELECT view FROM location WHERE id = ?`, id))
	if err == nil && len(ls) == 0 {
		err = ErrNotFound
	}
	if err != nil {
		return history.Location{}, explain("read location", err)
	}
	return ls[0], nil
}

// History gives the entries about a thing in the fixed order, those without effect too.
func (s *Store) History(ctx context.Context, sub history.Subject) ([]history.Entry, error) {
	l, err := entriesAbout(withCtx{ctx, s.read}, sub, nil)
	return l, explain("read history", err)
}

// Concerning gives all entries that concern a part and its locations, in the fixed order.
func (s *Store) Concerning(ctx context.Context, part string) ([]history.Entry, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT n, bytes, hash FROM entry WHERE part = ? AND part <> '' ORDER BY id, hash`, part)
	l, err := scanEntries(rows, err, nil)
	return l, explain("read entries of a part", err)
}

// SignOffs holds the sign-offs of a part against what is there now, latest last. The cost is
// that of reading all entries of the part.
func (s *Store) SignOffs(ctx context.Context, part string) (map[string]history.SignOffStatus, error) {
	all, err := s.Concerning(ctx, part)
	if err != nil {
		return nil, err
	}
	out := map[string]history.SignOffStatus{}
	for _, e := range all {
		if e.Kind != history.KindSignOff {
			continue
		}
		if d, err := history.DataOf[history.SignOffData](e); err == nil {
			out[e.ID] = history.CheckSignOff(e.ID, part, d, all)
		}
	}
	return out, nil
}

// withCtx makes a database a querier whose queries end with the context.
type withCtx struct {
	ctx context.Context
	db  *sql.DB
}

func (w withCtx) Query(q string, args ...any) (*sql.Rows, error) {
	return w.db.QueryContext(w.ctx, q, args...)
}
func (w withCtx) QueryRow(q string, args ...any) *sql.Row {
	return w.db.QueryRowContext(w.ctx, q, args...)
}
