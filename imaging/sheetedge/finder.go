package sheetedge

import (
	"math"

	"bucktail/imaging/cores"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/cover"
	"bucktail/imaging/sheetedge/lines"
	"bucktail/imaging/sheetedge/strip"
)

// Options says what is known when edges are looked for.
type Options struct {
	Fasteners  []geom.SheetCircle                             // already found: the outlines on the sheet
	NominalDMM float64                                        // the fastener's nominal diameter; edges within 5 of it are looked for
	OnCard     func(p geom.SheetPoint, marginMM float64) bool // on the printed card or within the margin of it, at least that deep inside if it is negative; nil: no card
	Hints      []geom.SheetPoint                              // points that the user tapped on an edge
}

// reachD is how far from a fastener, in nominal diameters, edges are looked for: limits on
// edge distance end well below it (2 D to 4 D, see qc).
const reachD = 5

// reachAlongMM is how far along a line, from its middle to either side, it is followed.
const reachAlongMM = 120

// finder holds what all steps of Find share.
type finder struct {
	pic *raster.Picture
	// The photo at full size, which places edges, and averaged down for following and for
	// telling lines apart.
	full, middle, coarse rectified.Level
	cam                  *geom.Camera
	view                 *rectified.View
	opt                  Options
	cover                *cover.Cover
	borders              []lines.Segment // along which the sheet seems to end
	strips               []strip.Strip   // one for each core
}

// levels averages the photo down: lines are told apart at coarsePxPerMM at most, and followed
// at middlePxPerMM.
func (f *finder) levels() {
	// Chosen for speed; TestEdgesOfRenderedPhotos holds that finer ones are not needed.
	const middlePxPerMM, coarsePxPerMM = 18, 14
	at := f.cam.PxPerMM(f.view.Sheet(float64(f.view.W)/2, float64(f.view.H)/2), 0)
	f.full = rectified.LevelOf(f.pic, 0)
	f.middle, f.coarse = f.full, f.full
	for halved := 1; at*f.coarse.Scale > coarsePxPerMM; halved++ {
		fine := at*f.coarse.Scale > middlePxPerMM
		f.coarse = rectified.LevelOf(f.pic, halved)
		if fine {
			f.middle = f.coarse
		}
	}
}

// each calls do for 0 up to n, the lower ones first, on all cores at once, each with a strip of
// its own. Which core takes which is left to chance, so do may write only what belongs to its i.
func (f *finder) each(n int, do func(g *strip.Strip, i int)) {
	cores.Each(n, len(f.strips), func(worker, i int) { do(&f.strips[worker], i) })
}

// along gives the frame along the line through mid, its n growing away from the fasteners.
func (f *finder) along(mid, dir geom.SheetPoint) strip.Frame {
	return strip.Frame{O: mid, Dir: dir, Out: f.outward(mid, dir)}
}

// outward gives the unit normal of the line that points away from the nearest fastener.
func (f *finder) outward(mid, dir geom.SheetPoint) geom.SheetPoint {
	n := geom.SheetPoint{X: -dir.Y, Y: dir.X}
	best, side := math.Inf(1), 0.0
	for _, r := range f.opt.Fasteners {
		q := r.Centre.Sub(mid)
		// Far along the line counts for less than across it: nothing within 8 mm, half a usual
		// pitch, and half beyond.
		d := math.Hypot(q.Dot(n), 0.5*max(0, math.Abs(q.Dot(dir))-8))
		if d < best {
			best, side = d, q.Dot(n)
		}
	}
	if side > 0 {
		return n.Scale(-1)
	}
	return n
}

// clip gives the stretch of the frame's line that lies in the view.
func (f *finder) clip(at strip.Frame) (from, to float64) {
	v, mid, dir := f.view, at.O, at.Dir
	x1, y1 := v.X0+float64(v.W-1)*v.StepMM, v.Y0+float64(v.H-1)*v.StepMM
	from, to = -reachAlongMM, reachAlongMM
	cut := func(p, d, lo, hi float64) {
		if math.Abs(d) < 1e-9 {
			return
		}
		a, b := (lo-p)/d, (hi-p)/d
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	cut(mid.X, dir.X, v.X0, x1)
	cut(mid.Y, dir.Y, v.Y0, y1)
	return from, to
}

// layoutReachMM is how far along a line a fastener makes it a layout line, which joins fasteners
// a pitch or two apart.
const layoutReachMM = 20

// reachable tells whether some fastener could have its edge distance to the line, and none
// stands on it.
func (f *finder) reachable(s lines.Segment) bool {
	ok := len(f.opt.Fasteners) == 0
	mid := s.A.Add(s.B).Scale(0.5)
	for _, r := range f.opt.Fasteners {
		d := s.Distance(r.Centre)
		if d < throughR*r.RadiusMM && mid.Sub(r.Centre).Norm() < layoutReachMM {
			return false
		}
		ok = ok || d > 0.9*r.RadiusMM && d < reachD*f.opt.NominalDMM+0.5 // room for what the line still moves by
	}
	return ok
}
