package sheetedge

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
)

// Distance is an edge that a fastener's edge distance goes to.
type Distance struct {
	*Edge
	DistanceMM, UMM float64 // from the given centre; standard uncertainty of the line alone
}

// Nearest gives the distance from r to the nearest of the lines on whose stretch its foot
// falls, or not far beyond (an edge may run on unseen), if that is less than nearerThanMM; 0
// where there is none.
func Nearest(r geom.SheetCircle, nominalDMM, nearerThanMM float64, lines []Edge) (distanceMM float64) {
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
		if distanceMM == 0 || d < distanceMM {
			distanceMM = d
		}
	}
	return distanceMM
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
	slices.SortFunc(all, func(a, b Distance) int {
		if a.Tapped != b.Tapped {
			if a.Tapped {
				return -1
			}
			return 1
		}
		if a.DistanceMM < b.DistanceMM {
			return -1
		}
		return 1
	})
	var out []Distance
	for _, c := range all {
		to := c.Foot(r.Centre).Sub(r.Centre)
		taken := false
		for _, o := range out {
			q := o.Foot(r.Centre).Sub(r.Centre)
			cos := to.Dot(q) / (to.Norm() * q.Norm())
			taken = taken || cos > math.Cos(20*math.Pi/180)
		}
		if !taken {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b Distance) int {
		if a.DistanceMM < b.DistanceMM {
			return -1
		}
		return 1
	})
	return out
}
