package fastener

import (
	"math"

	"bucktail/imaging/fastener/radial"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
)

const (
	mandrelOff = 0.45 // farther off the head's middle, in its radii, it is no mandrel
	halfStepPx = 1.2  // to either side of a rim: as far as a focused photo blurs it
)

// Mandrel finds the round end of the mandrel in the top of a pulled head, zMM over the
// sheet: its centre dropped onto the sheet, and the standard uncertainty of that by the
// scatter of its rim, mm. ok is false where no round of a mandrel's size shows.
func Mandrel(pic *raster.Picture, cam *geom.Camera, f *Fastener, nominalMM, zMM float64) (c geom.SheetPoint, uMM float64, ok bool) {
	// The mandrel's hole is 0.5 to 0.65 D wide in the tables of ISO 15977 (from memory);
	// the view and the range leave room on both sides.
	minR, maxR := 0.18*nominalMM, 0.40*nominalMM
	// The top lies zMM over the sheet and is seen shifted by z d: look there.
	d := cam.ViewSlope(f.Centre)
	seen := f.Centre.Add(d.Scale(zMM))
	reach := 0.75 * f.RMM // room for the largest mandrel, the most off the middle
	box := rectified.Box{MinX: seen.X - reach, MinY: seen.Y - reach, MaxX: seen.X + reach, MaxY: seen.Y + reach}
	step := max(0.02*nominalMM, 0.7/f.PxPerMM) // some 20 samples across it, no finer than the photo
	v := rectified.NewView(pic, cam, box, step)
	ps := radial.Places(v, minR, maxR, func(p geom.SheetPoint) bool { return p.Sub(seen).Norm() > mandrelOff*f.RMM }, 1)
	if len(ps) == 0 {
		return c, 0, false
	}
	// Rim points: along each of 32 rays the strongest step between the two radii.
	const rays = 32
	level := rectified.LevelFor(pic, f.PxPerMM*step, 1.6) // pixels a sample, as for outlines
	at := func(p geom.SheetPoint) float64 {
		return level.Light(cam.Project(p, 0))
	}
	var pts []fit.Point
	for i := range rays {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / rays)
		n := geom.SheetPoint{X: cs, Y: sn}
		var best, bestR float64
		h := halfStepPx / f.PxPerMM
		for r := minR; r < maxR; r += halfStepPx / 3 / f.PxPerMM {
			g := math.Abs(at(ps[0].At.Add(n.Scale(r+h))) - at(ps[0].At.Add(n.Scale(r-h))))
			if g > best {
				best, bestR = g, r
			}
		}
		pts = append(pts, fit.Point(ps[0].At.Add(n.Scale(bestR))))
	}
	tol := max(0.05*nominalMM, halfStepPx/f.PxPerMM)
	mid, r, found := fit.CircleConsensus(pts, minR, maxR, tol)
	if !found {
		return c, 0, false
	}
	var res []float64
	n := 0
	for _, p := range pts {
		e := math.Hypot(p.X-mid.X, p.Y-mid.Y) - r
		res = append(res, e)
		if math.Abs(e) < tol {
			n++
		}
	}
	if n < rays*6/10 {
		return c, 0, false
	}
	// Of a circle's centre from n points that err alike: var x = 2 σ²/n.
	u := fit.SpreadMAD(res) * math.Sqrt(2/float64(n))
	// The seen centre lies at height z: drop it.
	return geom.SheetPoint(mid).Sub(d.Scale(zMM)), u, true
}
