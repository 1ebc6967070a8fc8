// Package rim tells where in the light across an edge its vertical face lies: a deburred
// sheet ends in a rounded rim, beside which its side face or a shadow may show. In go profiles
// in a strip's frame (mm) and how the edge is seen; out comes the shift of the line, with the
// uncertainty of that. Start with [Fit].
package rim

import (
	"math"

	"bucktail/imaging/fit"
	"bucktail/imaging/sheetedge/strip"
	"bucktail/qc"
)

// Placement is where the rim puts a line.
type Placement struct {
	N, Slope      float64           // of the vertical face in the profiles' frame: at s it lies at n + slope s, mm
	UMM, USlope   float64           // standard uncertainty of n at the middle, mm, and of slope
	Contributions []qc.Contribution // of u
}

// View is how an edge is seen.
type View struct {
	BlurPx  float64 // sigma of the picture's blur, pixels
	PxMM    float64 // a pixel on the sheet
	Slope   float64 // the view slope along the outward normal
	SheetMM float64 // thickness of the sheet; 0: unknown
}

// A deburred rim is rounded over about one of these widths, mm (common practice: break sharp edges by
// 0.05 to 0.15 mm); in a photo it shows as a line of its own brightness just inside of the
// vertical face.
var widths = [...]float64{0.04, 0.08, 0.13}

// Standard uncertainties, mm, and tolerances of the place. Set on drawn edges and on rendered
// photos: TestEdgesOfASheetAreFoundAtTheFace and TestEdgesOfRenderedPhotos of sheetedge hold
// that errors stay within twice the whole.
const (
	unseenU      = 0.1   // of a line that no profile shows
	unseenUSlope = 0.003 // and of its direction
	rimU         = 0.02  // what the true form of the rim, and where along it the face counts, add
	wrongLineU   = 0.06  // of a stretch that took the rim for what lies beside it
	fixU         = 0.02  // of one stretch's own place
	fewUSlope    = 0.002 // of the direction where two stretches or fewer tell it
	fixTolMM     = 0.025 // within this a stretch agrees with the others
	nearMM       = 0.05  // about the joint place a stretch looks for its own
	noisePx      = 0.05  // what pixels add however many there are
	leastBlurPx  = 0.4   // no lens and no sensor is sharper: a pixel alone has 0.29
)

// HalfMM is how far to either side of a line its profiles have to reach.
const HalfMM = 0.75

// Fit places a line by the rim, which lies where the profiles have their middle or near.
// What lies outside changes along an edge, so the profile is explained stretch by stretch;
// which of its lines is the rim, and how wide that is, all stretches decide together.
func Fit(profiles []strip.Profile, v View) Placement {
	if len(profiles) == 0 {
		return Placement{UMM: unseenU, USlope: unseenUSlope, Contributions: []qc.Contribution{{Label: "edge: line fit", UMM: unseenU}}}
	}
	var tabs []*table
	for _, w := range widths {
		tabs = append(tabs, newTable(max(v.BlurPx, leastBlurPx)*v.PxMM, w, v.besideRim()))
	}
	var costs [][len(widths)]misfits
	for i := range profiles {
		var k [len(widths)]misfits
		for w, t := range tabs {
			k[w] = t.costs(&profiles[i])
		}
		costs = append(costs, k)
	}
	x, u, width := jointPlace(costs)
	// Each stretch's own place near the joint one gives the direction.
	var fixes []strip.Fix
	for i := range costs {
		n, un := costs[i][width].near(x, nearMM)
		fixes = append(fixes, strip.Fix{S: profiles[i].MidMM, N: n - x, U: math.Hypot(un, fixU)})
	}
	q := strip.FixLine{UMid: fixU, USlope: fewUSlope, Agree: 1}
	if len(fixes) > 2 {
		q = strip.LineThrough(fixes, fixTolMM)
	}
	r := Placement{N: x + q.N, Slope: q.Slope, USlope: q.USlope, Contributions: []qc.Contribution{
		// where stretches disagree, some took the rim for what lies beside it
		{Label: "edge: line fit", UMM: math.Hypot(u, wrongLineU*(1-q.Agree))},
		{Label: "edge: rounding of the rim", UMM: rimU},
		{Label: "edge: noise", UMM: math.Hypot(q.UMid, noisePx*v.PxMM)},
	}}
	for _, p := range r.Contributions {
		r.UMM = math.Hypot(r.UMM, p.UMM)
	}
	return r
}

// jointPlace gives the place that all stretches explain best, its spread, and the index of
// the rim width that does. A stretch that fits nowhere counts little. The misfits of
// stretches have the same causes, so together they weigh as two, however many there are.
func jointPlace(costs [][len(widths)]misfits) (x, u float64, width int) {
	var total [len(widths)]misfits
	best := math.Inf(1)
	for i := range costs {
		least := math.Inf(1)
		for w := range widths {
			for _, c := range costs[i][w] {
				least = min(least, c)
			}
		}
		for w := range widths {
			for q, c := range costs[i][w] {
				c -= least
				total[w][q] += c / (1 + c/30)
			}
		}
	}
	for w := range widths {
		for _, c := range total[w] {
			if c < best {
				best, width = c, w
			}
		}
	}
	weigh := 2 / math.Max(2, float64(len(costs)))
	var sw, sx, sxx float64
	for w := range widths {
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

// FaceSlope is the view slope along the outward normal below which the sheet's side face shows
// by more than its rim's roundness.
const FaceSlope = -0.08

const (
	usualSheetMM = 0.9  // common sheets in such work: 0.5 to 1.6 mm
	shadowMM     = 0.25 // in which a contact shadow fades to a third (assumed)
)

// besideRim gives the shape of what lies next to the rim outside: the sheet's side face
// where the camera stands outside (the view slope is below 0), else a contact shadow that fades.
func (v *View) besideRim() func(nMM float64) float64 {
	if v.Slope < FaceSlope {
		thick := v.SheetMM
		if thick == 0 {
			thick = usualSheetMM
		}
		w := -thick * v.Slope
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
		return fit.Exp(-n / shadowMM)
	}
}
