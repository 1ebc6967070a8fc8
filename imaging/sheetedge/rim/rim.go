package rim

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/sheetedge/strip"
)

// table holds the blurred building blocks of a rim's profile against n, in mm from the
// vertical face: sheet, rim, outside, and a fourth (the side face or a fading shadow).
type table struct {
	block [][4]float64
}

// A rounded rim is steeper than 45° over the outer 1 - cos 45° of its width: from above that
// part mirrors what lies outside and looks like it.
const steepRim = 0.29

// Where costs looks, mm from the line found before: rimFrom to 0.35.
const rimFrom, rimStep = -0.25, 0.01

// The table goes from rimTabMin to rimTabMax mm in steps of rimTabD: farther than a profile and
// its blur reach, finer than edges are placed.
const rimTabMin, rimTabMax, rimTabD = -1.2, 1.2, 0.01

func newTable(blurMM, rimMM float64, fourth func(nMM float64) float64) *table {
	t := &table{}
	n := int((rimTabMax-rimTabMin)/rimTabD) + 1
	// the fourth block is blurred by sum, the others have a closed form
	raw := make([]float64, n)
	for i := range raw {
		raw[i] = fourth(rimTabMin + rimTabD*(float64(i)))
	}
	reach := int(3 * blurMM / rimTabD)
	kernel := make([]float64, reach+1)
	total := 0.0
	for i := range kernel {
		q := float64(i) * rimTabD / blurMM
		kernel[i] = fit.Exp(-q * q / 2)
		total += kernel[i]
		if i > 0 {
			total += kernel[i]
		}
	}
	t.block = make([][4]float64, n)
	for i := range n {
		x := rimTabMin + rimTabD*float64(i)
		outer := phi((x + steepRim*rimMM) / blurMM)
		inner := phi((x + rimMM) / blurMM)
		s := kernel[0] * raw[i]
		for k := 1; k <= reach; k++ {
			s += kernel[k] * (raw[max(i-k, 0)] + raw[min(i+k, n-1)])
		}
		t.block[i] = [4]float64{1 - inner, inner - outer, outer, s / total}
	}
	return t
}

func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// cost is the squared misfit, in tau, of the profile m with the vertical face at x mm from
// its middle, after the four brightnesses are solved for. Two weak priors, of the size of
// the profile's own contrast: the rim is about as bright as the mean of its sides, and the
// fourth is like the outside.
func (t *table) cost(m []float64, from, to, half int, h, x, tau, scale float64) float64 {
	// The sums of products, written out: this is where most of the time goes.
	var a00, a01, a02, a03, a04, a11, a12, a13, a14, a22, a23, a24, a33, a34, mm float64
	for i := from; i <= to; i++ {
		at := (float64(i-half)*h - x - rimTabMin) / rimTabD
		j := int(at)
		f := at - float64(j)
		if j < 0 || j+1 >= len(t.block) {
			continue
		}
		l, r, y := &t.block[j], &t.block[j+1], m[i]
		v0, v1, v2, v3 := l[0]*(1-f)+r[0]*f, l[1]*(1-f)+r[1]*f, l[2]*(1-f)+r[2]*f, l[3]*(1-f)+r[3]*f
		a00, a01, a02, a03, a04 = a00+v0*v0, a01+v0*v1, a02+v0*v2, a03+v0*v3, a04+v0*y
		a11, a12, a13, a14 = a11+v1*v1, a12+v1*v2, a13+v1*v3, a14+v1*y
		a22, a23, a24 = a22+v2*v2, a23+v2*v3, a24+v2*y
		a33, a34 = a33+v3*v3, a34+v3*y
		mm += y * y
	}
	a := [4][5]float64{{a00, a01, a02, a03, a04}, {0, a11, a12, a13, a14}, {0, 0, a22, a23, a24}, {0, 0, 0, a33, a34}}
	// Priors as extra observations with weight (tau / size)²: both sizes are 0.7 of the
	// profile's contrast, and of a flat one a hundredth of its light.
	wr := tau / (0.7*scale + 0.01)
	wr *= wr
	prior := func(w float64, c [4]float64) {
		for p := range 4 {
			for q := p; q < 4; q++ {
				a[p][q] += w * c[p] * c[q]
			}
		}
	}
	prior(wr, [4]float64{-0.5, 1, -0.5, -0.5})
	prior(wr, [4]float64{0, 0, 0, 1})
	for p := range 4 {
		for q := range p {
			a[p][q] = a[q][p]
		}
	}
	b := [4]float64{a[0][4], a[1][4], a[2][4], a[3][4]}
	// Gauss with the diagonal as pivot: the matrix is positive definite by the priors.
	for p := range 4 {
		for q := p + 1; q < 4; q++ {
			k := a[q][p] / a[p][p]
			for r := p; r < 5; r++ {
				a[q][r] -= k * a[p][r]
			}
		}
	}
	var sol [4]float64
	for p := 3; p >= 0; p-- {
		s := a[p][4]
		for q := p + 1; q < 4; q++ {
			s -= a[p][q] * sol[q]
		}
		sol[p] = s / a[p][p]
	}
	rest := mm
	for p := range 4 {
		rest -= sol[p] * b[p]
	}
	return max(rest, 0) / (tau * tau)
}

// misfits are the misfits of one profile with the vertical face at rimFrom, rimFrom +
// rimStep, ... up to 0.35.
type misfits [61]float64

// costs tries all places of the vertical face against the middle of the profile.
func (t *table) costs(p *strip.Profile) (c misfits) {
	m, half, h := p.Light, len(p.Light)/2, p.StepMM
	from, to := max(0, half-int(0.6/h)), min(len(m)-1, half+int(0.45/h)) // mm inside of the line and outside
	least, most := math.Inf(1), math.Inf(-1)
	for _, x := range m[from : to+1] {
		least, most = min(least, x), max(most, x)
	}
	scale := most - least
	// What the model is good to: a twentieth of the contrast, 0.4 % of the light, or the noise.
	tau := max(0.05*scale, 0.004, p.StdErr)
	for q := range c {
		c[q] = t.cost(m, from, to, half, h, rimFrom+rimStep*float64(q), tau, scale)
	}
	return c
}

// near gives the mean place within about tol mm of x, weighted by how well it explains the
// profile, and its spread.
func (c *misfits) near(x, tol float64) (at, u float64) {
	least := math.Inf(1)
	cost := func(q int) float64 {
		d := (rimFrom + rimStep*float64(q) - x) / tol
		return c[q] + d*d
	}
	for q := range c {
		least = min(least, cost(q))
	}
	var sw, sx, sxx float64
	for q := range c {
		w := fit.Exp(-(cost(q) - least) / 2)
		n := rimFrom + rimStep*float64(q)
		sw += w
		sx += w * n
		sxx += w * n * n
	}
	at = sx / sw
	return at, math.Sqrt(max(sxx/sw-at*at, 0))
}
