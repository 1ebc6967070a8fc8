package card

import (
	"math"
	"slices"

	"bucktail/imaging/fit"
)

// hypothesis is one placement of one layout over the rings seen.
type hypothesis struct {
	layout *Layout
	ring   []int // per target: index of the ring there, -1 for none
	n      int   // rings that agree in kind
	wrong  int   // rings there of the other kind
	score  float64
}

// link is a ring seen from another: the way there in millimetres of the plane, up to the
// card's rotation. The two rings' own ellipses give the scale and the squeeze between them,
// so perspective along the way cancels to second order.
type link struct {
	ring int
	w    [2]float64
}

// Search limits.
const (
	neighbours = 8    // rings linked to each ring
	maxPairMM  = 31.0 // longest way between two targets tried; bridges one covered target
	pairScale  = 0.22 // largest misfit of ring size and pitch, natural logarithm: ink gain,
	// threshold and blur of a ring of 15 px
	linkRate = 0.13 // largest error of a link, fraction of its length, plus
	linkMM   = 0.5
	farRate  = 0.07 // the same for ways beyond maxPairMM, over covered targets,
	farMM    = 3.0  // at most: a third of the smallest pitch
	strayMM  = 0.15 // a sound ring's blob lies within 0.05 of its place
)

// links gives each ring's nearest neighbours of like size.
func links(rings []ring) [][]link {
	out := make([][]link, len(rings))
	flat := make([]link, 0, len(rings)*neighbours)
	near := make([]int, 0, neighbours)
	for a := range rings {
		near = nearestRings(rings, a, near[:0])
		first := len(flat)
		for _, b := range near {
			if w, ok := pairWay(&rings[a], &rings[b]); ok && math.Hypot(w[0], w[1]) < maxPairMM*1.25 {
				flat = append(flat, link{b, w})
			}
		}
		out[a] = flat[first:]
	}
	return out
}

// nearestRings appends the neighbours of ring a that are of like size, nearest first.
func nearestRings(rings []ring, a int, out []int) []int {
	var dist [neighbours]float64
	ra := &rings[a]
	sa := ra.xx + ra.yy
	for b := range rings {
		sb := rings[b].xx + rings[b].yy
		if b == a || sb > 2.6*sa || sa > 2.6*sb { // diameters within 1.6
			continue
		}
		dx, dy := rings[b].x-ra.x, rings[b].y-ra.y
		d := dx*dx + dy*dy
		k := len(out)
		if k == neighbours {
			if d >= dist[k-1] {
				continue
			}
			k--
		} else {
			out = append(out, 0)
		}
		for k > 0 && dist[k-1] > d {
			dist[k], out[k] = dist[k-1], out[k-1]
			k--
		}
		dist[k], out[k] = d, b
	}
	return out
}

// pairWay gives the way from a to b in millimetres, in a frame that is the card's up to a
// rotation: the inverse of the symmetric root of the two rings' mean ellipse.
func pairWay(a, b *ring) (w [2]float64, ok bool) {
	k := 2 / (RingOuterRadiusMM * RingOuterRadiusMM)
	xx, xy, yy := (a.xx+b.xx)*k, (a.xy+b.xy)*k, (a.yy+b.yy)*k
	// Square root of a symmetric 2 × 2: (M + √det I) / √(tr + 2 √det).
	d := math.Sqrt(xx*yy - xy*xy)
	t := math.Sqrt(xx + yy + 2*d)
	if !(d > 0) {
		return w, false
	}
	l0, l1, l2 := (xx+d)/t, xy/t, (yy+d)/t
	det := l0*l2 - l1*l1
	vx, vy := b.x-a.x, b.y-a.y
	return [2]float64{(l2*vx - l1*vy) / det, (l0*vy - l1*vx) / det}, true
}

