package card

import (
	"errors"
	"math"
	"math/rand"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"bucktail/imaging/fit"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

func TestFindNamesTheCardAndItsTargets(t *testing.T) {
	for _, name := range devPhotos {
		pic, tr := loadPhoto(t, name)
		m, err := Find(pic)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if m.Layout.Name != tr.Card.Layout {
			t.Errorf("%s: found %q, is %q", name, m.Layout.Name, tr.Card.Layout)
			continue
		}
		for i, q := range tr.Card.Targets {
			tm := m.Targets[i]
			if tm.Sight != Seen {
				t.Errorf("%s: target %d not seen", name, i)
			}
			// A blob's middle is not the middle's image: up to half a pixel here.
			if d := math.Hypot(tm.CentrePx.U-q[0], tm.CentrePx.V-q[1]); d > 0.8 {
				t.Errorf("%s: target %d is off by %.2f px", name, i, d)
			}
		}
	}
}

// trouble is one way to degrade a photo.
type trouble struct {
	name    string
	degrade func(*scene, *rand.Rand)
	// Fraction of the scenes that show enough of the card in which it must be found.
	mustFind float64
}

var troubles = []trouble{
	{"turned", func(s *scene, _ *rand.Rand) {}, 1},
	{"covered", func(s *scene, r *rand.Rand) { s.blot(r, 1+r.Intn(3)) }, 0.9},
	{"shade", func(s *scene, r *rand.Rand) { s.shade(r) }, 0.9},
	{"glare", func(s *scene, r *rand.Rand) { s.glare(r); s.glare(r) }, 0.9},
	{"moved", func(s *scene, r *rand.Rand) { s.smear(s.mm*0.5*r.Float64(), math.Pi*r.Float64()) }, 0.9},
	{"dark", func(s *scene, r *rand.Rand) {
		k := 0.1 + 0.4*r.Float64()
		s.each(func(_, _ int, v float64) float64 { return v*k + 1.5*r.NormFloat64() })
	}, 0.9},
	{"grainy", func(s *scene, r *rand.Rand) {
		k := 5 + 20*r.Float64()
		s.each(func(_, _ int, v float64) float64 { return v + k*r.NormFloat64() })
	}, 0.9},
	{"swarf and ink", func(s *scene, r *rand.Rand) { s.strokes(r, 25) }, 0.5},
	{"all at once", func(s *scene, r *rand.Rand) {
		s.blot(r, 1)
		s.shade(r)
		s.glare(r)
		s.strokes(r, 3)
		s.each(func(_, _ int, v float64) float64 { return v*0.7 + 4*r.NormFloat64() })
	}, 0.7},
}

// Whatever the trouble, a card that is found is the card that is there.
func TestTroubleNeverMisreads(t *testing.T) {
	rounds := 2
	if runtime.GOARCH == "wasm" {
		rounds = 1 // the same code at a fifth of the speed
	}
	for _, tr := range troubles {
		t.Run(tr.name, func(t *testing.T) {
			rng := rand.New(rand.NewSource(1))
			must, found := 0, 0
			for _, name := range devPhotos {
				pic, truth := loadPhoto(t, name)
				for range rounds {
					s := turned(pic, &truth, 2*math.Pi*rng.Float64(), 0.5+0.15*rng.Float64())
					tr.degrade(s, rng)
					m, err := Find(&raster.Picture{Y: s.g, ChromaX: 1, ChromaY: 1})
					if err == nil && !s.right(m) {
						t.Errorf("%s: misread as %q with %d targets", name, m.Layout.Name, m.SeenCount())
					}
					if s.enough() {
						must++
						if err == nil {
							found++
						} else {
							t.Logf("%s: %v", name, err)
						}
					}
				}
			}
			t.Logf("found %d of %d", found, must)
			// One miss is allowed where one round leaves only four scenes.
			if float64(found) < tr.mustFind*float64(must)-1 || (tr.mustFind == 1 && found < must) {
				t.Errorf("found %d of %d that show enough", found, must)
			}
		})
	}
}

func TestMirroredAndInvertedCardsAreRefused(t *testing.T) {
	for _, name := range devPhotos {
		pic, truth := loadPhoto(t, name)
		w, h := pic.Bounds()
		mirrored := pose(pic, &truth, fit.H{-0.5, 0, float64(w) / 2, 0, 0.5, 0, 0, 0, 1}, w/2, h/2)
		if m, err := Find(&raster.Picture{Y: mirrored.g}); err == nil {
			t.Errorf("%s mirrored was read as %q", name, m.Layout.Name)
		}
		inverted := turned(pic, &truth, 0, 0.4)
		inverted.each(func(_, _ int, v float64) float64 { return 255 - v })
		if m, err := Find(&raster.Picture{Y: inverted.g}); err == nil {
			t.Errorf("%s inverted was read as %q", name, m.Layout.Name)
		}
	}
}

func refused(t *testing.T, what string, err error, code string) *qc.Refusal {
	t.Helper()
	var r *qc.Refusal
	if !errors.As(err, &r) {
		t.Errorf("%s: got %v, want a refusal", what, err)
		return &qc.Refusal{}
	}
	if r.Code != code {
		t.Errorf("%s: refused as %q (%s), want %q", what, r.Code, r.Text, code)
	}
	if r.Text == "" || r.Do == "" {
		t.Errorf("%s: refusal without text or advice: %+v", what, r)
	}
	return r
}

func TestPicturesWithoutACardAreRefused(t *testing.T) {
	files, err := filepath.Glob("../../testdata/boards/*.jpg")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d boards, %v", len(files), err)
	}
	for _, f := range files {
		_, err := Find(decode(t, f))
		refused(t, f, err, "no-card")
	}
	rng := rand.New(rand.NewSource(1))
	noise := raster.NewGrey(700, 500)
	for i := range noise.Pix {
		noise.Pix[i] = uint8(rng.Intn(256))
	}
	for name, g := range map[string]*raster.Grey{
		"noise": noise, "black": raster.NewGrey(800, 600), "one pixel": raster.NewGrey(1, 1),
		"one row": raster.NewGrey(5000, 1), "small": raster.NewGrey(47, 47),
	} {
		_, err := Find(&raster.Picture{Y: g})
		refused(t, name, err, "no-card")
	}
}

