//go:build !js

package report

import (
	"os"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// TestReportNamesThePhotosOfAFinding: a finding of two photos says in table, record and report on how
// many it stands and which they are, and the bundle's own checks take it.
func TestReportNamesThePhotosOfAFinding(t *testing.T) {
	d := newDemo(14)
	at := histtest.Place{Project: d.project, Part: d.parts[1]}
	at.Location = d.put(d.builder, at, history.KindLocation, history.LocationData{Tag: "S1"}).ID
	var photos, shots []string
	for i := range 2 {
		hash, data := d.photo(len(d.photos) + i)
		photos = append(photos, hash)
		shots = append(shots, d.put(d.builder, at, history.KindShot, photoShot(data, "", at.Location)).ID)
	}
	f := histtest.HeadFinding(shots[0], photos[0], 5.5, 10.4) // out, so that it has a page
	f.Views = []history.View{{Shot: shots[0], Used: true}, {Shot: shots[1], Used: true}}
	for i := range f.Readings {
		f.Readings[i].Views = 2
	}
	res, err := qc.JudgeLocation(f.Spec, f.Readings, nil)
	if err != nil {
		t.Fatal(err)
	}
	f.Result = res
	d.put(d.builder, at, history.KindFinding, f)

	rec := d.record(t)
	rows := 0
	for _, row := range csvTable(t, rec) {
		want, named := "", ""
		if row["location"] == "S1" {
			rows++
			want, named = "2", strings.Join(photos, " ")
		}
		if row["views"] != want || row["photos measured together"] != named {
			t.Errorf("%s: %q views, of %q", row["location"], row["views"], row["photos measured together"])
		}
	}
	if rows != len(f.Readings) {
		t.Errorf("%d rows of the finding, of %d readings", rows, len(f.Readings))
	}
	found := false
	for _, p := range rec.Parts {
		for _, l := range p.Locations {
			for _, a := range l.Attempts {
				for _, g := range a.Findings {
					if l.Tag == "S1" {
						found = len(g.Views) == 2 && g.Views[1] == View{Photo: photos[1], Used: true}
					} else if g.Views != nil {
						t.Errorf("%s: %v of one photo", l.Tag, g.Views)
					}
				}
			}
		}
	}
	if !found {
		t.Error("the record does not name the second photo")
	}
	pages := strings.Join(pagesOf(t, rec, Options{Picture: d.picture}), "\n")
	for _, want := range []string{"tands on 2 views", "Measured together with " + photos[1]} {
		if n := strings.Count(pages, want); n != 1 {
			t.Errorf("%q stands in the report %d times", want, n)
		}
	}
	data, _ := d.bundle(t)
	if v := verify(t, data); !v.Whole() {
		t.Errorf("the bundle: %s", words(v))
	}
	if os.Getenv("BUCKTAIL_TOOLS") == "1" {
		if out, ok := checked(t, data); !ok {
			t.Errorf("check.py: %s", out)
		}
	}
}
