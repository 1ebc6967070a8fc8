package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/imaging/raster"
)

// partSeeds are photos of which the parts that were cut out are held against the whole as the
// standard decoder gives it. The variants were written by libjpeg and others.
func partSeeds(tb testing.TB) map[string][]byte {
	tb.Helper()
	out := map[string][]byte{}
	for _, pattern := range []string{"variants/*", "exif/corners_*", "photos/dev-13.jpg", "photos/dev-16.jpg", "nasty/*"} {
		names, err := filepath.Glob(testdata + pattern)
		if err != nil || len(names) == 0 {
			tb.Fatal("no photos", pattern, err)
		}
		for _, name := range names {
			name = strings.TrimPrefix(filepath.ToSlash(name), testdata)
			out[name] = file(tb, name)
		}
	}
	return out
}

func TestPartsAreOfTheWhole(t *testing.T) {
	indexed := map[string]bool{}
	for name, data := range partSeeds(t) {
		whole, err := Decode(data)
		s, openErr := Open(data)
		if err != nil {
			// Damage may show only where it lies.
			if openErr == nil {
				if _, _, err := s.Part(image.Rect(0, 0, s.w, s.h)); err == nil {
					t.Errorf("%s as a whole was shown: %v", name, err)
				}
			}
			continue
		}
		if openErr != nil {
			t.Errorf("%s: %v", name, openErr)
			continue
		}
		if w, h := s.Bounds(); w != whole.Width || h != whole.Height {
			t.Errorf("%s: %d × %d, not %d × %d", name, w, h, whole.Width, whole.Height)
		}
		indexed[name] = s.index != nil
		rng := rand.New(rand.NewPCG(1, 2))
		for range 20 {
			checkPart(t, name, s, whole.Picture, someRect(rng, whole.Width, whole.Height))
		}
		checkPart(t, name, s, whole.Picture, image.Rect(0, 0, whole.Width, whole.Height))
		if pic, _, err := s.Part(image.Rect(-9, -9, 0, 0)); err != nil || s.index != nil && pic.Y.W != 0 {
			t.Errorf("%s: beside the photo: %v", name, err)
		}
	}
	for _, name := range []string{"photos/dev-13.jpg", "photos/dev-16.jpg", "exif/corners_1.jpg", "exif/corners_6.jpg"} {
		if !indexed[name] {
			t.Errorf("%s, as phones write them, was decoded as a whole", name)
		}
	}
	t.Logf("%v", indexed)
}

// TestPartsOfPhotosWithRestarts: some cameras write restart markers; so does the cutting.
func TestPartsOfPhotosWithRestarts(t *testing.T) {
	for _, name := range []string{"photos/dev-13.jpg", "exif/corners_3.jpg", "variants/video-005.gray.q50.2x2.jpeg"} {
		data := file(t, name)
		x := indexJPEG(data)
		if x == nil {
			t.Fatal(name)
		}
		small, _, ok := x.cutOut(data, image.Rect(x.w/3, x.h/3, x.w, x.h))
		if !ok {
			t.Fatal(name)
		}
		s, err := Open(small)
		if err != nil || s.index == nil || s.index.every == 0 {
			t.Fatalf("%s: %v", name, err)
		}
		whole, err := Decode(small)
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(3, 4))
		for range 20 {
			checkPart(t, name, s, whole.Picture, someRect(rng, whole.Width, whole.Height))
		}
	}
}

func someRect(rng *rand.Rand, w, h int) image.Rectangle {
	return image.Rect(rng.IntN(w+8)-4, rng.IntN(h+8)-4, rng.IntN(w+8)-4, rng.IntN(h+8)-4)
}

// checkPart compares each pixel with the whole's.
func checkPart(t *testing.T, name string, s *Source, whole *raster.Picture, r image.Rectangle) {
	t.Helper()
	pic, at, err := s.Part(r)
	if err != nil {
		t.Errorf("%s: %v: %v", name, r, err)
		return
	}
	w, h := pic.Bounds()
	got := image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
	if want := r.Intersect(image.Rect(0, 0, whole.Y.W, whole.Y.H)); !want.In(got) || !got.In(image.Rect(0, 0, whole.Y.W, whole.Y.H)) && !want.Empty() {
		t.Errorf("%s: %v for %v", name, got, want)
		return
	}
	bad := 0
	for y := range h {
		for x := range w {
			if colourAt(pic, x, y) != colourAt(whole, x+at.X, y+at.Y) {
				bad++
			}
		}
	}
	if bad > 0 {
		t.Errorf("%s: %v: %d of %d pixels are others", name, r, bad, w*h)
	}
}

func colourAt(p *raster.Picture, x, y int) (c [3]uint8) {
	c[0] = p.Y.Pix[y*p.Y.W+x]
	if p.Cb != nil {
		i := y/p.ChromaY*p.Cb.W + x/p.ChromaX
		c[1], c[2] = p.Cb.Pix[i], p.Cr.Pix[i]
	}
	return c
}

// FuzzOpen holds for any bytes: no panic, and where the whole can be decoded, a part is of it.
func FuzzOpen(f *testing.F) {
	for _, data := range partSeeds(f) {
		if len(data) < 40_000 {
			f.Add(data, uint64(1))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, seed uint64) {
		// Large pictures are slow, not interesting; photos have tests of their own.
		if cfg, err := jpeg.DecodeConfig(bytes.NewReader(data)); err == nil && cfg.Width*cfg.Height > 1<<18 {
			t.Skip()
		}
		s, err := Open(data)
		if err != nil {
			checkRefusal(t, "open", err, "")
			return
		}
		w, h := s.Bounds()
		r := someRect(rand.New(rand.NewPCG(seed, 1)), w, h)
		whole, err := Decode(data)
		if err != nil {
			_, _, _ = s.Part(r) // it may do: the standard decoder minds what lies outside of the part
			return
		}
		checkPart(t, "fuzzed", s, whole.Picture, r)
	})
}

// One photo of 5 megapixels, and a part of it as a picture in the report needs it.
func BenchmarkOpen(b *testing.B) {
	data := file(b, "photos/dev-13.jpg")
	b.Run("walk", func(b *testing.B) {
		for b.Loop() {
			s, err := Open(data)
			if err != nil || s.index == nil {
				b.Fatal(err)
			}
			if _, ok := s.index.walk(s.index.down); !ok {
				b.Fatal("no walk")
			}
		}
	})
	s, err := Open(data)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("part", func(b *testing.B) {
		for b.Loop() {
			if _, _, err := s.Part(image.Rect(800, 500, 1600, 1040)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("whole", func(b *testing.B) {
		for b.Loop() {
			if _, err := Decode(data); err != nil {
				b.Fatal(err)
			}
		}
	})
}
