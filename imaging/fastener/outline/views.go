package outline

import (
	"math"
	"slices"

	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// A View is what one photo shows of a head that several photos show. All views of a head share
// one sheet frame, mm.
type View struct {
	Cam          *geom.Camera
	Observations []Observation // as seen from Cam on the sheet's plane
	// How far all that this view shows of the head may lie off together, by what is this view's own:
	// its camera, its light, its pixels.
	ShiftCov [2][2]float64 // of the outline's place, mm²
	USizeMM  float64       // of the outline's radius, standard
	UFlatMM  float64       // of the flat's place besides, each way, standard
}

// The parameters of a joint fit are those of a single view, which all views share, and then each
// view's own, in this order: the outline's shift, its growth, the flat's shift.
const (
	ownShiftX = iota
	ownShiftY
	ownSize
	ownFlatX
	ownFlatY
	ownCount
)

// uTilt is the standard scatter of a flat's slope, each way: that of four degrees, so that what is known
// before does not hide a clinched head, which leans by five and more (common practice).
const uTilt = 0.07

// Joined is a head fitted to several views.
type Joined struct {
	Outline
	Cov      [5][5]float64 // of Centre X, Y, RMM, A2, B2, mm²
	HeightMM float64       // of the flat's middle over the sheet; of a dome, of its rim
	UHeight  float64       // standard uncertainty of it, mm
	// The flat: its radius, how far its highest point lies over its middle, and of both together
	// over the sheet the standard uncertainty, mm; its slope's angle and the standard uncertainty.
	FlatRMM, RiseMM, UTopMM float64
	TiltRad, UTiltRad       float64
	Fits                    []ViewFit // of each view
}

// ViewFit is how one view agrees with the joint fit.
type ViewFit struct {
	Shift   geom.SheetPoint // of what the view shows, mm
	GrownMM float64         // of its outline's radius
	// Chi2 sums the squares of the shift and of the growth in units of their uncertainties: of
	// about three degrees of freedom.
	Chi2  float64
	Seen  int // silhouette observations
	Used  int // those of them that count
	Flats int // observations of the flat that count
}

// FitViews solves for the one head whose silhouettes and flat pass closest to what all views
// observe: a bundle adjustment in which centre, semi-axes, height, form and flat are common
// and every view has a camera of its own, held, and a shift and growth of its own, which are
// nuisance parameters with the uncertainties that the view states. The joint covariance is the
// inverse of the normal equations' matrix with these priors (JCGM 102:2011, 6.2.1.3), so
// what is a view's own falls with the number of views; what all share stays outside of it.
//
// It needs a start near the head, such as the mean of the views' own fits.
func FitViews(views []View, start Outline, prior Prior, floorMM float64) (Joined, bool) {
	b := newBundle(views, start, prior, floorMM)
	var res Joined
	n := len(b.par)
	step, chol := make([]float64, n), make([]float64, n*n)
	for it := range mostRounds {
		if !b.collect() {
			return res, false
		}
		for k := range step {
			step[k] = -b.eq.G[k]
		}
		copy(chol, b.eq.A)
		if !fit.Cholesky(chol, n) {
			return res, false
		}
		fit.CholeskySolve(chol, n, step)
		size := b.move(step)
		if D := prior.nominalD; !(b.par[pR] > 0.2*D && b.par[pR] < 2*D) {
			return res, false
		}
		if b.scale > 1 {
			if it >= settleRounds {
				b.scale = max(1, b.scale/narrowing)
			}
		} else if size < doneD*prior.nominalD && it > settleRounds {
			break
		}
	}
	if !b.collect() {
		return res, false
	}
	b.eq.Mirror()
	inv, ok := fit.Invert(b.eq.A, n)
	if !ok {
		return res, false
	}
	return b.result(inv), true
}

// bundle is the joint problem.
type bundle struct {
	views []View
	prior Prior
	floor float64
	scale float64 // of the loss
	par   []float64
	mean  []float64
	sigma []float64 // 0: held; +Inf: free
	info  []([2][2]float64)
	eq    *fit.Normal
	fits  []ViewFit
	row   []float64
}

func newBundle(views []View, start Outline, prior Prior, floorMM float64) *bundle {
	n := pCount + ownCount*len(views)
	D := prior.nominalD
	b := &bundle{views: views, prior: prior, floor: floorMM, par: make([]float64, n), sigma: make([]float64, n),
		eq: fit.NewNormal(n), fits: make([]ViewFit, len(views)), row: make([]float64, n)}
	copy(b.par, []float64{start.Centre.X, start.Centre.Y, start.RMM, start.A2, start.B2, prior.profile.HeightD * D, prior.rim})
	copy(b.sigma, []float64{math.Inf(1), math.Inf(1), math.Inf(1), prior.uOval, prior.uOval, prior.profile.UHeightD * D, prior.uRim, prior.uOff / 2, prior.uOff / 2, prior.uTop,
		prior.uFoot, prior.profile.UWidest, uTilt, uTilt})
	flats := false
	var us []float64
	for v := range views {
		for _, s := range views[v].Observations {
			flats = flats || s.Flat
			us = append(us, math.Hypot(s.UMM, floorMM))
		}
		own := b.sigma[pCount+v*ownCount:]
		own[ownSize], own[ownFlatX], own[ownFlatY] = views[v].USizeMM, views[v].UFlatMM, views[v].UFlatMM
		c := views[v].ShiftCov
		det := c[0][0]*c[1][1] - c[0][1]*c[1][0]
		b.info = append(b.info, [2][2]float64{{c[1][1] / det, -c[0][1] / det}, {-c[1][0] / det, c[0][0] / det}})
	}
	if !flats {
		b.sigma[pTiltX], b.sigma[pTiltY] = 0, 0
	}
	b.mean = slices.Clone(b.par)
	b.mean[pA2], b.mean[pB2] = 0, 0
	b.scale = max(1, startD*D/fit.Median(us))
	return b
}

// collect fills the normal equations at the parameters.
func (b *bundle) collect() bool {
	b.eq.Reset()
	loss := fit.GemanMcClure(lossU * b.scale)
	for v := range b.views {
		w := &b.views[v]
		var nSil, nFlat float64
		for _, s := range w.Observations {
			if s.Flat {
				nFlat++
			} else {
				nSil++
			}
		}
		wSil, wFlat := min(1, independent/max(nSil, 1)), min(1, independent/max(nFlat, 1))
		d := w.Cam.ViewSlope(geom.SheetPoint{X: b.par[pX], Y: b.par[pY]})
		_, _, cz := w.Cam.Centre()
		b.fits[v].Seen, b.fits[v].Used, b.fits[v].Flats = int(nSil), 0, 0
		for _, s := range w.Observations {
			u := math.Hypot(s.UMM, b.floor)
			clear(b.row)
			r := b.residual(v, s, d, cz)
			if math.IsNaN(r) {
				return false
			}
			for k := range b.row {
				b.row[k] /= u
			}
			weight := wSil
			if s.Flat {
				weight = wFlat
			}
			b.eq.Add(r/u, weight, loss, b.row)
			if loss.Weight(r/u) > countsWeight {
				if s.Flat {
					b.fits[v].Flats++
				} else {
					b.fits[v].Used++
				}
			}
		}
	}
	b.addPriors()
	return true
}

func (b *bundle) addPriors() {
	n := len(b.par)
	for k := range n {
		sigma := b.sigma[k]
		if (k == pA2 || k == pB2) && b.scale > 1 {
			sigma *= roundPrior
		}
		own := (k - pCount) % ownCount
		switch {
		case k >= pCount && own <= ownShiftY: // together, below
		case sigma == 0:
			b.eq.A[k*n+k] += fixedWeight
		case !math.IsInf(sigma, 1):
			w := 1 / (sigma * sigma)
			b.eq.A[k*n+k] += w
			b.eq.G[k] += (b.par[k] - b.mean[k]) * w
		}
	}
	for v := range b.views {
		at := pCount + v*ownCount
		for i := range 2 {
			for k := range 2 {
				b.eq.G[at+i] += b.info[v][i][k] * b.par[at+k]
				if k <= i { // the lower half
					b.eq.A[(at+i)*n+at+k] += b.info[v][i][k]
				}
			}
		}
	}
}

// residual gives how far an observation of view v lies outside what the parameters predict, mm,
// and its derivatives in b.row.
func (b *bundle) residual(v int, s Observation, d geom.SheetPoint, cz float64) float64 {
	p, j := b.par, b.row
	own := pCount + v*ownCount
	s.At = s.At.Sub(geom.SheetPoint{X: p[own+ownShiftX], Y: p[own+ownShiftY]})
	var par [pCount]float64
	copy(par[:], p[:pCount])
	if s.Flat {
		par[pOffX] += p[own+ownFlatX]
		par[pOffY] += p[own+ownFlatY]
	} else {
		par[pR] += p[own+ownSize]
	}
	r, js := residual(s, &par, d, cz, &b.prior)
	copy(j, js[:])
	j[own+ownShiftX], j[own+ownShiftY] = js[pX], js[pY]
	if s.Flat {
		j[own+ownFlatX], j[own+ownFlatY] = js[pOffX], js[pOffY]
	} else {
		j[own+ownSize] = js[pR]
	}
	return r
}

// move takes a step, of bounded length, and tells how far the outline moved.
func (b *bundle) move(step []float64) (sizeMM float64) {
	D := b.prior.nominalD
	for k, s := range step {
		most := mostStepD * D
		switch k {
		case pRim, pTop, pFoot, pWidest, pTiltX, pTiltY:
			most = mostRimStep
		}
		s = min(max(s, -most), most)
		b.par[k] += s
		if k <= pH {
			sizeMM = max(sizeMM, math.Abs(s))
		}
	}
	b.par[pH] = min(max(b.par[pH], 0), 1.2*D)
	return sizeMM
}

func (b *bundle) result(inv []float64) Joined {
	n, p := len(b.par), b.par
	cov := func(i, k int) float64 { return inv[i*n+k] }
	res := Joined{Outline: Outline{geom.SheetPoint{X: p[pX], Y: p[pY]}, p[pR], p[pA2], p[pB2]},
		HeightMM: p[pH], UHeight: math.Sqrt(cov(pH, pH)), FlatRMM: p[pRim] * p[pR], Fits: b.fits}
	for i := range res.Cov {
		for k := range res.Cov {
			res.Cov[i][k] = cov(i, k)
		}
	}
	res.top(p, cov)
	for v := range b.views {
		own := pCount + v*ownCount
		f := &res.Fits[v]
		f.Shift, f.GrownMM = geom.SheetPoint{X: p[own+ownShiftX], Y: p[own+ownShiftY]}, p[own+ownSize]
		i := b.info[v]
		f.Chi2 = f.Shift.X*(i[0][0]*f.Shift.X+i[0][1]*f.Shift.Y) + f.Shift.Y*(i[1][0]*f.Shift.X+i[1][1]*f.Shift.Y)
		if u := b.views[v].USizeMM; u > 0 {
			f.Chi2 += f.GrownMM * f.GrownMM / (u * u)
		}
	}
	return res
}

// top works out the highest point of a flat that rises by its tilt.
func (res *Joined) top(p []float64, cov func(i, k int) float64) {
	vx, vy := cov(pTiltX, pTiltX), cov(pTiltY, pTiltY)
	// A noisy vector's length is read too long, but what is known of heads before (uTilt) has
	// shortened this one already, a head that leans by about half.
	slope := math.Hypot(p[pTiltX], p[pTiltY])
	uSlope := math.Sqrt((vx + vy) / 2)
	res.RiseMM = res.FlatRMM * slope
	res.TiltRad, res.UTiltRad = math.Atan(slope), uSlope
	res.UTopMM = math.Hypot(res.UHeight, res.FlatRMM*uSlope)
}
