package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Bounds of one call.
const (
	MaxBatch      = 1000     // entries
	MaxBatchBytes = 16 << 20 // of them together
)

// Sender says who hands entries in.
type Sender struct {
	Device string       // the device that is connected
	Role   history.Role // what it may write
	Any    bool         // entries of other devices too: the owner takes in a file that was saved on one
}

// Status says what became of an entry that was handed in.
type Status string

// The answers. All but Refused mean that the entry is kept, on the disk.
const (
	New     Status = "new"
	Known   Status = "known"   // it was here already
	Pending Status = "pending" // new, but something that it names is not here yet
	Refused Status = "refused"
)

// Result is the answer for one entry.
type Result struct {
	Status  Status          `json:"status"`
	ID      string          `json:"id,omitempty"`
	Hash    string          `json:"hash,omitempty"`
	Refusal *qc.Refusal     `json:"refusal,omitempty"` // why it was refused
	Missing *Missing        `json:"missing,omitempty"` // what it waits for
	Faults  []history.Fault `json:"faults,omitempty"`  // at its place in the chain: kept all the same
}

// Missing is what entries name and what is not here.
type Missing struct {
	Entries []string `json:"entries,omitempty"`
	Photos  []string `json:"photos,omitempty"`
	Before  bool     `json:"before,omitempty"` // the entry before it in its chain
}

