// Package outline knows the form of fasteners: the side view of each kind, the outline that a
// head shows on the sheet's plane from where the camera stands, and the head that fits the
// edge observations best. Everything is in sheet millimetres; it sees no pictures.
// Start with [ProfileOf] and [Fit].
package outline

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// Profile is the side view of a head, in fractions of its own sizes: where it is widest and
// how its radius falls off above and below. A hole or a flush head has no height.
type Profile struct {
	HeightD  float64 // height in nominal shank diameters D
	UHeightD float64 // standard scatter of it, in D
	Widest   float64 // height of the widest place, as a fraction of the height
	UWidest  float64 // standard scatter of it
	FootR    float64 // radius at the sheet, as a fraction of the widest
	TopR     float64 // radius at the top of the side (a driven head's flat, a dome's rim)
	TypicalD float64 // usual diameter in D: where the search is centred
	MinD     float64 // least and greatest diameter looked for, in D
	MaxD     float64
}

// ProfileOf gives the side view that is assumed of a kind.
//
// A driven head is a barrel, about 0.5 D high (the 1.5 D × 0.5 D rule, FAA-H-8083-31
// ch. 4). Height and widest place are those of 39 driven heads of rendered photos, 0.488 ± 0.077 D
// and 0.407 of it; how far the radius falls to the flat and the foot is common practice. How that
// and the widest place scatter is as in workshop scenes of package synth. A made dome
// meets the sheet in a rim about a tenth of D high (NASM20470, ISO 15977: from memory),
// so its near side is seen at the sheet and its far side at the rim.
func ProfileOf(k qc.Kind) Profile {
	switch k {
	case qc.ShopHead:
		return Profile{0.49, 0.08, 0.41, 0.10, 0.935, 0.91, 1.45, 1.2, 1.82}
	case qc.UniversalHead:
		return Profile{0.10, 0.02, 0.5, 0.2, 1, 1, 2.0, 1.85, 2.15}
	case qc.PulledHead:
		return Profile{0.08, 0.02, 0.5, 0.2, 1, 1, 2.0, 1.75, 2.25}
	case qc.FlushHead:
		return Profile{0, 0, 0, 0, 1, 1, 1.8, 1.62, 1.98}
	default:
		return Profile{0, 0, 0, 0, 1, 1, 1.04, 0.94, 1.22}
	}
}

// SeenHeight is the fraction of a head's height at which its axis lies where the middle of its
// outline is seen: between its foot's near side and its rim's far side.
const SeenHeight = 0.45

// radius gives the radius at height z as a fraction of the widest, z as a fraction of the height.
func (p *Profile) radius(z float64) float64 {
	if p.HeightD == 0 || (p.FootR == 1 && p.TopR == 1) {
		return 1
	}
	if z < p.Widest {
		t := (p.Widest - z) / p.Widest
		return 1 - (1-p.FootR)*t*t
	}
	t := (z - p.Widest) / (1 - p.Widest)
	return 1 - (1-p.TopR)*t*t
}

// Silhouette gives the support of the outline that a head shows on the sheet's plane, and
// its derivative by the head's radius.
//
// A circle of radius r at height z over the axis point is seen on the sheet as a circle of
// radius r (1 + z/Cz) about the axis point + z d, d the view slope there; the outline is
// the hull of all of them, so in direction n
//
//	s(n) = max over z of  r(z) (1 + z/Cz) + z d·n.
//
// dn is d·n, heightMM the head's height, czMM the camera's height, rMM the widest radius.
// It returns s in mm and the height z at which the maximum lies.
func (p *Profile) Silhouette(rMM, heightMM, dn, czMM float64) (sMM, zMM float64) {
	if heightMM == 0 {
		return rMM, 0
	}
	// The maximum of a quadratic on either side of the widest place, by its zero slope.
	best, bz := math.Inf(-1), 0.0
	try := func(z float64) {
		z = min(max(z, 0), heightMM)
		s := rMM*p.radius(z/heightMM)*(1+z/czMM) + z*dn
		if s > best {
			best, bz = s, z
		}
	}
	try(0)
	try(heightMM)
	zw := p.Widest * heightMM
	slope := dn + rMM/czMM
	if k := (1 - p.TopR) * rMM / ((heightMM - zw) * (heightMM - zw)); k > 0 && slope > 0 {
		try(zw + slope/(2*k))
	}
	if k := (1 - p.FootR) * rMM / (zw * zw); k > 0 && slope < 0 {
		try(zw + slope/(2*k))
	}
	if p.FootR < 1 {
		try(zw)
	}
	return best, bz
}

