package together

import (
	"math"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// uncertain is how uncertain one photo's value is: by label the standard uncertainties that go the same
// way in all photos, mm, and the variance of the rest, mm².
type uncertain struct {
	common map[string]float64
	own    float64
}

func uncertainBy(cs []qc.Contribution) uncertain {
	u := uncertain{common: map[string]float64{}}
	for _, c := range cs {
		common, own := split(c)
		u.common[c.Label] += common
		u.own += own * own
	}
	return u
}

// bestWeights gives the weights, not negative and with sum 1, by which the mean of one quantity's
// values is least uncertain: the variance is w·Mw, where what is common adds up linearly and the rest by
// squares (see fuse). A value that shares more of what is
// uncertain than it brings gets none; so a further value never makes the mean more uncertain.
//
// It begins with the best single value and moves weight between two of them at a time, each time
// as far as is best, which never leads uphill and ends at the minimum of a convex function.
func bestWeights(values []uncertain) []float64 {
	n := len(values)
	m := make([][]float64, n)
	best := 0
	for i := range m {
		m[i] = make([]float64, n)
		for k := range m[i] {
			for label, a := range values[i].common {
				m[i][k] += a * values[k].common[label]
			}
		}
		m[i][i] += values[i].own
		if m[i][i] < m[best][best] {
			best = i
		}
	}
	w := make([]float64, n)
	w[best] = 1
	for range 100 { // two or three values are settled after a few
		for i := range n {
			for k := range i {
				slope, bend := 0.0, m[i][i]+m[k][k]-2*m[i][k]
				for l := range n {
					slope += (m[k][l] - m[i][l]) * w[l]
				}
				if bend > 0 {
					by := max(-w[i], min(w[k], slope/bend))
					w[i], w[k] = w[i]+by, w[k]-by
				}
			}
		}
	}
	return w
}

// leastOwn is the fraction of a view's own variance that a joint fit is left with at least besides its
// noise, so that it can be solved.
const leastOwn = 0.01

// weighed gives by how much what is each view's own, besides its noise, has to be multiplied for a fit
// to all views to weigh them by w and to state what their weighted mean is uncertain by. The noise is
// a variance, mm².
func weighed(w []float64, views []uncertain, noise []float64) (by []float64) {
	mean := 0.0
	for i := range w {
		mean += w[i] * w[i] * views[i].own
	}
	for i := range w {
		least := leastOwn * views[i].own
		by = append(by, max(mean/max(w[i], 1e-4)-noise[i], least)/max(views[i].own-noise[i], least))
	}
	return by
}

// weigh sets how much each used sight counts, in diameters and in the centre, and fits several
// once more by that. What was fitted before counted each by what is its own alone, which is right for
// telling whether they agree, and for the height, which their difference tells.
func (j *joining) weigh(p *place) {
	us := p.used()
	h := &p.head
	views := make([]outline.View, len(us))
	var sizes, centres []uncertain
	var noise, noiseAt []float64 // variances
	for i, s := range us {
		photo := &j.res.Photos[s.photo]
		views[i] = j.view(s)
		cs := photo.Diameters(s.f)[0].Contributions
		sizes = append(sizes, uncertainBy(cs))
		noise, noiseAt = append(noise, 0), append(noiseAt, 0)
		for _, c := range cs {
			if fitKnows[c.Label] {
				noise[i] += c.UMM * c.UMM
			}
		}
		at := uncertain{common: map[string]float64{}, own: (views[i].ShiftCov[0][0] + views[i].ShiftCov[1][1]) / 2}
		for _, t := range photo.CentreTerms(s.f) {
			u := max(t.AlongMM, t.AcrossMM)
			if fitKnows[t.Label] {
				noiseAt[i] += u * u
			} else {
				at.common[t.Label] = u * math.Sqrt(commonVariance[t.Label])
			}
		}
		at.own += noiseAt[i]
		centres = append(centres, at)
	}
	h.weights = bestWeights(sizes)
	at := bestWeights(centres)
	h.commonCentre = j.commonCentre(us, at)
	if len(us) < 2 {
		return
	}
	size, place := weighed(h.weights, sizes, noise), weighed(at, centres, noiseAt)
	for i := range views {
		views[i].USizeMM *= math.Sqrt(size[i])
		for a := range 2 {
			for b := range 2 {
				views[i].ShiftCov[a][b] *= place[i]
			}
		}
	}
	if again, ok := outline.FitViews(views, h.Outline, outline.PriorOf(j.opt.Kind, j.opt.NominalMM), floorD*j.opt.NominalMM); ok {
		h.Outline, h.Cov = again.Outline, again.Cov
	}
}

// commonCentre gives the covariance of a centre's terms that all photos share, mm², of sights that
// count by weights w: the terms of one label go the same way in all of them.
func (j *joining) commonCentre(us []*sight, w []float64) (out [2][2]float64) {
	sums := map[string][2][2]float64{}
	for i, s := range us {
		p := &j.res.Photos[s.photo]
		back := p.motion.inverse()
		e := toward(p.Scale.Camera.ViewSlope(s.f.Centre))
		for _, t := range p.CentreTerms(s.f) {
			if fitKnows[t.Label] {
				continue
			}
			k := w[i] * math.Sqrt(commonVariance[t.Label])
			one := back.cov(ellipse(e, t.AlongMM, t.AcrossMM))
			sum := sums[t.Label]
			for a := range 2 {
				for b := range 2 {
					sum[a][b] += k * one[a][b]
				}
			}
			sums[t.Label] = sum
		}
	}
	for _, s := range sums {
		for a := range 2 {
			for b := range 2 {
				out[a][b] += s[a][0]*s[0][b] + s[a][1]*s[1][b]
			}
		}
	}
	return out
}

// toward gives the unit vector of a line of sight's way over the sheet.
func toward(slope geom.SheetPoint) geom.SheetPoint {
	if n := slope.Norm(); n > 1e-9 {
		return slope.Scale(1 / n)
	}
	return geom.SheetPoint{X: 1}
}

// ellipse gives the symmetric matrix with value along in direction e (unit), across beside it.
func ellipse(e geom.SheetPoint, along, across float64) [2][2]float64 {
	off := (along - across) * e.X * e.Y
	return [2][2]float64{{along*e.X*e.X + across*e.Y*e.Y, off}, {off, along*e.Y*e.Y + across*e.X*e.X}}
}
