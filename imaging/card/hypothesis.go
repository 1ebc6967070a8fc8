package card

import (
	"math"
	"slices"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// hypothesis is one placement of one layout over the rings seen.
type hypothesis struct {
	layout *Layout
	ring   []int // per target: index of the ring there, -1 for none
	n      int   // rings that agree in kind
	wrong  int   // rings there of the other kind
	score  float64
}

// affine maps card millimetres to level pixels: (x, y) = (a X + b Y + c, d X + e Y + f).
type affine struct{ a, b, c, d, e, f float64 }

func (m *affine) apply(p geom.CardPoint) (x, y float64) {
	return m.a*p.X + m.b*p.Y + m.c, m.d*p.X + m.e*p.Y + m.f
}

// Search limits. A ring gives the scale about it to a few per cent, and over one pitch
// perspective changes it by up to 20 % in a steep view.
const (
	neighbours    = 6    // rings tried as the partner of a ring
	maxPairMM     = 31.0 // and the longest pair of targets tried; covers a gap of one target
	pairScale     = 0.22 // largest misfit of a pair's length, natural logarithm
	reachMM       = 26.0 // how far beyond known targets the next are looked for
	toleranceRate = 0.11 // of that distance, plus
	toleranceMM   = 0.6
	maxTolMM      = 2.6 // half the smallest pitch of 9 mm less the ring's radius would be 2
)

// hypotheses gives the best placements, best first, at most keep of them.
func hypotheses(rings []ring, keep int) []hypothesis {
	var out []hypothesis
	seen := map[string]bool{}
	key := []byte{}
	nearest := make([]int, 0, len(rings))
	for a := range rings {
		nearest = nearestRings(rings, a, nearest[:0])
		for _, b := range nearest {
			w, l, ok := pairFrame(&rings[a], &rings[b])
			if !ok {
				continue
			}
			for _, lay := range Layouts {
				for i := range lay.Targets {
					if lay.Targets[i].Full != rings[a].full {
						continue
					}
					for j := range lay.Targets {
						if i == j || lay.Targets[j].Full != rings[b].full {
							continue
						}
						m, ok := pairAffine(&rings[a], l, w, lay.Targets[i].At, lay.Targets[j].At)
						if !ok {
							continue
						}
						h := grow(lay, rings, m, i, j, a, b)
						if h.n < 3 {
							continue
						}
						key = append(key[:0], lay.Name...)
						for _, r := range h.ring {
							key = append(key, byte(r), byte(r>>8))
						}
						if !seen[string(key)] {
							seen[string(key)] = true
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
		d := math.Hypot(rings[b].x-ra.x, rings[b].y-ra.y)
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

// pairFrame gives the symmetric map l from card millimetres to pixels, up to a rotation of
// the card, from the two rings' ellipses, and the way from a to b in it, in millimetres.
func pairFrame(a, b *ring) (w [2]float64, l [3]float64, ok bool) {
	k := 4 / (RingOuterRadiusMM * RingOuterRadiusMM)
	xx, xy, yy := (a.xx+b.xx)/2*k, (a.xy+b.xy)/2*k, (a.yy+b.yy)/2*k
	// Square root of a symmetric 2 × 2: (M + √det I) / √(tr + 2 √det).
	d := math.Sqrt(xx*yy - xy*xy)
	t := math.Sqrt(xx + yy + 2*d)
	if !(t > 0) || !(d > 0) {
		return w, l, false
	}
	l = [3]float64{(xx + d) / t, xy / t, (yy + d) / t}
	det := l[0]*l[2] - l[1]*l[1]
	vx, vy := b.x-a.x, b.y-a.y
	w = [2]float64{(l[2]*vx - l[1]*vy) / det, (l[0]*vy - l[1]*vx) / det}
	return w, l, math.Hypot(w[0], w[1]) < maxPairMM*1.25
}

// pairAffine turns and stretches the frame l so that the targets p and q fall on the pair.
// The map never mirrors: l has a positive determinant and the rest is a rotation.
func pairAffine(a *ring, l [3]float64, w [2]float64, p, q geom.CardPoint) (m affine, ok bool) {
	tx, ty := q.X-p.X, q.Y-p.Y
	t2 := tx*tx + ty*ty
	s2 := (w[0]*w[0] + w[1]*w[1]) / t2
	if t2 > maxPairMM*maxPairMM || s2 < math.Exp(-2*pairScale) || s2 > math.Exp(2*pairScale) {
		return m, false
	}
	// Complex quotient w / t: rotation and stretch in one.
	c, s := (w[0]*tx+w[1]*ty)/t2, (w[1]*tx-w[0]*ty)/t2
	m = affine{
		a: l[0]*c + l[1]*s, b: -l[0]*s + l[1]*c,
		d: l[1]*c + l[2]*s, e: -l[1]*s + l[2]*c,
	}
	x, y := m.apply(p)
	m.c, m.f = a.x-x, a.y-y
	return m, true
}

// grow extends a placement from targets i, j (on rings a, b) outward over the layout.
func grow(lay *Layout, rings []ring, m affine, i, j, a, b int) hypothesis {
	n := len(lay.Targets)
	h := hypothesis{layout: lay, ring: make([]int, n)}
	for k := range h.ring {
		h.ring[k] = -1
	}
	h.ring[i], h.ring[j] = a, b
	known := 2
	for range 6 {
		// Pixels to millimetres about here, for tolerances.
		det := m.a*m.e - m.b*m.d
		if !(det > 0) {
			break
		}
		before := known
		for k := range h.ring {
			if h.ring[k] >= 0 {
				continue
			}
			at := lay.Targets[k].At
			away := math.Inf(1)
			for q, r := range h.ring {
				if r >= 0 {
					away = math.Min(away, math.Hypot(lay.Targets[q].At.X-at.X, lay.Targets[q].At.Y-at.Y))
				}
			}
			if away > reachMM {
				continue
			}
			tol := math.Min(maxTolMM, toleranceMM+toleranceRate*away)
			lm := localAffine(lay, rings, h.ring, m, at)
			x, y := lm.apply(at)
			det := lm.a*lm.e - lm.b*lm.d
			if !(det > 0) {
				continue
			}
			best, bestD := -1, tol
			for q := range rings {
				dx, dy := rings[q].x-x, rings[q].y-y
				mx, my := (lm.e*dx-lm.b*dy)/det, (lm.a*dy-lm.d*dx)/det
				if d := math.Hypot(mx, my); d < bestD && !slices.Contains(h.ring, q) {
					// Its size must be the target's: area π R² det against 4π√det(moments).
					area := 4 * math.Sqrt(rings[q].xx*rings[q].yy-rings[q].xy*rings[q].xy)
					want := RingOuterRadiusMM * RingOuterRadiusMM * det
					if area > 0.5*want && area < 2*want {
						best, bestD = q, d
					}
				}
			}
			if best >= 0 {
				h.ring[k] = best
				known++
			}
		}
		if known == before || (before == 2 && known < 3) {
			break
		}
		if am, ok := fitAffine(lay, rings, h.ring); ok {
			m = am
		}
	}
	for k, r := range h.ring {
		if r < 0 {
			continue
		}
		if rings[r].full == lay.Targets[k].Full {
			h.n++
			h.score += 0.5 + 0.5*rings[r].quality
		} else {
			h.wrong++
			h.score -= 1.5
		}
	}
	return h
}

// localAffine moves m so that it is exact at the known target nearest to at: perspective
// bends the plane away from one affine map, but little over one pitch.
func localAffine(lay *Layout, rings []ring, at []int, m affine, p geom.CardPoint) affine {
	best, bestD := -1, math.Inf(1)
	for k, r := range at {
		if r >= 0 {
			if d := math.Hypot(lay.Targets[k].At.X-p.X, lay.Targets[k].At.Y-p.Y); d < bestD {
				best, bestD = k, d
			}
		}
	}
	x, y := m.apply(lay.Targets[best].At)
	m.c += rings[at[best]].x - x
	m.f += rings[at[best]].y - y
	return m
}

// fitAffine fits one affine map to the known targets by least squares.
func fitAffine(lay *Layout, rings []ring, at []int) (affine, bool) {
	var n, sx, sy, su, sv float64
	for k, r := range at {
		if r >= 0 {
			n++
			sx += lay.Targets[k].At.X
			sy += lay.Targets[k].At.Y
			su += rings[r].x
			sv += rings[r].y
		}
	}
	mx, my, mu, mv := sx/n, sy/n, su/n, sv/n
	var xx, xy, yy, ux, uy, vx, vy float64
	for k, r := range at {
		if r >= 0 {
			x, y := lay.Targets[k].At.X-mx, lay.Targets[k].At.Y-my
			u, v := rings[r].x-mu, rings[r].y-mv
			xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
			ux, uy, vx, vy = ux+u*x, uy+u*y, vx+v*x, vy+v*y
		}
	}
	det := xx*yy - xy*xy
	// Two rows of the strip over one pitch spread 20 mm² in the short direction.
	if m, d := (xx+yy)/2, math.Hypot((xx-yy)/2, xy); (m-d)/n < 4 {
		return affine{}, false
	}
	m := affine{
		a: (ux*yy - uy*xy) / det, b: (uy*xx - ux*xy) / det,
		d: (vx*yy - vy*xy) / det, e: (vy*xx - vx*xy) / det,
	}
	m.c, m.f = mu-m.a*mx-m.b*my, mv-m.d*mx-m.e*my
	return m, true
}

// homography fits the map from card millimetres to level pixels over the rings that agree.
func (h *hypothesis) homography(rings []ring) (fit.HomographyFit, error) {
	var p, q []fit.Point
	for k, r := range h.ring {
		if r >= 0 && rings[r].full == h.layout.Targets[k].Full {
			p = append(p, fit.Point(h.layout.Targets[k].At))
			q = append(q, fit.Point{X: rings[r].x, Y: rings[r].y})
		}
	}
	return fit.Homography(p, q)
}
