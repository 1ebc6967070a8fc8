package placing

import (
	"math"
	"math/cmplx"
	"slices"

	"bucktail/qc/history"
)

// Edge is a straight edge of the sheet near a fastener: To leads from the fastener's centre square
// to the edge, in mm, in the frame of the photo or of the map. UMM is the distance's expanded uncertainty.
type Edge struct {
	To  Point
	UMM float64
}

const (
	// Two edges lie on the same side of a fastener where their directions differ by less than this: an
	// edge's own direction is had to a degree, the turn between photo and map to three.
	sameSideRad = 12 * math.Pi / 180
	// Distances that differ by no more than this, beyond both uncertainties, are to one edge.
	sameEdgeMM = 0.5
)

// beyond reports whether a known fastener lies clearly on the far side of an edge: then no edge is there,
// for a sheet does not end between its fasteners. to leads from the place to the edge, in the map's frame.
func (m *Map) beyond(at, to Point) bool {
	d := cmplx.Abs(to)
	for _, l := range m.Places {
		by := (l.At - at) * cmplx.Conj(to) / complex(d, 0)
		if real(by) > d+edgeMM && math.Abs(imag(by)) <= d {
			return true
		}
	}
	return false
}

// compared holds the edges that a photo shows at a fastener, turned into the map's frame, against
// those that are known at a place. again tells that each known one was seen again; gone are the known
// ones beside which another one was seen, out those seen with known fasteners beyond them.
func (m *Map) compared(now []Edge, at Place, t turn) (again bool, gone, out []Edge) {
	turned := make([]Edge, len(now))
	for i, s := range now {
		if turned[i] = (Edge{t.m * s.To, s.UMM}); t.flip {
			turned[i].To = t.m * cmplx.Conj(s.To)
		}
		if !slices.ContainsFunc(at.Edges, turned[i].beside) && m.beyond(at.At, turned[i].To) {
			out = append(out, turned[i])
		}
	}
	again = true
	for _, k := range at.Edges {
		var same, apart bool
		for _, s := range turned {
			if k.beside(s) {
				by := math.Abs(cmplx.Abs(s.To)-cmplx.Abs(k.To)) - s.UMM - k.UMM
				same, apart = same || by <= sameEdgeMM, apart || by > edgeMM
			}
		}
		if again = again && same; apart && !same {
			gone = append(gone, k)
		}
	}
	return again, gone, out
}

// beside reports whether two edges lie on the same side of a fastener.
func (e Edge) beside(o Edge) bool { return math.Abs(cmplx.Phase(e.To/o.To)) <= sameSideRad }

// sides is on how many sides edges lie.
func sides(es []Edge) (n int) {
	for i := range es {
		if !slices.ContainsFunc(es[:i], es[i].beside) {
			n++
		}
	}
	return n
}

// byEdges says what the edges near the fasteners say of a way: again, that all that are known there
// were seen again, other, that they contradict it. A sheet may lie turned over where the map allows
// it, so that only what contradicts it both ways does.
func (m *Map) byEdges(seen []Point, edges [][]Edge, w way) (again, other bool) {
	if !m.Scaled || len(edges) != len(seen) || len(seen) < 2 {
		return false, false
	}
	base := bases(seen)[0]
	p, q := w.of[base[0]], w.of[base[1]]
	if p < 0 || q < 0 || p == q {
		return false, false
	}
	fits := false
	other = true
	for _, flip := range m.flips() {
		t := turnBetween(seen[base[0]], seen[base[1]], m.Places[p].At, m.Places[q].At, flip, true)
		if !m.near(seen, w, t) {
			continue
		}
		fits = true
		all, any := true, false
		var gone, out []Edge
		for i, k := range w.of {
			if k < 0 {
				continue
			}
			a, g, o := m.compared(edges[i], m.Places[k], t)
			all, any = all && a, any || len(m.Places[k].Edges) > 0
			gone, out = append(gone, g...), append(out, o...)
		}
		again = again || all && any && len(gone)+len(out) == 0
		// One line may have been taken for an edge by mistake, now or before.
		other = other && sides(append(out, gone...)) > 1
	}
	return again, fits && other
}

