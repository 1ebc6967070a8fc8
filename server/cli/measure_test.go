package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"bucktail/imaging/answer"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/standing"
)

const testPhotos = "../../testdata/photos/"

func parsed(t *testing.T, args ...string) *measureJob {
	t.Helper()
	job, err := parseMeasure(args, io.Discard)
	if err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return job
}

func TestMeasureFlags(t *testing.T) {
	job := parsed(t, "a.jpg", "--what", "hole", "--rivet", "4", "--units", "in", "--limits", "mil", "--json")
	if job.units != qc.Inches || !job.json || len(job.photos) != 1 || job.options.Size != "4" || job.options.Spec.LimitSet != "mil" {
		t.Errorf("%+v", job)
	}
	if job := parsed(t, "--what", "hole", "--rivet", "4", "a", "--json", "b", "--", "--units", "c"); fmt.Sprint(job.photos) != "[a b --units c]" {
		t.Errorf("photos %q", job.photos)
	}
}

// A terminal's columns: decimals of a column stand under each other, lines stay within the width.
func TestTable(t *testing.T) {
	reading := func(q qc.Quantity, v, u float64) answer.Reading {
		return answer.Reading{Reading: qc.Reading{Quantity: q, ValueMM: v, UMM: u, How: qc.ByPhoto}}
	}
	spec := qc.Spec{Kind: qc.ShopHead, NominalMM: 3.175}
	doc := &answer.Document{Photo: "x.jpg", Spec: spec, Scale: &answer.Scale{From: "card", Layout: "strip", Targets: 12, MMPerPx: 0.1, DistanceMM: 200, TiltDeg: 4.2}}
	one := 1
	for _, rs := range [][]answer.Reading{
		{reading(qc.HeadDMin, 4.20, 0.06), reading(qc.HeadDMax, 4.31, 0.06), reading(qc.EdgeDistance, 15.2, 0.11), reading(qc.EdgeDistance, 9.87, 0.08), reading(qc.Pitch, 8.5, 0.1)},
		{reading(qc.HeadDMin, 4.9, 0.06), reading(qc.HeadDMax, 5.02, 0.06), reading(qc.EdgeDistance, 10.13, 0.08), reading(qc.Pitch, 13.05, 0.1)},
	} {
		plain := []qc.Reading{}
		for i := range rs {
			if rs[i].Quantity == qc.Pitch {
				rs[i].To = &one
			}
			plain = append(plain, rs[i].Reading)
		}
		j, err := qc.JudgeLocation(spec, plain, nil)
		if err != nil {
			t.Fatal(err)
		}
		doc.Locations = append(doc.Locations, answer.Location{What: spec.Kind, Dash: "4", Readings: rs, Summary: standing.Summarize(j.Checks, plain, j.Unread, ""), Notes: j.Notes})
	}
	doc.Locations = append(doc.Locations, answer.Location{Ask: &qc.Refusal{Code: "coarse", Text: "only 12 pixels across", Do: "come nearer and snap again"}})
	for _, width := range []int{140, 100, 60, 40} {
		var out bytes.Buffer
		tab := &table{w: &out, width: width, units: qc.Millimetres, size: "4"}
		if err := tab.photo(doc, ""); err != nil {
			t.Fatal(err)
		}
		tab.end()
		text := out.String()
		for _, line := range strings.Split(text, "\n") {
			if n := utf8.RuneCountInString(line); n > width {
				t.Errorf("width %d: a line takes %d: %q", width, n, line)
			}
		}
		flat := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{"strip card, 12 rings, tilt 4°, 200 mm away, 10.0 px per mm", "4.20 ± 0.06", "9.87 ± 0.08", "13.05 ± 0.10",
			"out: least head diameter 4.20 ± 0.06 mm; at least 4.37 mm", "out: pitch to 2 8.50 ± 0.59 mm; at least 9.53 mm (AC 43.13-1B 4-57c; from the table)", "not measured: only 12 pixels across: come nearer and snap again",
			"not read: head height: measure it by hand",
			"Standard Aircraft Handbook", "an inspector who looks at the part confirms."} {
			if !strings.Contains(flat, want) {
				t.Errorf("width %d: %q is not in\n%s", width, want, text)
			}
		}
		if strings.Contains(flat, "15.20") {
			t.Errorf("width %d: the farther edge is shown", width)
		}
		if width >= 100 {
			at := map[int]bool{}
			for _, line := range strings.Split(text, "\n") {
				for _, v := range []string{" 9.87 ± 0.08", "10.13 ± 0.08"} {
					if i := strings.Index(line, v); i >= 0 {
						at[utf8.RuneCountInString(line[:i+strings.IndexByte(v, '.')])] = true
					}
				}
			}
			if len(at) != 1 {
				t.Errorf("width %d: decimal points of one column stand at %v", width, at)
			}
		}
	}
}

