// Package fastener finds the fasteners of one kind and size on a sheet and measures their
// outlines. In go a picture (px), the camera over the sheet, the kind and the nominal
// diameter; out come outlines in sheet millimetres as they are seen square from above, each
// with its covariance and with what tells how sure it is. It knows no edges, no limits and
// no readings. Places come from package places, what a look at a place shows from contour,
// the outline through that from outline. Start with [Find].
package fastener

import (
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
	"bucktail/qc"
)

// Options say what to look for.
type Options struct {
	Kind      qc.Kind
	NominalMM float64                    // shank diameter, mm
	OnCard    func(geom.SheetPoint) bool // the printed card: nothing is looked for there
	Around    rectified.Box              // where on the sheet to look, mm
	Taps      []geom.SheetPoint          // places that the builder pointed at
	Only      bool                       // look at the taps alone
}

// Fastener is one fastener found: its outline, and how sure the finding is.
type Fastener struct {
	outline.Outline
	HeightMM    float64       // as fitted or assumed
	Probability float64       // that a fastener of the wanted kind stands there
	Clear       float64       // 0 to 1: how far each direction shows one contour only
	Support     float64       // fraction of the directions that agree with the outline
	RMS         float64       // of the agreeing observations, in units of their u
	Change      float64       // mm: how far two looks from different centres disagree in diameter
	Cov         [5][5]float64 // of Centre X, Y, RMM, A2, B2, mm²
	Slope       float64       // tangent of the view angle
	PxPerMM     float64
	Tapped      bool              // the builder pointed at it
	Placed      bool              // the builder placed its outline
	Contour     []geom.SheetPoint // the silhouette as seen on the sheet's plane
	// What the outline was fitted to, on the sheet's plane; none of one that was placed.
	Observations []outline.Observation
}

// Handles are two places on the photo that stand for the outline, px: its centre and a point of
// its rim at the mean radius, both at the height where it is widest. [Placed] of them is a circle
// of that centre and diameter.
func (f *Fastener) Handles(cam *geom.Camera, kind qc.Kind, nominalMM float64) (centrePx, rimPx geom.PxPoint) {
	p := outline.ProfileOf(kind)
	z := p.Widest * p.HeightD * nominalMM
	return cam.Project(f.Centre, z), cam.Project(f.Centre.Add(geom.SheetPoint{X: f.MeanD() / 2}), z)
}

// Placed is a fastener whose outline a person placed: the centre and a point of
// the rim, px, of the outline where it is widest. ok is false where the two say nothing.
func Placed(cam *geom.Camera, kind qc.Kind, nominalMM float64, centrePx, rimPx geom.PxPoint) (f Fastener, ok bool) {
	p := outline.ProfileOf(kind)
	h := p.HeightD * nominalMM
	z := p.Widest * h // where Handles has them
	c, r := cam.ToSheet(centrePx, z), cam.ToSheet(rimPx, z)
	radius := r.Sub(c).Norm()
	if !(radius > 0.2*nominalMM && radius < 3*nominalMM) { // no rivet's head or hole by far
		return f, false
	}
	f = Fastener{Outline: outline.Outline{Centre: c, RMM: radius}, HeightMM: h,
		Probability: 1, Clear: 1, Support: 1, Slope: cam.ViewSlope(c).Norm(), PxPerMM: cam.PxPerMM(c, z), Placed: true}
	f.Contour = f.Outline.Contour(&p, h, cam, 64)
	return f, true
}
