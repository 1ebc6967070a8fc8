//go:build !js

package accuracy

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"bucktail/imaging/synth"
)

// firstSeed and lastSeed bound the seeds of the scenes in testdata/accuracy. They are set aside:
// no training run may draw a scene from them, and no choice between ways to measure is made by them.
const (
	firstSeed = 991_000
	lastSeed  = 999_999
)

// nearPxPerMM is about what README.md asks of a photo: 15 pixels a millimetre.
const nearPxPerMM = 13

// measured is what the program made of all photos, measured once for all tests.
type measured struct {
	rendered *score // scenes that nothing was trained on
	near     *score // those of them that are near
	bundled  *score // photos of another renderer that nothing was trained on
	inSample *score // photos of another renderer that the networks were trained on
}

const (
	scenesFolder  = "../../testdata/accuracy/"
	bundledFolder = "../../testdata/photos/"
)

// The bundled photos, by whether a network saw them in training (testdata/training/README.md).
var (
	bundledFresh = []string{"dev-08", "dev-16"}
	bundledSeen  = []string{"dev-03", "dev-13"}
)

var measureAll = sync.OnceValues(func() (*measured, error) {
	names, err := sceneNames(testing.Short())
	if err != nil {
		return nil, err
	}
	scenes, err := measureFiles(scenesFolder, names)
	if err != nil {
		return nil, err
	}
	fresh, err := measureFiles(bundledFolder, bundledFresh)
	if err != nil {
		return nil, err
	}
	seen, err := measureFiles(bundledFolder, bundledSeen)
	if err != nil {
		return nil, err
	}
	near := slices.DeleteFunc(slices.Clone(scenes), func(s *score) bool { return s.pxPerMM[0] < nearPxPerMM })
	return &measured{rendered: sum(scenes), near: sum(near), bundled: sum(fresh), inSample: sum(seen)}, nil
})

// sceneNames lists the rendered scenes, or every tenth of them.
func sceneNames(short bool) (names []string, err error) {
	files, err := filepath.Glob(scenesFolder + "*.json")
	for i, f := range files {
		if !short || i%10 == 0 {
			names = append(names, strings.TrimSuffix(filepath.Base(f), ".json"))
		}
	}
	return names, err
}

// measureFiles scores photos whose truth lies beside them.
func measureFiles(folder string, names []string) ([]*score, error) {
	return together(len(names), func(i int) (*score, error) {
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
	t.Logf("in the form of bounds_test.go:\nrendered\n%sbundled\n%s", m.rendered.asBounds(), m.bundled.asBounds())
	if testing.Short() {
		renderedToday.holdFew(t, m.rendered)
		return
	}
	renderedToday.hold(t, "rendered", m.rendered)
	bundledToday.hold(t, "bundled", m.bundled)
}

// The scenes show all that the renderer knows, and enough of each to say something.
func TestScenesShowEverything(t *testing.T) {
	names, err := sceneNames(false)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	heads, holes := 0, 0
	for _, name := range names {
		if seed, err := strconv.Atoi(name); err != nil || seed < firstSeed || seed > lastSeed {
			t.Errorf("%q is no seed that is set aside", name)
		}
		s, err := readTruth(scenesFolder + name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range s.Conditions {
			seen[c] = true
		}
		seen[s.Card.Layout] = true
		for _, f := range s.Fasteners {
			seen[string(f.Type)], seen["size "+f.Dash], seen["finish "+string(f.Finish)] = true, true, true
			if f.Type == synth.Hole {
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
		"oval head", "tilted head", "off-centre head", "elongated hole", "burred hole", "strong tilt", "2x crop", "motion blur",
		"shallow depth of field", "underexposed", "swarf", "EXIF orientation 6", "EXIF orientation 8"} {
		if !seen[want] {
			t.Errorf("no scene shows %q", want)
		}
	}
	if len(names) < 60 || heads < 100 || holes < 40 {
		t.Errorf("%d scenes with %d heads and %d holes: too few", len(names), heads, holes)
	}
}

func write(file, text string) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return err
	}
	return os.WriteFile(file, []byte(strings.TrimSpace(text)+"\n"), 0o644)
}
