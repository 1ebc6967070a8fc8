// Package face looks along a line for the vertical face of the top sheet, where its edge is. In go
// a picture (px), the camera over the sheet and a frame along the line (mm on the sheet); out come
// places of the face in that frame, each with its standard uncertainty, and how likely it is that
// the sheet ends there at all. The photo is rectified along the line, and a small network looks at
// it. Start with [Along].
package face

import (
	_ "embed"
	"math"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/sheetedge/strip"
)

// LongestMM is how much of a line one look takes in.
const LongestMM = rows * rowMM

// The network has the shape of those that look along a head's contour; testdata/training/README.md
// says how it was trained.
//
//go:embed face.weights
var weights []byte

var lazy convnet.Lazy

// Look is what one look along a line gave.
type Look struct {
	Logit float64     // that the sheet ends along the line
	Fixes []strip.Fix // where, in the frame of the line
	Clear float64     // mean fraction of each row's likelihood that its best place holds
}

// How a row of the network's map is read, in columns.
const (
	reach         = 5    // what lies as near to the likeliest column is the same line
	leastFraction = 0.3  // of the likelihood that has to lie there
	leastSigma    = 0.25 // no place is surer: a column's rectangle has 0.29
)

// Along looks lengthMM, at most [LongestMM], along the middle of the frame's line. hides tells what
// of the sheet something lies on. ok is false where less than a quarter of the line is seen.
func Along(pic *raster.Picture, cam *geom.Camera, hides func(geom.SheetPoint) bool, at strip.Frame, lengthMM float64) (v Look, ok bool) {
	p := lay(pic, cam, hides, at, lengthMM)
	if p.seen < rows/4 {
		return v, false
	}
	ws := convnet.Borrow()
	defer ws.Return()
	maps, logit := lazy.Read(weights).See(ws, p.picture(ws), p.setting(cam), math.Inf(-1))
	v.Logit = logit
	for i := range rows {
		if p.hidden[i] {
			continue
		}
		col, sigma, fraction, _ := fit.Likeliest(maps.Row(0, i), 0, columns-1, reach)
		v.Clear += fraction / float64(p.seen)
		if fraction >= leastFraction && col > 0.5 && col < columns-1.5 { // clear, and not at the border
			v.Fixes = append(v.Fixes, strip.Fix{S: p.s(i), N: n(col), U: stepMM * math.Hypot(sigma, leastSigma) / fraction})
		}
	}
	return v, true
}
