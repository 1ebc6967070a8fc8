package together

import (
	"math"
	"strings"
	"testing"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

// A camera over one frame, taken to another, sees the same points at the same pixels.
func TestMotionTakesTheCameraAlong(t *testing.T) {
	m := turned(0.4, geom.SheetPoint{X: 12, Y: -7})
	cam := geom.Camera{FocalPx: 2900, CxPx: 2000, CyPx: 1500, K1: 0.01, R: [3][3]float64{{1, 0, 0}, {0, -0.96, 0.28}, {0, -0.28, -0.96}}, T: [3]float64{3, -5, 140}}
	over := m.camera(&cam)
	for _, p := range []geom.SheetPoint{{}, {X: 20, Y: 5}, {X: -8, Y: 30}} {
		a, b := over.Project(p, 1.5), cam.Project(m.to(p), 1.5)
		if a.Sub(b).Norm() > 1e-6 {
			t.Errorf("%v is seen at %v, and at %v by the moved camera", p, b, a)
		}
		if back := m.inverse().to(m.to(p)); back.Sub(p).Norm() > 1e-9 {
			t.Errorf("%v comes back as %v", p, back)
		}
	}
}

// above is a photo of fasteners at places, taken from above by a camera whose foot is at (0, 0).
func above(at []geom.SheetPoint, slopeX float64) *Photo {
	const f, height = 2000, 150.0
	// Tilted about the sheet's y so that the view slope at the origin is -slopeX.
	n := math.Hypot(1, slopeX)
	s, c := slopeX/n, 1/n
	cam := geom.Camera{FocalPx: f, CxPx: 2000, CyPx: 1500, R: [3][3]float64{{c, 0, -s}, {0, -1, 0}, {-s, 0, -c}}, T: [3]float64{0, 0, height * n}}
	p := &Photo{Result: &measure.Result{Width: 4000, Height: 3000, Scale: &measure.Scale{From: "card", Camera: cam, MMPerPx: height / f}}, motion: still}
	for _, q := range at {
		p.fs = append(p.fs, fastener.Fastener{Outline: outline.Outline{Centre: q, RMM: 3}, Probability: 1})
	}
	return p
}

// Where the card lies in another photo is found by the pattern, and where the pattern allows two
// answers none is given.
func TestCardIsFoundByThePattern(t *testing.T) {
	corner := []geom.SheetPoint{{X: 0, Y: 0}, {X: 14, Y: 0.3}, {X: 29, Y: -0.2}, {X: 0.2, Y: 15}}
	row := []geom.SheetPoint{{X: -22}, {X: -7}, {X: 8}, {X: 23}}
	pair := row[1:3]
	for name, c := range map[string]struct {
		at        []geom.SheetPoint
		m         motion
		moved, ok bool
	}{
		"the card lay still":                    {corner, still, false, true},
		"a row, the card lay still":             {row, still, false, true},
		"one alone, the card lay still":         {row[:1], still, false, true},
		"moved and turned":                      {corner, turned(0.7, geom.SheetPoint{X: 18, Y: -9}), true, true},
		"pushed a little":                       {corner, turned(0.002, geom.SheetPoint{X: 0.45, Y: 0.3}), true, true},
		"a row is alike from both ends":         {row, turned(0.5, geom.SheetPoint{X: 9, Y: 30}), false, false},
		"moved along a row by its pitch":        {corner[:3], turned(0, geom.SheetPoint{X: 14.5}), true, true},
		"two alone, moved: which is which":      {pair, turned(0.5, geom.SheetPoint{X: 30, Y: 9}), false, false},
		"one alone, moved: nothing to match by": {row[:1], turned(0, geom.SheetPoint{X: 20}), false, false},
		// One photo lacks one of them, the other another.
		"a row of two, one of them found twice, the card lay still":       {row[:2], still, false, true},
		"a row of four, two found twice: it lay still or went by a pitch": {row, still, false, false},
	} {
		moved := make([]geom.SheetPoint, len(c.at))
		for i, p := range c.at {
			moved[i] = c.m.to(p)
		}
		kind := qc.ShopHead
		r := newRegistration(above(c.at, 0), above(moved, 0.2), &kind, 4.8)
		line := func(from, to float64) sheetedge.Edge {
			return sheetedge.Edge{P0: geom.SheetPoint{X: from, Y: 17}, P1: geom.SheetPoint{X: to, Y: 17}}
		}
		switch {
		case strings.HasPrefix(name, "a row of two"):
			r.bs = r.bs[1:]
			r.aEdge, r.bEdge = []sheetedge.Edge{line(-18, 10), line(-17, 12), line(-40, -25)}, []sheetedge.Edge{line(-18, 24)}
		case strings.HasPrefix(name, "a row of four"):
			r.as, r.bs = r.as[:3], r.bs[1:]
			r.aEdge, r.bEdge = []sheetedge.Edge{line(-40, 40)}, []sheetedge.Edge{line(-40, 40)}
		}
		m, was, ok := r.find()
		if ok != c.ok || ok && was != c.moved {
			t.Errorf("%s: found %v, moved %v; want %v, %v", name, ok, was, c.ok, c.moved)
			continue
		}
		for _, p := range c.at {
			if e := m.to(p).Sub(c.m.to(p)).Norm(); ok && e > 0.02 {
				t.Errorf("%s: %v is off by %.3f mm", name, p, e)
			}
		}
	}
}

// Heads that are all higher than was assumed look shifted between two photos, which is no pushed
// card.
func TestHighHeadsAreNoPushedCard(t *testing.T) {
	at := []geom.SheetPoint{{X: 0, Y: 0}, {X: 14, Y: 0.3}, {X: 29, Y: -0.2}, {X: 0.2, Y: 15}}
	const slope, higher = 0.35, 0.25
	shifted := make([]geom.SheetPoint, len(at))
	for i, p := range at {
		shifted[i] = p.Add(geom.SheetPoint{X: -slope * higher})
	}
	kind := qc.ShopHead
	if _, moved, ok := newRegistration(above(at, 0), above(shifted, slope), &kind, 4.8).find(); moved || !ok {
		t.Errorf("moved %v, found %v", moved, ok)
	}
	across := make([]geom.SheetPoint, len(at))
	for i, p := range at {
		across[i] = p.Add(geom.SheetPoint{Y: 6 * slope * higher})
	}
	if _, moved, ok := newRegistration(above(at, 0), above(across, slope), &kind, 4.8).find(); !moved || !ok {
		t.Errorf("pushed across the line of sight: moved %v, found %v", moved, ok)
	}
}
