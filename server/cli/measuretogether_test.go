package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

const viewPhotos = "../../testdata/views/"

// Three photos of a place come as one object: what each of them is, and for each location which photo
// its pixels are of, what every photo shows of it, and on how many its readings stand.
func TestMeasureTogether(t *testing.T) {
	out := t.TempDir()
	var said, errs bytes.Buffer
	names := []string{"990108-a.jpg", "990108-b.jpg", "990108-c.jpg"}
	args := []string{"--together", "--json", "--annotate", out, "--what", "shop-head", "--rivet", "6"}
	for _, n := range names {
		args = append(args, viewPhotos+n)
	}
	measurePhotos(console{out: &said, err: &errs}, args)
	var doc answer.Document
	if err := json.Unmarshal(said.Bytes(), &doc); err != nil {
		t.Fatalf("%v: %s", err, errs.String())
	}
	if len(doc.Photos) != 3 || doc.Scale == nil || len(doc.Locations) < 4 {
		t.Fatalf("%d photos, %d locations, problems %v", len(doc.Photos), len(doc.Locations), doc.Problems)
	}
	heights := 0
	for i, p := range doc.Photos {
		if p.Name != names[i] || p.Scale == nil || p.TiltDeg != p.Scale.TiltDeg || p.LeftOut != nil || p.SHA256 == "" {
			t.Errorf("photo %d: %+v", i, p)
		}
		if _, err := os.Stat(filepath.Join(out, strings.TrimSuffix(names[i], ".jpg")+"-annotated.jpg")); err != nil {
			t.Error(err)
		}
	}
	for i, l := range doc.Locations {
		k := slices.Index(names, l.PxPhoto)
		if k < 0 || len(l.Photos) != 3 || l.Photos[k].CentrePx != l.CentrePx {
			t.Errorf("location %d: pixels of %q, %d looks", i, l.PxPhoto, len(l.Photos))
			continue
		}
		used := 0
		for _, p := range l.Photos {
			if p.Used {
				used++
			} else if p.Why == "" {
				t.Errorf("location %d: %s is not used and does not say why", i, p.Photo)
			}
		}
		for _, r := range l.Readings {
			if r.Views < 1 || r.Views > 3 || r.Quantity.Diameter() && r.Views != used {
				t.Errorf("location %d: %s stands on %d photos, %d are used", i, r.Quantity, r.Views, used)
			}
			if r.Quantity == qc.HeadHeight {
				heights++
			}
			if r.Photo != doc.Photos[k].SHA256 {
				t.Errorf("location %d: %s is of photo %s", i, r.Quantity, r.Photo)
			}
		}
		for _, c := range l.Checks {
			if c.Reading.Quantity == qc.HeadHeight && c.Limit.Source == "" {
				t.Errorf("location %d: a height judged without a source", i)
			}
		}
	}
	if heights == 0 {
		t.Error("no height was read")
	}
}

// The same file is no second photo, and the table says so.
func TestTogetherRefusesTheSameFile(t *testing.T) {
	var said, errs bytes.Buffer
	measurePhotos(console{out: &said, err: &errs}, []string{"--together", "--what", "hole", "--rivet", "5", testPhotos + "dev-13.jpg", testPhotos + "dev-13.jpg"})
	if s := said.String(); !strings.Contains(s, "2 photos measured together") || !strings.Contains(s, "same file as photo 1") {
		t.Errorf("said %s%s", s, errs.String())
	}
	if got := shortNames([]string{"x/a.jpg", "y/b.jpg"}); !slices.Equal(got, []string{"a.jpg", "b.jpg"}) {
		t.Errorf("%q", got)
	}
	if both := []string{"x/a.jpg", "y/a.jpg"}; !slices.Equal(shortNames(both), both) {
		t.Errorf("%q", shortNames(both))
	}
}
