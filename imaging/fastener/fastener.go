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
	HeightMM    float64 // as fitted or assumed
	Probability float64 // that a fastener of the wanted kind stands there
	Clear       float64 // 0 to 1: how far each direction shows one contour only
	Support     float64 // fraction of the directions that agree with the outline
	RMS         float64 // of the agreeing observations, in units of their u
	Change      float64 // mm: how far two looks from different centres disagree in diameter
	DifferMM    float64 // how far the two closest looks disagree in diameter
	SpreadMM    float64 // mean standard deviation of the contour's place in a direction, as the first of them sees it
	// Of a hole: how much likelier it reaches beyond the outline on some side than all round, and over what
	// angle what is seen in it goes on there.
	Outside, OnwardDeg float64
	Cov                [5][5]float64 // of Centre X, Y, RMM, A2, B2, mm²
	Slope              float64       // tangent of the view angle
	PxPerMM            float64
	Tapped             bool // the builder pointed at it
	Placed             bool // the builder placed its outline
	// Of one that was placed: what the hand's marks alone say, from 0 (the picture shows an edge where
	// they are) to 1 (none near them).
	ByMarks float64
	Contour []geom.SheetPoint // the silhouette as seen on the sheet's plane
	// What the outline was fitted to, on the sheet's plane; none of one that was placed.
	Observations []outline.Observation
}
