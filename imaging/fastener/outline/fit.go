package outline

import (
	"math"
	"slices"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// An Observation is one point of a contour on the sheet's plane with its standard uncertainty
// along the contour's normal.
type Observation struct {
	At   geom.SheetPoint
	UMM  float64
	Flat bool // on the rim of a driven head's flat instead of the silhouette
}

// The parameters of an outline fit, in this order: centre X, Y, mean radius, A2, B2,
// height, rim ratio (radius of the flat over the widest), how far the flat's middle
// lies off the axis, by how much more a barrel has than its profile says (of the widest radius at the
// top and the foot of its side, of the height at its widest place), and how its sections and its flat
// rise, mm for a mm along X and Y. A single view holds the last three: it hardly tells them from the rest.
const (
	pX = iota
	pY
	pR
	pA2
	pB2
	pH
	pRim
	pOffX
	pOffY
	pTop
	pFoot
	pWidest
	pTiltX
	pTiltY
	pCount
)

// Prior is what is known of a head before it is seen.
type Prior struct {
	profile  Profile
	nominalD float64
	uOval    float64 // standard scatter of A2 and B2, mm
	rim      float64 // rim ratio and its standard scatter
	uRim     float64
	uOff     float64 // standard scatter of the flat's middle off the axis, each way, mm
	uTop     float64 // standard scatter of the side's radius at its top and at its foot; 0 but for barrels
	uFoot    float64
}

// How heads scatter. Of a flat, which driven heads alone have, nothing is published: the figures
// are assumed, and wide.
const (
	ovalD     = 0.05 // A2 and B2, in nominal diameters: over twice what 39 driven heads of rendered photos have (0.021)
	rimRatio  = 0.84 // radius of the flat over the head's widest, as workshop scenes of package synth have it
	uRimRatio = 0.05
	uTopR     = 0.038 // radius at the top of the side and at its foot, likewise: ProfileOf has the middle
	uFootR    = 0.035
	flatOffD  = 0.025 // the flat's middle off the axis, each way, in nominal diameters
)

// PriorOf is what is known of a head of kind k on a shank of nominalD mm.
func PriorOf(k qc.Kind, nominalD float64) Prior {
	p := Prior{profile: ProfileOf(k), nominalD: nominalD, uOval: ovalD * nominalD, rim: rimRatio, uRim: uRimRatio, uOff: flatOffD * nominalD}
	if p.profile.TopR < 1 {
		p.uTop, p.uFoot = uTopR, uFootR
	}
	return p
}

// Fitted is a fitted head with the uncertainty of the fit.
type Fitted struct {
	Outline
	HeightMM float64
	Cov      [5][5]float64 // of Centre X, Y, RMM, A2, B2, mm²
	RMS      float64       // of the weighted residuals, in units of their u
	Used     int           // silhouette observations that count (weight over a quarter)
}

// FitFromCircle is [Fit] from the circle that most observations of the silhouette agree on, the head
// standing where the view slope is slope.
func FitFromCircle(pts []Observation, cam *geom.Camera, slope geom.SheetPoint, prior Prior, floorMM float64) (Fitted, bool) {
	p, D := &prior.profile, prior.nominalD
	var rim []fit.Point
	for _, s := range pts {
		if !s.Flat {
			rim = append(rim, fit.Point(s.At))
		}
	}
	// The view widens a head's outline and may narrow it; 15 % leave room for that. A circle fits
	// the outline of a head seen askew to about a twentieth of D.
	c, r, ok := fit.CircleConsensus(rim, 0.6*p.TypicalD*D/2, 1.6*p.TypicalD*D/2, 0.05*D)
	if !ok {
		return Fitted{}, false
	}
	start := Outline{Centre: geom.SheetPoint(c).Sub(slope.Scale(p.Widest * p.HeightD * D)), RMM: r}
	return Fit(pts, cam, start, prior, floorMM)
}

// independent is how many observations of one contour err independently. Set on rendered
// photos, where the fit's own uncertainty must match its errors; see testdata/training/README.md.
const independent = 8

// How the solver goes. The loss is Geman and McClure's at lossU standard uncertainties, as wide
// at first as a start may be off (startD) and narrowed by narrowing from the round settleRounds
// on: graduated non-convexity (A. Blake, A. Zisserman, Visual Reconstruction, MIT Press 1987).
// TestFitOutlineRecoversKnownHeads would notice.
const (
	lossU        = 1.5
	startD       = 0.03 // in nominal diameters
	narrowing    = 1.4
	settleRounds = 3
	mostRounds   = 28
	mostStepD    = 0.15 // of a round, in nominal diameters
	mostRimStep  = 0.05
	doneD        = 1e-5 // a step as small ends it
	roundPrior   = 0.1  // while the loss is wide, of the oval's scatter: an ellipse joins half of a shadow to half of a rim all too gladly
	countsWeight = 0.25 // an observation of more weight agrees with the outline
	fixedWeight  = 1e12 // holds a parameter that the kind does not have
)

// Fit solves for the head whose silhouette and flat pass closest to the observations.
//
// A silhouette is the boundary of a convex set, whose signed distance at P is the maximum
// over n of (P - X)·n - s(n), s the support of [Profile.Silhouette]; the derivatives by the
// parameters are those of s at that n. The loss is Geman and McClure's on the scale of each
// observation's u (floored by floorMM), so that a stretch of shadow does not pull.
func Fit(pts []Observation, cam *geom.Camera, start Outline, prior Prior, floorMM float64) (Fitted, bool) {
	D := prior.nominalD
	par := [pCount]float64{start.Centre.X, start.Centre.Y, start.RMM, start.A2, start.B2, prior.profile.HeightD * D, prior.rim}
	_, _, cz := cam.Centre()
	mean := par
	sigma := [pCount]float64{math.Inf(1), math.Inf(1), math.Inf(1), prior.uOval, prior.uOval, prior.profile.UHeightD * D, prior.uRim, prior.uOff, prior.uOff, prior.uTop, prior.uFoot}
	if prior.profile.HeightD == 0 {
		sigma[pH] = 0
	}
	mean[pA2], mean[pB2] = 0, 0
	var res Fitted
	eq := fit.NewNormal(pCount)
	step, chol := make([]float64, pCount), make([]float64, pCount*pCount)
	us := make([]float64, 0, len(pts))
	for _, s := range pts {
		us = append(us, math.Hypot(s.UMM, floorMM))
	}
	scale := max(1, startD*D/fit.Median(slices.Clone(us)))
	// Neighbouring directions err together: the whole contour is worth about independent
	// observations, whatever number it was cut into. Otherwise a flat that is mistaken as a
	// whole would outvote what is known of a head's height.
	var nSil, nFlat float64
	for _, s := range pts {
		if s.Flat {
			nFlat++
		} else {
			nSil++
		}
	}
	wSil, wFlat := min(1, independent/max(nSil, 1)), min(1, independent/max(nFlat, 1))
	for it := range mostRounds {
		d := cam.ViewSlope(geom.SheetPoint{X: par[pX], Y: par[pY]})
		eq.Reset()
		loss := fit.GemanMcClure(lossU * scale)
		res.Used, res.RMS = 0, 0
		var sw float64
		for i, s := range pts {
			r, j := residual(s, &par, d, cz, &prior)
			u := us[i]
			for k := range j {
				j[k] /= u
			}
			w := wSil
			if s.Flat {
				w = wFlat
			}
			eq.Add(r/u, w, loss, j[:])
			w = loss.Weight(r / u)
			if w > countsWeight && !s.Flat {
				res.Used++
			}
			sw += w
			res.RMS += w * r * r / (u * u)
		}
		res.RMS = math.Sqrt(res.RMS / max(sw, 1e-9))
		// Round first, oval only once the outliers have lost their pull.
		sigma[pA2] = prior.uOval
		if scale > 1 {
			sigma[pA2] = roundPrior * prior.uOval
		}
		sigma[pB2] = sigma[pA2]
		for k := range pCount {
			switch {
			case sigma[k] == 0:
				eq.A[k*pCount+k] += fixedWeight
			case !math.IsInf(sigma[k], 1):
				w := 1 / (sigma[k] * sigma[k])
				eq.A[k*pCount+k] += w
				eq.G[k] += (par[k] - mean[k]) * w
			}
		}
		for k := range step {
			step[k] = -eq.G[k]
		}
		copy(chol, eq.A)
		if !fit.Cholesky(chol, pCount) {
			return res, false
		}
		fit.CholeskySolve(chol, pCount, step)
		var size float64
		for k := range pCount {
			lim := mostStepD * D
			if k >= pRim && k != pOffX && k != pOffY {
				lim = mostRimStep
			}
			st := min(max(step[k], -lim), lim)
			par[k] += st
			if k <= pB2 {
				size = max(size, math.Abs(st))
			}
		}
		par[pH] = min(max(par[pH], 0), 1.2*D)
		if !(par[pR] > 0.2*D && par[pR] < 2*D) {
			return res, false
		}
		if scale > 1 {
			if it >= settleRounds {
				scale = max(1, scale/narrowing)
			}
		} else if size < doneD*D && it > settleRounds {
			break
		}
	}
	eq.Mirror()
	inv, ok := fit.Invert(eq.A, pCount)
	if !ok {
		return res, false
	}
	for a := range res.Cov {
		copy(res.Cov[a][:], inv[a*pCount:])
	}
	res.Outline = Outline{geom.SheetPoint{X: par[pX], Y: par[pY]}, par[pR], par[pA2], par[pB2]}
	res.HeightMM = par[pH]
	return res, true
}

// residual gives how far an observation lies outside the contour that par predicts, mm, and
// its derivatives by the parameters. d is the view slope at the head, cz the camera's height, mm.
func residual(s Observation, par *[pCount]float64, d geom.SheetPoint, cz float64, prior *Prior) (rMM float64, j [pCount]float64) {
	if s.Flat {
		return flatResidual(s, par, d, cz, prior)
	}
	q := s.At.Sub(geom.SheetPoint{X: par[pX], Y: par[pY]})
	h, tilt := par[pH], geom.SheetPoint{X: par[pTiltX], Y: par[pTiltY]}
	p := prior.as(par)
	radius := func(n geom.SheetPoint) float64 {
		return par[pR] + par[pA2]*(n.X*n.X-n.Y*n.Y) + par[pB2]*2*n.Y*n.X
	}
	at := func(th float64) (g, z float64, n geom.SheetPoint) {
		n.Y, n.X = math.Sincos(th)
		sv, zv := p.leaning(radius(n), h, n, tilt, d, cz)
		return q.Dot(n) - sv, zv, n
	}
	// The head is shifted as a whole by about z d: start from the direction as seen from there.
	mid := q.Sub(d.Scale(p.Widest * h))
	th := math.Atan2(mid.Y, mid.X)
	for _, w := range [2]float64{0.12, 0.03} { // two parabolas, of 7° and 2° to either side
		a, _, _ := at(th - w)
		b, _, _ := at(th)
		c, _, _ := at(th + w)
		if den := a - 2*b + c; den < -1e-12 {
			th += min(max(0.5*w*(a-c)/den, -w), w)
		}
	}
	g, z, n := at(th)
	c2, s2 := n.X*n.X-n.Y*n.Y, 2*n.X*n.Y
	k := 1.0
	if h > 0 {
		k = p.radius(z/h) * (1 + z/cz) * foreshortening(n, tilt, d)
	}
	j[pX], j[pY], j[pR], j[pA2], j[pB2] = -n.X, -n.Y, -k, -k*c2, -k*s2
	if h == 0 {
		return g, j
	}
	// The rest by differences, along the normal that was found.
	const e = 1e-4
	rr := radius(n)
	s0, _ := p.leaning(rr, h, n, tilt, d, cz)
	by := func(p *Profile, h float64, tilt geom.SheetPoint) float64 {
		s1, _ := p.leaning(rr, h, n, tilt, d, cz)
		return (s0 - s1) / e
	}
	j[pH] = by(&p, h+e, tilt)
	if prior.uTop > 0 {
		j[pTiltX], j[pTiltY] = by(&p, h, tilt.Add(geom.SheetPoint{X: e})), by(&p, h, tilt.Add(geom.SheetPoint{Y: e}))
		top, foot, widest := p, p, p
		top.TopR += e
		foot.FootR += e
		widest.Widest += e
		j[pTop], j[pFoot], j[pWidest] = by(&top, h, tilt), by(&foot, h, tilt), by(&widest, h, tilt)
	}
	return g, j
}

// as gives the side view with the parameters' own form.
func (q *Prior) as(par *[pCount]float64) Profile {
	p := q.profile
	if q.uTop > 0 {
		p.TopR = min(max(p.TopR+par[pTop], 0.7), 0.99)
		p.FootR = min(max(p.FootR+par[pFoot], 0.7), 0.99)
		p.Widest = min(max(p.Widest+par[pWidest], 0.05), 0.95)
	}
	return p
}

// flatResidual is [residual] for an observation of the flat's rim: a circle of radius rim R
// in a plane that rises by the tilt. What is seen at a point of the sheet's plane stands, at height z,
// nearer to the foot of the camera by z times the point's own slope of view. A head leans as its flat
// does, so that the flat stands off the widest place by that much.
func flatResidual(s Observation, par *[pCount]float64, d geom.SheetPoint, cz float64, prior *Prior) (rMM float64, j [pCount]float64) {
	h, tilt, centre := par[pH], geom.SheetPoint{X: par[pTiltX], Y: par[pTiltY]}, geom.SheetPoint{X: par[pX], Y: par[pY]}
	widest := prior.as(par).Widest
	lean := h * (1 - widest) // for a slope of 1
	off := geom.SheetPoint{X: par[pOffX], Y: par[pOffY]}.Sub(tilt.Scale(lean))
	slope := d.Add(s.At.Sub(centre).Scale(1 / cz))
	q := s.At.Sub(slope.Scale(h)).Sub(centre).Sub(off)
	l := max(q.Norm(), 1e-6)
	n := q.Scale(1 / l)
	c2, s2 := n.X*n.X-n.Y*n.Y, 2*n.X*n.Y
	rr := par[pR] + par[pA2]*c2 + par[pB2]*s2
	tn, dn := tilt.Dot(n), slope.Dot(n)
	k := par[pRim] * (1 + tn*dn)
	j[pX], j[pY], j[pR] = -n.X, -n.Y, -k
	j[pA2], j[pB2] = -k*c2, -k*s2
	j[pH] = tn*(1-widest) - dn
	j[pWidest] = -h * tn
	j[pRim] = -rr * (1 + tn*dn)
	j[pOffX], j[pOffY] = -n.X, -n.Y
	j[pTiltX], j[pTiltY] = n.X*(lean-par[pRim]*rr*dn), n.Y*(lean-par[pRim]*rr*dn)
	return l - k*rr, j
}
