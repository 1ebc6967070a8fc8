package feature

import (
	"math"

	"bucktail/qc"
)

// A chunk that shows the line by less than this has no say in its place.
const minEvidence = 0.3

// A chunk that shows it by less than this can't tell where it is on its own.
const trackEvidence = 1.5

// How many chunks at an open end may lie on a corner's round.
const cornerChunks = 4

// place takes a strip and the line l in it and gives the edge, its place not yet final.
func (f *edgeFinder) place(g *strip, l stripLine, s seed) (Edge, bool) {
	// The run decides the line and the line the run: twice round settles them.
	var ev []float64
	var c0, c1, n int
	noise := g.faceEvidence(l)
	for round := range 2 {
		ev = g.evidence(&l)
		c0, c1, n = longestRun(ev, g.hidden, noise+0.5)
		if n > 0 {
			// A line that shows well ends where it shows half as well, not where chance does.
			c0, c1, n = longestRun(ev, g.hidden, min(noise+0.4*(mean(ev[c0:c1+1], g.hidden[c0:c1+1])-noise), 1.5))
		}
		if float64(n)*chunkMM < minSupportMM && !(s.tapped && n >= 3) {
			return Edge{}, false
		}
		if round == 0 {
			// The end of a run in the open may be on the round of a corner.
			a, b := c0, c1
			if _, open := g.beyond(c0, -1); open && n > 2*cornerChunks {
				a += cornerChunks
			}
			if _, open := g.beyond(c1, 1); open && n > 2*cornerChunks {
				b -= cornerChunks
			}
			if q := g.search(l, 0.12, 0.01, a, b); q.z > 0 {
				l = q
			}
			g.track(&l, ev, a, b, 2)
		}
	}
	sum, seen := 0.0, 0
	for c := c0; c <= c1; c++ {
		if !g.hidden[c] {
			sum += ev[c] - noise
			if ev[c] > noise {
				seen++
			}
		}
	}
	z := sum / math.Sqrt(float64(n)) / g.chance[l.kind]
	e := Edge{Strength: z, Support: float64(seen) / float64(n), Tapped: s.tapped, Kind: EdgeStep}
	if l.kind == 1 {
		e.Kind = EdgeRidge
	}
	if (z < faintEdgeZ || f.alongCard(g, &l, c0, c1)) && !s.tapped {
		return Edge{}, false
	}
	f.setEnds(&e, g, &l, g.s(c0)-chunkMM/2, g.s(c1)+chunkMM/2)
	e.ext0MM, e.open0 = g.beyond(c0, -1)
	e.ext1MM, e.open1 = g.beyond(c1, 1)
	if f.belongsToFastener(&e) && !s.tapped {
		return Edge{}, false
	}
	return e, true
}

// setEnds lays e on the line l between s = sa and sb.
func (f *edgeFinder) setEnds(e *Edge, g *strip, l *stripLine, sa, sb float64) {
	e.P0 = g.o.Add(g.dir.Scale(sa)).Add(g.out.Scale(l.n + l.slope*sa))
	e.P1 = g.o.Add(g.dir.Scale(sb)).Add(g.out.Scale(l.n + l.slope*sb))
	e.P0Px, e.P1Px = f.cam.Project(e.P0, 0), f.cam.Project(e.P1, 0)
}

// finish gives e its final place, on the rim, and its doubt.
func (f *edgeFinder) finish(g *strip, e *Edge) {
	mid, d := e.P0.Add(e.P1).Scale(0.5), e.P1.Sub(e.P0)
	half := d.Norm() / 2
	dir := d.Scale(0.5 / half)
	f.straighten(g, mid, dir, f.outward(mid, dir), -half, half)
	l, ok := g.bestLine(0.2, 0.004, f.opt.Fasteners)
	if !ok {
		l = stripLine{}
	}
	if d := f.cam.ViewSlope(mid).Dot(g.out); d < faceSlope {
		g.innerFlank(&l, -d)
	}
	ev := g.evidence(&l)
	g.track(&l, ev, 0, g.chunks-1, 4)
	rim := f.fitRims(g, &l, ev)
	// A faint line is found where chance strengthens it most: its place is doubtful by a
	// share of the response's width (0.25 mm) that falls with its strength.
	faint := 0.25 / max(e.Strength, 1)
	e.uMidMM = math.Hypot(rim.u, faint)
	e.uAngleRad = math.Hypot(rim.uSlope, faint*math.Sqrt(12)/(2*half))
	e.FaceSeen = rim.face
	e.contributions = append(rim.parts, qc.Contribution{Label: "edge faintness", UMM: faint})
	if c, needed := tapContribution(e); needed {
		e.uMidMM = math.Hypot(e.uMidMM, c.UMM)
		e.contributions = append(e.contributions, c)
	}
	f.setEnds(e, g, &l, -half, half)
}