// leaning is [Profile.Silhouette] in direction n for a head whose sections rise by tilt, mm for a mm
// along X and Y, from where its axis is seen at its widest place; d is the view slope.
func (p *Profile) leaning(rMM, heightMM float64, n, tilt, d geom.SheetPoint, czMM float64) (sMM, zMM float64) {
	tn := tilt.Dot(n)
	s, z := p.Silhouette(rMM*foreshortening(n, tilt, d), heightMM, d.Dot(n)-tn, czMM)
	return s + p.Widest*heightMM*tn, z
}

// foreshortening is how wide a circle in a plane that rises by tilt is seen in direction n where the
// view slope is d, over its radius. It is good to the square of the tilt.
func foreshortening(n, tilt, d geom.SheetPoint) float64 {
	return n.Add(tilt.Scale(d.Dot(n) - tilt.Dot(n)/2)).Norm()
}

// Outline is the place, size and form of one fastener's widest outline, seen square from
// above: R(φ) = RMM + A2 cos 2φ + B2 sin 2φ about Centre, sheet frame, mm.
type Outline struct {
	Centre geom.SheetPoint // of the widest outline, dropped square onto the sheet
	RMM    float64
	A2, B2 float64
}

// MeanD is the mean diameter, mm.
func (o *Outline) MeanD() float64 { return 2 * o.RMM }

// MaxD is the greatest diameter, mm.
func (o *Outline) MaxD() float64 { return 2*o.RMM + 2*math.Hypot(o.A2, o.B2) }

// Contour gives n points of the outline as it is seen on the sheet's plane from camera
// cam, for a head of the given profile and height.
func (o *Outline) Contour(p *Profile, heightMM float64, cam *geom.Camera, n int) []geom.SheetPoint {
	pts := make([]geom.SheetPoint, n)
	for i := range pts {
		pts[i] = o.Seen(p, heightMM, cam, 2*math.Pi*float64(i)/float64(n))
	}
	return pts
}

// Seen gives the point of [Outline.Contour] that lies farthest out in direction phi, rad.
func (o *Outline) Seen(p *Profile, heightMM float64, cam *geom.Camera, phi float64) geom.SheetPoint {
	const h = 1e-3
	sn, cs := math.Sincos(phi)
	v, dv := o.Support(p, heightMM, cam, phi), (o.Support(p, heightMM, cam, phi+h)-o.Support(p, heightMM, cam, phi-h))/(2*h)
	return geom.SheetPoint{X: o.Centre.X + v*cs - dv*sn, Y: o.Centre.Y + v*sn + dv*cs}
}

// Support gives how far what is seen of the outline on the sheet's plane reaches in direction
// phi, rad, from Centre, mm.
func (o *Outline) Support(p *Profile, heightMM float64, cam *geom.Camera, phi float64) float64 {
	d := cam.ViewSlope(o.Centre)
	_, _, cz := cam.Centre()
	sn, cs := math.Sincos(phi)
	r := o.RMM + o.A2*math.Cos(2*phi) + o.B2*math.Sin(2*phi)
	v, _ := p.Silhouette(r, heightMM, d.X*cs+d.Y*sn, cz)
	return v
}
