package report

import (
	"archive/zip"
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
)

// Names of the files in a bundle, in their order; the photos stand last.
const (
	formatFile   = "FORMAT.txt"
	manifestFile = "manifest.json"
	sumsFile     = "SHA256SUMS"
	reportFile   = "report.pdf"
	csvFile      = "readings.csv"
	recordFile   = "record.json"
	schemaFile   = "record.schema.json"
	entriesFile  = "entries.jsonl"
	photoFolder  = "photos/"
)

// fileNames are the files besides photos.
var fileNames = []string{formatFile, reportFile, csvFile, recordFile, schemaFile, entriesFile, manifestFile, sumsFile}

// FormatText describes the bundle so that another program can check it; it ships in each.
//
//go:embed FORMAT.txt
var FormatText []byte

// What a manifest calls itself.
const (
	BundleFormat  = "bucktail-bundle"
	BundleVersion = 1
)

// tablesVersion is raised when the same entries give other tables: [Verify] makes the tables
// anew only where it knows how they were made.
const tablesVersion = 8

// Manifest lists what is in a bundle.
type Manifest struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Made    time.Time `json:"made"`
	Scope   Scope     `json:"scope"`
	Units   qc.Units  `json:"units"`  // of readings.csv
	Tables  int       `json:"tables"` // how readings.csv and record.json were made

	Record struct {
		Entries int    `json:"entries"`
		SHA256  string `json:"sha256"`
		Number  string `json:"number"`
	} `json:"record"`
	Faults  []history.Fault `json:"faults,omitempty"` // in the chains, as they were when it was made
	Entries []EntrySum      `json:"entries"`          // in the fixed order: line by line of entries.jsonl
	Files   []FileSum       `json:"files"`            // in the order of the bundle, without manifest and SHA256SUMS
	Photos  []PhotoSum      `json:"photos"`
	Missing []MissingPhoto  `json:"photos_missing,omitempty"`
}

// EntrySum names one entry.
type EntrySum struct {
	ID     string `json:"id"`
	Device string `json:"device"`
	Seq    int64  `json:"seq"`
	SHA256 string `json:"sha256"` // of its canonical bytes
	// Came is when it came to the laptop that made the bundle, by that one's clock; a bundle made on
	// a phone has none.
	Came time.Time `json:"came,omitzero"`
}

// FileSum names one file.
type FileSum struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// PhotoSum tells which file is the copy of which photo.
type PhotoSum struct {
	Original string `json:"original_sha256"` // as entries name it
	Name     string `json:"name"`            // of the copy without location data
	SHA256   string `json:"sha256"`          // of the copy
}

// MissingPhoto is a photo that entries of the scope name and that is not in the bundle.
type MissingPhoto struct {
	Original string `json:"original_sha256"`
	Why      string `json:"why"`
}

// ErrNoPhoto is what a photo source answers for a photo that it does not have.
var ErrNoPhoto = errors.New("it was not there when this was made")

// BundleOptions say what goes into a bundle.
type BundleOptions struct {
	Options
	// Photo gives the copy of a photo without location data, by the SHA-256 of the
	// original; ErrNoPhoto (wrapped or not) where there is none, and then the manifest says
	// so. Any other error stops the export.
	Photo func(ctx context.Context, original string) ([]byte, error)
}

// Bundle writes a bundle to w: report, tables, schema, all entries of the record, the photos
// of the scope, manifest. The same record and options give the same bytes. It returns the
// SHA-256 of SHA256SUMS, which stands for the whole bundle: told to the receiver another
// way, it proves that the bundle is this one.
//
// All entries go in, also those of other parts: a chain goes across parts, and with a piece
// of it cut out nobody could check it.
func Bundle(ctx context.Context, w io.Writer, st *history.State, sc Scope, made time.Time, o BundleOptions) (sum string, err error) {
	if o.Units == "" {
		o.Units = qc.Millimetres
	}
	rec, err := Build(st, sc, made)
	if err != nil {
		return "", err
	}
	b := bundler{zip: zip.NewWriter(w)}
	entries := st.Entries()
	photos := photosOf(entries, rec)
	// Progress counts the report's steps and then the photos.
	step, reported := o.Progress, 0
	if step != nil {
		o.Progress = func(done, total int) {
			reported = total
			step(done, total+len(photos))
		}
		b.photoDone = func(n int) { step(reported+n, reported+len(photos)) }
	}
	m := &b.manifest
	m.Format, m.Version, m.Made, m.Scope, m.Units, m.Tables = BundleFormat, BundleVersion, rec.Made, sc, o.Units, tablesVersion
	m.Record.Entries, m.Record.SHA256, m.Record.Number = rec.Chain.Entries, rec.Chain.SHA256, rec.Chain.Number
	m.Faults, m.Photos, m.Entries = rec.Chain.Faults, []PhotoSum{}, []EntrySum{}

	b.put(formatFile, FormatText)
	b.make(reportFile, func(w io.Writer) error { return PDF(ctx, w, rec, o.Options) })
	b.make(csvFile, func(w io.Writer) error { return WriteCSV(w, rec, o.Units) })
	b.make(recordFile, func(w io.Writer) error { return WriteJSON(w, rec) })
	b.put(schemaFile, Schema)
	b.make(entriesFile, func(w io.Writer) error { return WriteEntries(w, entries) })
	for _, e := range entries {
		m.Entries = append(m.Entries, EntrySum{e.ID, e.Device, e.Seq, e.Hash().String(), st.Came(e.ID)})
	}
	b.photos(ctx, photos, o.Photo)
	b.seal()
	if b.err == nil {
		b.err = b.zip.Close()
	}
	if b.err != nil {
		return "", fmt.Errorf("write bundle: %w", b.err)
	}
	return b.sum, nil
}

