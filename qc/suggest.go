package qc

import (
	"math"
	"slices"
)

// Disposition says what is to be done about a finding.
type Disposition string

// The dispositions; the last two are the inspector's own.
const (
	DrillOut  Disposition = "drill out"
	Keep      Disposition = "keep"
	ReMeasure Disposition = "re-measure"
	Refer     Disposition = "refer to the designer"
	Confirmed Disposition = "confirmed"
	Rejected  Disposition = "rejected"
)

// Dispositions lists all in the order in which they are shown.
var Dispositions = []Disposition{DrillOut, Keep, ReMeasure, Refer, Confirmed, Rejected}

// PhotoCaution stands beside every verdict.
const PhotoCaution = "A photo can't prove that a rivet is sound. The aircraft's own drawings and manual come first, " +
	"then the local authority's rules; an inspector who looks at the part confirms."

// AnswersVerdict is what the answers to the visual questions amount to: the worst verdict of
// those whose fault was seen; "" where none was.
func AnswersVerdict(answers []Answer) Verdict {
	var worst Verdict
	for _, a := range answers {
		for _, q := range Questions {
			if q.ID == a.Question && a.Seen == Yes {
				worst = Worst(worst, q.Verdict)
			}
		}
	}
	return worst
}

// onePhotoMore is how far from the limit a value must lie, in U, so that one more photo may decide:
// of two photos fitted together U is no less than U/√2 of one alone, for what both have in common
// does not shrink.
const onePhotoMore = 1 / math.Sqrt2

// Settle says what would settle a check that can't tell; "" for any other.
func (c Check) Settle() string {
	switch {
	case c.Verdict != TooClose:
		return ""
	case c.byShank():
		return "measure from the manufactured head or the empty hole"
	case c.Reading.How == ByGauge:
		return "keep it with a reason, or ask the designer"
	}
	by := "use calipers"
	switch c.Limit.Quantity {
	case HoleDMin:
		by = "use a go pin of " + pinWords(c.Limit.MinMM) + ", which must enter, or calipers"
	case HoleDMax:
		by = "use a no-go pin of " + pinWords(c.Limit.MaxMM) + ", which must not enter, or calipers"
	case HoleDMean:
		by = "use a go / no-go pin or calipers"
	}
	switch off := math.Abs(c.Reading.ValueMM - c.bound()); {
	case c.Reading.LessMM > 0 && c.Reading.Quantity != Pitch && off > c.UMM:
		return "mark the faint line on the photo if it is the edge, or " + by
	case c.Reading.LessMM > 0 && c.Reading.Quantity == Pitch && off > c.UMM:
		return "tap the neighbour on the photo, or " + by
	case len(c.Added) == 0 && off > onePhotoMore*c.UMM:
		return "one more photo from another side, or " + by
	}
	return by
}

// bound is the side of the limit that the value lies nearest to.
func (c Check) bound() float64 {
	min, max := c.Limit.MinMM, c.Limit.MaxMM
	if max <= 0 || min > 0 && math.Abs(c.Reading.ValueMM-min) < math.Abs(c.Reading.ValueMM-max) {
		return min
	}
	return max
}

// byShank tells that a check is too close only because the shank may stand off its driven head's
// centre.
func (c Check) byShank() bool {
	return c.Verdict == TooClose && len(c.Added) > 0 && Judge(c.Reading, c.Limit).Verdict != TooClose
}

// Suggest proposes what is to be done; the builder decides. seen is what the answers to the visual
// questions amounted to. "" means that nothing was judged.
//
// A rivet is drilled out for what a new rivet can cure: not for its edge distance or pitch, nor
// for the wrong hole, which go to the designer once they are measured and not only planned, and a driven head that is too narrow not before its
// height says that it can't be driven further. What is too close is measured by hand; where a
// hand has measured it and it is too close still, measuring once more settles nothing, and
// somebody has to decide.
func Suggest(k Kind, checks []Check, seen Verdict) Disposition {
	v := seen
	for _, c := range checks {
		v = Worst(v, c.Verdict)
	}
	switch v {
	case Within:
		return Keep
	case TooClose:
		if seen == TooClose {
			return ReMeasure
		}
		for _, c := range checks {
			if c.Verdict == TooClose && c.Reading.How != ByGauge {
				return ReMeasure
			}
		}
		return Refer
	case Out:
	default:
		return ""
	}
	outs, planned := outOf(checks, seen)
	switch {
	case planned:
		return ReMeasure
	case worstOf(outs, distance) != nil, k == Hole:
		return Refer
	case k == ShopHead && drivenOf(checks, seen).measureFirst():
		return ReMeasure
	}
	return DrillOut
}

// outOf lists the checks that are out. What was only laid out so counts where nothing else is out:
// planned then says that nobody has measured it yet.
func outOf(checks []Check, seen Verdict) (outs []Check, planned bool) {
	outs = slices.DeleteFunc(slices.Clone(checks), func(c Check) bool { return c.Verdict != Out })
	measured := slices.DeleteFunc(slices.Clone(outs), func(c Check) bool { return c.Reading.How == ByLayout })
	if len(measured) > 0 || seen == Out {
		return measured, false
	}
	return outs, len(outs) > 0
}
