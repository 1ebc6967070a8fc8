//go:build !js

package accuracy

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
)

// measured is what the program made of all photos, measured once for all tests.
type measured struct {
	rendered *score // scenes that nothing was trained on
	near     *score // those of them that are near
	bundled  *score // photos of another renderer that nothing was trained on
	inSample *score // photos of another renderer that the networks were trained on
}

// The bundled photos, by whether a network saw them in training (testdata/training/README.md).
var (
	bundledFresh = []string{"dev-08", "dev-16"}
	bundledSeen  = []string{"dev-03", "dev-13"}
)

var measureAll = sync.OnceValues(func() (*measured, error) {
	cache, err := openCache()
	if err != nil {
		return nil, err
	}
	var m measured
	scenes := drawScenes(testing.Short())
	scores, err := together(len(scenes), func(i int) (*score, error) {
		t, err := truthOf(scenes[i])
		if err != nil {
			return nil, err
		}
		photo, err := photoOf(scenes[i], cache)
		if err != nil {
			return nil, err
		}
		return measurePhoto(fmt.Sprintf("scene %d", scenes[i].Seed), photo, t)
	})
	if err != nil {
		return nil, err
	}
	m.rendered, m.near = newScore(), newScore()
	for i, s := range scores {
		m.rendered.add(s)
		if isNear(scenes[i]) {
			m.near.add(s)
		}
	}
	if m.bundled, err = measureBundled(bundledFresh); err != nil {
		return nil, err
	}
	m.inSample, err = measureBundled(bundledSeen)
	return &m, err
})

func measureBundled(names []string) (*score, error) {
	const folder = "../../testdata/photos/"
	scores, err := together(len(names), func(i int) (*score, error) {
		t, err := readTruth(folder + names[i] + ".json")
		if err != nil {
			return nil, err
		}
		photo, err := os.ReadFile(folder + names[i] + ".jpg")
		if err != nil {
			return nil, err
		}
		return measurePhoto(names[i], photo, t)
	})
	if err != nil {
		return nil, err
	}
	sum := newScore()
	for _, s := range scores {
		sum.add(s)
	}
	return sum, nil
}

// together scores n photos on all cores.
func together(n int, one func(i int) (*score, error)) ([]*score, error) {
	scores, errs := make([]*score, n), make([]error, n)
	next := make(chan int)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				scores[i], errs[i] = one(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	return scores, errors.Join(errs...)
}

// The program measures as well as it did when the bounds were set, is as sure of it as it may
// be, and judges nothing against the truth.
func TestAccuracy(t *testing.T) {
	m, err := measureAll()
	if err != nil {
		t.Fatal(err)
	}
	report := m.report()
	t.Log("\n" + report)
	if err := write("../../build/accuracy.md", report); err != nil {
		t.Error(err)
	}
	if testing.Short() {
		renderedToday.holdFew(t, m.rendered)
		return
	}
	renderedToday.hold(t, "rendered", m.rendered)
	bundledToday.hold(t, "bundled", m.bundled)
}

// The scenes show all that the renderer knows, and enough of each to say something.
func TestScenesShowEverything(t *testing.T) {
	if testing.Short() {
		t.Skip("a tenth of the scenes can't show everything")
	}
	scenes := drawScenes(false)
	seen := map[string]bool{}
	heads, holes := 0, 0
	for _, s := range scenes {
		for _, c := range s.Conditions {
			seen[c] = true
		}
		seen[string(s.Card.Layout.Name)] = true
		for _, f := range s.Fasteners {
			seen[string(f.Kind)], seen["size "+f.Dash], seen["finish "+string(f.Finish)] = true, true, true
			if f.Finish == "" {
				holes++
			} else {
				heads++
			}
		}
	}
	for _, want := range []string{"solid-shop", "solid-universal", "blind-dome", "flush", "hole", "size 3", "size 4", "size 5", "size 6",
		"corner", "strip", "window", "bare brushed aluminium", "mirror-like alclad", "green primer", "grey primer",
		"finish bare", "finish alodine", "finish green", "finish grey",
		"soft window light", "mixed colour temperature", "overhead strip lamps", "phone flash near the lens", "raking work lamp",
		"gusset on a wide sheet", "gusset on a square tube", "sheet edge over a bench", "angle bracket with a standing leg",
		"oval head", "off-centre head", "elongated hole", "burred hole", "strong tilt", "2x crop", "motion blur",
		"shallow depth of field", "underexposed", "swarf", "EXIF orientation 6", "EXIF orientation 8"} {
		if !seen[want] {
			t.Errorf("no scene shows %q", want)
		}
	}
	if len(scenes) < 60 || heads < 100 || holes < 40 {
		t.Errorf("%d scenes with %d heads and %d holes: too few", len(scenes), heads, holes)
	}
	for _, s := range scenes {
		if s.Seed < firstSeed || s.Seed > lastSeed {
			t.Errorf("seed %d is not set aside", s.Seed)
		}
	}
}

func write(file, text string) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	return os.WriteFile(file, []byte(strings.TrimSpace(text)+"\n"), 0o644)
}
