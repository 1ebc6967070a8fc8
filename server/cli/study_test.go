package cli

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/imaging/card"
	"bucktail/imaging/card/cardtest"
	"bucktail/imaging/geom"
	"bucktail/qc/gaugestudy"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/store"
)

// A study of three photos by their truth says that U holds; by sizes that are all off it tells the factor,
// and measuring takes it.
func TestStudy(t *testing.T) {
	var truth struct {
		Fasteners []struct {
			MM float64 `json:"head_d_mean_mm"`
		}
	}
	b, err := os.ReadFile(viewPhotos + "990108-a.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &truth); err != nil {
		t.Fatal(err)
	}
	args := []string{"--what", "shop-head", "--rivet", "6", "--card-scale", "0.99278,0.99964", "--card-thickness", "0.2283"}
	photos := []string{viewPhotos + "990108-a.jpg", viewPhotos + "990108-b.jpg", viewPhotos + "990108-c.jpg"}
	run := func(more ...string) (said, errs string, status int) {
		var o, e bytes.Buffer
		status = proveIt(console{out: &o, err: &e}, append(append(append([]string{}, args...), more...), photos...))
		return o.String(), e.String(), status
	}
	said, errs, status := run("--json", "--sizes", "6.6468,6.7677,7.7427,8.0004,7.6028,6.4981")
	var told struct {
		Objects []gaugestudy.Object
		Result  gaugestudy.Result
	}
	if err := json.Unmarshal([]byte(said), &told); err != nil || status != 0 {
		t.Fatalf("%v: %s%s", err, said, errs)
	}
	r := told.Result
	if r.Verdict != gaugestudy.Holds || r.Objects != 6 || r.Photos != 3 || r.Outside > 1 {
		t.Errorf("by the truth: %+v", r)
	}
	for _, o := range told.Objects {
		known := false
		for _, f := range truth.Fasteners {
			known = known || f.MM == o.ReferenceMM
		}
		if !known {
			t.Errorf("%v is no size of the truth", o.ReferenceMM)
		}
	}
	for i, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--sizes", "6.2,6.3,7.3"}, "names 3 of the 6 objects"},
		{[]string{"--grow", "2"}, "no place in a study"},
		{[]string{"--grow", "0.5"}, "U never shrinks"},
	} {
		if i > 0 {
			photos = photos[:1] // wrong before a photo is measured
		}
		if _, errs, status := run(c.args...); status != 2 || !strings.Contains(errs, c.want) {
			t.Errorf("%v: %d, %s", c.args, status, errs)
		}
	}
}

// The gauge studies of a record count for photos that are measured elsewhere: those of the phone that took
// them, also when it lost its key and joined anew, else those of any with such a camera.
func TestStudiesOfARecordCount(t *testing.T) {
	s, dir, _ := gusset(t, corners(t))
	ctx := t.Context()
	projects, err := s.Projects(ctx)
	if err != nil {
		t.Fatal(err)
	}
	at := histtest.Place{Project: projects[0].ID}
	ids := map[string]string{}
	for i, name := range []string{"Bench phone", "Tablet"} {
		me := histtest.NewDevice(uint64(10+i), "Ines K.", history.Builder)
		study := histtest.Study(me.Device, histtest.PhotoHash(corners(t)), 20)
		study.Camera = "Synthetic Render"
		study.Result.Factor = 2 + float64(i)
		keep(t, s, me.Put(at.Draft(history.KindStudy, study)))
		d := store.Device{ID: me.Device, Name: name, Role: history.Builder}
		for k, again := range []bool{false, true} { // the second time without the key of the first
			if _, err := s.Join(ctx, d, store.TokenHash{byte(i), byte(k)}, again); err != nil {
				t.Fatal(err)
			}
			if d, err = s.TellKey(ctx, d.ID, strings.Repeat("k", 10+i+10*k)); err != nil {
				t.Fatal(err)
			}
		}
		if ids[name] = d.ID; d.ID == me.Device {
			t.Fatalf("%s goes on under its id", name)
		}
	}
	if by, err := s.TakenBy(ctx, histtest.PhotoHash(corners(t))); err != nil || by == "" {
		t.Errorf("the photo was taken by %q, %v", by, err)
	}
	for _, c := range []struct {
		args   []string
		phone  string
		factor float64
		other  bool
	}{
		{[]string{"--phone", "Bench phone"}, ids["Bench phone"], 2, true},
		{[]string{"--phone", "Bench phone", "--card-sheet", "corner 2", "--card", "corner"}, ids["Bench phone"], 2, false},
		{nil, ids["Tablet"], 3, true}, // the worst
	} {
		var o, e bytes.Buffer
		measurePhotos(console{out: &o, err: &e}, append([]string{"--json", "--what", "shop-head", "--rivet", "6", "--data", dir, viewPhotos + "990108-a.jpg"}, c.args...))
		var doc answer.Document
		if err := json.Unmarshal(o.Bytes(), &doc); err != nil {
			t.Fatalf("%v: %s", err, e.String())
		}
		if p := doc.Proven; p == nil || p.Device != c.phone || p.Factor != c.factor || p.Other != c.other {
			t.Errorf("%v: %+v, camera %q, card %q", c.args, p, doc.Camera, doc.Scale.Layout)
		}
		if g := doc.Locations[0].Readings[0].Grown; g == nil || g.Factor != c.factor {
			t.Errorf("%v: grown %+v", c.args, g)
		}
	}
	for _, args := range [][]string{{"--phone", "Bench phone"}, {"--data", dir, "--phone", "nobody's"}} {
		var o, e bytes.Buffer
		if status := measurePhotos(console{out: &o, err: &e}, append(args, "--what", "hole", "--rivet", "4", "x.jpg")); status != 2 || !strings.Contains(e.String(), "--phone") {
			t.Errorf("%v: %d, %s", args, status, e.String())
		}
	}
}

