package measure

import (
	"fmt"
	"math"

	"bucktail/imaging/fastener"
	"bucktail/qc"
)

// Where the program asks instead of guessing. A wrong contour is a gross error that no
// uncertainty covers, so each of these is a sign that the contour may be the wrong one, or
// that the photo is too poor for this head. Set on rendered photos; see
// testdata/training/README.md.
const (
	askProbability = 0.5   // that such a fastener stands there at all
	askClear       = 0.80  // mean fraction of the likelihood on one contour
	askSupport     = 0.70  // of the directions agree with the outline
	askRMS         = 1.2   // how far the agreeing ones scatter, in their own u
	askChange      = 0.025 // the looks differ by this fraction of the diameter
	askOutside     = 0.12  // that a hole reaches beyond its outline on some side, more than all round
	askOnwardDeg   = 30    // of its rim is not there: a second hole was drilled into it
	askPixels      = 20    // pixels across a head
	askSlope       = 0.62  // tangent of the view angle: 32°
	askSlopeFlat   = 0.8   // 39°, of what doesn't stand up
)

// whyAsk tells why a fastener is not measured without help, nil if it is.
func whyAsk(f *fastener.Fastener, opt *Options) *qc.Refusal {
	if f.Placed {
		return nil
	}
	const tap = "tap its middle and drag the outline, or use calipers"
	slope := askSlope
	if f.HeightMM == 0 {
		slope = askSlopeFlat
	}
	switch {
	case f.PxPerMM*2*f.RMM < askPixels:
		return &qc.Refusal{Code: "coarse", Text: fmt.Sprintf("only %.0f pixels across", f.PxPerMM*2*f.RMM), Do: "move closer and take the photo again"}
	case f.Slope > slope:
		return &qc.Refusal{Code: "steep", Text: "seen at too steep an angle", Do: "hold the phone directly above it, parallel to the sheet, and take the photo again"}
	case f.Probability < askProbability && !f.Tapped:
		return &qc.Refusal{Code: "unsure", Text: fmt.Sprintf("this may or may not be a %s", words[opt.Kind]), Do: "tap it if it is one"}
	case f.Clear < askClear, f.Support < askSupport, f.RMS > askRMS:
		return &qc.Refusal{Code: "unclear-outline", Text: "its outline does not stand out clearly all the way round", Do: "change the light or move directly above it, and take the photo again; or " + tap}
	case f.Change > askChange*f.MeanD():
		return &qc.Refusal{Code: "two-outlines", Text: "two different outlines are possible", Do: "change the light and take the photo again; or " + tap}
	case f.Outside > askOutside, f.OnwardDeg > askOnwardDeg:
		return &qc.Refusal{Code: "may-be-oblong", Text: "it may be oblong or drilled twice: on one side it seems to reach beyond its outline", Do: "look whether it is round; change the light and take the photo again; or " + tap}
	}
	return nil
}

// farU is what the card's fit, scale and thickness may add to a diameter's expanded uncertainty,
// mm, before it is asked about: as much as a good photo's outline does.
const farU = 0.10

// tooFar tells, of a diameter's budget, whether the card lies too far off for it.
func tooFar(contributions []qc.Contribution) *qc.Refusal {
	var sum float64
	for _, c := range contributions {
		sum += c.UMM * c.UMM
	}
	if 2*math.Sqrt(sum) <= farU {
		return nil
	}
	return &qc.Refusal{Code: "far", Text: "too far from the card to be measured well", Do: "lay the card nearer and take the photo again"}
}
