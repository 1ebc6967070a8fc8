package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
)

const (
	// bandRho is the number of steps across a band.
	bandRho = 48
	// How far the band reaches to either side, in shares of the usual radius: beyond what a
	// first look errs by, and enough to tell a shadow that goes on from a rim that does not.
	bandReach = 0.2
)

// band is the sheet along a contour that is known roughly, straightened: a direction is that
// of the contour's normal, column k of its patch lies off(k) outward of the contour.
type band struct {
	*patch
	contour []geom.SheetPoint // 2 polarPhi points; row i starts at the (2 i)-th
}

func (b *band) offMM(k float64) float64 { return (k - (bandRho-1)/2.0) * b.stepMM }

// at is the point on the sheet at row i of the network's, column k.
func (b *band) at(i int, k float64) geom.SheetPoint {
	sn, cs := math.Sincos(netDirection(i))
	return b.contour[4*i+1].Add(geom.SheetPoint{X: cs, Y: sn}.Scale(b.offMM(k)))
}

// straighten samples the picture along the contour that a head of outline o and height
// heightMM would show.
func straighten(pic *raster.Picture, cam *geom.Camera, o *Outline, prof *Profile, heightMM, rNomMM float64) *band {
	mid := o.Centre.Add(cam.ViewSlope(o.Centre).Scale(0.45 * heightMM))
	b := &band{newPatch(pic, cam, mid, 2*bandReach*rNomMM/(bandRho-1), bandRho), o.Contour(prof, heightMM, cam, 2*polarPhi)}
	for i := range polarPhi {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / polarPhi)
		n := geom.SheetPoint{X: cs, Y: sn}
		b.sample(i, cam, 16, func(k float64) geom.SheetPoint { return b.contour[2*i].Add(n.Scale(b.offMM(k))) })
	}
	b.relate()
	return b
}
