// Package outgoing makes what leaves the house from a record: the report, the inspector's form,
// tables, the bundle, and the page of scale cards. It brings together the pages of package
// report, which knows no pixels, and the photos; where the record and the photos lie is the
// caller's matter, so that the laptop and a phone without a network make the same files.
package outgoing

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"bucktail/imaging/card/sheet"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
	"bucktail/qc/report"
)

// Kind is one kind of file that can be made.
type Kind struct {
	Name  string `json:"name"` // of the file, with its ending
	Title string `json:"title"`
	Media string `json:"media"`
}

// The names of the kinds.
const (
	ReportPDF   = "report.pdf"
	FormPDF     = "form.pdf"
	BenchPDF    = "bench.pdf"
	ReadingsCSV = "readings.csv"
	RecordJSON  = "record.json"
	BundleZIP   = "bundle.zip"
	CardsPDF    = "cards.pdf"
)

// Kinds are all kinds, in the order in which they are offered.
var Kinds = []Kind{
	{ReportPDF, "Report to print or send", "application/pdf"},
	{FormPDF, "Inspector's form on paper", "application/pdf"},
	{BenchPDF, "Numbers for the bench, with boxes to tick", "application/pdf"},
	{ReadingsCSV, "Table of readings", "text/csv; charset=utf-8"},
	{RecordJSON, "Record for other programs", "application/json"},
	{BundleZIP, "Bundle that can be checked", "application/zip"},
	{CardsPDF, "Scale cards to print", "application/pdf"},
}

// Ask says what of the record is wanted, and how.
type Ask struct {
	Project string   `json:"project,omitempty"` // by its id; empty where the record holds only one
	Parts   []string `json:"parts,omitempty"`   // by their ids; none: all of the project
	Paper   string   `json:"paper,omitempty"`   // a4 or letter; empty: as the project is set
	Units   string   `json:"units,omitempty"`   // mm, in or fractions; empty: as the project is set
}

// Maker makes the files of one record. Use a new one for each file: it keeps photos open.
type Maker struct {
	State *history.State
	// Photo gives a photo's bytes as taken, by its SHA-256 in hex. It is called from several
	// goroutines at once. An error that is report.ErrNoPhoto does not stop a file: the file says
	// that the photo was not there.
	Photo func(ctx context.Context, sha256 string) ([]byte, error)
	// Preview, if set, gives a smaller copy of a photo for pictures, upright and in its shape, where
	// Photo has none: a phone keeps it when the photo itself is on the laptop.
	Preview func(ctx context.Context, sha256 string) ([]byte, error)
	Now     time.Time
	Zone    *time.Location // of the times in reports; nil: UTC
	// Step, if set, is told of the progress: what is done, and how much of how much.
	Step func(what string, done, of int64)

	// Missing lists the photos that are not in a bundle that was made, and why.
	Missing []report.MissingPhoto

	photos photos
	beside beside
}

// Make writes a file of one kind. A *qc.Refusal says what is wrong with what was asked.
func (m *Maker) Make(ctx context.Context, w io.Writer, kind string, a Ask) error {
	switch kind {
	case ReportPDF:
		return m.with(a, func(rec *report.Record, o report.Options) error { return report.PDF(ctx, w, rec, o) })
	case FormPDF:
		return m.with(a, func(rec *report.Record, o report.Options) error { return report.Form(ctx, w, rec, o) })
	case BenchPDF:
		return m.with(a, func(rec *report.Record, o report.Options) error { return report.Bench(ctx, w, rec, o) })
	case ReadingsCSV:
		return m.with(a, func(rec *report.Record, o report.Options) error { return report.WriteCSV(w, rec, o.Units) })
	case RecordJSON:
		return m.with(a, func(rec *report.Record, _ report.Options) error { return report.WriteJSON(w, rec) })
	case BundleZIP:
		_, err := m.Bundle(ctx, w, a)
		return err
	case CardsPDF:
		size, err := paperOf(a.Paper)
		if err != nil {
			return err
		}
		return sheet.Write(w, sheet.Options{Paper: size, Made: m.Now})
	}
	return fmt.Errorf("no file is called %q", kind)
}

// Bundle writes a bundle and gives the SHA-256 of its list of sums, in hex.
func (m *Maker) Bundle(ctx context.Context, w io.Writer, a Ask) (sum string, err error) {
	sc, err := m.scope(a)
	if err != nil {
		return "", err
	}
	o, err := m.options(sc.Project, a)
	if err != nil {
		return "", err
	}
	o.Progress = m.progress("writing the bundle")
	return report.Bundle(ctx, w, m.State, sc, m.Now, report.BundleOptions{Options: o, Photo: m.stripped})
}

func paperOf(name string) (paper.Size, error) {
	if name == "" {
		return paper.A4, nil
	}
	return paper.ParseSize(name)
}

// scope finds the project of what is asked for; with one project there is nothing to ask.
func (m *Maker) scope(a Ask) (report.Scope, error) {
	sc := report.Scope{Project: a.Project}
	for _, id := range a.Parts {
		if slices.Contains(sc.Parts, id) {
			continue // named twice
		}
		sc.Parts = append(sc.Parts, id)
		p, _, ok := m.State.Part(id)
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
	all := m.State.Projects()
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
func (m *Maker) options(project string, a Ask) (report.Options, error) {
	o := report.Options{Zone: m.Zone, Picture: m.picture, Layout: m.layout, Page: m.page, Units: qc.Millimetres, Progress: m.progress("writing the report")}
	for _, p := range m.State.Projects() {
		if p.ID == project {
			o.Units, o.Fractions = p.Units, p.Fractions
			if a.Paper == "" {
				a.Paper = p.Paper
			}
		}
	}
	switch a.Units {
	case "mm":
		o.Units, o.Fractions = qc.Millimetres, false
	case "in", "fractions":
		o.Units, o.Fractions = qc.Inches, a.Units == "fractions"
	}
	var err error
	o.Paper, err = paperOf(a.Paper)
	return o, err
}

func (m *Maker) progress(what string) func(done, of int) {
	return func(done, of int) {
		if m.Step != nil {
			m.Step(what, int64(done), int64(of))
		}
	}
}

// with adds up the record of what is asked for.
func (m *Maker) with(a Ask, write func(*report.Record, report.Options) error) error {
	sc, err := m.scope(a)
	if err != nil {
		return err
	}
	o, err := m.options(sc.Project, a)
	if err != nil {
		return err
	}
	rec, err := report.Build(m.State, sc, m.Now)
	if err != nil {
		return err
	}
	return write(rec, o)
}

// stripped gives the copy of a photo that may leave the house. A photo that can't be read does
// not stop the export: the manifest names it as missing.
func (m *Maker) stripped(ctx context.Context, sha256 string) ([]byte, error) {
	data, err := m.Photo(ctx, sha256)
	if err == nil {
		if data, err = photo.StripLocation(data); err != nil {
			err = fmt.Errorf("%w: its location data can't be taken out: %w", report.ErrNoPhoto, err)
		}
	}
	if errors.Is(err, report.ErrNoPhoto) {
		m.Missing = append(m.Missing, report.MissingPhoto{Original: sha256, Why: err.Error()})
	}
	return data, err
}
