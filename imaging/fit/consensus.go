package fit

import "math"

// CircleConsensus finds the circle, of a radius from minR to maxR, that most of the points
// agree on: circles through three points spread round it, each scored by how many others it
// passes within tol. A long stretch of outliers can pull a least squares start into a wrong
// valley; it can't win a count. It is a start for a fit and no fit: it has no covariance.
//
// The points are to be in their order round the circle. ok is false for fewer than eight, or
// where the best circle has no more than a third of them.
//
// Source: M. A. Fischler, R. C. Bolles, Communications of the ACM 24 (1981) 381-395, with
// all spread triples of a coarse grid in place of random ones.
func CircleConsensus(pts []Point, minR, maxR, tol float64) (c Point, r float64, ok bool) {
	n := len(pts)
	if n < 8 {
		return c, 0, false
	}
	best := 0.0
	third := n / 3
	for i := range n {
		for j := i + n/6; j < i+n/2; j += max(1, n/10) {
			for k := j + n/6; k < min(j+n/2, i+n-n/6); k += max(1, n/10) {
				p, q, fine := circleThrough(pts[i], pts[j%n], pts[k%n])
				if !fine || q < minR || q > maxR {
					continue
				}
				if score := agreement(pts, p, q, tol, best); score > best {
					best, c, r = score, p, q
				}
			}
		}
	}
	return c, r, best > float64(third)
}

// agreement counts how many of pts the circle about c passes within tol, each the less the
// farther off it lies. What can't come up to atLeast is not counted to its end.
func agreement(pts []Point, c Point, r, tol, atLeast float64) float64 {
	// Squares tell what lies too far off, but for what rounding might decide.
	const sure = 1e-9
	in, out := max(r-tol, 0), r+tol
	in2, out2 := in*in*(1-sure), out*out*(1+sure)
	score := 0.0
	for i, p := range pts {
		dx, dy := p.X-c.X, p.Y-c.Y
		if d2 := dx*dx + dy*dy; d2 < in2 || d2 > out2 {
			if score+float64(len(pts)-i-1) < atLeast-sure {
				return score
			}
			continue
		}
		t := (math.Hypot(dx, dy) - r) / tol
		if t2 := t * t; t2 < 1 {
			score += 1 - t2
		}
	}
	return score
}

// circleThrough gives the circle through three points; ok is false where they lie on a line.
func circleThrough(a, b, c Point) (centre Point, r float64, ok bool) {
	u, v := Point{b.X - a.X, b.Y - a.Y}, Point{c.X - a.X, c.Y - a.Y}
	det := 2 * (u.X*v.Y - u.Y*v.X)
	if math.Abs(det) < 1e-9 {
		return a, 0, false
	}
	uu, vv := u.X*u.X+u.Y*u.Y, v.X*v.X+v.Y*v.Y
	o := Point{(v.Y*uu - u.Y*vv) / det, (u.X*vv - v.X*uu) / det}
	return Point{a.X + o.X, a.Y + o.Y}, math.Hypot(o.X, o.Y), true
}
