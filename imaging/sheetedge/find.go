package sheetedge

import (
	"runtime"
	"slices"
	"sync"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
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

var stripMemories = sync.Pool{New: func() any { return new([]strip.Strip) }} // kept from one call to the next

// asSeeds gives the lines found as lines to be followed.
func asSeeds(found []lines.Segment) []seed {
	out := make([]seed, len(found))
	for i, s := range found {
		out[i].Segment = s
	}
	return out
}
