package workshop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"bucktail/imaging/outgoing"
	"bucktail/qc/history"
	"bucktail/qc/report"
	"bucktail/server/api"
	"bucktail/store"
)

// Maker makes what leaves the house from the record as it stands now.
func Maker(ctx context.Context, s *store.Store, now time.Time, step func(what string, done, of int64)) (*outgoing.Maker, error) {
	st, err := state(ctx, s)
	if err != nil {
		return nil, err
	}
	photo := func(ctx context.Context, hash string) ([]byte, error) { return takenPhoto(ctx, s, hash) }
	return &outgoing.Maker{State: st, Photo: photo, Now: now, Zone: time.Local, Step: step}, nil
}

// Exports are what the app offers to save.
func Exports(s *store.Store, now func() time.Time) []api.Export {
	var all []api.Export
	for _, k := range outgoing.Kinds {
		all = append(all, api.Export{Name: k.Name, Title: k.Title, Media: k.Media, Write: func(ctx context.Context, w io.Writer, q api.ExportQuery) error {
			var step func(what string, done, of int64)
			if q.Step != nil {
				step = func(_ string, done, of int64) { q.Step(done, of) }
			}
			m, err := Maker(ctx, s, now(), step)
			if err != nil {
				return err
			}
			return m.Make(ctx, w, k.Name, outgoing.Ask{Project: q.Project, Parts: q.Parts, Paper: q.Paper, Units: q.Units})
		}})
	}
	return all
}

// state reads all entries.
func state(ctx context.Context, s *store.Store) (*history.State, error) {
	st := &history.State{}
	for cursor := ""; ; {
		page, err := s.EntriesSince(ctx, cursor, 0)
		if err != nil {
			return nil, err
		}
		for _, e := range page.Entries {
			st.Add(e)
		}
		if !page.More {
			break
		}
		cursor = page.Cursor
	}
	came, err := s.Arrivals(ctx)
	for id, at := range came {
		st.CameIn(id, at)
	}
	return st, err
}

// takenPhoto gives a photo's bytes as taken.
func takenPhoto(ctx context.Context, s *store.Store, hash string) ([]byte, error) {
	f, err := s.OpenPhoto(ctx, hash)
	var bad *store.PhotoError
	switch {
	case errors.Is(err, store.ErrNotFound):
		return nil, fmt.Errorf("%w: it has not come from the phone yet", report.ErrNoPhoto)
	case errors.As(err, &bad): // beside its picture's place the photo need not be named
		return nil, fmt.Errorf("%w: %w", report.ErrNoPhoto, bad.Why)
	case err != nil:
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
