package store

import (
	"context"
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
	// Again says that the cursor was of another copy of the record (a backup was restored):
	// the page starts at the beginning, and the device should send its own chain again from
	// where [Store.Chains] says that it ends here.
	Again bool `json:"again,omitempty"`
}

// EntriesSince gives entries that came after the cursor, at most limit and about 4 MB, in the
// order of arrival. The empty cursor stands at the beginning. The same cursor gives the same
// entries again, and perhaps more.
func (s *Store) EntriesSince(ctx context.Context, cursor string, limit int) (Page, error) {
	after, again, err := s.readCursor(cursor)
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
	page.Cursor = s.id + "-" + strconv.FormatInt(after, 10)
	var more int
	err = q.QueryRow(`SELECT EXISTS (SELECT 1 FROM entry WHERE n > ?)`, after).Scan(&more)
	page.More = more == 1
	return page, explain("read entries", err)
}

// readCursor takes a cursor apart: the record's id, which a restored backup does not share,
// and the number of the last entry that was read.
func (s *Store) readCursor(cursor string) (after int64, again bool, err error) {
	if cursor == "" {
		return 0, false, nil
	}
	id, number, ok := strings.Cut(cursor, "-")
	n, err := strconv.ParseInt(number, 10, 64)
	if !ok || err != nil || n < 0 || len(id) != 16 {
		return 0, false, &qc.Refusal{Code: "bad-cursor", Text: fmt.Sprintf("%.60q is not a cursor of this record", cursor), Do: "begin without one"}
	}
	if id != s.id {
		return 0, true, nil
	}
	return n, false, nil
}
