package measure

import (
	"math"

	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// CentreTerm is one labelled part of the uncertainty of a centre: standard, along and
// across the line of sight's way over the sheet, mm.
type CentreTerm struct {
	Label             string
	AlongMM, AcrossMM float64
}

// contourU holds what the fit's own covariance does not know, by kind: how far the contour
// that is seen may differ from the outline that is meant. Standard uncertainties, as fractions
// of the diameter that was measured, of what the networks' likelihoods spread in a direction, of
// a photo's pixel, of the diameter times what its contour lacks in clearness, of how far the two
// closest looks differ and of how far those from afar do, and of the diameter times the tangent of
// the view angle.
//
// Set on rendered scenes that were not used to train the networks, as those of package training
// are: what fraction of the truths U then covers is in testdata/training/README.md.
type contourU struct {
	dia, diaSpread, diaPx, diaUnclear, diaDiffer, diaChange, diaSlope float64
	oval                                                              float64 // of the diameter, each of the two
	pos, posPx, posSlope, posUnclear                                  float64
}

var contourUs = map[qc.Kind]contourU{
	qc.ShopHead:      {0.001, 0.1, 0.21, 0.20, 1.1, 0.35, 0.007, 0.0060, 0.0030, 0.20, 0.011, 0.12},
	qc.UniversalHead: {0.001, 1.2, 0.14, 0.15, 1.1, 0, 0.007, 0.0060, 0.0020, 0.25, 0.005, 0.12},
	qc.PulledHead:    {0.001, 1.2, 0.14, 0.15, 1.1, 0, 0.007, 0.0060, 0.0020, 0.25, 0.005, 0.12},
	qc.FlushHead:     {0.001, 1.0, 0.10, 0.15, 1.1, 0, 0, 0.0035, 0.0015, 0.15, 0.003, 0.12},
	qc.Hole:          {0.0060, 0, 0.20, 0.25, 0, 0.5, 0.005, 0.0060, 0.0040, 0.20, 0.005, 0.10},
}

// placedForm is what a hand may take for the outline, as a fraction of the diameter: light and
// shadow mislead it as they do a network.
const placedForm = 0.006

// A photo that was moved draws out all that is round along its way, the mean by half as much: by these
// fractions of what the card's rings are softer than stillPx, up to which photos are that were held still.
const motionMean, motionOval, stillPx = 0.4, 0.7, 1.1

// outOfRound gives by how much an outline's greatest diameter is above its mean and the least below,
// and what form, light and motion, of which motionMM, make each of them err by, standard, mm.
func outOfRound(f *fastener.Fastener, kind qc.Kind, motionMM float64) (up, down, uMM float64) {
	half, form := f.MaxD()-f.MeanD(), math.Hypot(contourUs[kind].oval*f.MeanD(), motionMM)
	switch kind {
	case qc.ShopHead:
		return half, half, form
	case qc.Hole:
		// A drill leaves a hole round unless something went wrong; of two components that err by
		// form each, what is left over noise is what is out of round. Then it is a slot, whose width
		// is that of the drill: L longer, it is L |cos φ| wider, in the mean 2L/π, and the fit's
		// cos 2φ has 4L/3π of that, which its ends are above the mean but its sides 1.5 times below.
		half = math.Sqrt(max(half*half-2*form*form, 0))
		return half, 1.5 * half, math.Hypot(form, 0.2*half)
	default:
		// A made head is round. What is not is the shadow that was taken for its rim on one side, as
		// often as it was bent, unless a hand says so: neither is beyond U.
		shadow := (1 - f.ByMarks) * half / 2
		return half - shadow, half - shadow, math.Hypot(form, shadow)
	}
}

// diameterReadings gives mean, greatest and least diameter and the out-of-round.
func (m *sheetMap) diameterReadings(f *fastener.Fastener, kind qc.Kind, how qc.How, hand []qc.Contribution) []qc.Reading {
	d := contourUs[kind]
	px, diameterMM := 1/f.PxPerMM, f.MeanD()
	n := geom.SheetPoint{X: f.RMM, Y: 0}
	base := m.lengths(f.Centre.Sub(n), f.Centre.Add(n), f.HeightMM)
	moved := px * math.Sqrt(max(m.blurPx*m.blurPx-stillPx*stillPx, 0))
	base = append(base,
		qc.Contribution{Label: "outline: form and lighting", UMM: math.Hypot(math.Hypot(d.dia, placedForm*f.ByMarks)*diameterMM, d.diaSpread*f.SpreadMM)},
		qc.Contribution{Label: "outline: pixel size and blur", UMM: math.Hypot(d.diaPx*px, motionMean*moved)},
		qc.Contribution{Label: "outline: clearness", UMM: d.diaUnclear * (1 - f.Clear) * diameterMM},
		qc.Contribution{Label: "outline: looks differ", UMM: math.Hypot(d.diaDiffer*f.DifferMM, d.diaChange*f.Change)},
	)
	if f.HeightMM > 0 {
		base = append(base, qc.Contribution{Label: "head height and profile", UMM: d.diaSlope * diameterMM * f.Slope})
	}
	base = append(base, hand...)
	oval := math.Hypot(f.A2, f.B2)
	// Variance of the semi-difference along the direction of the oval; of both where round.
	c, s := 1.0, 0.0
	if oval > 1e-9 {
		c, s = f.A2/oval, f.B2/oval
	}
	varOval := c*c*f.Cov[3][3] + 2*c*s*f.Cov[3][4] + s*s*f.Cov[4][4]
	names := [4]qc.Quantity{qc.HeadDMean, qc.HeadDMax, qc.HeadDMin, qc.OutOfRound}
	if kind == qc.Hole {
		names = [4]qc.Quantity{qc.HoleDMean, qc.HoleDMax, qc.HoleDMin, qc.OutOfRound}
	}
	fit := 2 * math.Sqrt(f.Cov[2][2])
	fitOval := 2 * math.Sqrt(f.Cov[2][2]+varOval)
	// The greatest of noisy directions is read too great, the least too small: what the
	// ovality could be by noise alone adds to the uncertainty of both.
	up, down, form := outOfRound(f, kind, motionOval*moved)
	ovalForm := qc.Contribution{Label: "ovality", UMM: form}
	with := func(more ...qc.Contribution) []qc.Contribution {
		return append(append([]qc.Contribution(nil), base...), more...)
	}
	// Form and light move two diameters square to each other independently: √2.
	ovalOnly := []qc.Contribution{{Label: "outline: noise", UMM: 4 * math.Sqrt(varOval)},
		{Label: "outline: form and lighting", UMM: 1.4 * form}}
	return []qc.Reading{
		reading(names[0], f.MeanD(), with(qc.Contribution{Label: "outline: noise", UMM: fit}), how),
		reading(names[1], f.MeanD()+up, with(qc.Contribution{Label: "outline: noise", UMM: fitOval}, ovalForm), how),
		reading(names[2], f.MeanD()-down, with(qc.Contribution{Label: "outline: noise", UMM: fitOval}, ovalForm), how),
		reading(names[3], up+down, ovalOnly, how),
	}
}

// position gives the uncertainty of a centre on the sheet, but for the plane's.
func position(f *fastener.Fastener, kind qc.Kind, hand []qc.Contribution) []CentreTerm {
	d := contourUs[kind]
	px, diameterMM := 1/f.PxPerMM, f.MeanD()
	unclear := d.posUnclear * (1 - f.Clear) * diameterMM
	// The larger of the fit's two directions stands for both.
	a, b, c := f.Cov[0][0], f.Cov[0][1], f.Cov[1][1]
	fit := math.Sqrt((a+c)/2 + math.Hypot((a-c)/2, b))
	ts := []CentreTerm{
		{"centre: noise", fit, fit},
		{"centre: form and lighting", d.pos * diameterMM, d.pos * diameterMM},
		{"centre: clearness", unclear, unclear},
		{"centre: pixel size and blur", d.posPx * px, d.posPx * px},
	}
	if f.HeightMM > 0 {
		ts = append(ts, CentreTerm{"centre: head height", d.posSlope * diameterMM * f.Slope, 0})
	}
	for _, h := range hand {
		ts = append(ts, CentreTerm{h.Label, h.UMM, h.UMM})
	}
	return ts
}

// toward gives the contributions of a centre's uncertainty to a distance in direction n (unit),
// along being the way of the line of sight over the sheet.
func toward(ts []CentreTerm, n, along geom.SheetPoint) []qc.Contribution {
	l := along.Norm()
	c := 0.0
	if l > 1e-9 {
		c = along.Dot(n) / l
	}
	out := make([]qc.Contribution, 0, len(ts))
	for _, t := range ts {
		out = append(out, qc.Contribution{Label: t.Label, UMM: math.Sqrt(c*c*t.AlongMM*t.AlongMM + (1-c*c)*t.AcrossMM*t.AcrossMM)})
	}
	return out
}

// reading joins a value with its budget.
func reading(q qc.Quantity, valueMM float64, cs []qc.Contribution, how qc.How) qc.Reading {
	kept := cs[:0]
	for _, c := range cs {
		if c.UMM > 1e-5 { // a hundredth of a micrometre says nothing
			kept = append(kept, c)
		}
	}
	r := qc.Reading{Quantity: q, ValueMM: valueMM, Contributions: kept, How: how, Method: Method}
	b, err := qc.CombineReading(kept)
	if err == nil {
		r.UMM = b.Expanded
	}
	return r
}
