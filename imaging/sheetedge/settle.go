package sheetedge

import (
	"sync"

	"bucktail/imaging/rectified"
	"bucktail/imaging/sheetedge/lines"
	"bucktail/imaging/sheetedge/strip"
)

// seed is a line to be followed.
type seed struct {
	lines.Segment
	tapped bool // the user pointed at it
}

// settled is what a seed leads to.
type settled struct {
	edge     Edge
	ok, done bool // ok: to an edge; done: it was looked at
}

// settleAll adds to edges what the seeds lead to. A seed that an edge before it explains
// leads to nothing; most are, and are left out.
//
// Seeds are settled side by side, so one may be settled before the edge that explains it, or be
// left out for an edge that is itself explained by one that came later. The seeds are therefore
// gone through once more in their order, which alone decides.
func (f *finder) settleAll(seeds []seed, edges []Edge) []Edge {
	found := make([]settled, len(seeds))
	var lock sync.Mutex
	explained := func(i int) bool {
		lock.Lock()
		defer lock.Unlock()
		for k := range found[:i] {
			if found[k].ok && found[k].edge.explains(seeds[i]) {
				return true
			}
		}
		return explainedBy(edges, seeds[i])
	}
	f.each(len(seeds), func(g *strip.Strip, i int) {
		if explained(i) {
			return
		}
		e, ok := f.settle(g, seeds[i])
		lock.Lock()
		found[i] = settled{e, ok, true}
		lock.Unlock()
	})
	for i, s := range seeds {
		if explainedBy(edges, s) {
			continue
		}
		r := found[i]
		if !r.done {
			r.edge, r.ok = f.settle(&f.strips[0], s)
		}
		if r.ok {
			edges = append(edges, r.edge)
		}
	}
	return edges
}

// explainedBy tells whether one of the edges explains the seed.
func explainedBy(edges []Edge, s seed) bool {
	for i := range edges {
		if edges[i].explains(s) {
			return true
		}
	}
	return false
}

// explains tells whether the seed is a piece of e, which is strong enough to leave it at that.
func (e *Edge) explains(s seed) bool {
	dir, _ := e.axes()
	a, _ := e.At(s.A)
	b, _ := e.At(s.B)
	at := s.A.Add(s.B).Scale(0.5).Sub(e.P0).Dot(dir)
	return e.Strength > plainEdgeZ && max(a, b) < 0.25 && at > 0 && at < e.P1.Sub(e.P0).Norm()
}

// settle follows a seed on the full picture and places it, or refuses it.
func (f *finder) settle(g *strip.Strip, s seed) (Edge, bool) {
	mid, dir := s.A.Add(s.B).Scale(0.5), s.Direction()
	at := f.along(mid, dir)
	half := s.B.Sub(s.A).Norm() / 2
	from, to := f.clip(at)
	// First look: the seed's own stretch and a bit more, over the turns and shifts that a seed
	// may be off by: four pixels of the view, and one in the half of a block of columns.
	f.lay(g, f.middle, at, max(from, -half-3), min(to, half+3))
	l, ok := g.BestLine(0.4, 0.018)
	if !ok {
		return Edge{}, false
	}
	// Second look, along the whole line, in the frame of what was found, over what is left.
	at = at.On(l)
	from, to = f.clip(at)
	f.lay(g, f.middle, at, from, to)
	l, ok = g.BestLine(0.25, 0.006)
	if !ok && s.tapped {
		// Short and faint: alone the stretch that the user pointed at shows it.
		f.lay(g, f.middle, at, max(from, -half-3), min(to, half+3))
		l, ok = g.BestLine(0.25, 0.006)
	}
	if !ok {
		return Edge{}, false
	}
	return f.place(g, l, s)
}

// lay samples a level of the photo into g.
func (f *finder) lay(g *strip.Strip, level rectified.Level, at strip.Frame, from, to float64) {
	g.Lay(level, f.cam, f.cover, at, from, to)
}

// middleOf gives the stretch of the frame's line halfMM to both sides of s = 0, as a line of
// strength z.
func middleOf(f strip.Frame, halfMM, z float64) lines.Segment {
	return lines.Segment{A: f.O.Sub(f.Dir.Scale(halfMM)), B: f.O.Add(f.Dir.Scale(halfMM)), Z: z}
}

// place takes a strip and the line l in it and gives the edge, its place not yet final.
func (f *finder) place(g *strip.Strip, l strip.Line, s seed) (Edge, bool) {
	least := minSupportMM
	if s.tapped {
		least = minTappedMM
	}
	r, ok := g.Follow(&l, least)
	if !ok || (r.Z < faintEdgeZ || r.BesideCard) && !s.tapped {
		return Edge{}, false
	}
	e := Edge{Strength: r.Z, Tapped: s.tapped, ext0MM: r.HiddenMM[0], ext1MM: r.HiddenMM[1], open0: r.Open[0], open1: r.Open[1]}
	f.setEnds(&e, g, &l, r.From, r.To)
	if f.belongsToFastener(&e) && !s.tapped {
		return Edge{}, false
	}
	return e, true
}

const (
	tangentR = 1.3 // a line this near to a fastener, in radii, is nearly its tangent
	shortMM  = 4   // what a layout line may end short of the fastener's middle
)

// belongsToFastener tells whether e is a layout line, which runs through a fastener, or the
// side of a fastener's shadow or mirror image, which starts from it as a tangent.
func (f *finder) belongsToFastener(e *Edge) bool {
	dir, _ := e.axes()
	length := e.P1.Sub(e.P0).Norm()
	for _, r := range f.opt.Fasteners {
		d, _ := e.At(r.Centre)
		s := r.Centre.Sub(e.P0).Dot(dir)
		if d < throughR*r.RadiusMM && s > -shortMM && s < length+shortMM {
			return true
		}
		if d < tangentR*r.RadiusMM {
			near := r.RadiusMM + 2 // where a tangent starts
			if s > -near && s < near && length < 4*near || s < length+near && s > length-near && length < 4*near {
				return true
			}
		}
	}
	return false
}
