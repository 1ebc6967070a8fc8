//go:build !js

package report

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// told gives all words of a document, white space as single spaces.
func told(t *testing.T, write func(b *bytes.Buffer) error) string {
	t.Helper()
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("needs pdftotext: BUCKTAIL_TOOLS=1")
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", save(t, "out.pdf", b.Bytes()), "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// withMore adds to the demo what the pages are to tell: a hand reading that a later one replaces,
// an instrument whose calibration was overdue, a referral without an answer, notes with photos.
func withMore(d *demo) {
	here := func(tag string) histtest.Place {
		for _, e := range d.entries {
			if l, err := history.DataOf[history.LocationData](e); err == nil && e.Kind == history.KindLocation && l.Tag == tag {
				return histtest.Place{Project: d.project, Part: e.Part, Location: e.ID}
			}
		}
		panic(tag)
	}
	findingAt := func(tag string) string {
		id := ""
		for _, e := range d.entries {
			if e.Kind == history.KindFinding && e.Location == here(tag).Location {
				id = e.ID
			}
		}
		return id
	}
	at := here("R7")
	first := histtest.GaugeReading(findingAt("R7"), 6.71)
	first.Identity = &history.Identity{Number: "SN 4711", Calibrated: "2024-03-01", Due: "2025-03-01"}
	d.put(d.builder, at, history.KindGauge, first)
	second := histtest.GaugeReading(findingAt("R7"), 6.83)
	second.Identity = &history.Identity{Number: "SN 4712", Calibrated: "2199-03-01"}
	d.put(d.builder, at, history.KindGauge, second)
	d.put(d.builder, at, history.KindDisposition, history.DispositionData{Finding: findingAt("R7"), Action: qc.Refer, Reason: "edge of the tube"})
	_, photo := d.photo(len(d.photos))
	d.put(d.builder, histtest.Place{Project: at.Project, Part: at.Part}, history.KindNote, history.NoteData{Text: "The gusset from above.", Photos: []string{histtest.PhotoHash(photo)}})
}

func TestReportSaysWhatIsOpenAndWhy(t *testing.T) {
	d := newDemo(14)
	withMore(d)
	st := history.StateOf(d.entries)
	for _, e := range d.entries {
		after := 3 * time.Hour
		if e.Kind == history.KindDisposition { // by a clock that was ahead
			after = -5 * time.Hour
		}
		st.CameIn(e.ID, e.At.Add(after))
	}
	late := history.Entry{} // the finding that was rejected
	for _, e := range d.entries {
		if e.Kind == history.KindDecision {
			if x, err := history.DataOf[history.DecisionData](e); err == nil && x.Answer == qc.Rejected {
				late = history.Entry{Head: history.Head{ID: x.Finding, At: e.At}}
			}
		}
	}
	st.CameIn(late.ID, late.At.AddDate(0, 0, 4))
	rec, err := Build(st, Scope{d.project, d.parts[:1]}, made)
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]int{}
	o := Options{Picture: d.picture, Page: func(_ context.Context, hash string, _ int) ([]byte, error) {
		shown[hash]++
		return d.photos[hash], nil
	}}
	report := told(t, func(b *bytes.Buffer) error { return PDF(context.Background(), b, rec, o) })
	if whole, _ := wholePhoto(&rec.Parts[0]); shown[whole] != 1 {
		t.Errorf("the photo of the whole part is shown %d times", shown[whole])
	}
	if !strings.Contains(report, "The gusset from above. Photo, SHA-256") || strings.Count(report, "The gusset from above.") != 1 {
		t.Error("the words under the photo of the whole part do not stand there once, with one full stop")
	}
	form := told(t, func(b *bytes.Buffer) error { return Form(context.Background(), b, rec, o) })
	for _, want := range []string{
		"Measured by Ines K.",
		"Never measured, 2: R13, R14", "Rejected by the inspector, 1: R8", "Drilled out, without a new rivet, 1: R4",
		"Times that are to be asked about, 1:", "With the designer, 1: R7",
	} {
		if n := strings.Count(report, want); n < 1 || !strings.HasPrefix(want, "Measured") && n < 2 { // first page and sign-off
			t.Errorf("the report says %q %d times", want, n)
		}
		if !strings.HasPrefix(want, "Measured") && !strings.Contains(form, want) {
			t.Errorf("the form does not say %q", want)
		}
	}
	for _, want := range []string{
		"2 decisions: 1 confirmed, 1 rejected, 0 to be measured again; 1 of them on paper.",
		"signed by M. Oduya on", "1 deviation was kept or referred", "refer to the designer, Ines K.", "edge of the tube. No answer yet",
		"SN 4712", "Its calibration is dated after it was used.", "calibration dated 1 March 2199 (after it was used)",
		"SN 4711", "Its calibration was overdue when it was used.", "calibration due 1 March 2025 (overdue)",
		"least head diameter 6.71 ± 0.03 mm, superseded by the hand reading of", "its hole was never measured",
		"edge distance, nearest edge", "pitch, nearest neighbour", "The part as a whole", "The gusset from above.",
		"To be asked about: written 5 hours after it came to the laptop: the device's clock was ahead",
		"came to the laptop 4 days after it was written", "The photo does not say when it was taken", "; came to the",
		"AC 43.13-1B", "1B, change 1", "page, section, table",
	} {
		if !strings.Contains(report, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	for _, l := range rec.Parts[0].Locations {
		if !strings.Contains(form, l.Tag+" ") {
			t.Errorf("the form does not list %s", l.Tag)
		}
	}
}

// Who measured is a person: a device's name is said to be none.
func TestDeviceIsNoPerson(t *testing.T) {
	d := newDemo(14)
	for i := range d.entries {
		d.entries[i].By = strings.Replace(d.entries[i].By, "Ines K.", "Ines's phone", 1)
	}
	w := newWriter(context.Background(), d.record(t), Options{Zone: time.UTC})
	if got := w.measurers([]*Part{&w.rec.Parts[0]}); !strings.HasPrefix(got, "no person named, ") {
		t.Errorf("measured by %q", got)
	}
	if got := w.person("Ines's phone"); got != "no person named (Ines's phone)" {
		t.Errorf("an entry's person is %q", got)
	}
}

// What came when is kept by the manifest, and the tables follow from it.
func TestArrivalsInTheBundle(t *testing.T) {
	d := newDemo(14)
	st := history.StateOf(d.entries)
	for _, e := range d.entries {
		st.CameIn(e.ID, e.At.Add(30*time.Hour))
	}
	var b bytes.Buffer
	if _, err := Bundle(context.Background(), &b, st, Scope{Project: d.project}, made, BundleOptions{}); err != nil {
		t.Fatal(err)
	}
	if v := verify(t, b.Bytes()); !v.Whole() {
		t.Fatalf("not whole: %+v", v.Problems)
	}
	rows, err := csv.NewReader(bytes.NewReader(get(t, unpack(t, b.Bytes()), csvFile).data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range rows[0] {
		switch name {
		case "came to the laptop (UTC)":
			if rows[1][i] == "" {
				t.Error("the table does not say when the first entry came")
			}
		case "odd times":
			if rows[1][i] != "came to the laptop a day after it was written" {
				t.Errorf("the gap is marked %q", rows[1][i])
			}
		}
	}
}

func TestTagList(t *testing.T) {
	for want, tags := range map[string][]string{
		"R1 to R4, R9":  {"R1", "R2", "R3", "R4", "R9"},
		"R9, R10":       {"R9", "R10"},
		"A, B, L07, L8": {"A", "B", "L07", "L8"},
		"R9 to R11, S1": {"R9", "R10", "R11", "S1"},
		"":              nil,
	} {
		if got := tagList(tags); got != want {
			t.Errorf("%v: %q, not %q", tags, got, want)
		}
	}
}
