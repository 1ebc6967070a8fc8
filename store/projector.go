package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"bucktail/qc/history"
)

// clockFault marks an entry whose device's clock was far from ours when it came.
const clockFault history.FaultKind = "clock"

// How far a device's clock may be from ours when an entry comes. A phone may have been away
// for months; no entry can come from the future.
const (
	clockAhead  = 24 * time.Hour
	clockBehind = 366 * 24 * time.Hour
)

// projector keeps the tables of what the entries add up to in step with new entries, or makes
// them from all entries: the same code, so that both give the same rows.
type projector struct {
	tx      *sql.Tx
	changed map[history.Subject]bool
	devices map[string]int // how many entries of it were taken
	parts   map[string]*partRow
	shots   map[int64]history.Entry // taken ones, which are about many locations: not to be read again for each
}

func newProjector(tx *sql.Tx) *projector {
	return &projector{tx: tx, changed: map[history.Subject]bool{}, devices: map[string]int{}, parts: map[string]*partRow{}, shots: map[int64]history.Entry{}}
}

// partRow holds what changes in a part while entries are taken.
type partRow struct {
	counts  history.Counts
	covered int
	project string
	view    string
}

// take notes one new entry, which stands in the table of entries already. The clock at which it came is read from there.
func (p *projector) take(n int64, e history.Entry) error {
	h := e.Hash()
	subjects := e.Subjects()
	if len(subjects) > 1 {
		p.shots[n] = e
	}
	for _, sub := range subjects {
		p.changed[sub] = true
		if _, err := p.tx.Exec(`INSERT INTO about (of, subject, id, hash, n) VALUES (?, ?, ?, ?, ?)`, string(sub.Of), sub.ID, e.ID, h[:], n); err != nil {
			return err
		}
	}
	if part := e.ConcernsPart(); part != "" {
		r, err := p.part(part)
		if err != nil {
			return err
		}
		if history.Covered(part, e) {
			r.covered++
		}
		if r.project == "" {
			r.project = e.Project
		}
	}
	if _, err := p.tx.Exec(`DELETE FROM wanted_entry WHERE id = ?`, e.ID); err != nil {
		return err
	}
	for _, id := range e.Refers() {
		if _, err := p.tx.Exec(`INSERT INTO wanted_entry (id, n) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM entry WHERE id = ?1)`, id, n); err != nil {
			return err
		}
	}
	for _, hash := range e.Photos() {
		if _, err := p.tx.Exec(`INSERT INTO wanted_photo (hash, n) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM photo WHERE hash = ?1)`, hash, n); err != nil {
			return err
		}
	}
	p.devices[e.Device]++
	return p.faults(n, e)
}

// faults judges the entry's place in its chain and the place after it again.
func (p *projector) faults(n int64, e history.Entry) error {
	var places [3][]history.Link
	for i := range places {
		l, err := p.links(e.Device, e.Seq-1+int64(i))
		if err != nil {
			return err
		}
		places[i] = l
	}
	for i := range 2 {
		seq := e.Seq + int64(i)
		if _, err := p.tx.Exec(`DELETE FROM fault WHERE device = ? AND seq = ? AND kind IN (?, ?, ?)`,
			e.Device, seq, history.Gap, history.Fork, history.Broken); err != nil {
			return err
		}
		for _, f := range history.FaultsAt(e.Device, seq, places[i], places[i+1]) {
			if err := p.fault(f); err != nil {
				return err
			}
		}
	}
	var twins int
	if err := p.tx.QueryRow(`SELECT count(*) FROM entry WHERE id = ?`, e.ID).Scan(&twins); err != nil {
		return err
	}
	if twins > 1 {
		if err := p.sameID(e.ID); err != nil {
			return err
		}
	}
	var received int64
	if err := p.tx.QueryRow(`SELECT received_ms FROM entry WHERE n = ?`, n).Scan(&received); err != nil {
		return err
	}
	off := e.At.Sub(time.UnixMilli(received))
	if off > clockAhead || off < -clockBehind {
		return p.fault(history.Fault{Kind: clockFault, Device: e.Device, Seq: e.Seq,
			Text: fmt.Sprintf("the device's clock said %s when the entry was made; it came on %s", e.At.UTC().Format(time.DateOnly), time.UnixMilli(received).UTC().Format(time.DateOnly))})
	}
	return nil
}

