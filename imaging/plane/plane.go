// Package plane turns the targets of a card into the map between pixels and millimetres
// on the sheet, with its covariance.
//
// [Solve] fits a camera to the edges of the printed rings; the [Plane] it gives maps both
// ways at any height over the sheet, and tells how far to trust the map at each point.
//
// The method is maximum a posteriori: the rings' projected circles over sub-pixel edge
// points found in linear light, with weak priors on the camera. It fits the circles' own
// images, so the centre of a circle's image is never taken for the image of its centre.
package plane

import (
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
)

// The unknowns of the fit, in this order.
const (
	pRot    = 0 // rotation vector, 3, radians, on top of a reference rotation
	pPos    = 3 // the card's middle in the camera, 3, mm
	pLogF   = 6 // logarithm of the focal length in px
	pCx     = 7 // principal point, px
	pCy     = 8
	pK1     = 9  // radial distortion
	pGain   = 10 // ink gain: how far every printed border is shifted toward the white, mm
	nParams = 11
)

// What a plane depends on that the photo does not tell.
const (
	sScaleX = 0
	sScaleY = 1
	sThick  = 2
	nInputs = 3
)

// Options are what is known of the card and the camera before the fit.
type Options struct {
	// True size of the print over its nominal size along the card's x and y; 0 means 1.
	PrintScaleX, PrintScaleY float64
	// Standard uncertainties of these, relative. What both share moves them together: one
	// instrument measured both check lines. What each has by itself does not: a printer feeds
	// the paper by one mechanism and moves its head by another.
	PrintScaleU, PrintScaleAxisU float64
	// ThicknessMM is the height of the printed face over the sheet; its standard uncertainty.
	ThicknessMM, ThicknessU float64
	// FocalPriorPx is the focal length by EXIF in px, 0 where unknown; FocalPriorRel is its
	// relative standard uncertainty, 0 for the usual one (3.5 % with EXIF, 25 % without).
	FocalPriorPx, FocalPriorRel float64
}

// Plane is the map between the picture and the sheet.
type Plane struct {
	Camera  geom.Camera
	Layout  *card.Layout
	Options Options // as used, defaults filled in
	Targets []TargetFit

	InkGainMM float64 // the print's gain, mm on each border
	// RMS of the edge points' distances from the fitted rings.
	ResidualPx float64
	// RingBlurPx is the standard deviation of the edge spread on the rings' borders, in
	// linear light, median over the borders; it holds the pixel's own width. Above about
	// 0.17 mm it reads low, as the borders of the ring's line run into each other.
	RingBlurPx float64
	// Median levels of ink and paper on the card in linear light, 0 to 1.
	InkDark, PaperBright float64

	cov    [nParams * nParams]float64 // of the unknowns
	inputs [nParams * nInputs]float64 // change of the unknowns for a change of each input
	frame  frame                      // reference rotation and pivot of the unknowns
	x      [nParams]float64
}

// TargetFit is one target's part in the fit.
type TargetFit struct {
	Index  int // in Layout.Targets
	Used   bool
	Points int
	RMSPx  float64
	// LeaveOutMM is how far the target's image lies from where the others alone put it, in
	// mm on the card; a covered, lifted or glaring target stands out here. NaN if not used.
	LeaveOutMM float64
	CentrePx   geom.PxPoint // image of the target's middle
}

// ToPx gives the pixel at which the point p at height zMM is seen.
func (pl *Plane) ToPx(p geom.SheetPoint, zMM float64) geom.PxPoint { return pl.Camera.Project(p, zMM) }

// CardToSheet gives the true place of a printed point.
func (pl *Plane) CardToSheet(p geom.CardPoint) geom.SheetPoint {
	return geom.SheetPoint{X: pl.Options.PrintScaleX * p.X, Y: -pl.Options.PrintScaleY * p.Y}
}

// SheetToCard gives the printed point that lies over p.
func (pl *Plane) SheetToCard(p geom.SheetPoint) geom.CardPoint {
	return geom.CardPoint{X: p.X / pl.Options.PrintScaleX, Y: -p.Y / pl.Options.PrintScaleY}
}

// OnCard tells whether p lies on the card's paper or within marginMM of it; a negative
// margin asks for points at least that far inside. The window is not paper.
func (pl *Plane) OnCard(p geom.SheetPoint, marginMM float64) bool {
	// The print scale is within a few per cent of 1, so printed distances serve.
	return pl.Layout.DepthMM(pl.SheetToCard(p)) > -marginMM
}

// TiltDeg is the angle between the camera's axis and the sheet's normal.
func (pl *Plane) TiltDeg() float64 { return pl.Camera.TiltDeg() }

// MiddleMM gives the middle of the card's used targets on the sheet.
func (pl *Plane) MiddleMM() geom.SheetPoint {
	var c geom.SheetPoint
	n := 0.0
	for _, t := range pl.Targets {
		if t.Used {
			c = c.Add(pl.CardToSheet(pl.Layout.Targets[t.Index].At))
			n++
		}
	}
	return c.Scale(1 / n)
}

// DistanceMM is the distance from the camera's centre to the middle of the card.
func (pl *Plane) DistanceMM() float64 {
	x, y, z := pl.Camera.Centre()
	m := pl.MiddleMM()
	return math.Sqrt((x-m.X)*(x-m.X) + (y-m.Y)*(y-m.Y) + z*z)
}

// PxPerMM is the scale on the sheet at the middle of the card.
func (pl *Plane) PxPerMM() float64 { return pl.Camera.PxPerMM(pl.MiddleMM(), 0) }

// UsedCount gives the number of targets in the fit.
func (pl *Plane) UsedCount() int {
	n := 0
	for _, t := range pl.Targets {
		if t.Used {
			n++
		}
	}
	return n
}
