package store

import (
	"encoding/hex"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// writer writes onto the end of one device's chain and hands each entry in, as a phone does.
type writer struct {
	s *Store
	history.Maker
}

// newWriter goes on where the record has the chain of the device of that seed end.
func newWriter(s *Store, seed uint64) *writer {
	w := &writer{s: s, Maker: history.Maker{Device: histtest.NewDevice(seed, "", history.Builder).Device, By: "Ines K.", Role: history.Builder}}
	c := must(s.Chain(ctx, w.Device))
	w.Seq = c.Seq
	copy(w.Prev[:], must(hex.DecodeString(c.Hash)))
	if err := s.read.QueryRowContext(ctx, `SELECT coalesce(max(id), '') FROM entry`).Scan(&w.Latest); err != nil {
		panic(err)
	}
	return w
}

// put writes one entry. One that was not acknowledged is no part of the chain.
func (w *writer) put(d history.Draft) (history.Entry, error) {
	before := w.Maker
	e, err := w.Make(d, w.s.now(), w.s.rand)
	if err == nil {
		_, err = w.s.PutEntries(ctx, Sender{Device: w.Device, Role: w.Role}, [][]byte{e.Bytes()})
	}
	if err != nil {
		w.Maker = before
	}
	return e, err
}

// missing gives the entries and photos that entries name and that have not come.
func missing(s *Store) Missing {
	return Missing{
		Entries: must(texts(s.read.QueryContext(ctx, `SELECT DISTINCT id FROM wanted_entry ORDER BY id`))),
		Photos:  must(texts(s.read.QueryContext(ctx, `SELECT DISTINCT hash FROM wanted_photo ORDER BY hash`))),
	}
}

// entriesOf gives the entries of an id: none, one, or two different ones that bear it.
func entriesOf(s *Store, id string) ([]history.Entry, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT n, bytes, hash FROM entry WHERE id = ? ORDER BY hash`, id)
	return scanEntries(rows, err, nil)
}