// search is the memory of one search for placements.
type search struct {
	rings []ring
	links [][]link
	ways  [][]way      // per layout: from each target to each, target by target
	turn  [][2]float64 // per target of the layout in hand: rotation and stretch of its link
	at    []int        // per target: its ring in the placement in hand
	owner []bool       // per ring: taken by the placement in hand
	key   []byte
}

// way is the printed way from one target to another, mm.
type way struct {
	x, y, d2 float64 // and the square of its length
	tol2     float64 // of the largest error of a link along it, mm²
}

// waysOf gives the ways from each target k of lay to each q at k times the number of targets + q.
func waysOf(lay *Layout) []way {
	ws := make([]way, 0, len(lay.Targets)*len(lay.Targets))
	for _, to := range lay.Targets {
		for _, from := range lay.Targets {
			x, y := to.At.X-from.At.X, to.At.Y-from.At.Y
			d2 := x*x + y*y
			tol := linkMM + linkRate*math.Sqrt(d2)
			ws = append(ws, way{x, y, d2, tol * tol})
		}
	}
	return ws
}

// hypotheses gives the best placements, best first, at most keep of them.
func hypotheses(rings []ring, keep int) []hypothesis {
	s := search{rings: rings, links: links(rings), owner: make([]bool, len(rings))}
	for _, lay := range Layouts {
		s.ways = append(s.ways, waysOf(lay))
	}
	var out []hypothesis
	seen := map[string]bool{}
	for a := range rings {
		for _, lk := range s.links[a] {
			for l, lay := range Layouts {
				for i, ti := range lay.Targets {
					if ti.Full != rings[a].full {
						continue
					}
					for j, tj := range lay.Targets {
						if i == j || tj.Full != rings[lk.ring].full {
							continue
						}
						turn, ok := quotient(lk.w, tj.At.X-ti.At.X, tj.At.Y-ti.At.Y)
						if !ok {
							continue
						}
						h, ok := s.grow(l, i, j, a, lk.ring, turn)
						if !ok {
							continue
						}
						s.key = append(s.key[:0], lay.Name...)
						for _, r := range h.ring {
							s.key = append(s.key, byte(r), byte(r>>8))
						}
						if !seen[string(s.key)] {
							seen[string(s.key)] = true
							h.ring = slices.Clone(h.ring)
							out = append(out, h)
						}
					}
				}
			}
		}
	}
	slices.SortStableFunc(out, func(x, y hypothesis) int {
		switch {
		case x.score > y.score:
			return -1
		case x.score < y.score:
			return 1
		}
		return 0
	})
	if len(out) > keep {
		out = out[:keep]
	}
	return out
}

// quotient gives rotation and stretch (as a complex number) from the printed way (tx, ty)
// to the seen way w; false where the lengths do not fit. It is never a mirroring.
func quotient(w [2]float64, tx, ty float64) ([2]float64, bool) {
	t2 := tx*tx + ty*ty
	s2 := (w[0]*w[0] + w[1]*w[1]) / t2
	if t2 > maxPairMM*maxPairMM || s2 < minPairScale2 || s2 > maxPairScale2 {
		return [2]float64{}, false
	}
	return [2]float64{(w[0]*tx + w[1]*ty) / t2, (w[1]*tx - w[0]*ty) / t2}, true
}

var minPairScale2, maxPairScale2 = fit.Exp(-2 * pairScale), fit.Exp(2 * pairScale)

