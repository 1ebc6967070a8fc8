package feature

import (
	"bucktail/imaging/cores"
	"sync"
)

// each calls do for 0 up to n, the lower ones first, on all cores at once, each with a strip of
// its own. Which core takes which is left to chance, so do may write only what belongs to its i.
func (f *edgeFinder) each(n int, do func(g *strip, i int)) {
	cores.Each(n, len(f.strips), func(worker, i int) { do(&f.strips[worker], i) })
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
func (f *edgeFinder) settleAll(seeds []seed, edges []Edge) []Edge {
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
	f.each(len(seeds), func(g *strip, i int) {
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
	a, _ := e.At(s.a)
	b, _ := e.At(s.b)
	at := s.a.Add(s.b).Scale(0.5).Sub(e.P0).Dot(dir)
	return e.Strength > 12 && max(a, b) < 0.25 && at > 0 && at < e.P1.Sub(e.P0).Norm()
}
