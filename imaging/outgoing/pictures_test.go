package outgoing

import (
	"bytes"
	"context"
	"errors"
	"image"
	"math"
	"os"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/report"
)

// TestReportDrawsFromTheRecord measures a photo, keeps of it what an entry keeps, and has the
// picture of the report made from that alone.
func TestReportDrawsFromTheRecord(t *testing.T) {
	shot, err := os.ReadFile("../../testdata/photos/dev-13.jpg")
	if err != nil {
		t.Fatal(err)
	}
	spec := qc.Spec{Kind: qc.Hole, NominalMM: 3.96875}
	doc, err := answer.Measure(shot, answer.Options{Spec: spec, Measure: measure.Options{ThicknessMM: 0.2031}})
	if err != nil {
		t.Fatal(err)
	}
	x := &Maker{Photo: func(context.Context, string) ([]byte, error) { return shot, nil }}
	part := &report.Part{}
	for i := range doc.Locations {
		l := &doc.Locations[i]
		p := doc.Places(i)
		if l.Ask != nil {
			if p != nil {
				t.Errorf("location %d was not read and has places", i)
			}
			continue
		}
		// The centre on the sheet, seen by the kept camera, is the centre on the photo, as far
		// as a tenth of a pixel and the rounding of the millimetres tell.
		q := answer.Drawn(answer.Look{Places: p, Spec: spec}, nil)
		at := q.Scale.Camera.Geom().Project(doc.Scale.Camera.Geom().ToSheet(geom.PxPoint{U: l.CentrePx[0], V: l.CentrePx[1]}, 0), 0)
		if d := math.Hypot(at.U-l.CentrePx[0], at.V-l.CentrePx[1]); !(d < 0.02) {
			t.Errorf("location %d: the kept camera is off by %v px", i, d)
		}
		if len(p.OutlinePx) < 24 || len(p.OutlinePx) > 48 {
			t.Errorf("location %d: %d points of its outline", i, len(p.OutlinePx))
		}
		f := report.Finding{Photo: doc.SHA256, Spec: spec, Places: p, Verdict: l.Verdict, Result: qc.Result{Checks: l.Checks}}
		for _, r := range l.Readings {
			f.Readings = append(f.Readings, r.Reading)
		}
		if err := p.Valid(len(f.Readings)); err != nil {
			t.Errorf("location %d: %v", i, err)
		}
		part.Locations = append(part.Locations, report.Location{Tag: "H", Attempts: []report.Attempt{{N: 1, Findings: []report.Finding{f}}}})
	}
	if len(part.Locations) < 4 {
		t.Fatalf("%d of 5 holes read", len(part.Locations))
	}
	for i := range part.Locations {
		l := &part.Locations[i]
		f := &l.Attempts[0].Findings[0]
		r := report.PictureRequest{Part: part, Location: l, Finding: f, Units: qc.Millimetres, WidthMM: 94, MaxPx: 640, Aspect: 1.5}
		own, ok := lookOf(l, f)
		if !ok {
			t.Fatal("nothing to draw")
		}
		// Its tag says how the location stands as a whole.
		short := *f
		short.Verdict, short.Result.Unread = qc.Within, []qc.Limit{{Quantity: qc.Pitch}}
		if look, _ := lookOf(l, &short); answer.Drawn(look, nil).Locations[0].Whole != qc.Unread {
			t.Errorf("of which a limit was not read, it is drawn as %q", look.Whole)
		}
		// Every hole of this row was read, so each neighbour is one of them.
		if got := len(answer.Drawn(own, x.beside.on(r)).Locations); got != len(part.Locations) && len(part.Locations) == len(doc.Locations) {
			t.Errorf("%d locations of %d", got, len(part.Locations))
		}
		pic, err := x.picture(context.Background(), r)
		if err != nil || pic.Drawing == nil {
			t.Fatalf("%v, not drawn", err)
		}
		m, _, err := image.Decode(bytes.NewReader(pic.Data))
		if err != nil {
			t.Fatal(err)
		}
		if b := m.Bounds(); math.Abs(float64(b.Dx())/float64(b.Dy())-1.5) > 0.02 {
			t.Errorf("a picture of %v for a place of 3 : 2", b)
		}
		// Without places, or with places on a photo of another size, it is the photo alone.
		for _, p := range []*history.Places{nil, {WidthPx: 5, HeightPx: 5}, withSize(f.Places, 100)} {
			plain := *f
			plain.Places = p
			r.Finding = &plain
			if pic, err := x.picture(context.Background(), r); err != nil || pic.Drawing != nil {
				t.Errorf("%+v: %v, or drawn", p, err)
			}
		}
	}
	if len(x.photos.last) != 1 {
		t.Errorf("%d decoded photos held for one", len(x.photos.last))
	}
}

func withSize(p *history.Places, w int) *history.Places {
	q := *p
	q.WidthPx = w
	return &q
}

