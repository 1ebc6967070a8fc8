package feature

import (
	"math"

	"bucktail/qc"
)

// A chunk that shows the line by less than this has no say in its place.
const minEvidence = 0.3

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
	z := sum / math.Sqrt(float64(n)) / g.chance[l.kind]
	e := Edge{Strength: z, Support: float64(seen) / float64(n), Tapped: s.tapped, Kind: EdgeStep}
	if l.kind == 1 {
		e.Kind = EdgeRidge
	}
	if (z < minEdgeZ || f.alongCard(g, &l, c0, c1)) && !s.tapped {
		return Edge{}, false
	}
	g.track(&l, ev, c0, c1)
	rim := f.fitRims(g, &l, ev, c0, c1)
	// A faint line is found where chance strengthens it most: its place is doubtful by a
	// share of the response's width (0.25 mm) that falls with its strength.
	faint := 0.25 / z
	e.uMidMM = math.Hypot(rim.u, faint)
	e.uAngleRad = math.Hypot(rim.uSlope, faint*math.Sqrt(12)/(float64(c1-c0+1)*chunkMM))
	e.FaceSeen = rim.face
	sa, sb := g.s(c0)-chunkMM/2, g.s(c1)+chunkMM/2
	e.P0 = g.o.Add(g.dir.Scale(sa)).Add(g.out.Scale(l.n + l.slope*sa))
	e.P1 = g.o.Add(g.dir.Scale(sb)).Add(g.out.Scale(l.n + l.slope*sb))
	e.P0Px, e.P1Px = f.cam.Project(e.P0, 0), f.cam.Project(e.P1, 0)
	e.ext0MM, e.open0 = g.beyond(c0, -1)
	e.ext1MM, e.open1 = g.beyond(c1, 1)
	e.contributions = append(rim.parts, qc.Contribution{Label: "edge faintness", UMM: faint})
	if f.belongsToFastener(&e) && !s.tapped {
		return Edge{}, false
	}
	return e, true
}

// belongsToFastener tells whether e is a layout line, which runs through a fastener, or the
// side of a fastener's shadow or mirror image, which starts from it as a tangent.
func (f *edgeFinder) belongsToFastener(e *Edge) bool {
	dir, _ := e.axes()
	length := e.P1.Sub(e.P0).Norm()
	for _, r := range f.opt.Fasteners {
		d, _ := e.At(r.Centre)
		s := r.Centre.Sub(e.P0).Dot(dir)
		if d < 0.55*r.RadiusMM && s > -4 && s < length+4 {
			return true
		}
		if d < 1.3*r.RadiusMM {
			near := r.RadiusMM + 2
			if s > -near && s < near && length < 4*near || s < length+near && s > length-near && length < 4*near {
				return true
			}
		}
	}
	return false
}

// beyond tells how far past chunk c, the last of a run, the strip is hidden, mm, and
// whether the line ends in the open: in view, with nothing to end it.
func (g *strip) beyond(c, way int) (hiddenMM float64, open bool) {
	c += way
	for c >= 0 && c < g.chunks && g.hidden[c] {
		hiddenMM += chunkMM
		c += way
	}
	left := 0
	for ; c >= 0 && c < g.chunks && !g.hidden[c]; c += way {
		left++
	}
	return hiddenMM, hiddenMM == 0 && left >= 3
}

// track straightens l: each chunk of the run is laid on the mean profile of all, and a
// robust line goes through the offsets.
func (g *strip) track(l *stripLine, ev []float64, c0, c1 int) {
	half := int(math.Round(0.45 / g.h))
	for range 2 {
		mean := g.meanProfile(l, ev, c0, c1, half)
		// Gauss-Newton: offset = <profile - mean, mean'> / <mean', mean'>.
		var sw, ss, sn, sss, ssn float64
		type fix struct{ s, n, w float64 }
		var fixes []fix
		for c := c0; c <= c1; c++ {
			if g.hidden[c] || ev[c] < minEvidence {
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
			if cov <= 0 {
				continue // the contrast is turned round here
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
			return
		}
		var a, b float64
		for range 4 {
			sw, ss, sn, sss, ssn = 0, 0, 0, 0, 0
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
				q := r / 0.06 // Geman-McClure; chunks scatter by 0.02 to 0.05 mm
				fixes[i].w = 1 / ((1 + q*q) * (1 + q*q))
			}
		}
		l.n += a
		l.slope += b
	}
}

// meanProfile averages the run's chunks about the line, 2 half + 1 samples.
func (g *strip) meanProfile(l *stripLine, ev []float64, c0, c1, half int) []float64 {
	mean := make([]float64, 2*half+1)
	n := 0.0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] || ev[c] < minEvidence {
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

// rimFit is where the sheet's vertical face lies.
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
	type fix struct{ s, n, u, w float64 }
	var fixes []fix
	half := int(math.Round(0.75 / g.h))
	pieces := max(1, (c1-c0+1+stretch/2)/stretch)
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
		u = math.Hypot(u, 0.15*pxMM/math.Sqrt(float64(n)))
		fixes = append(fixes, fix{mid / float64(n), x, u, 0})
	}
	var sw, ss, sn, sss, ssn, srr, fit float64
	var a, b, det float64
	for round := range 6 {
		sw, ss, sn, sss, ssn, srr, fit = 0, 0, 0, 0, 0, 0, 0
		for _, p := range fixes {
			w := 1 / (p.u*p.u + 0.0004)
			if round > 0 {
				q := (p.n - a - b*p.s) / 0.05 // Geman-McClure
				w /= (1 + q*q) * (1 + q*q)
			}
			res := p.n - a - b*p.s
			sw += w
			ss += w * p.s
			sn += w * p.n
			sss += w * p.s * p.s
			ssn += w * p.s * p.n
			srr += w * res * res
			fit += w * p.u
		}
		if sw == 0 {
			break
		}
		// A weak prior on the direction, which was tracked to some 0.002.
		const uDir = 0.004
		det = (sss-ss*ss/sw)*1 + 1/(uDir*uDir)
		b = (ssn - ss*sn/sw) / det
		a = (sn - b*ss) / sw
	}
	mid := 0.0
	if sw > 0 {
		l.n += a
		l.slope += b
		mid = ss / sw
		fit /= sw
	} else {
		fit = 0.1
	}
	_ = mid
	n := float64(len(fixes))
	scatter := 0.0
	if n > 2 {
		scatter = math.Sqrt(srr / sw / (n - 2))
	}
	bevel := 0.02
	noise := 0.1 * pxMM
	r.u = math.Sqrt(fit*fit + bevel*bevel + noise*noise + scatter*scatter)
	r.uSlope = 0.0005
	if det > 0 {
		r.uSlope = math.Hypot(r.uSlope, math.Sqrt(max(srr/max(n-2, 1), 1)/det))
	}
	r.parts = []qc.Contribution{
		{Label: "edge line", UMM: math.Hypot(fit, scatter)},
		{Label: "edge rim", UMM: bevel},
		{Label: "edge noise", UMM: noise},
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
