package feature

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/qc"
)

// rimFit is the doubt of a line placed by the rim.
type rimFit struct {
	u, uSlope float64 // standard uncertainty at the middle, mm, and of the direction
	face      bool
	parts     []qc.Contribution
}

// A deburred rim is rounded over about one of these widths, mm (common practice: break sharp edges by
// 0.05 to 0.15 mm); in a photo it shows as a line of its own brightness just inside of the
// vertical face.
var rimWidths = [...]float64{0.04, 0.08, 0.13}

// fitRims places the line l by the rim, and gives the doubt of that. What lies outside
// changes along an edge, so the profile is explained stretch by stretch; which of its lines
// is the rim, and how wide that is, all stretches decide together.
func (f *edgeFinder) fitRims(g *strip, l *stripLine, ev []float64) rimFit {
	pxMM := 1 / f.cam.PxPerMM(g.o, 0)
	blur := max(f.opt.RingBlurPx, 0.4) * pxMM
	d := f.cam.ViewSlope(g.o).Dot(g.out)
	r := rimFit{face: d < faceSlope}
	var tabs []*rimTable
	for _, w := range rimWidths {
		tabs = append(tabs, newRimTable(blur, w, f.besideRim(d)))
	}
	half := int(math.Round(0.75 / g.h))
	const stretch = 6 // chunks
	pieces := max(1, (g.chunks+stretch/2)/stretch)
	var s []float64
	var costs [][len(rimWidths)]rimCosts
	for p := range pieces {
		a, b := p*g.chunks/pieces, (p+1)*g.chunks/pieces-1
		n, mid := 0, 0.0
		for c := a; c <= b; c++ {
			if !g.hidden[c] && ev[c] >= minEvidence {
				n++
				mid += g.s(c)
			}
		}
		if n < 2 {
			continue
		}
		m, noise := g.meanProfile(l, ev, a, b, half)
		var k [len(rimWidths)]rimCosts
		for i, t := range tabs {
			k[i] = t.costs(m, half, g.h, noise)
		}
		s, costs = append(s, mid/float64(n)), append(costs, k)
	}
	if len(costs) == 0 {
		r.u, r.uSlope = 0.1, 0.003
		r.parts = []qc.Contribution{{Label: "edge line", UMM: r.u}}
		return r
	}
	x, u, width := jointPlace(costs)
	// Each stretch's own place near the joint one gives the direction.
	var fixes []fix
	for i := range costs {
		n, un := costs[i][width].near(x, 0.05)
		fixes = append(fixes, fix{s[i], n - x, math.Hypot(un, 0.02)})
	}
	q := fixLine{uMid: 0.02, uSlope: 0.002, agree: 1}
	if len(fixes) > 2 {
		q = lineThrough(fixes, 0.025)
	}
	l.n += x + q.n
	l.slope += q.slope
	r.uSlope = q.uSlope
	r.parts = []qc.Contribution{
		// where stretches disagree, some took the rim for what lies beside it
		{Label: "edge line", UMM: math.Hypot(u, 0.06*(1-q.agree))},
		{Label: "edge rim", UMM: 0.02},
		{Label: "edge noise", UMM: math.Hypot(q.uMid, 0.05*pxMM)},
	}
	for _, p := range r.parts {
		r.u = math.Hypot(r.u, p.UMM)
	}
	return r
}

// jointPlace gives the place that all stretches explain best, its spread, and the index of
// the rim width that does. A stretch that fits nowhere counts little. The misfits of
// stretches have the same causes, so together they weigh as two, however many there are.
func jointPlace(costs [][len(rimWidths)]rimCosts) (x, u float64, width int) {
	var total [len(rimWidths)]rimCosts
	best := math.Inf(1)
	for i := range costs {
		least := math.Inf(1)
		for w := range rimWidths {
			for _, c := range costs[i][w] {
				least = min(least, c)
			}
		}
		for w := range rimWidths {
			for q, c := range costs[i][w] {
				c -= least
				total[w][q] += c / (1 + c/30)
			}
		}
	}
	for w := range rimWidths {
		for _, c := range total[w] {
			if c < best {
				best, width = c, w
			}
		}
	}
	weigh := 2 / math.Max(2, float64(len(costs)))
	var sw, sx, sxx float64
	for w := range rimWidths {
		for q, c := range total[w] {
			p := fit.Exp(-(c - best) * weigh / 2)
			at := rimFrom + rimStep*float64(q)
			sw += p
			sx += p * at
			sxx += p * at * at
		}
	}
	x = sx / sw
	return x, math.Sqrt(max(sxx/sw-x*x, 0)), width
}

// Where the view slope along the outward normal is below this, the sheet's side face shows
// by more than its rim's roundness.
const faceSlope = -0.08

// besideRim gives the shape of what lies next to the rim outside: the sheet's side face
// where the camera stands outside (d, the view slope along the outward normal, below 0),
// else a contact shadow that fades.
func (f *edgeFinder) besideRim(d float64) func(nMM float64) float64 {
	if d < faceSlope {
		thick := f.opt.SheetThicknessMM
		if thick == 0 {
			thick = 0.9 // common sheets in such work: 0.5 to 1.6 mm
		}
		w := -thick * d
		return func(n float64) float64 {
			if n > 0 && n < w {
				return 1
			}
			return 0
		}
	}
	return func(n float64) float64 {
		if n <= 0 {
			return 0
		}
		return fit.Exp(-n / 0.25)
	}
}