// TestPreviewStandsIn draws upon a smaller copy where the photo is not at hand: the same picture,
// less sharp. A bundle never takes the copy for the photo.
func TestPreviewStandsIn(t *testing.T) {
	shot, err := os.ReadFile("../../testdata/photos/dev-13.jpg")
	if err != nil {
		t.Fatal(err)
	}
	full, err := photo.Decode(shot)
	if err != nil {
		t.Fatal(err)
	}
	small, err := encode(photo.Preview(full.Picture, 1280))
	if err != nil {
		t.Fatal(err)
	}
	spec := qc.Spec{Kind: qc.Hole, NominalMM: 3.96875}
	doc, err := answer.Measure(shot, answer.Options{Spec: spec})
	if err != nil {
		t.Fatal(err)
	}
	f := report.Finding{Photo: doc.SHA256, Spec: spec, Places: doc.Places(0), Verdict: doc.Locations[0].Verdict, Result: qc.Result{Checks: doc.Locations[0].Checks}}
	for _, r := range doc.Locations[0].Readings {
		f.Readings = append(f.Readings, r.Reading)
	}
	r := report.PictureRequest{Part: &report.Part{}, Location: &report.Location{Tag: "H1"}, Finding: &f, Units: qc.Millimetres, WidthMM: 94, MaxPx: 629, Aspect: 1.47}
	give := func(b []byte) func(context.Context, string) ([]byte, error) {
		return func(context.Context, string) ([]byte, error) {
			if b == nil {
				return nil, report.ErrNoPhoto
			}
			return b, nil
		}
	}
	picture := func(m *Maker) image.Image {
		t.Helper()
		pic, err := m.picture(context.Background(), r)
		if err != nil || pic.Drawing == nil {
			t.Fatalf("%v, not drawn", err)
		}
		img, _, err := image.Decode(bytes.NewReader(pic.Data))
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	want := picture(&Maker{Photo: give(shot)})
	got := picture(&Maker{Photo: give(nil), Preview: give(small)})
	if want.Bounds() != got.Bounds() {
		t.Fatalf("%v from the copy, %v from the photo", got.Bounds(), want.Bounds())
	}
	// off is the mean difference in levels from the copy's picture moved by dx.
	off := func(dx int) float64 {
		diff, n := 0.0, 0
		for y := 0; y < want.Bounds().Dy(); y += 3 {
			for x := 20; x < want.Bounds().Dx()-20; x += 3 {
				a, _, _, _ := want.At(x, y).RGBA()
				b, _, _, _ := got.At(x+dx, y).RGBA()
				diff, n = diff+math.Abs(float64(a)-float64(b))/257, n+1
			}
		}
		return diff / float64(n)
	}
	// In the same place they differ least, and by little.
	t.Logf("mean difference %.1f levels, moved by 3 px %.1f and %.1f", off(0), off(-3), off(3))
	if off(0) > 8 || off(0) > 0.8*min(off(-3), off(3)) {
		t.Errorf("the copy's picture differs by %.1f levels on average, moved by 3 px by %.1f and %.1f", off(0), off(-3), off(3))
	}
	if _, err := (&Maker{Photo: give(nil), Preview: give(small)}).stripped(context.Background(), doc.SHA256); !errors.Is(err, report.ErrNoPhoto) {
		t.Errorf("a bundle was given the copy: %v", err)
	}
	if _, err := (&Maker{Photo: give(nil), Preview: give(nil)}).picture(context.Background(), r); !errors.Is(err, report.ErrNoPhoto) {
		t.Errorf("no photo at all: %v", err)
	}
}

func TestCutOut(t *testing.T) {
	for _, c := range []history.Crop{{X: 100, Y: 100, W: 300, H: 300}, {X: -50, Y: 3900, W: 100, H: 100}, {X: 0, Y: 0, W: 9000, H: 9000}, {X: 3990, Y: 10, W: 100, H: 50}} {
		r := cutOut(&c, 4000, 3000, 3)
		if r.Empty() || r.Min.X < 0 || r.Min.Y < 0 || r.Max.X > 4000 || r.Max.Y > 3000 {
			t.Errorf("%+v: %v", c, r)
		}
	}
	if r := cutOut(&history.Crop{X: 1000, Y: 1000, W: 300, H: 300}, 4000, 3000, 3); r.Dx() != 1440 || r.Dy() != 480 || r.Min.X != 430 {
		t.Errorf("%v", r)
	}
}

// The picture of one finding on a page, from a photo that is open already.
func BenchmarkReportPicture(b *testing.B) {
	shot, err := os.ReadFile("../../testdata/photos/dev-13.jpg")
	if err != nil {
		b.Fatal(err)
	}
	spec := qc.Spec{Kind: qc.Hole, NominalMM: 3.96875}
	doc, err := answer.Measure(shot, answer.Options{Spec: spec})
	if err != nil {
		b.Fatal(err)
	}
	l := &doc.Locations[0]
	f := report.Finding{Photo: doc.SHA256, Spec: spec, Places: doc.Places(0), Verdict: l.Verdict, Result: qc.Result{Checks: l.Checks}}
	for _, r := range l.Readings {
		f.Readings = append(f.Readings, r.Reading)
	}
	r := report.PictureRequest{Part: &report.Part{}, Location: &report.Location{Tag: "H1"}, Finding: &f, Units: qc.Millimetres, WidthMM: 94, MaxPx: 629, Aspect: 1.47}
	x := &Maker{Photo: func(context.Context, string) ([]byte, error) { return shot, nil }}
	for b.Loop() {
		if pic, err := x.picture(context.Background(), r); err != nil || pic.Drawing(r.WidthMM) == nil {
			b.Fatal(err)
		}
	}
}
