package plane

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// RingFit is a ring printed beside the card, level with its face.
type RingFit struct {
	Centre           geom.SheetPoint
	OuterMM, InnerMM float64    // radii of both borders of its line
	UMM              [2]float64 // their standard uncertainties by what is seen of them, without the map's
}

// leastInk is how much of the card's contrast a ring beside it has at least: light falls off over a photo.
const leastInk = 0.5

// Ring measures a ring that is printed beside the card and lies level with the card's face, about at
// with about these radii; false where its borders do not show all round.
func (pl *Plane) Ring(pic *raster.Picture, at geom.SheetPoint, outerMM, innerMM float64) (RingFit, bool) {
	out := RingFit{Centre: at, OuterMM: outerMM, InnerMM: innerMM}
	pr := profiler{g: pic.Y}
	for range 4 { // from about half a pixel off; the later rounds change nothing
		var fits [2]fit.CircleFit
		half := 0.45 * (out.OuterMM - out.InnerMM)
		for i, r := range []float64{out.OuterMM, out.InnerMM} {
			pts, contrasts, of := pl.border(&pr, out.Centre, r, half, float64(1-2*i))
			// Heads and holes have darker rims, too; ink on paper is as dark as the card's.
			if 4*len(pts) < 3*of || fit.Median(contrasts) < leastInk*(pl.PaperBright-pl.InkDark) {
				return out, false
			}
			c, err := fit.CircleGeometric(pts, fit.Huber(2))
			if err != nil {
				return out, false
			}
			fits[i] = c
			out.UMM[i] = c.RMS / math.Sqrt(ringFreedom)
		}
		o, in := &fits[0], &fits[1]
		out.Centre = geom.SheetPoint{X: (o.X + in.X) / 2, Y: (o.Y + in.Y) / 2}
		out.OuterMM, out.InnerMM = o.R, in.R
		if out.OuterMM <= out.InnerMM || math.Hypot(o.X-in.X, o.Y-in.Y) > half {
			return out, false
		}
	}
	return out, true
}

// border finds the edge points of a circle of radius r about c, within halfMM of it, on the sheet at the
// height of the card's face, with the steps of linear light there, and tells how many it looked for. It is brighter outward for rising = 1.
func (pl *Plane) border(pr *profiler, c geom.SheetPoint, r, halfMM, rising float64) (pts []fit.Point, contrasts []float64, of int) {
	z := pl.Options.ThicknessMM
	scale := pl.Camera.PxPerMM(c, z)
	of = min(max(int(2*math.Pi*r*scale/pointEveryPx), minPoints), maxPoints)
	for k := range of {
		sn, cs := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(of))
		seen := func(r, along float64) geom.PxPoint {
			return pl.Camera.Project(geom.SheetPoint{X: c.X + r*cs - along*sn, Y: c.Y + r*sn + along*cs}, z)
		}
		const d = 0.05 // mm: straight enough for a direction
		p, tangent, ray := seen(r, 0), seen(r, d).Sub(seen(r, -d)), seen(r+d, 0).Sub(seen(r-d, 0))
		l := tangent.Norm()
		n := geom.PxPoint{U: tangent.V / l, V: -tangent.U / l}
		perMM := (n.U*ray.U + n.V*ray.V) / (2 * d)
		if perMM < 0 {
			n, perMM = n.Scale(-1), -perMM
		}
		e, ok := pr.edge(p.U, p.V, n.U, n.V, math.Min(halfMM*perMM, laterHalfPx), rising)
		if !ok {
			continue
		}
		q := pl.Camera.ToSheet(p.Add(n.Scale(e.offset)), z)
		pts, contrasts = append(pts, fit.Point{X: q.X, Y: q.Y}), append(contrasts, e.bright-e.dark)
	}
	return pts, contrasts, of
}
