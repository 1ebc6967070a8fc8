package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

const (
	// polarRho is the number of steps outward of an unwrapped neighbourhood.
	polarRho = 64
	// From half to 1.6 times the usual radius: the whole range of sizes looked for, a
	// start that is off by a sixth of the radius, and enough sheet outside to compare with.
	polarFrom, polarTo = 0.5, 1.6
)

// polar is the neighbourhood of one fastener, unwrapped: column k of its patch lies rho(k)
// from the centre on the plane Z = 0.
type polar struct {
	*patch
	rNomMM float64
}

func (p *polar) rho(k float64) float64 { return p.rNomMM*polarFrom + k*p.stepMM }

// at is the point on the sheet at row i of the network's, column k.
func (p *polar) at(i int, k float64) geom.SheetPoint {
	sn, cs := math.Sincos(netDirection(i))
	r := p.rho(k)
	return geom.SheetPoint{X: p.centre.X + r*cs, Y: p.centre.Y + r*sn}
}

// unwrap samples the picture round centre on the sheet's plane.
func unwrap(pic *raster.Picture, cam *geom.Camera, centre geom.SheetPoint, rNomMM float64) *polar {
	p := &polar{newPatch(pic, cam, centre, rNomMM*(polarTo-polarFrom)/(polarRho-1), polarRho), rNomMM}
	for i := range polarPhi {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
		p.sample(i, cam, 9, func(k float64) geom.SheetPoint {
			r := p.rho(k)
			return geom.SheetPoint{X: centre.X + r*cs, Y: centre.Y + r*sn}
		})
	}
	p.relate()
	return p
}