func TestRefusalsSayWhatToDo(t *testing.T) {
	pic, truth := loadPhoto(t, "dev-08")
	// Cover all but the first five rings of the corner card.
	s := turned(pic, &truth, 0.3, 0.5)
	for i, q := range s.at[5:] {
		s.eachNear(q.X, q.Y, 3*s.mm, func(x, y int, v float64) float64 {
			if math.Hypot(float64(x)-q.X, float64(y)-q.Y) < 3*s.mm {
				return 40
			}
			return v
		})
		s.shown[5+i] = false
	}
	_, err := Find(&raster.Picture{Y: s.g})
	if r := refused(t, "five rings", err, "few-targets"); !strings.Contains(r.Text, "5 of the card's 9 rings") {
		t.Errorf("five rings: %q", r.Text)
	}

	pic, truth = loadPhoto(t, "dev-16")
	small := turned(pic, &truth, 0, 4.0/13.4)
	_, err = Find(&raster.Picture{Y: small.g})
	if r := refused(t, "4 px/mm", err, "too-small"); !strings.Contains(r.Text, "pixels per millimetre") {
		t.Errorf("4 px/mm: %q", r.Text)
	}
}

func TestTwoCardsAreAmbiguous(t *testing.T) {
	a, ta := loadPhoto(t, "dev-03")
	b, tb := loadPhoto(t, "dev-08")
	sa, sb := turned(a, &ta, 0, 0.5), turned(b, &tb, 0, 0.5)
	both := raster.NewGrey(sa.g.W+sb.g.W, max(sa.g.H, sb.g.H))
	for y := 0; y < sa.g.H; y++ {
		copy(both.Pix[y*both.W:], sa.g.Pix[y*sa.g.W:][:sa.g.W])
	}
	for y := 0; y < sb.g.H; y++ {
		copy(both.Pix[y*both.W+sa.g.W:], sb.g.Pix[y*sb.g.W:][:sb.g.W])
	}
	_, err := Find(&raster.Picture{Y: both})
	refused(t, "two cards", err, "ambiguous")
}

func TestGuideFollowsAVideo(t *testing.T) {
	var f Finder
	for _, name := range devPhotos {
		pic, truth := loadPhoto(t, name)
		w, _ := pic.Bounds()
		s := turned(pic, &truth, 0.2, 1280/float64(w)*0.8)
		g := f.Guide(s.g)
		if g.Refusal != nil || g.Match == nil {
			t.Errorf("%s: %v", name, g.Refusal)
			continue
		}
		if !s.right(g.Match) {
			t.Errorf("%s: misread as %q", name, g.Match.Layout.Name)
		}
		if r := g.Match.PxPerMM / s.mm; r < 0.85 || r > 1.15 {
			t.Errorf("%s: %.1f px/mm, is about %.1f", name, g.Match.PxPerMM, s.mm)
		}
		for _, p := range g.Match.OutlinePx() {
			if p.U < -200 || p.V < -200 || p.U > float64(s.g.W)+200 || p.V > float64(s.g.H)+200 {
				t.Errorf("%s: outline at %v", name, p)
			}
		}
		// With most of the card covered the guide still says where it is, and what is missing.
		for i, q := range s.at {
			if i >= 4 {
				s.eachNear(q.X, q.Y, 3*s.mm, func(x, y int, v float64) float64 {
					if math.Hypot(float64(x)-q.X, float64(y)-q.Y) < 3*s.mm {
						return 40
					}
					return v
				})
			}
		}
		if g := f.Guide(s.g); g.Refusal == nil {
			t.Errorf("%s: four rings were enough", name)
		}
	}
	if g := f.Guide(raster.NewGrey(1280, 720)); g.Match != nil || g.Refusal == nil {
		t.Error("an empty frame guided")
	}
}

