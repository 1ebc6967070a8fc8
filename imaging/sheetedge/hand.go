package sheetedge

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/sheetedge/strip"
	"bucktail/qc"
)

// A tap lands within about this of what was meant, mm on the sheet (assumed;
// TestTappedEdgeIsTaken taps 0.4 mm off).
const tapReachMM = 1.5

// tapped finds the line that the user pointed at: the strongest within reach of p among
// lines of all directions. It is taken even if it is too faint or too short to be found alone,
// or lies where edges are not looked for.
func (f *finder) tapped(p geom.SheetPoint) (Edge, bool) {
	const (
		turns  = 90 // 2°: half of it is covered by search's own turns
		halfMM = 4
	)
	found := make([]seed, turns)
	f.each(turns, func(g *strip.Strip, t int) {
		sin, cos := math.Sincos(math.Pi * float64(t) / turns)
		dir := geom.SheetPoint{X: cos, Y: sin}
		at := f.along(p, dir)
		from, to := f.clip(at)
		f.lay(g, f.full, at, max(from, -halfMM), min(to, halfMM))
		if g.Chunks < 3 {
			return
		}
		if l, ok := g.BestLine(tapReachMM-0.4, 0.018); ok { // settling moves it by up to 0.4 mm more
			// What lies nearer to the tap goes first among equals.
			found[t] = seed{middleOf(at.On(l), halfMM, l.Z*(1-0.3*math.Abs(l.N)/tapReachMM)), true}
		}
	})
	best := seed{}
	for _, s := range found {
		if s.Z > best.Z {
			best = s
		}
	}
	if best.Z == 0 {
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

// Placed is a sheet edge that a person placed by two points (px), each good to uPx.
// ok is false where they lie closer together than 2 mm.
func Placed(cam *geom.Camera, p0Px, p1Px geom.PxPoint, uPx float64) (e Edge, ok bool) {
	a, b := cam.ToSheet(p0Px, 0), cam.ToSheet(p1Px, 0)
	l := b.Sub(a).Norm()
	if !(l >= 2) {
		return e, false
	}
	uMM := uPx / cam.PxPerMM(a.Add(b).Scale(0.5), 0)
	e = Edge{P0: a, P1: b, P0Px: p0Px, P1Px: p1Px, Tapped: true,
		uMidMM: uMM / math.Sqrt2, uAngleRad: math.Sqrt2 * uMM / l}
	e.contributions = []qc.Contribution{{Label: "edge: placed by hand", UMM: uMM / math.Sqrt2}}
	return e, true
}
