package sheetedge

import (
	"math"
	"slices"
	"sort"

	"bucktail/imaging/geom"
)

// Distance is an edge that a fastener's edge distance goes to.
type Distance struct {
	*Edge
	DistanceMM, UMM float64 // from the given centre; standard uncertainty of the line alone
}

// Nearer gives the distance from r to the nearest of the lines on whose stretch its foot
// falls, or not far beyond (an edge may run on unseen), if that is less than nearerThanMM; 0
// where there is none. An edge that is read, and what lies behind one, is no such line: it has
// or needs no say of its own. A tap settles what is the edge in its direction.
func Nearer(r geom.SheetCircle, nominalDMM, nearerThanMM float64, lines []Edge, read []Distance) (distanceMM float64) {
	const (
		apart  = 0.5 // mm: nearer together they are the same line
		runsOn = 8   // mm beyond its ends: half a usual pitch
	)
	for i := range lines {
		e := &lines[i]
		d, _ := e.At(r.Centre)
		dir, _ := e.axes()
		s := r.Centre.Sub(e.P0).Dot(dir)
		if s < -runsOn || s > e.P1.Sub(e.P0).Norm()+runsOn || d < leastDistance(r, nominalDMM) || d > nearerThanMM-apart {
			continue
		}
		if slices.ContainsFunc(read, func(o Distance) bool {
			return sameDirection(r.Centre, e, o.Edge) && (o.Tapped || d > o.DistanceMM-apart)
		}) {
			continue
		}
		if distanceMM == 0 || d < distanceMM {
			distanceMM = d
		}
	}
	return distanceMM
}

// sameDirection tells whether the feet of c on two lines lie the same way, within 20°.
func sameDirection(c geom.SheetPoint, a, b *Edge) bool {
	p, q := a.Foot(c).Sub(c), b.Foot(c).Sub(c)
	return p.Dot(q) > math.Cos(20*math.Pi/180)*p.Norm()*q.Norm()
}

// Distances gives the edges that the foot of r falls on, nearest first, one in each
// direction (20°), within 5 D, D being nominalDMM.
//
// The foot may lie beyond the seen stretch by 2 mm, or farther where the card or a
// fastener hides the line.
func Distances(r geom.SheetCircle, nominalDMM float64, edges []Edge) []Distance {
	const beyondMM = 2
	var all []Distance
	for i := range edges {
		e := &edges[i]
		d, u := e.At(r.Centre)
		dir, _ := e.axes()
		s, length := r.Centre.Sub(e.P0).Dot(dir), e.P1.Sub(e.P0).Norm()
		if d > reachD*nominalDMM || s < -beyondMM-e.ext0MM || s > length+beyondMM+e.ext1MM {
			continue
		}
		if d < leastDistance(r, nominalDMM) && !e.Tapped {
			continue
		}
		all = append(all, Distance{Edge: e, DistanceMM: d, UMM: u})
	}
	// By package sort: package slices is compiled anew for each type, 20 kB of the phone's program.
	sort.Slice(all, func(i, j int) bool {
		if all[i].Tapped != all[j].Tapped {
			return all[i].Tapped
		}
		return all[i].DistanceMM < all[j].DistanceMM
	})
	var out []Distance
	for _, c := range all {
		if !slices.ContainsFunc(out, func(o Distance) bool { return sameDirection(r.Centre, c.Edge, o.Edge) }) {
			out = append(out, c)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].DistanceMM < out[j].DistanceMM })
	return out
}
