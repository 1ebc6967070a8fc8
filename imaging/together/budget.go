package together

import (
	"math"

	"bucktail/imaging/measure"
	"bucktail/qc"
)

// commonVariance is the fraction of a contribution's variance that all photos of one place share, by
// the labels of package measure. What is not named is each photo's own: noise, the camera's fit, what
// the phone sees of an edge from there.
//
// The print, its thickness and the rounding of the sheet's rim are the same in every photo. A head's
// form is, and most of the light, which stays where it is while the phone moves. How blurred and how
// clear an outline is differs between photos, but what it does to the outline goes the same way in
// all: over drawn scenes from three sides, photos agree better with each other than with the
// truth. The fractions are set so that a joint fit's chi-square and what U covers both come out
// (TestStudy prints them).
var commonVariance = map[string]float64{
	"card print scale":             1,
	"card thickness":               1,
	"outline: form and lighting":   0.85,
	"outline: pixel size and blur": 0.7,
	"outline: clearness":           0.7,
	"ovality":                      0.85,
	"head height and profile":      0.7,
	"centre: form and lighting":    0.85,
	"centre: pixel size and blur":  0.7,
	"centre: clearness":            0.7,
	"centre: head height":          0.7,
	"edge: rounding of the rim":    1,
	"edge: line fit":               1,
	"edge: noise":                  0.5,
	"edge: direction":              0.5,
	"edge: low contrast":           0.5,
}

// split gives the standard uncertainties of a contribution that all photos share and that are this
// photo's own.
func split(c qc.Contribution) (common, own float64) {
	k := commonVariance[c.Label]
	return c.UMM * math.Sqrt(k), c.UMM * math.Sqrt(1-k)
}

// ownVariance sums what is a photo's own in a budget, but for what the joint fit knows itself.
func ownVariance(cs []qc.Contribution) (v float64) {
	for _, c := range cs {
		if !fitKnows[c.Label] {
			_, own := split(c)
			v += own * own
		}
	}
	return v
}

// fitKnows names what a joint fit's covariance holds already.
var fitKnows = map[string]bool{"outline: noise": true, "centre: noise": true}

// fuse joins the budgets of one quantity as several photos have it, with weights that sum to 1:
// what all share adds up linearly (r = 1, JCGM 100:2008 5.2.2 note 1), what is each
// photo's own by squares. known tells which own parts are held elsewhere already.
func fuse(budgets [][]qc.Contribution, weights []float64, known func(label string) bool) []qc.Contribution {
	var labels []string
	common, own := map[string]float64{}, map[string]float64{}
	for i, cs := range budgets {
		for _, c := range cs {
			if _, there := common[c.Label]; !there {
				labels = append(labels, c.Label)
			}
			a, b := split(c)
			common[c.Label] += weights[i] * a
			if !known(c.Label) {
				own[c.Label] += weights[i] * weights[i] * b * b
			}
		}
	}
	var out []qc.Contribution
	for _, l := range labels {
		out = append(out, qc.Contribution{Label: l, UMM: math.Sqrt(common[l]*common[l] + own[l])})
	}
	return out
}

// ownCentre gives the variance of a centre's terms that is a photo's own, along the line of sight's
// way over the sheet and across it, mm².
func ownCentre(ts []measure.CentreTerm) (along, across float64) {
	for _, t := range ts {
		if !fitKnows[t.Label] {
			k := 1 - commonVariance[t.Label]
			along, across = along+k*t.AlongMM*t.AlongMM, across+k*t.AcrossMM*t.AcrossMM
		}
	}
	return along, across
}
