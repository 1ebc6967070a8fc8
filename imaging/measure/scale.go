package measure

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/plane"
	"bucktail/qc"
)

// sheetMap is a solved scale: the camera over the sheet and how uncertain it is.
type sheetMap struct {
	cam    geom.Camera
	scale  Scale
	blurPx float64 // sigma of the picture's blur, pixel included; 0 unknown
	onCard func(p geom.SheetPoint, marginMM float64) bool
	around [2]geom.SheetPoint // opposite corners of what is worth searching
	// lengths gives the contributions to the distance between two points at one height.
	lengths func(p, q geom.SheetPoint, zMM float64) []qc.Contribution
	// cov gives the covariance of a point on the sheet by the camera's fit, mm²; nil without a card.
	cov func(p geom.SheetPoint, zMM float64) [2][2]float64
	how qc.How
}

// How uncertain a printed card is where the builder gave no better figures.
const (
	// A rule or calipers read a 150 mm check line to about 0.2 mm: 0.0013; rounded up for
	// the paper's own change with the weather (common practice: 0.1 %). Both lines share it,
	// as one instrument measured both.
	calibratedScaleU = 0.0015
	// A home printer that was told not to scale is off by up to about 0.7 % (common
	// practice), rectangular, and along the paper's feed independently of across it.
	plainScaleU = 0.004
	thicknessU  = 0.02 // mm: calipers on soft card
)

// ThicknessStandardU is the standard uncertainty of the card's thickness, mm.
func (o *Options) ThicknessStandardU() float64 {
	if o.ThicknessU == 0 {
		return thicknessU
	}
	return o.ThicknessU
}

