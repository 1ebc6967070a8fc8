//go:build training

package accuracy

// This file renders the scenes of testdata/accuracy, each with its truth beside it. It is built
// with -tags training only, since it takes a quarter of an hour:
//
//	go test -tags training -run RenderScenes -timeout 2h ./imaging/accuracy

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/synth"
)

// wanted says how many scenes of each kind are measured, near ones and far ones. Scenes are
// taken in the order of their seeds and never by what is read from them. Left to chance half of
// them would show shop heads and an eighth holes, which are too few to say anything about holes.
var wanted = map[synth.Kind]map[bool]int{
	synth.ShopHead:  {near: 9, far: 13},
	synth.Universal: {near: 4, far: 6},
	synth.Pulled:    {near: 3, far: 4},
	synth.Flush:     {near: 2, far: 3},
	synth.Hole:      {near: 6, far: 10},
}

const near, far = true, false

// mostPx keeps the pictures small, px: sixty of them are to lie in the repository.
var mostPx = map[bool]int{near: 1_050_000, far: 800_000}

func TestRenderScenes(t *testing.T) {
	old, err := filepath.Glob(scenesFolder + "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range old {
		if err := os.Remove(f); err != nil {
			t.Fatal(err)
		}
	}
	scenes := chooseScenes()
	if _, err := together(len(scenes), func(i int) (*score, error) { return nil, keep(scenes[i]) }); err != nil {
		t.Fatal(err)
	}
}

// keep renders a scene and writes its photo and its truth.
func keep(s *synth.Scene) error {
	picture, truth := s.Render()
	var photo bytes.Buffer
	if err := s.Encode(&photo, picture); err != nil {
		return err
	}
	name := fmt.Sprint(s.Seed)
	truth.Image = name + ".jpg"
	said, err := json.Marshal(truth)
	if err != nil {
		return err
	}
	if err := os.WriteFile(scenesFolder+truth.Image, photo.Bytes(), 0o644); err != nil {
		return err
	}
	return os.WriteFile(scenesFolder+name+".json", append(said, '\n'), 0o644)
}

// chooseScenes draws the scenes that are measured.
func chooseScenes() (scenes []*synth.Scene) {
	left, open := map[synth.Kind]map[bool]int{}, 0
	for kind, n := range wanted {
		left[kind] = maps.Clone(n)
		open += n[near] + n[far]
	}
	for seed := uint64(firstSeed); open > 0 && seed <= lastSeed; seed++ {
		s := synth.Draw(seed)
		frame(s)
		kind, at := mainKind(s), s.Camera.PxPerMM(s.Fasteners[0].AxisMM, 0) >= nearPxPerMM
		if left[kind][at] > 0 && s.Width*s.Height <= mostPx[at] {
			left[kind][at]--
			open--
			scenes = append(scenes, s)
		}
	}
	return scenes
}

// mainKind is the kind of heads in a scene, or Hole where there is no head.
func mainKind(s *synth.Scene) synth.Kind {
	for _, f := range s.Fasteners {
		if f.Kind != synth.Hole {
			return f.Kind
		}
	}
	return synth.Hole
}

// frame moves the phone over the middle of card and fasteners, without turning it or changing
// its distance, and cuts off what lies beyond them, alike on both sides, as a digital zoom does:
// scale and tilt stay, and the 35 mm equivalent grows.
func frame(s *synth.Scene) {
	const rimPx = 10
	c := &s.Camera
	middle := geom.PxPoint{U: float64(s.Width-1) / 2, V: float64(s.Height-1) / 2}
	for range 3 { // of perspective
		low, high := shown(s)
		d := c.ToSheet(low.Add(high).Scale(0.5), 0).Sub(c.ToSheet(middle, 0))
		for i, r := range c.R {
			c.T[i] -= r[0]*d.X + r[1]*d.Y
		}
		for i := range s.Lights {
			if slices.Contains(s.Conditions, "phone flash near the lens") {
				s.Lights[i].AtMM[0] += d.X
				s.Lights[i].AtMM[1] += d.Y
			}
		}
	}
	low, high := shown(s)
	cut := func(whole int, reach float64) int { return min(whole, 2*(int(reach)+rimPx)) }
	w := cut(s.Width, max(middle.U-low.U, high.U-middle.U))
	h := cut(s.Height, max(middle.V-low.V, high.V-middle.V))
	c.CxPx -= float64(s.Width-w) / 2
	c.CyPx -= float64(s.Height-h) / 2
	zoom := math.Hypot(float64(s.Width), float64(s.Height)) / math.Hypot(float64(w), float64(h))
	s.Focal35MM = int(math.Round(float64(s.Focal35MM) * zoom))
	s.Width, s.Height = w, h
}

// shown gives opposite corners, px, of what a photo of the scene has to hold: the card's rings,
// the fasteners, and the edges of the sheet beside them with some of what lies beyond.
func shown(s *synth.Scene) (low, high geom.PxPoint) {
	const (
		ringMM   = 4 // a ring's radius and some paper
		aroundD  = 2.2
		edgesD   = 4 // farther edges are not looked at
		beyondMM = 4
	)
	low, high = geom.PxPoint{U: math.Inf(1), V: math.Inf(1)}, geom.PxPoint{U: math.Inf(-1), V: math.Inf(-1)}
	hold := func(p geom.SheetPoint, reachMM float64) {
		for k := range 8 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 4)
			q := s.Project(p.Add(geom.SheetPoint{X: reachMM * cos, Y: reachMM * sin}), 0)
			low = geom.PxPoint{U: min(low.U, q.U), V: min(low.V, q.V)}
			high = geom.PxPoint{U: max(high.U, q.U), V: max(high.V, q.V)}
		}
	}
	for _, t := range s.Card.Layout.Targets {
		hold(s.Card.ToSheet(t.At), ringMM)
	}
	for _, f := range s.Fasteners {
		hold(f.AxisMM, aroundD*f.NominalMM)
		for i, p := range s.Sheet.PolygonMM {
			a, b := sheet(p), sheet(s.Sheet.PolygonMM[(i+1)%len(s.Sheet.PolygonMM)])
			side := b.Sub(a)
			k := f.AxisMM.Sub(a).Dot(side) / side.Dot(side)
			foot := a.Add(side.Scale(k))
			if k > 0 && k < 1 && f.AxisMM.Sub(foot).Norm() < edgesD*f.NominalMM {
				hold(foot, beyondMM)
			}
		}
	}
	return low, high
}
