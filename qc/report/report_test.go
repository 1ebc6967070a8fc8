package report

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/paper"
)

// compiled is the published schema in a validator that is not ours.
func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("record.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("record.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestJSONFollowsItsSchema(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	s := compiled(t)
	d := newDemo(14)
	var b bytes.Buffer
	if err := WriteJSON(&b, d.record(t)); err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(doc); err != nil {
		t.Fatal(err)
	}
	// The schema must be able to say no.
	for what, broken := range map[string]func(m map[string]any){
		"no parts":        func(m map[string]any) { delete(m, "parts") },
		"unknown member":  func(m map[string]any) { m["colour"] = "red" },
		"unknown verdict": func(m map[string]any) { first(m, "parts", "locations")["verdict"] = "good" },
		"reading without U": func(m map[string]any) {
			delete(first(m, "parts", "locations", "attempts", "findings", "readings"), "U_mm")
		},
		"time without zone": func(m map[string]any) { m["made"] = "2026-11-13 18:30" },
	} {
		var m map[string]any
		if err := json.Unmarshal(b.Bytes(), &m); err != nil {
			t.Fatal(err)
		}
		broken(m)
		if s.Validate(any(m)) == nil {
			t.Errorf("%s: the schema takes it", what)
		}
	}
	// A large record at random, with everything that the maker of worlds can think of.
	w := histtest.NewWorld(7)
	for i := range 400 {
		w.Step((i*7)%histtest.Actions, (i/5)%3)
	}
	for _, p := range history.StateOf(w.All()).Projects() {
		rec, err := Build(history.StateOf(w.All()), Scope{Project: p.ID}, made)
		if err != nil {
			t.Fatal(err)
		}
		b.Reset()
		if err := WriteJSON(&b, rec); err != nil {
			t.Fatal(err)
		}
		doc, _ := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
		if err := s.Validate(doc); err != nil {
			t.Error(err)
		}
		if err := PDF(context.Background(), &b, rec, Options{}); err != nil {
			t.Error(err)
		}
	}
}

func first(m map[string]any, path ...string) map[string]any {
	for _, p := range path {
		m = m[p].([]any)[0].(map[string]any)
	}
	return m
}

func TestCSV(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t)
	rec.Parts[0].Name = `=HYPERLINK("x")`
	var b bytes.Buffer
	if err := WriteCSV(&b, rec, qc.Millimetres); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "\n") - strings.Count(b.String(), "\r\n"); n != 0 {
		t.Errorf("%d lines do not end in CRLF", n)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := 0
	for _, p := range rec.Parts {
		for _, l := range p.Locations {
			for _, a := range l.Attempts {
				for _, f := range a.Findings {
					want += len(f.Readings)
				}
			}
		}
	}
	if len(rows)-1 != want {
		t.Errorf("%d rows for %d readings", len(rows)-1, want)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	for _, h := range []string{"value (mm)", "U, k=2 (mm)", "least allowed (mm)", "source of least", "verdict", "photo SHA-256"} {
		if _, ok := col[h]; !ok {
			t.Errorf("no column %q", h)
		}
	}
	if got := rows[1][col["part"]]; got != `'=HYPERLINK("x")` {
		t.Errorf("typed text %q would be a formula", got)
	}
	// R7's least diameter, as written in the demo: 6.55 ± 0.07 against 1.375 D = 6.5484.
	for _, r := range rows[1:] {
		if r[col["location"]] == "R7" && r[col["quantity"]] == "head_d_min" {
			if r[col["value (mm)"]] != "6.55" || r[col["U, k=2 (mm)"]] != "0.07" || r[col["verdict on least"]] != "too close" || r[col["least allowed (mm)"]] != "6.548437" || r[col["card sheet"]] != "2" || r[col["calibration"]] != rec.Project.Cards[0].ID {
				t.Errorf("R7: %q", r)
			}
		}
	}
}

func TestCSVInches(t *testing.T) {
	d := newDemo(14)
	var b bytes.Buffer
	if err := WriteCSV(&b, d.record(t), qc.Inches); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if rows[0][14] != "value (in)" || rows[1][14] != "0.287402" { // 7.3 mm / 25.4
		t.Errorf("%q %q", rows[0][14], rows[1][14])
	}
}

func TestBuildRefuses(t *testing.T) {
	d := newDemo(14)
	st := history.StateOf(d.entries)
	for _, sc := range []Scope{{Project: "none"}, {}, {Project: d.project, Parts: []string{"none"}}} {
		_, err := Build(st, sc, made)
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Do == "" {
			t.Errorf("%v: %v is no refusal that says what to do", sc, err)
		}
	}
}

func TestPDFIsTheSameTwice(t *testing.T) {
	d := newDemo(14)
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := PDF(context.Background(), w, d.record(t), Options{Picture: d.picture}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two reports of one record differ")
	}
}

func TestPDFProgressAndStop(t *testing.T) {
	d := newDemo(14)
	last, total := 0, 0
	o := Options{Picture: d.picture, Progress: func(done, n int) {
		if done != last+1 || total != 0 && n != total {
			t.Errorf("progress %d of %d after %d of %d", done, n, last, total)
		}
		last, total = done, n
	}}
	if err := PDF(context.Background(), &bytes.Buffer{}, d.record(t), o); err != nil {
		t.Fatal(err)
	}
	if last == 0 || last != total {
		t.Errorf("ended at %d of %d", last, total)
	}
	ctx, stop := context.WithCancel(context.Background())
	o.Progress = func(int, int) { stop() }
	if err := PDF(ctx, &bytes.Buffer{}, d.record(t), o); !errors.Is(err, context.Canceled) {
		t.Errorf("not stopped: %v", err)
	}
}

// TestPDFTakesWhatPeopleType: names in scripts that the fonts lack, control characters, very
// long words and many lines must neither stop the report nor run off the page.
func TestPDFTakesWhatPeopleType(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t)
	nasty := []string{"中文 部品", "шпангоут Ω", "🛩 emoji", strings.Repeat("W", 300), "a\x00b\tc\nd", "שלום", ""}
	for i, s := range nasty {
		rec.Parts[0].Name, rec.Parts[0].Drawing, rec.Project.Aircraft = s, s, s
		rec.Parts[0].Locations[i].Tag = s
		l := &rec.Parts[0].Locations[7].Attempts[0].Findings[0]
		l.Dispositions[0].Reason = strings.Repeat(s+" ", 400)
	}
	for i := range rec.Parts[0].Locations { // more rows and checks than a page holds
		f, _ := current(&rec.Parts[0].Locations[i])
		if f != nil {
			for range 4 {
				f.Result.Checks = append(f.Result.Checks, f.Result.Checks...)
			}
			for j := range f.Result.Checks {
				f.Result.Checks[j].Reading.ValueMM += float64(j)
			}
		}
	}
	for _, z := range []paper.Size{paper.A4, paper.Letter} {
		if err := PDF(context.Background(), &bytes.Buffer{}, rec, Options{Paper: z}); err != nil {
			t.Error(err)
		}
	}
}

