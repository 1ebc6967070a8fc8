// Package roundref finds the rim of a round thing that a person pointed at, such as a coin of
// known diameter that gives the scale. It works in pixels of the photo: there is no camera
// over the sheet yet. Start with [Find].
package roundref

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// What is looked for. Set on the coins of testdata/boards, see TestCoinsByEachOther.
const (
	rays       = 96            // directions in which the rim is looked for
	leastPx    = 14.0          // radius of the smallest outline
	mostHalf   = 0.45          // radius of the largest, of the picture's shorter side
	nextRadius = 1.25          // from one radius that is tried to the next
	fromR, toR = 0.75, 1.35    // of it, between which the strongest step is taken
	leastShown = rays * 6 / 10 // of them that have to show it
	circleTol  = 0.06          // of the radius: within this a point agrees with a circle
	ovalRoom   = 0.18          // of the radius: what an ellipse seen at 35° leaves the circle by
	leastRatio = 0.6           // of the half axes: seen at 53°, beyond what is measured
	mostRMS    = 0.02          // of the long half axis, and a pixel
	asGoodN    = 3             // points that two equally good outlines may differ by
)

// Find finds the outline of the round thing that covers atPx: the outermost closed
// ellipse about it along which the picture changes, as an ellipse in pixels. ok is false
// where no such outline stands out over at least 60 % of the way round.
func Find(pic *raster.Picture, atPx geom.PxPoint) (e fit.EllipseFit, ok bool) {
	w, h := pic.Bounds()
	limit := mostHalf * float64(min(w, h))
	centre := atPx
	// Two rounds: the first from the tap, the second from the ellipse's own middle.
	var best fit.EllipseFit
	for range 2 {
		var scores []fit.EllipseFit
		for r0 := leastPx; r0 < limit; r0 *= nextRadius {
			pts := strongestSteps(pic, centre, r0*fromR, r0*toR)
			if len(pts) < leastShown {
				continue
			}
			c, r, found := fit.CircleConsensus(pts, r0*0.7, r0*1.5, circleTol*r0)
			if !found {
				continue
			}
			var q []fit.Point
			for _, p := range pts {
				if math.Abs(math.Hypot(p.X-c.X, p.Y-c.Y)-r) < ovalRoom*r {
					q = append(q, p)
				}
			}
			if len(q) < rays/2 {
				continue
			}
			start, err := fit.EllipseDirect(q)
			if err != nil {
				continue
			}
			g, err := fit.EllipseGeometric(q, start, fit.GemanMcClure(2))
			if err != nil || g.N < leastShown || g.B() < leastRatio*g.A() || g.RMS > mostRMS*g.A()+1 {
				continue
			}
			scores = append(scores, g)
		}
		if len(scores) == 0 {
			return best, false
		}
		// The best supported; of equals the outermost, which is the rim and not a ring inside.
		best = scores[0]
		for _, s := range scores[1:] {
			if s.N >= best.N-asGoodN {
				best = s
			}
		}
		centre = geom.PxPoint{U: best.X, V: best.Y}
	}
	if math.Hypot(atPx.U-best.X, atPx.V-best.Y) > best.A() {
		return best, false
	}
	return best, true
}

// strongestSteps gives, for each ray from c, the place of the strongest step of light
// between two radii, px, where it stands out.
func strongestSteps(pic *raster.Picture, c geom.PxPoint, r0, r1 float64) []fit.Point {
	type hit struct{ g, r float64 }
	hits := make([]hit, rays)
	var all []float64
	for i := range rays {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / rays)
		at := func(r float64) float64 { return pic.Y.SampleLinear(c.U+r*cs, c.V+r*sn) }
		for r := r0; r <= r1; r += 0.5 {
			if !pic.Inside(c.U+(r+2)*cs, c.V+(r+2)*sn, 1) {
				break
			}
			g := math.Abs(at(r+1.5) - at(r-1.5))
			if g > hits[i].g {
				hits[i] = hit{g, r}
			}
		}
		all = append(all, hits[i].g)
	}
	// Less than three tenths of the usual step is no rim, nor is 0.004 of full light, which
	// is one level of a middle grey.
	least := 0.3 * fit.Median(all)
	var pts []fit.Point
	for i, h := range hits {
		if h.g > max(least, 0.004) {
			sn, cs := math.Sincos(2 * math.Pi * float64(i) / rays)
			pts = append(pts, fit.Point{X: c.U + h.r*cs, Y: c.V + h.r*sn})
		}
	}
	return pts
}
