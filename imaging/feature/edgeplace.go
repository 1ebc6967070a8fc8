package feature

import (
	"math"

	"bucktail/qc"
)

// place takes a strip and the line l in it and gives the edge.
func (f *edgeFinder) place(g *strip, l stripLine, s seed) (Edge, bool) {
	ev := g.evidence(&l)
	c0, c1, n := longestRun(ev, g.hidden)
	if float64(n)*chunkMM < minSupportMM {
		return Edge{}, false
	}
	sum, seen := 0.0, 0
	for c := c0; c <= c1; c++ {
		if !g.hidden[c] {
			sum += ev[c]
			if ev[c] > 0.8 {
				seen++
			}
		}
	}
	z := sum / math.Sqrt(float64(n)) / g.chance(l.resp, n)
	e := Edge{Strength: z, Support: float64(seen) / float64(n), Tapped: s.tapped, Kind: EdgeStep}
	if l.ridge {
		e.Kind = EdgeRidge
	}
	if (z < minEdgeZ || f.alongCard(g, &l, c0, c1)) && !s.tapped {
		return Edge{}, false
	}
	uSlope := g.track(&l, ev, c0, c1)
	rim := f.fitRim(g, &l, ev, c0, c1)
	e.uMidMM, e.uAngleRad = rim.u, uSlope
	e.FaceSeen = rim.face
	l.n += rim.x
	sa, sb := g.s(c0)-chunkMM/2, g.s(c1)+chunkMM/2
	e.P0 = g.o.Add(g.dir.Scale(sa)).Add(g.out.Scale(l.n + l.slope*sa))
	e.P1 = g.o.Add(g.dir.Scale(sb)).Add(g.out.Scale(l.n + l.slope*sb))
	e.P0Px, e.P1Px = f.cam.Project(e.P0, 0), f.cam.Project(e.P1, 0)
	for c := c0 - 1; c >= 0 && g.hidden[c]; c-- {
		e.ext0MM += chunkMM
	}
	for c := c1 + 1; c < g.chunks && g.hidden[c]; c++ {
		e.ext1MM += chunkMM
	}
	e.contributions = rim.parts
	for _, r := range f.opt.Fasteners {
		d, _ := e.At(r.Centre)
		q := r.Centre.Sub(e.P0).Dot(g.dir)
		if d < 0.55*r.RadiusMM && q > -4 && q < sb-sa+4 {
			return Edge{}, false
		}
	}
	return e, true
}

// track straightens l: each chunk of the run is laid on the mean profile of all, and a
// robust line goes through the offsets. It gives the standard uncertainty of the slope.
func (g *strip) track(l *stripLine, ev []float64, c0, c1 int) (uSlope float64) {
	half := int(math.Round(0.45 / g.h))
	for range 2 {
		mean := g.meanProfile(l, ev, c0, c1, half)
		// Gauss-Newton: offset = <profile - mean, mean'> / <mean', mean'>.
		var sw, ss, sn, sss, ssn, offs2 float64
		type fix struct{ s, n, w float64 }
		var fixes []fix
		for c := c0; c <= c1; c++ {
			if g.hidden[c] || ev[c] < 0.3 {
				continue
			}
			j := g.sample(l, c)
			if j-half < 0 || j+half >= g.k {
				continue
			}
			// sub-sample part of the line's place that rounding left out
			frac := (l.n+l.slope*g.s(c)-g.n0)/g.h - float64(j)
			row := g.light[c*g.k+j-half : c*g.k+j+half+1]
			var num, den, dc, dm float64
			for i := range row {
				dc += row[i]
				dm += mean[i]
			}
			dc, dm = dc/float64(len(row)), dm/float64(len(row))
			var cov, vv float64
			for i := range row {
				cov += (row[i] - dc) * (mean[i] - dm)
				vv += (mean[i] - dm) * (mean[i] - dm)
			}
			a := max(cov/vv, 0.2)
			for i := 1; i < len(row)-1; i++ {
				d := (mean[i+1] - mean[i-1]) / 2
				num -= ((row[i]-dc)/a - (mean[i] - dm)) * d
				den += d * d
			}
			if den == 0 {
				continue
			}
			off := min(max(num/den, -2), 2)*g.h - frac*g.h
			fixes = append(fixes, fix{g.s(c), off, 1})
		}
		if len(fixes) < 4 {
			return 0.02
		}
		var a, b float64
		for range 4 {
			sw, ss, sn, sss, ssn, offs2 = 0, 0, 0, 0, 0, 0
			for _, p := range fixes {
				sw += p.w
				ss += p.w * p.s
				sn += p.w * p.n
				sss += p.w * p.s * p.s
				ssn += p.w * p.s * p.n
			}
			det := sw*sss - ss*ss
			a, b = (sn*sss-ss*ssn)/det, (sw*ssn-ss*sn)/det
			for i, p := range fixes {
				r := p.n - a - b*p.s
				offs2 += p.w * r * r
				q := r / 0.06 // Geman-McClure; chunks scatter by 0.02 to 0.05 mm
				fixes[i].w = 1 / ((1 + q*q) * (1 + q*q))
			}
		}
		l.n += a
		l.slope += b
		uSlope = math.Sqrt(offs2/max(sw-2, 1)) / math.Sqrt(max(sss-ss*ss/sw, 1))
	}
	return uSlope
}