// near reports whether a turn brings the fasteners to the places of a way, one that was moved aside.
func (m *Map) near(seen []Point, w way, t turn) bool {
	off := 0
	for i, k := range w.of {
		if k >= 0 && cmplx.Abs(t.of(seen[i])-m.Places[k].At) > 2*m.FarMM {
			off++
		}
	}
	return off <= 1 && (off == 0 || w.moved)
}

// struck leaves out the ways that the edges contradict, where they bear out another one that lies where
// the map has it: a line that was taken for an edge by mistake contradicts the right one too.
func (m *Map) struck(seen []Point, edges [][]Edge, ws []way) []way {
	var left []way
	sure := false
	for _, w := range ws {
		again, other := m.byEdges(seen, edges, w)
		sure = sure || again && m.close(w)
		if !other {
			left = append(left, w)
		}
	}
	if !sure {
		return ws
	}
	return left
}

// edgeAt is the edge through two points of the sheet as seen from a fastener.
func edgeAt(centre, a, b Point, u float64) (Edge, bool) {
	along := b - a
	n := cmplx.Abs(along)
	if n < 1e-6 {
		return Edge{}, false
	}
	along /= complex(n, 0)
	to := a - centre
	to -= complex(real(to*cmplx.Conj(along)), 0) * along
	return Edge{to, u}, cmplx.Abs(to) > 1e-6
}

// edgesOf are the edges that a finding was read with, in the frame of its shot.
func edgesOf(f *history.FindingData) (out []Edge) {
	centre := complex(f.Places.SheetMM[0], f.Places.SheetMM[1])
	for _, s := range f.Places.Spans {
		if s.EdgePx == nil || s.Reading < 0 || s.Reading >= len(f.Readings) {
			continue
		}
		if e, ok := edgeOn(&f.Places.Camera, centre, *s.EdgePx, f.Readings[s.Reading].UMM); ok {
			out = append(out, e)
		}
	}
	return out
}

// edgeOn is the edge that a photo shows through two of its points, as seen from a fastener.
func edgeOn(c *history.Camera, centre Point, px [2]history.PxPair, u float64) (Edge, bool) {
	a, okA := sheetOf(c, px[0])
	b, okB := sheetOf(c, px[1])
	if !okA || !okB {
		return Edge{}, false
	}
	return edgeAt(centre, a, b, u)
}

// laidOutEdges are the edges of a sheet as it was laid out near a place of its drawing.
func laidOutEdges(l *history.LayoutData, at Point) (out []Edge) {
	if l.Plan == nil {
		return nil
	}
	for _, s := range borderOf(l) {
		if toBorder(at, [][2]Point{s}) > laidOutReachMM {
			continue
		}
		if e, ok := edgeAt(at, s[0], s[1], laidOutUMM); ok {
			out = append(out, e)
		}
	}
	return out
}

// sheetOf is the point of the sheet, in mm, that a camera sees at a place of its photo.
func sheetOf(c *history.Camera, px history.PxPair) (Point, bool) {
	x, y := (px[0]-c.CxPx)/c.FocalPx, (px[1]-c.CyPx)/c.FocalPx
	u, v := x, y
	for range 5 { // the lens bends little: each round is nearer by two digits
		k := 1 + c.K1*(u*u+v*v)
		u, v = x/k, y/k
	}
	inverse, ok := inverted([9]float64{c.R[0][0], c.R[0][1], c.T[0], c.R[1][0], c.R[1][1], c.T[1], c.R[2][0], c.R[2][1], c.T[2]})
	w := inverse[6]*u + inverse[7]*v + inverse[8]
	if !ok || w == 0 {
		return 0, false
	}
	at := complex((inverse[0]*u+inverse[1]*v+inverse[2])/w, (inverse[3]*u+inverse[4]*v+inverse[5])/w)
	return at, !cmplx.IsNaN(at) && !cmplx.IsInf(at)
}

// laidOutUMM is how far the distance to an edge may be off what was laid out: a hole is drilled by hand
// and a sheet cut by hand.
const laidOutUMM = 1

// laidOutReachMM is how far from a fastener edges of the layout count: a photo is searched for them within
// 5 D, which of the smallest rivets is 12 mm.
const laidOutReachMM = 12
