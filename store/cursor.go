package store

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Page is some entries in the order in which they came here.
type Page struct {
	Entries []history.Entry `json:"entries"`
	Cursor  string          `json:"cursor"` // to go on from
	More    bool            `json:"more"`
	// Again says that the cursor was of another copy of the record (a backup was restored, or what
	// came last was lost with the database's log): the page starts at the beginning, and the device should send its own chain again from
	// where [Store.Chains] says that it ends here.
	Again bool `json:"again,omitempty"`
}

// EntriesSince gives entries that came after the cursor, at most limit and about 4 MB, in the
// order of arrival. The empty cursor stands at the beginning. The same cursor gives the same
// entries again, and perhaps more.
func (s *Store) EntriesSince(ctx context.Context, cursor string, limit int) (Page, error) {
	after, again, err := s.readCursor(ctx, cursor)
	if err != nil {
		return Page{}, err
	}
	page := Page{Again: again, Entries: []history.Entry{}}
	if limit <= 0 || limit > MaxBatch {
		limit = MaxBatch
	}
	// A step at a time, so that large entries do not pile up in memory.
	size, q := 0, withCtx{ctx, s.read}
	for len(page.Entries) < limit && size < 4<<20 {
		step := min(64, limit-len(page.Entries))
		l, err := entryPage(q, after, step)
		if err != nil {
			return Page{}, explain("read entries", err)
		}
		for _, k := range l {
			page.Entries, after = append(page.Entries, k.Entry), k.n
			size += len(k.Bytes())
		}
		if len(l) < step {
			break
		}
	}
	page.Cursor = s.ID() + "-" + strconv.FormatInt(after, 10)
	var more int
	err = q.QueryRow(`SELECT EXISTS (SELECT 1 FROM entry WHERE n > ?)`, after).Scan(&more)
	page.More = more == 1
	return page, explain("read entries", err)
}

// readCursor takes a cursor apart: the record's id, which a restored backup does not share,
// and the number of the last entry that was read.
func (s *Store) readCursor(ctx context.Context, cursor string) (after int64, again bool, err error) {
	if cursor == "" {
		return 0, false, nil
	}
	id, number, ok := strings.Cut(cursor, "-")
	n, err := strconv.ParseInt(number, 10, 64)
	if !ok || err != nil || n < 0 || len(id) != 16 {
		return 0, false, &qc.Refusal{Code: "bad-cursor", Text: fmt.Sprintf("%.60q is not a cursor of this record", cursor), Do: "begin without one"}
	}
	if id == s.ID() {
		if again, err = s.lostItsEnd(ctx, n); err != nil || !again {
			return n, false, err
		}
	}
	return 0, true, nil
}

// lostItsEnd says whether a cursor stands behind all that is here: entries that were on the disk
// are gone, with the write-ahead log or because an older file was put in the record's place. From
// then on this counts as another copy, so that all devices send again what it lacks. Nothing can
// be lost so while the record is open: once is enough for each opening, and no device can make the
// others send all the time.
func (s *Store) lostItsEnd(ctx context.Context, after int64) (bool, error) {
	if s.write == nil {
		return false, nil
	}
	var last int64
	if err := s.read.QueryRowContext(ctx, `SELECT coalesce(max(n), 0) FROM entry`).Scan(&last); err != nil || after <= last {
		return false, explain("read entries", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.named {
		return false, nil
	}
	if err := s.tx(ctx, "name the record that lost its end", func(tx *sql.Tx) error { return nameAnew(tx, s.rand) }); err != nil {
		return false, err
	}
	s.named = true
	return true, s.readID(s.write)
}
