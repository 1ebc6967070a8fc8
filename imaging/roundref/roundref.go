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
	clearPx    = 4.0           // by which two outlines differ, and two fits to one do not
)

// Find finds the outline of the round thing that covers atPx: the outermost closed
// ellipse about it along which the picture changes, as an ellipse in pixels. ok is false
// where no such outline stands out over at least 60 % of the way round.
func Find(pic *raster.Picture, atPx geom.PxPoint) (e fit.EllipseFit, ok bool) {
	w, h := pic.Bounds()
	limit := mostHalf * float64(min(w, h))
	centre := atPx
	// Two rounds: the first from the tap, the second from the ellipse's own middle.
	for range 2 {
		ok = false
		for r0 := leastPx; r0 < limit; r0 *= nextRadius {
			g, found := closed(strongestSteps(pic, centre, r0*fromR, r0*toR), r0)
			// The outermost is the rim, however clear a ring or a hole inside it is; of two fits
			// to one outline the better supported counts.
			if found && (!ok || g.A() > e.A()+clearPx || g.A() > e.A()-clearPx && g.N > e.N) {
				e, ok = g, true
			}
		}
		if !ok {
			return e, false
		}
		centre = geom.PxPoint{U: e.X, V: e.Y}
	}
	return e, math.Hypot(atPx.U-e.X, atPx.V-e.Y) <= e.A()
}

// closed fits an ellipse of about the radius r0, px, to steps of light; ok is false where they
// do not lie on one most of the way round.
func closed(steps []fit.Point, r0 float64) (e fit.EllipseFit, ok bool) {
	if len(steps) < leastShown {
		return e, false
	}
	c, r, found := fit.CircleConsensus(steps, r0*0.7, r0*1.5, circleTol*r0)
	if !found {
		return e, false
	}
	var near []fit.Point
	for _, p := range steps {
		if math.Abs(math.Hypot(p.X-c.X, p.Y-c.Y)-r) < ovalRoom*r {
			near = append(near, p)
		}
	}
	if len(near) < rays/2 {
		return e, false
	}
	start, err := fit.EllipseDirect(near)
	if err != nil {
		return e, false
	}
	e, err = fit.EllipseGeometric(near, start, fit.GemanMcClure(2))
	return e, err == nil && e.N >= leastShown && e.B() >= leastRatio*e.A() && e.RMS <= mostRMS*e.A()+1
}

// strongestSteps gives, for each ray from c, the place of the strongest step of light
// between two radii, px, where it stands out.
func strongestSteps(pic *raster.Picture, c geom.PxPoint, from, to float64) []fit.Point {
	type hit struct{ g, r float64 }
	hits := make([]hit, rays)
	var all []float64
	for i := range rays {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / rays)
		at := func(r float64) float64 { return pic.Y.SampleLinear(c.U+r*cs, c.V+r*sn) }
		for r := from; r <= to; r += 0.5 {
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
	least := max(0.3*fit.Median(all), 0.004)
	var pts []fit.Point
	for i, h := range hits {
		if h.g > least {
			sn, cs := math.Sincos(2 * math.Pi * float64(i) / rays)
			pts = append(pts, fit.Point{X: c.U + h.r*cs, Y: c.V + h.r*sn})
		}
	}
	return pts
}