// meanProfile averages the run's chunks about the line, 2 half + 1 samples.
func (g *strip) meanProfile(l *stripLine, ev []float64, c0, c1, half int) []float64 {
	mean := make([]float64, 2*half+1)
	n := 0.0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] || ev[c] < 0.3 {
			continue
		}
		at := (l.n + l.slope*g.s(c) - g.n0) / g.h
		j := int(math.Floor(at))
		t := at - float64(j)
		if j-half < 0 || j+half+1 >= g.k {
			continue
		}
		row := g.light[c*g.k+j-half:]
		for i := range mean {
			mean[i] += row[i]*(1-t) + row[i+1]*t
		}
		n++
	}
	if n > 0 {
		for i := range mean {
			mean[i] /= n
		}
	}
	return mean
}

// rimFit is where the sheet's vertical face lies against the line that was tracked.
type rimFit struct {
	x, u  float64 // mm, outward
	face  bool
	parts []qc.Contribution
}

// A deburred rim is rounded over about this width (common practice: break sharp edges by
// 0.05 to 0.15 mm); in a photo it shows as a line of its own brightness just inside of the
// vertical face.
const rimMM = 0.1

// fitRim explains the mean profile by the sheet's face, the rim and what lies outside,
// blurred, and gives the place of the vertical face as the mean over all places, weighted
// by how well they explain it: where rim and outside look alike, the rim's width is doubt.
func (f *edgeFinder) fitRim(g *strip, l *stripLine, ev []float64, c0, c1 int) rimFit {
	half := int(math.Round(0.75 / g.h))
	m := g.meanProfile(l, ev, c0, c1, half)
	pxMM := 1 / f.cam.PxPerMM(g.o, 0)
	// Sampling by straight interpolation adds a little blur; chunks' own jitter too.
	blur := math.Hypot(f.opt.RingBlurPx*pxMM, max(0.4*pxMM, 0.015))
	d := f.cam.ViewSlope(g.o).Dot(g.out)
	r := rimFit{face: d < -0.08}
	thick := f.opt.SheetThicknessMM
	if thick == 0 {
		thick = 0.9 // common sheets in such work: 0.5 to 1.6 mm
	}
	fourth := func(n float64) float64 { // what lies next to the rim outside: a shadow that fades
		if n <= 0 {
			return 0
		}
		return math.Exp(-n / 0.25)
	}
	if r.face {
		w := -thick * d
		fourth = func(n float64) float64 {
			if n > 0 && n < w {
				return 1
			}
			return 0
		}
	}
	from, to := max(0, half-int(0.6/g.h)), min(len(m)-1, half+int(0.45/g.h))
	lo, hi := -0.25, 0.3
	const dx = 0.01
	steps := int((hi-lo)/dx) + 1
	cost := make([]float64, steps)
	best := math.Inf(1)
	scale := 0.0
	for i := from; i <= to; i++ {
		for j := i + 1; j <= to; j++ {
			scale = max(scale, math.Abs(m[i]-m[j]))
		}
	}
	tau := max(0.03*scale, 0.004)
	tab := newRimTable(blur, fourth)
	for q := range steps {
		cost[q] = tab.cost(m, from, to, half, g.h, lo+dx*float64(q), tau, scale)
		best = min(best, cost[q])
	}
	var sw, sx, sxx float64
	for q := range steps {
		w := math.Exp(-(cost[q] - best) / 2)
		x := lo + dx*float64(q)
		sw += w
		sx += w * x
		sxx += w * x * x
	}
	r.x = sx / sw
	fit := math.Sqrt(max(sxx/sw-r.x*r.x, 0))
	bevel := 0.02
	r.u = math.Sqrt(fit*fit + bevel*bevel + 0.0225*pxMM*pxMM)
	r.parts = []qc.Contribution{
		{Label: "edge line", UMM: fit},
		{Label: "edge rim", UMM: bevel},
		{Label: "edge noise", UMM: 0.15 * pxMM},
	}
	return r
}
