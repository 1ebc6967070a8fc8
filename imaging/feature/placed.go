package feature

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// PlacedFastener is a fastener whose outline a person placed: the centre and a point of
// the rim, px, of the outline where it is widest. ok is false where the two say nothing.
func PlacedFastener(cam *geom.Camera, kind qc.Kind, nominalD float64, centrePx, rimPx geom.PxPoint) (f Fastener, ok bool) {
	p := ProfileOf(kind)
	h := p.HeightD * nominalD
	z := p.Widest * h
	c, r := cam.ToSheet(centrePx, z), cam.ToSheet(rimPx, z)
	radius := r.Sub(c).Norm()
	if !(radius > 0.2*nominalD && radius < 3*nominalD) {
		return f, false
	}
	f = Fastener{Outline: Outline{Centre: c, RMM: radius}, HeightMM: h,
		Probability: 1, Clear: 1, Support: 1, Slope: cam.ViewSlope(c).Norm(), PxPerMM: cam.PxPerMM(c, z), Placed: true}
	f.Contour = f.Outline.Contour(&p, h, cam, 64)
	return f, true
}

// PlacedEdge is a sheet edge that a person placed by two points (px), each good to uPx.
// ok is false where they lie closer together than 2 mm.
func PlacedEdge(cam *geom.Camera, p0Px, p1Px geom.PxPoint, uPx float64) (e Edge, ok bool) {
	a, b := cam.ToSheet(p0Px, 0), cam.ToSheet(p1Px, 0)
	l := b.Sub(a).Norm()
	if !(l >= 2) {
		return e, false
	}
	uMM := uPx / cam.PxPerMM(a.Add(b).Scale(0.5), 0)
	e = Edge{P0: a, P1: b, P0Px: p0Px, P1Px: p1Px, Tapped: true,
		uMidMM: uMM / math.Sqrt2, uAngleRad: math.Sqrt2 * uMM / l}
	e.contributions = []qc.Contribution{{Label: "edge placed by hand", UMM: uMM / math.Sqrt2}}
	return e, true
}
