package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"bucktail/imaging/card/sheet"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
	"bucktail/qc/report"
	"bucktail/server/api"
	"bucktail/store"
)

// exporter makes what leaves the house from a record.
type exporter struct {
	store *store.Store
	now   func() time.Time
	zone  *time.Location
	step  func(what string, done, of int64) // progress; nil: none

	last   []decodedPhoto // the latest at the end
	beside looks
}

// exports are what the app offers to save.
func exports(s *store.Store, now func() time.Time) []api.Export {
	each := func(name, title, media string, write func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error) api.Export {
		return api.Export{Name: name, Title: title, Media: media, Write: func(ctx context.Context, w io.Writer, q api.ExportQuery) error {
			return write(ctx, &exporter{store: s, now: now, zone: time.Local}, w, q)
		}}
	}
	return []api.Export{
		each("report.pdf", "Report to print or send", "application/pdf", func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			return x.with(ctx, q, func(rec *report.Record, o report.Options) error { return report.PDF(ctx, w, rec, o) })
		}),
		each("form.pdf", "Inspector's form on paper", "application/pdf", func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			return x.with(ctx, q, func(rec *report.Record, o report.Options) error { return report.Form(ctx, w, rec, o) })
		}),
		each("readings.csv", "Table of readings", "text/csv; charset=utf-8", func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			return x.with(ctx, q, func(rec *report.Record, o report.Options) error { return report.WriteCSV(w, rec, o.Units) })
		}),
		each("record.json", "Record for other programs", "application/json", func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			return x.with(ctx, q, func(rec *report.Record, _ report.Options) error { return report.WriteJSON(w, rec) })
		}),
		each("bundle.zip", "Bundle that can be checked", "application/zip", func(ctx context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			_, err := x.bundle(ctx, w, q)
			return err
		}),
		each("cards.pdf", "Scale cards to print", "application/pdf", func(_ context.Context, x *exporter, w io.Writer, q api.ExportQuery) error {
			size, err := paperOf(q.Paper)
			if err != nil {
				return err
			}
			return sheet.Write(w, sheet.Options{Paper: size, Made: x.now()})
		}),
	}
}

func paperOf(name string) (paper.Size, error) {
	if name == "" {
		return paper.A4, nil
	}
	return paper.ParseSize(name)
}

// state reads all entries.
func (x *exporter) state(ctx context.Context) (*history.State, error) {
	st := &history.State{}
	for cursor := ""; ; {
		page, err := x.store.EntriesSince(ctx, cursor, 0)
		if err != nil {
			return nil, err
		}
		for _, e := range page.Entries {
			st.Add(e)
		}
		if !page.More {
			return st, nil
		}
		cursor = page.Cursor
	}
}

// scope finds the project of what is asked for; with one project there is nothing to ask.
func scope(st *history.State, q api.ExportQuery) (report.Scope, error) {
	sc := report.Scope{Project: q.Project, Parts: q.Parts}
	for _, id := range q.Parts {
		p, _, ok := st.Part(id)
		if !ok {
			return sc, &qc.Refusal{Code: "no-part", Text: fmt.Sprintf("there is no part %q in the record", id), Do: "choose one that is there"}
		}
		if sc.Project == "" {
			sc.Project = p.Project
		}
	}
	if sc.Project != "" {
		return sc, nil
	}
	all := st.Projects()
	switch len(all) {
	case 0:
		return sc, &qc.Refusal{Code: "no-project", Text: "the record holds no project yet", Do: "begin one in the app"}
	case 1:
		sc.Project = all[0].ID
		return sc, nil
	}
	names := ""
	for _, p := range all {
		names += fmt.Sprintf("\n  %s  %s", p.ID, p.Name)
	}
	return sc, &qc.Refusal{Code: "which-project", Text: fmt.Sprintf("the record holds %d projects", len(all)), Do: "name one of them:" + names}
}

// options takes paper and units from what is asked for, else from the project's settings.
func (x *exporter) options(st *history.State, project string, q api.ExportQuery) (report.Options, error) {
	o := report.Options{Zone: x.zone, Picture: x.picture, Layout: x.layout, Units: qc.Millimetres, Progress: func(done, of int) {
		if x.step != nil {
			x.step("writing the report", int64(done), int64(of))
		}
	}}
	for _, p := range st.Projects() {
		if p.ID == project {
			o.Units, o.Fractions = p.Units, p.Fractions
			if q.Paper == "" {
				q.Paper = p.Paper
			}
		}
	}
	switch q.Units {
	case "mm":
		o.Units, o.Fractions = qc.Millimetres, false
	case "in", "fractions":
		o.Units, o.Fractions = qc.Inches, q.Units == "fractions"
	}
	var err error
	o.Paper, err = paperOf(q.Paper)
	return o, err
}

// with adds up the record of what is asked for.
func (x *exporter) with(ctx context.Context, q api.ExportQuery, write func(*report.Record, report.Options) error) error {
	st, err := x.state(ctx)
	if err != nil {
		return err
	}
	sc, err := scope(st, q)
	if err != nil {
		return err
	}
	o, err := x.options(st, sc.Project, q)
	if err != nil {
		return err
	}
	rec, err := report.Build(st, sc, x.now())
	if err != nil {
		return err
	}
	return write(rec, o)
}

// bundle writes a bundle and gives its sum.
func (x *exporter) bundle(ctx context.Context, w io.Writer, q api.ExportQuery) (sum string, err error) {
	st, err := x.state(ctx)
	if err != nil {
		return "", err
	}
	sc, err := scope(st, q)
	if err != nil {
		return "", err
	}
	o, err := x.options(st, sc.Project, q)
	if err != nil {
		return "", err
	}
	return report.Bundle(ctx, w, st, sc, x.now(), report.BundleOptions{Options: o, Photo: x.stripped})
}

// read gives a photo's bytes as taken.
func (x *exporter) read(ctx context.Context, hash string) ([]byte, error) {
	f, err := x.store.OpenPhoto(ctx, hash)
	if errors.Is(err, store.ErrNotFound) {
		return nil, fmt.Errorf("%w: it has not come from the phone yet", report.ErrNoPhoto)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

// stripped gives the copy of a photo that may leave the house. A photo that is damaged or that
// can't be read does not stop the export: the manifest names it as missing.
func (x *exporter) stripped(ctx context.Context, hash string) ([]byte, error) {
	data, err := x.read(ctx, hash)
	if errors.Is(err, store.ErrDamaged) {
		return nil, fmt.Errorf("%w: %w", report.ErrNoPhoto, err)
	}
	if err != nil {
		return nil, err
	}
	out, err := photo.StripLocation(data)
	if err != nil {
		return nil, fmt.Errorf("%w: its location data can't be taken out: %w", report.ErrNoPhoto, err)
	}
	return out, nil
}