func (p *projector) fault(f history.Fault) error {
	_, err := p.tx.Exec(`INSERT INTO fault (device, seq, kind, text) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING`, f.Device, f.Seq, string(f.Kind), f.Text)
	return err
}

// sameID names all entries of one id but the first, as [history.CheckChain] does.
func (p *projector) sameID(id string) error {
	rows, err := p.tx.Query(`SELECT n, bytes, hash FROM entry WHERE id = ? ORDER BY hash`, id)
	entries, err := scanEntries(rows, err, nil)
	if err != nil {
		return err
	}
	for _, e := range entries {
		f := history.SameIDFault(e)
		if _, err := p.tx.Exec(`DELETE FROM fault WHERE device = ? AND seq = ? AND kind = ? AND text = ?`, f.Device, f.Seq, string(f.Kind), f.Text); err != nil {
			return err
		}
	}
	for _, e := range entries[1:] {
		if err := p.fault(history.SameIDFault(e)); err != nil {
			return err
		}
	}
	return nil
}

func (p *projector) links(device string, seq int64) ([]history.Link, error) {
	rows, err := p.tx.Query(`SELECT prev, lower(hex(hash)) FROM entry WHERE device = ? AND seq = ? ORDER BY hash`, device, seq)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []history.Link
	for rows.Next() {
		l := history.Link{Seq: seq}
		if err := rows.Scan(&l.Prev, &l.Hash); err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, rows.Err()
}

// finish computes again whatever the taken entries are about.
func (p *projector) finish(ctx context.Context) error {
	for sub := range p.changed {
		if err := ctx.Err(); err != nil {
			return err
		}
		entries, err := entriesAbout(p.tx, sub, p.shots)
		if err != nil {
			return err
		}
		switch sub.Of {
		case history.OfLocation:
			err = p.location(sub.ID, entries)
		case history.OfPart:
			err = p.partView(sub.ID, entries)
		case history.OfProject:
			_, err = p.tx.Exec(`INSERT INTO project (id, view) VALUES (?, ?) ON CONFLICT DO UPDATE SET view = excluded.view`, sub.ID, encode(history.ProjectOf(sub.ID, entries)))
		case history.OfDevice:
			p.devices[sub.ID] += 0 // its name may be a new one
		}
		if err != nil {
			return err
		}
	}
	for device, n := range p.devices {
		if err := p.chain(device, n); err != nil {
			return err
		}
	}
	for id, r := range p.parts {
		if _, err := p.tx.Exec(`INSERT INTO part (id, project, view, counts, covered) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO UPDATE SET
			project = excluded.project, view = excluded.view, counts = excluded.counts, covered = excluded.covered`,
			id, r.project, r.view, encode(r.counts), r.covered); err != nil {
			return err
		}
	}
	return nil
}

func (p *projector) location(id string, entries []history.Entry) error {
	var old string
	err := p.tx.QueryRow(`SELECT view FROM location WHERE id = ?`, id).Scan(&old)
	if err == nil {
		var l history.Location
		if err := json.Unmarshal([]byte(old), &l); err != nil {
			return fmt.Errorf("location %s: %w", id, err)
		}
		r, err := p.part(l.Part)
		if err != nil {
			return err
		}
		r.counts.Add(l, -1)
	} else if !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	l := history.LocationOf(id, entries)
	r, err := p.part(l.Part)
	if err != nil {
		return err
	}
	r.counts.Add(l, 1)
	if _, err := p.tx.Exec(`INSERT INTO location (id, part, view) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET part = excluded.part, view = excluded.view`, id, l.Part, encode(l)); err != nil {
		return err
	}
	if _, err := p.tx.Exec(`DELETE FROM work WHERE location = ?`, id); err != nil {
		return err
	}
	for _, w := range l.Work {
		if _, err := p.tx.Exec(`INSERT INTO work (urgency, entry, location, kind, part, tag, text) VALUES (?, ?, ?, ?, ?, ?, ?)`, w.Kind.Urgency(), w.Entry, id, string(w.Kind), l.Part, l.Tag, w.Text); err != nil {
			return err
		}
	}
	if _, err := p.tx.Exec(`DELETE FROM awaits WHERE location = ?`, id); err != nil || !l.Awaits {
		return err
	}
	_, err = p.tx.Exec(`INSERT INTO awaits (location, finding, part, tag) VALUES (?, ?, ?, ?)`, id, l.Finding, l.Part, l.Tag)
	return err
}

func (p *projector) partView(id string, entries []history.Entry) error {
	r, err := p.part(id)
	if err != nil {
		return err
	}
	v := history.PartOf(id, entries)
	r.view, r.project = encode(v), v.Project
	return nil
}

// part gives the row to change, as it stands in the table.
func (p *projector) part(id string) (*partRow, error) {
	if r, ok := p.parts[id]; ok {
		return r, nil
	}
	r := &partRow{view: encode(history.Part{ID: id})}
	var counts string
	err := p.tx.QueryRow(`SELECT project, view, counts, covered FROM part WHERE id = ?`, id).Scan(&r.project, &r.view, &counts, &r.covered)
	if err == nil {
		err = json.Unmarshal([]byte(counts), &r.counts)
	} else if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	if err != nil {
		return nil, fmt.Errorf("part %s: %w", id, err)
	}
	p.parts[id] = r
	return r, nil
}

func (p *projector) chain(device string, taken int) error {
	var seq int64
	var hash, name string
	err := p.tx.QueryRow(`SELECT seq, name FROM chain WHERE device = ?`, device).Scan(&seq, &name)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	var failed error
	seq, hash = history.Reach(seq, func(seq int64) []history.Link {
		l, err := p.links(device, seq)
		if err != nil {
			failed = err
		}
		return l
	})
	if failed != nil {
		return failed
	}
	if p.changed[history.Subject{Of: history.OfDevice, ID: device}] {
		entries, err := entriesAbout(p.tx, history.Subject{Of: history.OfDevice, ID: device}, nil)
		if err != nil {
			return err
		}
		name = history.DeviceName(entries)
	}
	_, err = p.tx.Exec(`INSERT INTO chain (device, name, seq, hash, count) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT DO UPDATE SET name = excluded.name, seq = excluded.seq, hash = excluded.hash, count = chain.count + excluded.count`, device, name, seq, hash, taken)
	return err
}

// report completes the answer for an entry that was taken.
func (p *projector) report(e history.Entry, r *Result) error {
	var m Missing
	for _, q := range []struct {
		into  *[]string
		query string
	}{
		{&m.Entries, `SELECT w.id FROM wanted_entry w JOIN entry e USING (n) WHERE e.hash = ? ORDER BY w.id`},
		{&m.Photos, `SELECT w.hash FROM wanted_photo w JOIN entry e USING (n) WHERE e.hash = ? ORDER BY w.hash`},
	} {
		h := e.Hash()
		l, err := texts(p.tx.Query(q.query, h[:]))
		if err != nil {
			return err
		}
		*q.into = l
	}
	rows, err := p.tx.Query(`SELECT kind, text FROM fault WHERE device = ? AND seq = ? ORDER BY kind, text`, e.Device, e.Seq)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		f := history.Fault{Device: e.Device, Seq: e.Seq}
		if err := rows.Scan(&f.Kind, &f.Text); err != nil {
			return err
		}
		if f.Kind == history.Gap {
			m.Before = true
		}
		r.Faults = append(r.Faults, f)
	}
	if m.Before || len(m.Entries)+len(m.Photos) > 0 {
		r.Status, r.Missing = Pending, &m
	}
	return rows.Err()
}

// encode writes a view as JSON. The views are our own types and always can be written.
func encode(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("a view that can't be written: %v", err))
	}
	return string(b)
}
