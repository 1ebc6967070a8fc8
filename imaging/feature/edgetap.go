package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// A tap lands within about this of what was meant, mm on the sheet.
const tapReachMM = 1.5

// tapped finds the line that the user pointed at: the strongest within reach of p among
// lines of all directions. It is taken even if it is too faint or too short to be found alone,
// or lies where edges are not looked for.
func (f *edgeFinder) tapped(p geom.SheetPoint) (Edge, bool) {
	const (
		turns  = 90 // 2°: half of it is covered by search's own turns
		halfMM = 4
	)
	found := make([]seed, turns)
	f.each(turns, func(g *strip, t int) {
		sin, cos := math.Sincos(math.Pi * float64(t) / turns)
		dir := geom.SheetPoint{X: cos, Y: sin}
		at := stripFrame{p, dir, f.outward(p, dir)}
		from, to := f.clip(at)
		f.lay(g, f.full, at, max(from, -halfMM), min(to, halfMM))
		if g.chunks < 3 {
			return
		}
		if l, ok := g.bestLine(tapReachMM-0.4, 0.018); ok {
			// What lies nearer to the tap goes first among equals.
			found[t] = seed{at.on(l).segment(halfMM, l.z*(1-0.3*math.Abs(l.n)/tapReachMM)), true}
		}
	})
	best := seed{}
	for _, s := range found {
		if s.z > best.z {
			best = s
		}
	}
	if best.z == 0 {
		return Edge{}, false
	}
	e, ok := f.settle(&f.strips[0], best)
	if !ok {
		return Edge{}, false
	}
	if d, _ := e.At(p); d > tapReachMM {
		return Edge{}, false
	}
	return e, true
}

// tapContribution is what a line carries that only the user's tap vouches for.
func tapContribution(e *Edge) (c qc.Contribution, needed bool) {
	if !e.Tapped || e.Strength >= minEdgeZ && e.P1.Sub(e.P0).Norm() >= minSupportMM {
		return c, false
	}
	// Which of the lines within a rim's and a shadow's width it is.
	return qc.Contribution{Label: "edge chosen by hand", UMM: 0.08}, true
}
