package measure

import (
	"math"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/roundref"
	"bucktail/qc"
)

// maxRoundTilt is as far as the camera may be tilted over a card, too (package plane).
const maxRoundTilt = 35 * math.Pi / 180

// mapByRound makes the scale from a round thing of known diameter that lies on the sheet:
// the long axis of its ellipse is its diameter, the short one tells the tilt. An ellipse
// does not tell which of its two ends is the nearer, so the map takes the phone as far
// away (parallel rays) and what perspective would change counts as uncertainty.
func mapByRound(ph *photo.Photo, r *RoundRef) (*sheetMap, error) {
	if !(r.DiameterMM >= 2 && r.DiameterMM <= 200) {
		return nil, &qc.Refusal{Code: "bad-scale", Text: "the round reference's diameter is out of range", Do: "give a diameter from 2 to 200 mm"}
	}
	e, ok := roundref.Find(ph.Picture, r.AtPx)
	if !ok {
		return nil, &qc.Refusal{Code: "no-round", Text: "no clear round outline was found where you tapped", Do: "tap the middle of a coin or washer that lies flat with all of its rim visible"}
	}
	a, b := e.A(), e.B()
	tilt := math.Acos(min(1, b/a))
	if tilt > maxRoundTilt {
		return nil, &qc.Refusal{Code: "too-tilted", Text: "the round reference is seen at too steep an angle", Do: "hold the phone more parallel to the work"}
	}
	mmPerPx := r.DiameterMM / (2 * a)
	// The rim's place is good to about a pixel. The rim of a thing of thickness t lies t over the sheet: unknown, so an uncertainty by way of
	// the scale (common practice: coins are about 2 mm thick, phones 150 mm away).
	relU := math.Hypot(1.0/a, 0.004)
	m := mapSquare(ph, mmPerPx, relU, 0, "round reference")
	trueDist := m.scale.DistanceMM
	const far = 30 // times as far, with as much longer a lens: rays parallel to 1 in 30
	sn, cs := math.Sincos(e.AngleRad())
	st, ct := math.Sin(tilt), math.Cos(tilt)
	cam := &m.cam
	cam.FocalPx *= far
	// Sheet x along the long axis (px u, v: cs, sn), sheet y across it and foreshortened.
	cam.R = [3][3]float64{{cs, sn * ct, sn * st}, {sn, -cs * ct, -cs * st}, {0, st, -ct}}
	cam.T = [3]float64{(e.X - cam.CxPx) * mmPerPx, (e.Y - cam.CyPx) * mmPerPx, trueDist * far}
	m.scale.TiltDeg, m.scale.Camera = tilt*180/math.Pi, *cam
	w, h := float64(ph.Width), float64(ph.Height)
	m.around = [2]geom.SheetPoint{{X: math.Inf(1), Y: math.Inf(1)}, {X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, p := range []geom.PxPoint{{}, {U: w}, {V: h}, {U: w, V: h}} {
		q := cam.ToSheet(p, 0)
		m.around[0] = geom.SheetPoint{X: min(m.around[0].X, q.X), Y: min(m.around[0].Y, q.Y)}
		m.around[1] = geom.SheetPoint{X: max(m.around[1].X, q.X), Y: max(m.around[1].Y, q.Y)}
	}
	m.lengths = func(p, q geom.SheetPoint, zMM float64) []qc.Contribution {
		l := q.Sub(p).Norm()
		off := p.Add(q).Scale(0.5).Norm() // the reference lies at the origin
		// How an axis ratio's error tells on the tilt: d(cos t) = dB/A, with a pixel and a half
		// for the short axis, whose ends a shadow may blur.
		uCos := 1.5 / a
		return []qc.Contribution{
			{Label: "round reference: outline", UMM: relU * l},
			{Label: "tilt from the ellipse", UMM: uCos / ct * l},
			{Label: "unknown direction of tilt", UMM: l * st * off / trueDist},
			{Label: "height, at an unknown direction of tilt", UMM: zMM * l / trueDist},
		}
	}
	return m, nil
}