// grow extends a placement of layout l from targets i, j on rings a, b along the links; false where no
// third ring fits. The slice in the result is only good until the next call.
func (s *search) grow(l, i, j, a, b int, turn [2]float64) (hypothesis, bool) {
	lay := Layouts[l]
	n := len(lay.Targets)
	if len(s.turn) < n {
		s.turn = make([][2]float64, n)
		s.at = make([]int, n)
	}
	h := hypothesis{layout: lay, ring: s.at[:n]}
	for k := range h.ring {
		h.ring[k] = -1
	}
	clear(s.owner)
	h.ring[i], h.ring[j] = a, b
	s.turn[i], s.turn[j] = turn, turn
	s.owner[a], s.owner[b] = true, true
	known := 2
	for grown := true; grown; {
		grown = false
		for k := range h.ring {
			if h.ring[k] >= 0 {
				continue
			}
			if r, tn := s.reach(s.ways[l][k*n:][:n], h.ring); r >= 0 {
				h.ring[k], s.turn[k] = r, tn
				s.owner[r] = true
				known++
				grown = true
			}
		}
	}
	if known < 3 {
		return h, false
	}
	for k := range h.ring {
		if h.ring[k] < 0 {
			if r, tn := s.reachFar(lay, h.ring, k); r >= 0 {
				h.ring[k], s.turn[k] = r, tn
				s.owner[r] = true
			}
		}
	}
	for k, r := range h.ring {
		switch {
		case r < 0:
		case s.rings[r].full == lay.Targets[k].Full:
			h.n++
			h.score += 0.5 + 0.5*s.rings[r].quality
		default:
			h.wrong++
			h.score -= 1.5
		}
	}
	return h, h.n >= 3
}

// reach looks for the ring of a target along the links of the targets known, shortest
// error first; -1 for none. ways lead to it from each of the targets, which have the rings at.
func (s *search) reach(ways []way, at []int) (int, [2]float64) {
	best, bestE := -1, math.Inf(1)
	var turn [2]float64
	for q, r := range at {
		if r < 0 {
			continue
		}
		w := &ways[q]
		if w.d2 > maxPairMM*maxPairMM {
			continue
		}
		tn := s.turn[q]
		px, py := tn[0]*w.x-tn[1]*w.y, tn[1]*w.x+tn[0]*w.y
		for i := range s.links[r] {
			lk := &s.links[r][i]
			ex, ey := lk.w[0]-px, lk.w[1]-py
			e2 := ex*ex + ey*ey
			if e2 >= w.tol2 || s.owner[lk.ring] { // most are: a division saved
				continue
			}
			if e := e2 / w.tol2; e < 1 && e < bestE {
				best, bestE = lk.ring, e
				turn = [2]float64{(lk.w[0]*w.x + lk.w[1]*w.y) / w.d2, (lk.w[1]*w.x - lk.w[0]*w.y) / w.d2}
			}
		}
	}
	return best, turn
}

// reachFar looks for the ring of target k among all rings, from the nearest target known.
func (s *search) reachFar(lay *Layout, at []int, k int) (int, [2]float64) {
	q, d2 := -1, math.Inf(1)
	for i, r := range at {
		if r >= 0 {
			dx, dy := lay.Targets[k].At.X-lay.Targets[i].At.X, lay.Targets[k].At.Y-lay.Targets[i].At.Y
			if d := dx*dx + dy*dy; d < d2 {
				q, d2 = i, d
			}
		}
	}
	from := &s.rings[at[q]]
	size := from.xx + from.yy
	tx, ty := lay.Targets[k].At.X-lay.Targets[q].At.X, lay.Targets[k].At.Y-lay.Targets[q].At.Y
	tn := s.turn[q]
	px, py := tn[0]*tx-tn[1]*ty, tn[1]*tx+tn[0]*ty
	tol := math.Min(farMM, linkMM+farRate*math.Sqrt(d2))
	best, bestE := -1, tol*tol
	for r := range s.rings {
		if sr := s.rings[r].xx + s.rings[r].yy; s.owner[r] || sr > 2.6*size || size > 2.6*sr {
			continue
		}
		w, ok := pairWay(from, &s.rings[r])
		if !ok {
			continue
		}
		ex, ey := w[0]-px, w[1]-py
		if e := ex*ex + ey*ey; e < bestE {
			best, bestE = r, e
			tn = [2]float64{(w[0]*tx + w[1]*ty) / d2, (w[1]*tx - w[0]*ty) / d2}
		}
	}
	return best, tn
}
