// Package sheetedge finds the straight edges of the top sheet near fasteners. In go a picture
// (px), the camera over the sheet, a rectified view and the fasteners' outlines (sheet, mm);
// out come lines on the sheet's plane (mm), each at the sheet's vertical face, with the
// uncertainty of its place and direction, and from them the edge distances of a fastener. It
// knows no limits and no readings. What may be an edge comes from package lines, is followed
// along a strip and placed by its rim; cover says what hides the sheet.
// Start with [Find] and [Distances].
package sheetedge

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/qc"
)

// Edge is one straight edge of the top sheet, as a line on the sheet plane.
type Edge struct {
	P0, P1     geom.SheetPoint // ends of the seen support
	P0Px, P1Px geom.PxPoint    // where those are seen
	// Strength is the contrast of the line, summed over its length, in standard deviations
	// of what chance alignments give in the same strip of the photo.
	Strength float64
	// Tapped: the user pointed at this edge.
	Tapped bool
	// Warnings say where the photo can't tell that nothing lies nearer.
	Warnings []string

	// The line's own standard uncertainty: square to itself at its middle, and of its angle.
	uMidMM, uAngleRad float64
	contributions     []qc.Contribution
	logit             float64 // that the sheet ends there, by a look along it
	// How far beyond P0 and P1 the line may be taken to run, because what lies there is hidden.
	ext0MM, ext1MM float64
	// Whether the support ends in the open, with nothing in sight that ends it.
	open0, open1 bool
}

// At gives the distance from p to the line in mm and its standard uncertainty.
func (e *Edge) At(p geom.SheetPoint) (distanceMM, uMM float64) {
	dir, n := e.axes()
	q := p.Sub(e.P0)
	mid := e.P1.Sub(e.P0).Norm() / 2
	return math.Abs(q.Dot(n)), math.Hypot(e.uMidMM, e.uAngleRad*(q.Dot(dir)-mid))
}

// Foot gives the point of the line nearest to p.
func (e *Edge) Foot(p geom.SheetPoint) geom.SheetPoint {
	dir, _ := e.axes()
	return e.P0.Add(dir.Scale(p.Sub(e.P0).Dot(dir)))
}

// Contributions lists the labelled parts of the uncertainty that At gives for p.
func (e *Edge) Contributions(p geom.SheetPoint) []qc.Contribution {
	dir, _ := e.axes()
	mid := e.P1.Sub(e.P0).Norm() / 2
	return append(slices.Clone(e.contributions),
		qc.Contribution{Label: "edge: direction", UMM: e.uAngleRad * math.Abs(p.Sub(e.P0).Dot(dir)-mid)})
}

func (e *Edge) axes() (dir, n geom.SheetPoint) {
	d := e.P1.Sub(e.P0)
	dir = d.Scale(1 / d.Norm())
	return dir, geom.SheetPoint{X: -dir.Y, Y: dir.X}
}

// How strong a line has to be, in standard deviations of what chance alignments give, and how
// long. Tuned on the bundled photos and on drawn scenes: TestEdgesOfRenderedPhotos,
// TestFaintJointGoesBeforeTheStrongEdgeBehind and TestWhatIsNoEdge would notice.
const (
	minSupportMM = 5.0 // shorter lines are text, scratches, corners
	minTappedMM  = 3.0 // of a line that the user pointed at
	faintEdgeZ   = 5.0 // fainter lines are not even kept as unsure
	faintNearZ   = 6.0 // a faint line that warns of a nearer edge; chance makes many below
	faintLongMM  = 10  // and what it or an unsure line has to be long: chance makes many shorter ones
	minEdgeZ     = 7.0 // chance lines reach 6 to 7 in brushed metal, true joints start there
	plainEdgeZ   = 12  // so plain that its pieces need no look of their own
	// An edge of a sheet ends at a corner, under something or out of sight. Scratches, brushing,
	// text and layout lines end in the open: each such end asks for this much more strength.
	openEndZ  = 3.5
	sureEdgeZ = minEdgeZ + 2*openEndZ // needs no other sign
)

// throughR is how near, in radii, a line passes the middle of a fastener that it runs through: as
// a layout line does, drawn or drilled somewhat off.
const throughR = 0.55

// leastDistance is what an edge keeps from a fastener's middle: what lies nearer runs through it
// or is its own outline, for which 5 % are left, or would leave a quarter of D of metal beside
// the hole.
func leastDistance(r geom.SheetCircle, nominalDMM float64) float64 {
	return max(0.95*r.RadiusMM, 0.75*nominalDMM)
}
