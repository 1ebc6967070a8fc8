package sheetedge

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/border"
	"bucktail/imaging/sheetedge/cover"
	"bucktail/imaging/sheetedge/lines"
	"bucktail/imaging/sheetedge/strip"
)

// Find finds the straight edges of the top sheet within 5 D of the fasteners. Apart it
// gives the lines that are strong enough for an edge but end in the open, as scratches do: they
// may be the joint of two sheets, seen in part. A distance to a farther edge is not proven while
// one of them runs nearer.
//
// Lines are sought in view as line integrals of the signed contrast across them, so a
// faint joint gains by its length, and are then settled on the full picture in linear
// light. Left out are layout lines (they run through a fastener), whatever lies on the
// card or along its border, and lines that are seen over less than 5 mm.
// The result is sorted by strength, greatest first. It needs at least one fastener.
func Find(pic *raster.Picture, cam *geom.Camera, view *rectified.View, opt Options) (edges, unsure []Edge) {
	if len(opt.Fasteners) == 0 && len(opt.Hints) == 0 || opt.NominalDMM <= 0 {
		return nil, nil
	}
	strips := stripMemories.Get().(*[]strip.Strip)
	defer stripMemories.Put(strips)
	*strips = slices.Grow((*strips)[:0], runtime.GOMAXPROCS(0))[:runtime.GOMAXPROCS(0)]
	f := &finder{pic: pic, cam: cam, view: view, opt: opt, cover: cover.New(view, opt.Fasteners, opt.OnCard), strips: *strips}
	f.levels()
	for _, h := range opt.Hints {
		if e, ok := f.tapped(h); ok {
			edges = append(edges, e)
		}
	}
	edges = f.settleAll(asSeeds(lines.Find(view, f.cover, f.reachable)), edges)
	edges = f.settleAll(f.scan(edges), edges)
	f.borders = f.findBorders()
	edges = f.settleAll(asSeeds(f.borders), edges)
	edges, faint := joinEdges(edges)
	edges, faint = f.placeAll(edges, faint)
	f.each(len(edges), func(_ *strip.Strip, i int) { f.warnOfNearer(&edges[i], faint) })
	for _, e := range faint {
		if e.Strength >= minEdgeZ && e.P1.Sub(e.P0).Norm() >= faintLongMM {
			unsure = append(unsure, e)
		}
	}
	return edges, unsure
}

// findBorders gives lines along which the sheet seems to end, by one look at all of it: what the eye
// sees from farther off, and a search along lines does not.
func (f *finder) findBorders() (out []lines.Segment) {
	const reachD = 4 // beyond the fasteners
	if len(f.opt.Fasteners) == 0 {
		return nil
	}
	around := rectified.Box{MinX: math.Inf(1), MinY: math.Inf(1), MaxX: math.Inf(-1), MaxY: math.Inf(-1)}
	reach := reachD * f.opt.NominalDMM
	for _, r := range f.opt.Fasteners {
		c := r.Centre
		around = rectified.Box{MinX: min(around.MinX, c.X-reach), MinY: min(around.MinY, c.Y-reach), MaxX: max(around.MaxX, c.X+reach), MaxY: max(around.MaxY, c.Y+reach)}
	}
	for _, l := range border.Find(f.pic, f.cam, around, f.opt.NominalDMM, f.cover.Hides) {
		if s := (lines.Segment{A: l.A, B: l.B, Z: faintEdgeZ}); f.reachable(s) {
			out = append(out, s)
		}
	}
	return out
}

// borderAlong tells whether the sheet seems to end along e by the look at all of it, too.
func (f *finder) borderAlong(e *Edge) bool {
	const apartMM = 0.7 // a cell of that look
	length := e.P1.Sub(e.P0).Norm()
	for _, b := range f.borders {
		o := Edge{P0: b.A, P1: b.B}
		from, to := e.span(&o)
		d0, _ := e.At(o.P0)
		d1, _ := e.At(o.P1)
		if max(d0, d1) < apartMM && min(to, length)-max(from, 0) > 0.5*min(length, to-from) {
			return true
		}
	}
	return false
}

var stripMemories = sync.Pool{New: func() any { return new([]strip.Strip) }} // kept from one call to the next

// asSeeds gives the lines found as lines to be followed.
func asSeeds(found []lines.Segment) []seed {
	out := make([]seed, len(found))
	for i, s := range found {
		out[i].Segment = s
	}
	return out
}
