//go:build !js

package accuracy

import (
	"maps"
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/synth"
)

// firstSeed and lastSeed bound the seeds that are set aside for this package: no
// training run may draw a scene from them (testdata/training/README.md).
const (
	firstSeed = 990_000
	lastSeed  = 999_999
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

const (
	near, far = true, false
	// nearPxPerMM is about what the README asks of a photo: 15 pixels a millimetre.
	nearPxPerMM = 13
	// mostPx leaves out scenes that take long to render: near ones that show much.
	mostPx = 1_400_000
)

// pathsEach is how many light paths a pixel gets: a plain one, one near a fastener, one on an
// outline. Whole photos get {2, 12, 32}; these pictures are grainier, on bare metal above all,
// and took a third less time. A near one has more pixels for each millimetre to even it out.
var pathsEach = map[bool]synth.Effort{near: {Base: 2, Near: 4, Edge: 10}, far: {Base: 2, Near: 6, Edge: 16}}

// drawScenes gives the scenes that are measured, or every tenth of them.
func drawScenes(short bool) (scenes []*synth.Scene) {
	left, open := map[synth.Kind]map[bool]int{}, 0
	for kind, n := range wanted {
		left[kind] = maps.Clone(n)
		open += n[near] + n[far]
	}
	for seed, taken := uint64(firstSeed), 0; open > 0; seed++ {
		s := synth.Draw(seed)
		frame(s)
		kind, at := mainKind(s), isNear(s)
		if left[kind][at] == 0 || s.Width*s.Height > mostPx {
			continue
		}
		left[kind][at]--
		open--
		if taken++; !short || taken%10 == 1 {
			s.Effort = pathsEach[at]
			scenes = append(scenes, s)
		}
	}
	return scenes
}

// isNear tells whether a scene is seen from near or from far.
func isNear(s *synth.Scene) bool {
	return s.Camera.PxPerMM(s.Fasteners[0].AxisMM, 0) >= nearPxPerMM
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
