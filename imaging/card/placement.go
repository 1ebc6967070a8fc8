package card

import (
	"math"
	"slices"

	"bucktail/imaging/fit"
)

// homography fits the map from card millimetres to pixels over the rings that agree.
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

// adoptMM is how near to a target's place a ring is that target's: a sixth of the smallest
// pitch.
const adoptMM = 1.5

// adopt gives targets that no link reached the ring that lies where the homography puts
// them. It tells whether any was.
func (h *hypothesis) adopt(rings []ring, m *fit.H) bool {
	any := false
	for k, t := range h.layout.Targets {
		if h.ring[k] >= 0 {
			continue
		}
		p := m.Apply(fit.Point(t.At))
		ux, uy, vx, vy := m.Jacobian(fit.Point(t.At))
		det := math.Abs(ux*vy - uy*vx)
		for r := range rings {
			dx, dy := rings[r].x-p.X, rings[r].y-p.Y
			if dx*dx+dy*dy > adoptMM*adoptMM*det || slices.Contains(h.ring, r) {
				continue
			}
			area := 4 * math.Sqrt(rings[r].xx*rings[r].yy-rings[r].xy*rings[r].xy)
			if want := RingOuterRadiusMM * RingOuterRadiusMM * det; area > 0.6*want && area < 1.6*want {
				h.ring[k] = r
				any = true
				break
			}
		}
	}
	return any
}

// dropWorst takes from its target the ring that lies farthest from where the homography puts
// it, if it is far: a stroke or a shadow has grown into its blob. The target may still show
// as a ring at the predicted place. At least six rings are kept.
func (h *hypothesis) dropWorst(rings []ring, m *fit.H) bool {
	worst, far := -1, 0.0
	n := 0
	var all []float64
	for k, r := range h.ring {
		if r < 0 {
			continue
		}
		n++
		p := m.Apply(fit.Point(h.layout.Targets[k].At))
		ux, uy, vx, vy := m.Jacobian(fit.Point(h.layout.Targets[k].At))
		d := math.Hypot(rings[r].x-p.X, rings[r].y-p.Y) / math.Sqrt(math.Abs(ux*vy-uy*vx))
		all = append(all, d)
		if d > far {
			worst, far = k, d
		}
	}
	if n <= minSeen || far < strayMM || far < 4*fit.Median(all) {
		return false
	}
	h.ring[worst] = -1
	return true
}
