package feature

import (
	"math"

	"bucktail/imaging/geom"
)

// roundStart finds the circle that most silhouette sightings agree on, as they lie on the
// sheet's plane: circles through three sightings spread round it, each scored by how many
// others it passes within tolMM. A long stretch of shadow can pull a least squares start
// into a wrong valley; it can't win a count.
//
// Source: M. A. Fischler, R. C. Bolles, Communications of the ACM 24 (1981) 381-395, with
// all spread triples of a coarse grid in place of random ones.
func roundStart(pts []sighting, minRMM, maxRMM, tolMM float64) (c geom.SheetPoint, rMM float64, ok bool) {
	var q []geom.SheetPoint
	for _, s := range pts {
		if !s.flat {
			q = append(q, s.at)
		}
	}
	n := len(q)
	if n < 8 {
		return c, 0, false
	}
	best := 0.0
	third := n / 3
	for i := range n {
		for j := i + n/6; j < i+n/2; j += max(1, n/10) {
			for k := j + n/6; k < min(j+n/2, i+n-n/6); k += max(1, n/10) {
				p, r, fine := circleThrough(q[i], q[j%n], q[k%n])
				if !fine || r < minRMM || r > maxRMM {
					continue
				}
				score := agreement(q, p, r, tolMM, best)
				if score > best {
					best, c, rMM = score, p, r
				}
			}
		}
	}
	return c, rMM, best > float64(third)
}

// agreement counts how many of q the circle about p passes within tolMM, each the less the
// farther off it lies. What can't come up to atLeast is not counted to its end.
func agreement(q []geom.SheetPoint, p geom.SheetPoint, rMM, tolMM, atLeast float64) float64 {
	// Squares tell what lies too far off, but for what rounding might decide.
	const sure = 1e-9
	in, out := max(rMM-tolMM, 0), rMM+tolMM
	in2, out2 := in*in*(1-sure), out*out*(1+sure)
	score := 0.0
	for i, s := range q {
		d := s.Sub(p)
		if d2 := d.X*d.X + d.Y*d.Y; d2 < in2 || d2 > out2 {
			if score+float64(len(q)-i-1) < atLeast-sure {
				return score
			}
			continue
		}
		t := (d.Norm() - rMM) / tolMM
		if t2 := t * t; t2 < 1 {
			score += 1 - t2
		}
	}
	return score
}

func circleThrough(a, b, c geom.SheetPoint) (geom.SheetPoint, float64, bool) {
	u, v := b.Sub(a), c.Sub(a)
	det := 2 * (u.X*v.Y - u.Y*v.X)
	if math.Abs(det) < 1e-9 {
		return a, 0, false
	}
	uu, vv := u.Dot(u), v.Dot(v)
	o := geom.SheetPoint{X: (v.Y*uu - u.Y*vv) / det, Y: (u.X*vv - v.X*uu) / det}
	return a.Add(o), o.Norm(), true
}
