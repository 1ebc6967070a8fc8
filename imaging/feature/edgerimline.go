package feature

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/qc"
)

// rimPlace is where the rim puts a line.
type rimPlace struct {
	n, slope  float64           // of the vertical face in the profiles' frame: at s it lies at n + slope s, mm
	u, uSlope float64           // standard uncertainty of n at the middle, mm, and of slope
	parts     []qc.Contribution // of u
}

// rimView is how an edge is seen.
type rimView struct {
	blurPx  float64 // sigma of the picture's blur, pixels
	pxMM    float64 // a pixel on the sheet
	slope   float64 // the view slope along the outward normal
	sheetMM float64 // thickness of the sheet; 0: unknown
}

// A deburred rim is rounded over about one of these widths, mm (common practice: break sharp edges by
// 0.05 to 0.15 mm); in a photo it shows as a line of its own brightness just inside of the
// vertical face.
var rimWidths = [...]float64{0.04, 0.08, 0.13}

// rimHalfMM is how far to either side of a line its profiles have to reach.
const rimHalfMM = 0.75

// placeByRim places a line by the rim, which lies where the profiles have their middle or near.
// What lies outside changes along an edge, so the profile is explained stretch by stretch;
// which of its lines is the rim, and how wide that is, all stretches decide together.
func placeByRim(profiles []profile, v rimView) rimPlace {
	if len(profiles) == 0 {
		return rimPlace{u: 0.1, uSlope: 0.003, parts: []qc.Contribution{{Label: "edge line", UMM: 0.1}}}
	}
	var tabs []*rimTable
	for _, w := range rimWidths {
		tabs = append(tabs, newRimTable(max(v.blurPx, 0.4)*v.pxMM, w, v.besideRim()))
	}
	var costs [][len(rimWidths)]rimCosts
	for i := range profiles {
		var k [len(rimWidths)]rimCosts
		for w, t := range tabs {
			k[w] = t.costs(&profiles[i])
		}
		costs = append(costs, k)
	}
	x, u, width := jointPlace(costs)
	// Each stretch's own place near the joint one gives the direction.
	var fixes []fix
	for i := range costs {
		n, un := costs[i][width].near(x, 0.05)
		fixes = append(fixes, fix{profiles[i].sMM, n - x, math.Hypot(un, 0.02)})
	}
	q := fixLine{uMid: 0.02, uSlope: 0.002, agree: 1}
	if len(fixes) > 2 {
		q = lineThrough(fixes, 0.025)
	}
	r := rimPlace{n: x + q.n, slope: q.slope, uSlope: q.uSlope, parts: []qc.Contribution{
		// where stretches disagree, some took the rim for what lies beside it
		{Label: "edge line", UMM: math.Hypot(u, 0.06*(1-q.agree))},
		{Label: "edge rim", UMM: 0.02},
		{Label: "edge noise", UMM: math.Hypot(q.uMid, 0.05*v.pxMM)},
	}}
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
// where the camera stands outside (the view slope is below 0), else a contact shadow that fades.
func (v *rimView) besideRim() func(nMM float64) float64 {
	if v.slope < faceSlope {
		thick := v.sheetMM
		if thick == 0 {
			thick = 0.9 // common sheets in such work: 0.5 to 1.6 mm
		}
		w := -thick * v.slope
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