// Toward the side of the card that is nearer to the camera the scale grows.
func TestNearerSideOfTheCard(t *testing.T) {
	pic, _ := loadPhoto(t, "dev-13")
	got, err := Find(pic)
	if err != nil {
		t.Fatal(err)
	}
	c := got.Layout.Targets[4].At
	scale := func(p fit.Point) float64 {
		inv, _ := got.H.Inverse()
		a, b, d, e := inv.Jacobian(p)
		return 1 / math.Sqrt(math.Abs(a*e-b*d))
	}
	mid := got.H.Apply(fit.Point(c))
	step := 60.0
	near := scale(fit.Point{X: mid.X + step*got.NearerPx.U, Y: mid.Y + step*got.NearerPx.V})
	far := scale(fit.Point{X: mid.X - step*got.NearerPx.U, Y: mid.Y - step*got.NearerPx.V})
	if !(near > far) {
		t.Errorf("scale %.3f toward the nearer side, %.3f away from it", near, far)
	}
}

func FuzzFind(f *testing.F) {
	f.Add(uint8(60), uint8(80), []byte{0, 255, 0, 0, 255, 255})
	f.Add(uint8(0), uint8(255), []byte("ring ring ring"))
	f.Add(uint8(99), uint8(99), []byte{})
	f.Fuzz(func(t *testing.T, w, h uint8, b []byte) {
		g := raster.NewGrey(int(w)+1, int(h)+1)
		for i := range g.Pix {
			if len(b) > 0 {
				g.Pix[i] = b[(i/3*7+i/g.W)%len(b)]
			}
		}
		m, err := Find(&raster.Picture{Y: g})
		var r *qc.Refusal
		if err == nil {
			t.Errorf("a card of %d rings in %d × %d of rubbish", m.SeenCount(), g.W, g.H)
		} else if !errors.As(err, &r) {
			t.Errorf("not a refusal: %v", err)
		}
		var fd Finder
		fd.Guide(g)
	})
}

// scaled gives a photo brought to w × h by cropping and resampling.
func scaled(b *testing.B, w, h int) *raster.Grey {
	pic, tr := loadPhoto(b, "dev-03")
	pw, ph := pic.Bounds()
	k := math.Max(float64(w)/float64(pw), float64(h)/float64(ph))
	m := fit.H{k, 0, (float64(w) - k*float64(pw)) / 2, 0, k, (float64(h) - k*float64(ph)) / 2, 0, 0, 1}
	return pose(pic, &tr, m, w, h).g
}

func BenchmarkFind8MP(b *testing.B) {
	g := scaled(b, 3264, 2448)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if _, err := Find(&raster.Picture{Y: g}); err != nil { // a new picture: no level of it is made yet
			b.Fatal(err)
		}
	}
}

func BenchmarkFindNothing8MP(b *testing.B) {
	pic, _ := loadPhoto(b, "dev-03")
	w, h := pic.Bounds()
	g := pose(pic, &truth{Card: struct {
		Layout  string
		Targets [][3]float64 `json:"targets_px"`
	}{"strip", [][3]float64{{0, 0, 0}, {14, 0, 0}}}}, fit.H{-1.26, 0, 1.26 * float64(w), 0, 1.26, 0, 0, 0, 1}, int(1.26*float64(w)), int(1.26*float64(h))).g
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if _, err := Find(&raster.Picture{Y: g}); err == nil {
			b.Fatal("a mirrored card was read")
		}
	}
}

func benchmarkGuide(b *testing.B, w, h int) {
	g := scaled(b, w, h)
	var f Finder
	if s := f.Guide(g); s.Refusal != nil {
		b.Fatal(s.Refusal)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		f.Guide(g)
	}
}

func BenchmarkGuide720p(b *testing.B)  { benchmarkGuide(b, 1280, 720) }
func BenchmarkGuide1080p(b *testing.B) { benchmarkGuide(b, 1920, 1080) }
