package contour

import (
	"math"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

// What is looked at within a hole and beyond the widest chamfer, as fractions of its radius, and by how
// much of the difference between bore and sheet the one may differ from the other. A bore that differs
// by less than a third of a stop of light, or the like in colour, tells nothing.
const (
	boreFrom, boreTo     = 0.55, 0.8
	onwardFrom, onwardTo = 1.2, 1.4
	onwardAlike          = 0.7
	leastContrast        = 0.15
)

// OnwardDeg gives the angle over which what is seen in a hole goes on well beyond its outline o: into a
// second hole that was drilled into it.
func OnwardDeg(pic *raster.Picture, cam *geom.Camera, o *outline.Outline) float64 {
	p := unwrap(pic, cam, o.Centre, o.RMM)
	type colour [3]float64
	off := func(a, b colour) float64 { return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]) }
	// between calls f with what is seen in direction i from one to another fraction of the radius there.
	between := func(i int, from, to float64, f func(colour)) {
		phi := 2 * math.Pi * float64(i) / polarPhi
		r := o.RMM + o.A2*math.Cos(2*phi) + o.B2*math.Sin(2*phi)
		column := func(f float64) int { return int(math.Round((f*r - p.rho(0)) / p.stepMM)) }
		for k := max(column(from), 0); k <= min(column(to), polarRho-1); k++ {
			j := i*polarRho + k
			f(colour{0.5 * float64(p.lum[j]), 6 * float64(p.rg[j]), 6 * float64(p.gb[j])}) // as the networks weigh them
		}
	}
	var seen [3][]float64
	for i := range polarPhi {
		between(i, boreFrom, boreTo, func(c colour) {
			for k := range c {
				seen[k] = append(seen[k], c[k])
			}
		})
	}
	bore := colour{fit.UpperMedian(seen[0]), fit.UpperMedian(seen[1]), fit.UpperMedian(seen[2])}
	contrast := off(bore, colour{}) // the sheet is the reference
	if contrast < leastContrast {
		return 0
	}
	most, run := 0, 0
	for i := range 2 * polarPhi { // twice round: a run may go across the first direction
		on := p.cov[i%polarPhi]
		between(i%polarPhi, onwardFrom, onwardTo, func(c colour) { on = on && off(c, bore) < onwardAlike*contrast })
		if run++; !on {
			run = 0
		}
		most = max(most, run)
	}
	return 360 * float64(min(most, polarPhi)) / polarPhi
}