// WriteEntries writes canonical entries, one a line.
func WriteEntries(w io.Writer, entries []history.Entry) error {
	for _, e := range entries {
		if _, err := w.Write(e.Bytes()); err != nil {
			return err
		}
		if _, err := w.Write([]byte{'\n'}); err != nil {
			return err
		}
	}
	return nil
}

// photosOf lists the photos of the record's parts and project, by hash.
func photosOf(entries []history.Entry, rec *Record) []string {
	in := map[string]bool{}
	for _, p := range rec.Parts {
		in[p.ID] = true
	}
	seen := map[string]bool{}
	for _, e := range entries {
		if e.Project != rec.Project.ID || e.ConcernsPart() != "" && !in[e.ConcernsPart()] {
			continue
		}
		for _, h := range e.Photos() {
			seen[h] = true
		}
	}
	var out []string
	for h := range seen {
		out = append(out, h)
	}
	sort.Strings(out)
	return out
}

// bundler writes the files of a bundle and keeps their sums.
type bundler struct {
	zip      *zip.Writer
	manifest Manifest
	sum      string
	err      error

	photoDone func(n int) // told how many photos are done; may be nil
}

func (b *bundler) make(name string, write func(io.Writer) error) {
	if b.err != nil {
		return
	}
	var p pieces
	if b.err = write(&p); b.err == nil {
		b.put(name, p...)
	}
}

// put writes a file, in pieces, and notes its sum.
func (b *bundler) put(name string, data ...[]byte) {
	b.store(name, data...)
	b.manifest.Files = append(b.manifest.Files, FileSum{name, size(data), sha(data...)})
}

func (b *bundler) store(name string, data ...[]byte) {
	if b.err == nil {
		b.err = storeFile(b.zip, name, data...)
	}
}

func (b *bundler) photos(ctx context.Context, hashes []string, get func(context.Context, string) ([]byte, error)) {
	m := &b.manifest
	for i, h := range hashes {
		if b.err != nil {
			return
		}
		if b.photoDone != nil && i > 0 {
			b.photoDone(i)
		}
		if b.err = ctx.Err(); b.err != nil {
			return
		}
		err := ErrNoPhoto
		var data []byte
		if get != nil {
			data, err = get(ctx, h)
		}
		switch {
		case errors.Is(err, ErrNoPhoto):
			m.Missing = append(m.Missing, MissingPhoto{h, err.Error()})
			continue
		case err != nil:
			b.err = fmt.Errorf("photo %s: %w", h, err)
			return
		}
		name := photoFolder + h + ".jpg"
		if bytes.HasPrefix(data, []byte("\x89PNG")) {
			name = photoFolder + h + ".png"
		}
		b.put(name, data)
		m.Photos = append(m.Photos, PhotoSum{h, name, sha(data)})
	}
	if b.photoDone != nil && len(hashes) > 0 {
		b.photoDone(len(hashes))
	}
}

// seal writes the manifest and then the list of all sums, in the form of sha256sum.
func (b *bundler) seal() {
	if b.err != nil {
		return
	}
	data, err := json.MarshalIndent(&b.manifest, "", " ")
	if err != nil {
		b.err = err
		return
	}
	data = append(data, '\n')
	b.store(manifestFile, data)
	sums := sumsOf(append(b.manifest.Files, FileSum{manifestFile, int64(len(data)), sha(data)}))
	b.store(sumsFile, sums)
	b.sum = sha(sums)
}

func sumsOf(files []FileSum) []byte {
	var s strings.Builder
	for _, f := range files {
		s.WriteString(f.SHA256 + "  " + f.Name + "\n")
	}
	return []byte(s.String())
}