// innerFlank moves l to the inner border of the side face, if l is the outer one: to the
// innermost step within the width at which the face of a thick sheet would show.
func (g *strip) innerFlank(l *stripLine, tanView float64) {
	const thickest = 2.1 // mm; heavier plate is not riveted by hand
	width := thickest*tanView + 0.1
	i1 := int(math.Round((l.n - g.n0) / g.h))
	i0 := max(g.margin, i1-int(width/g.h))
	sums := g.sums(l.slope, i0, i1+2, 0, g.chunks-1)
	z := make([]float64, len(sums))
	most := 0.0
	for i, w := range sums {
		s := w.lanes()[0]
		z[i] = float64(s.plain+max(s.signed, -s.signed)) / (g.unit * math.Sqrt(float64(max(g.seen, 1))) * g.chance[0])
		most = max(most, z[i])
	}
	for i := 1; i < len(z)-1; i++ {
		if i0+i > i1-int(0.1/g.h) {
			return // that is the line itself
		}
		if z[i] > max(minEdgeZ, 0.3*most) && z[i] >= z[i-1] && z[i] > z[i+1] {
			*l = g.search(stripLine{n: g.n(i0 + i), slope: l.slope}, 0.08, 0.002, 0, g.chunks-1)
			return
		}
	}
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
func (g *strip) track(l *stripLine, ev []float64, c0, c1, rounds int) {
	half := int(math.Round(0.45 / g.h))
	for round := range rounds {
		mean, _ := g.meanProfile(l, ev, c0, c1, half)
		var dm, vv float64
		for _, m := range mean {
			dm += m / float64(len(mean))
		}
		for _, m := range mean {
			vv += (m - dm) * (m - dm)
		}
		var fixes []fix
		for c := c0; c <= c1; c++ {
			if g.hidden[c] || ev[c] < trackEvidence {
				continue
			}
			at := (l.n + l.slope*g.s(c) - g.n0) / g.h
			j := int(math.Round(at))
			if j-half < 0 || j+half >= g.k {
				continue
			}
			row := g.light[c*g.k+j-half : c*g.k+j+half+1]
			var dc, cov float64
			for _, x := range row {
				dc += x / float64(len(row))
			}
			for i, x := range row {
				cov += (x - dc) * (mean[i] - dm)
			}
			if cov <= 0 {
				continue // the contrast is turned round here
			}
			// Gauss-Newton: offset = -<profile - mean, mean'> / <mean', mean'>.
			gain := max(cov/vv, 0.2)
			var num, den float64
			for i := 1; i < len(row)-1; i++ {
				d := (mean[i+1] - mean[i-1]) / 2
				num -= ((row[i]-dc)/gain - (mean[i] - dm)) * d
				den += d * d
			}
			if den > 0 {
				// what rounding left out of the line's place comes off again
				fixes = append(fixes, fix{g.s(c), (min(max(num/den, -2), 2) + float64(j) - at) * g.h, 0.03})
			}
		}
		if len(fixes) < 4 {
			return
		}
		q := lineThrough(fixes, 0.05+0.1/float64(1+round))
		l.n += q.n
		l.slope += q.slope
	}
}

// meanProfile averages the run's chunks about the line, 2 half + 1 samples, and gives the
// standard error of that, from the scatter between chunks.
func (g *strip) meanProfile(l *stripLine, ev []float64, c0, c1, half int) (mean []float64, stdErr float64) {
	mean = make([]float64, 2*half+1)
	square := make([]float64, 2*half+1)
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
			x := row[i]*(1-t) + row[i+1]*t
			mean[i] += x
			square[i] += x * x
		}
		n++
	}
	if n == 0 {
		return mean, 0
	}
	for i := range mean {
		mean[i] /= n
		stdErr += max(square[i]/n-mean[i]*mean[i], 0)
	}
	return mean, math.Sqrt(stdErr / float64(len(mean)) / max(n-1, 1))
}
