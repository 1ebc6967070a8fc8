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

// A phone's gauge study stands beside its readings, which say what their photo gave; one of another
// phone does not. The bundle holds its photos.
func TestReportShowsGaugeStudies(t *testing.T) {
	d := newDemo(14)
	project := histtest.Place{Project: d.project}
	hash, _ := d.photo(300)
	worse := histtest.Study(d.builder.Device, hash, 12)
	study := d.put(d.builder, project, history.KindStudy, worse)
	other := histtest.NewDevice(99, "Somebody", history.Builder)
	other.Saw(study)
	d.put(other, project, history.KindStudy, histtest.Study(other.Device, hash, 1))

	at := histtest.Place{Project: d.project, Part: d.parts[1]}
	at.Location = d.put(d.builder, at, history.KindLocation, history.LocationData{Tag: "S1"}).ID
	of, data := d.photo(301)
	shot := d.put(d.builder, at, history.KindShot, photoShot(data, "", at.Location)).ID
	f := histtest.HeadFinding(shot, of, 5.5, 10.4)
	p := qc.InForce(history.ProjectOf(d.project, []history.Entry{study}).Proofs, worse.Setup)
	for i := range f.Readings {
		f.Readings[i] = f.Readings[i].Grow(p)
	}
	d.put(d.builder, at, history.KindFinding, f)

	rec := d.record(t)
	grown := 0
	for _, row := range csvTable(t, rec) {
		if row["location"] == "S1" && strings.Contains(row["warnings and notes"], "times what the photo gives") {
			grown++
		}
	}
	if grown != len(f.Readings) || p.Factor <= 1 {
		t.Errorf("%d of %d rows say that U grew %v times", grown, len(f.Readings), p.Factor)
	}
	text := strings.Join(strings.Fields(strings.Join(pagesOf(t, rec, Options{Picture: d.picture}), " ")), " ")
	factor := strings.Fields(worse.Result.Why)
	for _, want := range []string{"Gauge studies of these phones", "Maker Model", "5 × 3", "bench lamp", "sheet corner 2", "× " + factor[len(factor)-5]} {
		if !strings.Contains(text, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	// Both parts that this phone measured show its study; neither shows the other phone's.
	if n := strings.Count(text, "bench lamp"); n != strings.Count(text, "Gauge studies of these phones") {
		t.Errorf("%d studies are shown", n)
	}
	bundle, _ := d.bundle(t)
	if v := verify(t, bundle); !v.Whole() {
		t.Errorf("the bundle: %s", words(v))
	}
	if os.Getenv("BUCKTAIL_TOOLS") == "1" {
		if out, ok := checked(t, bundle); !ok {
			t.Errorf("check.py: %s", out)
		}
	}
}