// What is printed for programs reads back as the document that it is, and its readings hold
// against the truth of a rendered photo.
func TestMeasureAgainstTruth(t *testing.T) {
	data, err := os.ReadFile(testPhotos + "dev-13.json")
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Card struct {
			Scale       [2]float64 `json:"print_scale"`
			ThicknessMM float64    `json:"thickness_mm"`
		}
		Fasteners []struct {
			Centre [2]float64 `json:"centre_px"`
			Hole   float64    `json:"hole_d_mm"`
		}
	}
	if err := json.Unmarshal(data, &truth); err != nil {
		t.Fatal(err)
	}
	status, out, errs := ask("measure", "--json", "--what", "hole", "--rivet", "5", "--card-scale",
		fmt.Sprintf("%g,%g", truth.Card.Scale[0], truth.Card.Scale[1]), "--card-thickness", fmt.Sprint(truth.Card.ThicknessMM), testPhotos+"dev-13.jpg")
	if status == 2 || strings.Count(out, "\n") != 1 {
		t.Fatalf("status %d, %d lines; %s", status, strings.Count(out, "\n"), errs)
	}
	var doc answer.Document
	if err := json.Unmarshal([]byte(out), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Method != measure.Method || doc.Scale == nil || doc.Scale.Layout != "strip" || len(doc.SHA256) != 64 {
		t.Fatalf("%+v", doc)
	}
	var errors []float64
	for _, l := range doc.Locations {
		for _, f := range truth.Fasteners {
			if math.Hypot(l.CentrePx[0]-f.Centre[0], l.CentrePx[1]-f.Centre[1]) > 20 {
				continue
			}
			for _, r := range l.Readings {
				if r.Quantity != qc.HoleDMean {
					continue
				}
				errors = append(errors, math.Abs(r.ValueMM-f.Hole))
				if !(r.UMM > 0 && r.UMM < 0.3) {
					t.Errorf("hole at %v: %.3f ± %.3f", l.CentrePx, r.ValueMM, r.UMM)
				}
			}
		}
	}
	if len(errors) < len(truth.Fasteners)-1 {
		t.Fatalf("%d of %d holes read", len(errors), len(truth.Fasteners))
	}
	// One photo's middle error; how good all photos are is tested where the methods are.
	slices.Sort(errors)
	if m := errors[len(errors)/2]; m > 0.1 {
		t.Errorf("the middle error is %.3f mm", m)
	}
}

// After Ctrl-C nothing new begins, and what was not measured is named.
func TestMeasureStops(t *testing.T) {
	job := parsed(t, "--json", "--what", "hole", "--rivet", "4", testPhotos+"dev-13.jpg", testPhotos+"dev-08.jpg")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	if status := job.run(ctx, console{strings.NewReader(""), &out, &errs}); status != 1 || out.Len() > 0 {
		t.Errorf("status %d, out %q", status, out.String())
	}
	if want := "0 of 2 photos measured, from " + testPhotos + "dev-13.jpg on not"; !strings.Contains(errs.String(), want) {
		t.Errorf("%q is not in %q", want, errs.String())
	}
}

// A file too large to be a photo is refused by its size, before it is read.
func TestReadPhotoCapsBytes(t *testing.T) {
	name := filepath.Join(t.TempDir(), "video.jpg")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Truncate(photo.MaxBytes + 1<<30); err != nil {
		t.Fatal(err)
	}
	f.Close()
	allocs := testing.Benchmark(func(b *testing.B) {
		for range b.N {
			if data, r := readPhoto(nil, name); r == nil || r.Code != "photo-too-many-bytes" || data != nil {
				b.Fatalf("%d bytes, %v", len(data), r)
			}
		}
	})
	if n := allocs.AllocedBytesPerOp(); n > 64<<10 {
		t.Errorf("refusing it takes %d bytes", n)
	}
	if _, r := readPhoto(nil, t.TempDir()); r == nil || r.Code != "no-file" {
		t.Errorf("a folder gives %v", r)
	}
}

// A failing output is said and ends the work.
func TestMeasureOutputFails(t *testing.T) {
	job := parsed(t, "--json", "--what", "hole", "--rivet", "4", "nowhere.jpg")
	var errs bytes.Buffer
	if status := job.run(context.Background(), console{strings.NewReader(""), failing{}, &errs}); status != 1 || !strings.Contains(errs.String(), "no room") {
		t.Errorf("status %d, %q", status, errs.String())
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, fmt.Errorf("no room") }

// Whoever adds a kind is told here that the table has no words for it.
func TestEveryKindHasWords(t *testing.T) {
	for _, k := range qc.Kinds {
		if kindNames[k] == "" {
			t.Error(k)
		}
	}
}