// PutEntries takes in entries in any order, as bytes. What is good is kept in one
// transaction: when there is no error, everything that was not refused is on the disk. The
// results stand in the order of the entries. Handing entries in again changes nothing.
func (s *Store) PutEntries(ctx context.Context, from Sender, raws [][]byte) ([]Result, error) {
	size := 0
	for _, r := range raws {
		size += len(r)
	}
	if len(raws) > MaxBatch || size > MaxBatchBytes {
		return nil, &qc.Refusal{Code: "batch-too-large", Text: fmt.Sprintf("%d entries of %d bytes at once are more than %d of %d", len(raws), size, MaxBatch, MaxBatchBytes), Do: "send them in smaller portions"}
	}
	s.mu.Lock()
	latest := s.latest
	s.mu.Unlock()
	results := make([]Result, len(raws))
	parsed := make([]history.Entry, len(raws))
	for i, r := range raws {
		e, err := history.Parse(r)
		if err == nil {
			err = allowed(from, e)
		}
		if err == nil && s.ahead(from, e.ID, latest) {
			err = &qc.Refusal{Code: "id-ahead", Text: fmt.Sprintf("the entry's id lies more than %v ahead of this laptop's clock (%s)", history.Ahead, s.now().UTC().Format(time.RFC3339)),
				Do: "set the date of the device and of the laptop right; what the device keeps is taken when its time has come, or at once from a file that is saved there and taken in on the laptop"}
		}
		if err != nil {
			results[i] = Result{Status: Refused, Refusal: asRefusal(err)}
			continue
		}
		parsed[i] = e
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.tx(ctx, "keep entries", func(tx *sql.Tx) error {
		return s.put(ctx, tx, parsed, results)
	})
	if err != nil {
		return nil, err
	}
	for _, r := range results {
		if from.Any && r.Status != Refused {
			s.latest = max(s.latest, r.ID)
		}
	}
	return results, nil
}

// ahead says whether an id would stand behind all that others write for long. A file that the owner
// takes in may hold what a device wrote while its clock was wrong: else that device, which goes on
// from its own latest id, could send nothing before that time has come.
func (s *Store) ahead(from Sender, id, latest string) bool {
	if from.Any {
		return id >= history.NoTime
	}
	return history.IDAhead(id, s.now(), latest)
}

// put keeps the entries that results do not refuse yet and completes the results.
func (s *Store) put(ctx context.Context, tx *sql.Tx, entries []history.Entry, results []Result) error {
	p := newProjector(tx)
	var added []int
	for i, e := range entries {
		if results[i].Status == Refused {
			continue
		}
		results[i].ID, results[i].Hash, results[i].Status = e.ID, e.Hash().String(), Known
		if known, err := s.refuseUnsigned(tx, e); err != nil && !known {
			return err
		} else if err != nil {
			results[i] = Result{Status: Refused, ID: e.ID, Hash: e.Hash().String(), Refusal: asRefusal(err)}
			continue
		}
		if wait, err := waitsForPage(tx, e); err != nil {
			return err
		} else if wait {
			results[i] = Result{Status: Refused, ID: e.ID, Hash: e.Hash().String(), Refusal: &qc.Refusal{Code: "page-missing",
				Text: "a decision on paper counts when the picture of its page is here", Do: "send the picture first"}}
			continue
		}
		n, isNew, err := insertEntry(tx, e, s.now())
		if err != nil {
			return err
		}
		if !isNew {
			continue
		}
		results[i].Status = New
		added = append(added, i)
		if err := p.take(n, e); err != nil {
			return err
		}
	}
	if err := p.finish(ctx); err != nil {
		return err
	}
	for _, i := range added {
		if err := p.report(entries[i], &results[i]); err != nil {
			return err
		}
	}
	return nil
}

// waitsForPage says whether an entry that is not here yet is a decision on paper without its page.
func waitsForPage(tx *sql.Tx, e history.Entry) (wait bool, err error) {
	page, h := e.Page(), e.Hash()
	if page == "" {
		return false, nil
	}
	err = tx.QueryRow(`SELECT NOT EXISTS (SELECT 1 FROM photo WHERE hash = ?) AND NOT EXISTS (SELECT 1 FROM entry WHERE hash = ?)`, page, h[:]).Scan(&wait)
	return wait, err
}

// insertEntry writes one entry unless it is there.
func insertEntry(tx *sql.Tx, e history.Entry, now time.Time) (n int64, isNew bool, err error) {
	h := e.Hash()
	err = tx.QueryRow(`SELECT n FROM entry WHERE hash = ?`, h[:]).Scan(&n)
	if err == nil || !errors.Is(err, sql.ErrNoRows) {
		return n, false, err
	}
	r, err := tx.Exec(`INSERT INTO entry (hash, id, device, seq, prev, kind, part, at_ms, received_ms, bytes) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		h[:], e.ID, e.Device, e.Seq, e.Prev, string(e.Kind), e.ConcernsPart(), e.At.UnixMilli(), now.UnixMilli(), string(e.Bytes()))
	if err != nil {
		return 0, false, err
	}
	n, err = r.LastInsertId()
	return n, true, err
}

// allowed says whether the sender may hand in this entry.
func allowed(from Sender, e history.Entry) error {
	switch {
	case e.Kind == history.KindMember, e.Kind == history.KindAccepted:
		return &qc.Refusal{Code: "not-allowed", Text: "such an entry is the laptop's own", Do: "do it on the laptop"}
	case !history.MayWrite(e.Role, e.Kind):
		return &qc.Refusal{Code: "not-allowed", Text: fmt.Sprintf("in the role %q nobody writes entries of kind %q", e.Role, e.Kind), Do: "let the builder do it"}
	case from.Any && from.Role == history.Builder:
		return nil
	case e.Device != from.Device:
		return &qc.Refusal{Code: "other-device", Text: "the entry belongs to another device's chain", Do: "save it to a file and take it in on the laptop"}
	case e.Role != from.Role:
		return &qc.Refusal{Code: "not-allowed", Text: fmt.Sprintf("this device is a %s's, the entry a %s's", from.Role, e.Role), Do: "use a device of that role"}
	}
	return nil
}

func asRefusal(err error) *qc.Refusal {
	var r *qc.Refusal
	if errors.As(err, &r) {
		return r
	}
	return &qc.Refusal{Code: "entry-form", Text: err.Error()}
}