// Printed circles are known by their sizes: nobody types any. What raises them above the card's face makes
// them look larger than U says.
func TestStudyOfPrintedCircles(t *testing.T) {
	const drawn = "../../testdata/circles.jpg"
	level, err := os.ReadFile(drawn)
	if err != nil {
		t.Fatal(err)
	}
	l := card.ByName("corner")
	d := cardtest.Drawing{Cam: cardtest.Look(l, 720, 14, 2, 0.3, 118, 800, 800), Layout: l, Scale: [2]float64{1.004, 0.998}, ThickMM: 0.25, GainMM: 0.04,
		BlurPx: 0.6, Noise: 2, W: 800, H: 800, Piece: &cardtest.Piece{At: geom.SheetPoint{X: 19, Y: -19}, RaisedMM: 1.5}}
	var raised bytes.Buffer
	y := d.Draw(rand.New(rand.NewSource(3))).Y
	if err := png.Encode(&raised, &image.Gray{Pix: y.Pix, Stride: y.W, Rect: image.Rect(0, 0, y.W, y.H)}); err != nil {
		t.Fatal(err)
	}
	run := func(picture []byte, more ...string) (said, errs string, status int) {
		dir := t.TempDir()
		args := []string{"--circles", "--card-scale", "1.004,0.998", "--card-thickness", "0.25"}
		for i := range 3 { // one picture in three files
			name := filepath.Join(dir, string(rune('a'+i)))
			if err := os.WriteFile(name, append(slices.Clone(picture), byte(i)), 0o600); err != nil {
				t.Fatal(err)
			}
			args = append(args, name)
		}
		var o, e bytes.Buffer
		status = proveIt(console{out: &o, err: &e}, append(args, more...))
		return o.String(), e.String(), status
	}
	said, errs, status := run(level, "--json")
	var told struct {
		Objects []gaugestudy.Object
		Result  gaugestudy.Result
	}
	if err := json.Unmarshal([]byte(said), &told); err != nil {
		t.Fatalf("%v: %s%s", err, said, errs)
	}
	if r := told.Result; status != 0 || r.Verdict != gaugestudy.Holds || r.Objects != len(card.Circles) || math.Abs(r.BiasMM) > 0.01 {
		t.Errorf("%d, %+v of %+v", status, r, told.Objects)
	}
	if said, _, _ := run(level); strings.Contains(said, "−0.00") {
		t.Errorf("nothing has a sign: %s", said)
	}
	if said, _, status := run(raised.Bytes()); status != 1 || !strings.Contains(said, "--grow") {
		t.Errorf("raised by 1.5 mm: %d, %s", status, said)
	}
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{[]string{"--sizes", "1,2", "x.png"}, 2, "their sizes are known"},
		{[]string{drawn, drawn, drawn}, 1, "the same file"},
		{[]string{drawn}, 1, "6 objects on 1 photos are too few"},
	} {
		var o, e bytes.Buffer
		if status := proveIt(console{out: &o, err: &e}, append([]string{"--circles"}, c.args...)); status != c.status || !strings.Contains(e.String(), c.want) {
			t.Errorf("%v: %d, %s", c.args, status, e.String())
		}
	}
}
