package synth

import (
	"math"

	"bucktail/imaging/geom"
)

// Contour is how a head of a workshop scene is seen: its silhouette as closed lines of upright
// pixels, lobes, lean and lens and all, and for driven heads the flat's rim (nil for others).
// What hides it is not looked at.
type Contour struct{ SilhouettePx, FlatPx []geom.PxPoint }

const contourPoints = 128

// Contours gives the contour of each round thing that is a raised head or a hole of [Scene.Rounds],
// by the thing's ID.
func (s *Scene) Contours() map[string]Contour {
	if s.workshop == nil {
		return nil
	}
	w := newWorld(s)
	bodies := map[int]*body{}
	for _, b := range s.workshop.bodies {
		if b.round >= 0 {
			bodies[b.round] = b
		}
	}
	out := map[string]Contour{}
	for i := range s.Fasteners {
		f := &s.Fasteners[i]
		t := &s.workshop.rounds[f.round]
		switch f.Kind {
		case Hole: // the bore begins below its chamfer
			out[t.id] = Contour{SilhouettePx: s.ringPx(f.ring(contourPoints), t.at.z)}
		case Flush:
			out[t.id] = Contour{SilhouettePx: s.ringPx(f.ring(contourPoints), 0)}
		default:
			b := bodies[f.round]
			if b == nil {
				continue
			}
			c := Contour{SilhouettePx: w.silhouetteOf(b, s.project(t.at), s.Camera.PxPerMM(sheetPoint(t.at), 0)*f.MaxDMM)}
			if f.Kind == ShopHead && f.RimRatio > 0 {
				flat := *f
				flat.WidestMM, flat.MaxDMM, flat.MinDMM = f.HeightMM, f.MaxDMM*f.RimRatio, f.MinDMM*f.RimRatio
				c.FlatPx = s.ringPx(flat.ring(contourPoints), 0)
			}
			if c.SilhouettePx != nil {
				out[t.id] = c
			}
		}
	}
	return out
}

func (s *Scene) ringPx(ring []vec, z float64) (px []geom.PxPoint) {
	for _, v := range ring {
		v.z += z
		px = append(px, s.project(v))
	}
	return px
}

// silhouetteOf feels for the border of a body in many directions from a pixel inside it, out to
// reachPx; nil where that pixel does not show it.
func (w *world) silhouetteOf(b *body, from geom.PxPoint, reachPx float64) (px []geom.PxPoint) {
	shows := func(u, v float64) bool {
		x, y := w.ray(u, v)
		d := w.axes[2].at(w.axes[0], x).at(w.axes[1], y)
		_, _, _, ok := b.shape.hit(w.eye, d, 1e-6, math.Inf(1))
		return ok
	}
	if !shows(from.U, from.V) {
		return nil
	}
	for k := range contourPoints {
		sn, cs := math.Sincos(2 * math.Pi * float64(k) / contourPoints)
		in, out := 0.0, reachPx
		for range 16 {
			if mid := (in + out) / 2; shows(from.U+mid*cs, from.V+mid*sn) {
				in = mid
			} else {
				out = mid
			}
		}
		px = append(px, geom.PxPoint{U: from.U + in*cs, V: from.V + in*sn})
	}
	return px
}