func mapByCard(ph *photo.Photo, opt *Options) (*sheetMap, error) {
	m, err := card.Find(ph.Picture)
	if err != nil {
		return nil, err
	}
	if opt.Card != "" && opt.Card != "auto" && m.Layout.Name != opt.Card {
		return nil, &qc.Refusal{Code: "other-card",
			Text: fmt.Sprintf("the photo shows the %q card, not the %q card", m.Layout.Name, opt.Card),
			Do:   "name the card that is in the photo, or let the program identify it with \"auto\""}
	}
	pl, err := cardPlane(ph, m, opt)
	if err != nil {
		return nil, err
	}
	s := &sheetMap{cam: pl.Camera, blurPx: pl.RingBlurPx, onCard: pl.OnCard, cov: pl.CovXY, how: qc.ByPhoto}
	s.scale = scaleOf(pl)
	lo, hi := geom.SheetPoint{X: math.Inf(1), Y: math.Inf(1)}, geom.SheetPoint{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range pl.Layout.Outline {
		q := pl.CardToSheet(p)
		lo, hi = geom.SheetPoint{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}, geom.SheetPoint{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		s.scale.CardPx = append(s.scale.CardPx, pl.ToPx(q, pl.Options.ThicknessMM))
	}
	for _, p := range pl.Layout.Window {
		s.scale.WindowPx = append(s.scale.WindowPx, pl.ToPx(pl.CardToSheet(p), pl.Options.ThicknessMM))
	}
	s.around = [2]geom.SheetPoint{lo, hi}
	s.lengths = func(p, q geom.SheetPoint, zMM float64) []qc.Contribution {
		d := pl.LengthU(p, q, zMM)
		return []qc.Contribution{
			{Label: qc.CameraFit, UMM: d.CameraMM},
			{Label: "card print scale", UMM: d.ScaleMM},
			{Label: "card thickness", UMM: d.ThicknessMM},
		}
	}
	return s, nil
}

// cardPlane solves the plane of a card that was found, with what is known of it.
func cardPlane(ph *photo.Photo, m *card.Match, opt *Options) (*plane.Plane, error) {
	po := plane.Options{PrintScaleX: opt.ScaleX, PrintScaleY: opt.ScaleY, PrintScaleU: opt.ScaleU,
		ThicknessMM: opt.ThicknessMM, ThicknessU: opt.ThicknessU}
	switch {
	case po.PrintScaleU != 0:
	case opt.ScaleX == 0 && opt.ScaleY == 0:
		po.PrintScaleAxisU = plainScaleU
	default:
		po.PrintScaleU = calibratedScaleU
	}
	po.ThicknessU = opt.ThicknessStandardU()
	return solve(ph, m, po)
}

// scaleOf tells of a solved plane; where the card lies in the photo is not in it.
func scaleOf(pl *plane.Plane) Scale {
	return Scale{From: "card", Layout: pl.Layout.Name, Targets: pl.UsedCount(), ResidualPx: pl.ResidualPx,
		TiltDeg: pl.TiltDeg(), DistanceMM: pl.DistanceMM(), MMPerPx: 1 / pl.PxPerMM(), Camera: pl.Camera}
}

// solve solves the card's plane. Where the photo was enlarged by the phone and the focal length may be
// either of two, the card decides; where it fits both alike, anything between them may be true.
func solve(ph *photo.Photo, m *card.Match, po plane.Options) (*plane.Plane, error) {
	fs := ph.FocalsPx()
	if len(fs) > 0 {
		po.FocalPriorPx = fs[0]
	}
	pl, err := plane.Solve(ph.Picture, m, po)
	if len(fs) < 2 {
		return pl, err
	}
	second := po
	second.FocalPriorPx = fs[1]
	other, err2 := plane.Solve(ph.Picture, m, second)
	const clearly = 1.03 // of the residuals: what one of both hypotheses has to be worse by
	switch {
	case err != nil && err2 != nil:
		return nil, err
	case err2 != nil, err == nil && pl.ResidualPx*clearly < other.ResidualPx:
		return pl, nil
	case err != nil, other.ResidualPx*clearly < pl.ResidualPx:
		return other, nil
	}
	po.FocalPriorPx, po.FocalPriorRel = math.Sqrt(fs[0]*fs[1]), math.Log(fs[1]/fs[0])/2
	return plane.Solve(ph.Picture, m, po)
}

// mapSquare takes the picture as seen square from above: a scale without a tilt.
// mmPerPx holds at the picture's middle; relU is the scale's relative standard uncertainty
// and tiltU the standard uncertainty of the unknown tilt, radians.
func mapSquare(ph *photo.Photo, mmPerPx, relU, tiltU float64, label string) *sheetMap {
	w, h := float64(ph.Width), float64(ph.Height)
	f := 0.0
	if fs := ph.FocalsPx(); len(fs) > 0 {
		f = fs[0] // the shorter one: the nearer the camera, the more an unknown tilt tells
	}
	if f == 0 {
		f = 0.75 * math.Hypot(w, h) // a usual phone: 26 to 28 mm by the diagonal of 43.3 mm
	}
	s := &sheetMap{blurPx: 0, how: qc.ByPhotoHand}
	dist := f * mmPerPx
	s.cam = geom.Camera{FocalPx: f, CxPx: (w - 1) / 2, CyPx: (h - 1) / 2,
		R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, dist}}
	s.onCard = func(geom.SheetPoint, float64) bool { return false }
	s.around = [2]geom.SheetPoint{{X: -w / 2 * mmPerPx, Y: -h / 2 * mmPerPx}, {X: w / 2 * mmPerPx, Y: h / 2 * mmPerPx}}
	s.scale = Scale{From: label, MMPerPx: mmPerPx, DistanceMM: dist, Camera: s.cam}
	s.lengths = func(p, q geom.SheetPoint, _ float64) []qc.Contribution {
		l := q.Sub(p).Norm()
		mid := p.Add(q).Scale(0.5)
		return []qc.Contribution{
			{Label: "scale placed by hand", UMM: relU * l},
			// A tilt t shortens a length across its axis by t²/2 and changes the scale along the
			// way to the point by t r / distance: the second is the larger off the middle.
			{Label: "unknown camera tilt", UMM: l * math.Hypot(tiltU*tiltU/2, tiltU*mid.Norm()/dist)},
		}
	}
	return s
}

// handPx is the standard uncertainty of a point that a person places on the photo, px of
// the photo: about a finger's wobble under a threefold loupe (common practice, 1.5 px).
const handPx = 1.5

// A phone held flat by eye is within about 10° (common practice): rectangular.
const byEyeTiltU = 10 * math.Pi / 180 / 1.732

func mapByTwoPoints(ph *photo.Photo, t *TwoPoints) (*sheetMap, error) {
	l := t.P1Px.Sub(t.P0Px).Norm()
	const leastPx = 30 // nearer together the two points' own uncertainty is 7 % of the scale
	if !(t.MM > 0) || l < leastPx {
		return nil, &qc.Refusal{Code: "bad-scale", Text: "the two scale points are too close together",
			Do: "choose two points far apart, such as 0 and 100 mm on a steel rule that lies on the sheet"}
	}
	return mapSquare(ph, t.MM/l, math.Sqrt2*handPx/l, byEyeTiltU, "two points"), nil
}

// rescale gives m with its scale changed so that the two points lie their known distance apart:
// the card gives the tilt, the points the millimetres.
func (m *sheetMap) rescale(t *TwoPoints) error {
	a, b := m.cam.ToSheet(t.P0Px, 0), m.cam.ToSheet(t.P1Px, 0)
	l := b.Sub(a).Norm()
	if !(t.MM > 0) || !(l > 1) {
		return &qc.Refusal{Code: "bad-scale", Text: "the two scale points cannot be placed on the sheet",
			Do: "choose two points far apart on the sheet, such as 0 and 100 mm on a steel rule"}
	}
	k := t.MM / l
	const mostOff = 1.25 // no printer is off by as much: a point or the stated distance is wrong
	if k < 1/mostOff || k > mostOff {
		return &qc.Refusal{Code: "scales-disagree",
			Text: fmt.Sprintf("the two points are %.1f mm apart according to the card, but %.1f mm was stated", l, t.MM),
			Do:   "check the stated distance, and that both points lie on the sheet beside the card"}
	}
	for i := range m.cam.T {
		m.cam.T[i] *= k
	}
	inner, onCard := m.lengths, m.onCard
	relU := math.Sqrt2 * handPx / t.P1Px.Sub(t.P0Px).Norm()
	m.lengths = func(p, q geom.SheetPoint, z float64) []qc.Contribution {
		cs := inner(p.Scale(1/k), q.Scale(1/k), z/k)
		return []qc.Contribution{cs[0], {Label: "scale placed by hand", UMM: relU * q.Sub(p).Norm()}}
	}
	m.onCard = func(p geom.SheetPoint, mm float64) bool { return onCard(p.Scale(1/k), mm/k) }
	m.around[0], m.around[1] = m.around[0].Scale(k), m.around[1].Scale(k)
	m.scale.MMPerPx *= k
	m.scale.DistanceMM *= k
	m.scale.Camera = m.cam
	m.scale.From = "card and two points"
	m.how = qc.ByPhotoHand
	return nil
}