// TestPDFWithoutPictures: a picture that is missing or no picture is said on the page.
func TestPDFWithoutPictures(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	d := newDemo(14)
	for name, data := range map[string][]byte{"missing": nil, "text": []byte("hello"), "cut off": disc(40, 30, 1)[:20], "huge": make([]byte, 9<<20)} {
		get := func(context.Context, PictureRequest) (Picture, error) {
			if data == nil {
				return Picture{}, errors.New("not here")
			}
			return Picture{Data: data}, nil
		}
		if err := PDF(context.Background(), &bytes.Buffer{}, d.record(t), Options{Picture: get}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// BenchmarkPDF500 is a report of 500 findings that are out, each after three attempts with a
// picture of its own: 2000 pictures of the size that is asked for. Making the annotated
// pictures is not in it.
func BenchmarkPDF500(b *testing.B) {
	d := newDemo(500)
	rec := d.record(b, d.parts[0])
	b.ReportAllocs()
	for b.Loop() {
		var n counter
		if err := PDF(context.Background(), &n, rec, Options{Picture: sized()}); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(n)/1e6, "MB/report")
	}
}

// sized gives pictures as large as they are asked for, each another one.
func sized() func(context.Context, PictureRequest) (Picture, error) {
	made := map[int][]byte{}
	n := 0
	return func(_ context.Context, r PictureRequest) (Picture, error) {
		if made[r.MaxPx] == nil {
			made[r.MaxPx] = disc(r.MaxPx, int(float64(r.MaxPx)/r.Aspect), 0)
		}
		n++
		return Picture{append(bytes.Clone(made[r.MaxPx]), fmt.Sprint(n)...), crossed}, nil // what stands behind a JPEG's end is not shown
	}
}

type counter int

func (c *counter) Write(p []byte) (int, error) { *c += counter(len(p)); return len(p), nil }

func BenchmarkBundle500(b *testing.B) {
	d := newDemo(500)
	st := history.StateOf(d.entries)
	o := BundleOptions{Options: Options{Picture: sized()}, Photo: func(_ context.Context, h string) ([]byte, error) {
		if p, ok := d.photos[h]; ok {
			return p, nil
		}
		return nil, ErrNoPhoto
	}}
	for b.Loop() {
		var w bytes.Buffer
		if _, err := Bundle(context.Background(), &w, st, Scope{Project: d.project}, made, o); err != nil {
			b.Fatal(err)
		}
		if v, err := Verify(bytes.NewReader(w.Bytes()), int64(w.Len())); err != nil || !v.Whole() {
			b.Fatal(fmt.Sprint(err, v))
		}
	}
}
