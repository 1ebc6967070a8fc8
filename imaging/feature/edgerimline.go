package feature

import (
	"math"

	"bucktail/qc"
)

// rimFit is the doubt of a line placed by the rim.
type rimFit struct {
	u, uSlope float64 // standard uncertainty at the middle, mm, and of the direction
	face      bool
	parts     []qc.Contribution
}

// A deburred rim is rounded over about this width (common practice: break sharp edges by
// 0.05 to 0.15 mm); in a photo it shows as a line of its own brightness just inside of the
// vertical face.
const rimMM = 0.1

// fitRims places the line l by the rim: stretch by stretch, because what lies outside
// changes along an edge, then a robust line through the stretches.
func (f *edgeFinder) fitRims(g *strip, l *stripLine, ev []float64, c0, c1 int) rimFit {
	pxMM := 1 / f.cam.PxPerMM(g.o, 0)
	// Sampling by straight interpolation adds a little blur, the chunks' own jitter too.
	blur := math.Hypot(f.opt.RingBlurPx*pxMM, max(0.4*pxMM, 0.015))
	d := f.cam.ViewSlope(g.o).Dot(g.out)
	r := rimFit{face: d < -0.08}
	tab := newRimTable(blur, f.besideRim(d))
	const stretch = 6 // chunks
	half := int(math.Round(0.75 / g.h))
	pieces := max(1, (c1-c0+1+stretch/2)/stretch)
	fit, agree := 0.1, 1.0
	for range 2 { // the second time about the line that the first one found
		var fixes []fix
		sum := 0.0
		for p := range pieces {
			a, b := c0+p*(c1-c0+1)/pieces, c0+(p+1)*(c1-c0+1)/pieces-1
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
			x, u := tab.place(g.meanProfile(l, ev, a, b, half), half, g.h)
			if x < rimFrom+0.02 || x > rimTo-0.02 {
				continue // no place in reach explains it
			}
			fixes = append(fixes, fix{mid / float64(n), x, math.Hypot(u, 0.15*pxMM/math.Sqrt(float64(n)))})
			sum += u
		}
		if len(fixes) == 0 {
			break
		}
		q := fixLine{n: fixes[0].n, uMid: fixes[0].u, uSlope: 0.003, agree: 1}
		if len(fixes) > 1 {
			q = lineThrough(fixes, 0.04)
		}
		l.n += q.n
		l.slope += q.slope
		r.u, r.uSlope, agree = q.uMid, q.uSlope, q.agree
		fit = sum / float64(len(fixes))
	}
	// Where stretches disagree, some took the rim for the shadow beside it or the face.
	doubt := rimMM / 2 * (1 - agree)
	r.parts = []qc.Contribution{
		{Label: "edge line", UMM: math.Hypot(fit, doubt)},
		{Label: "edge rim", UMM: 0.02},
		{Label: "edge noise", UMM: math.Hypot(r.u, 0.05*pxMM)},
	}
	r.u = 0
	for _, p := range r.parts {
		r.u = math.Hypot(r.u, p.UMM)
	}
	return r
}

// besideRim gives the shape of what lies next to the rim outside: the sheet's side face
// where the camera stands outside (d, the view slope along the outward normal, below 0),
// else a contact shadow that fades.
func (f *edgeFinder) besideRim(d float64) func(nMM float64) float64 {
	if d < -0.08 {
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
		return math.Exp(-n / 0.25)
	}
}
