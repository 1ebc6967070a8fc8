package strip

import "math"

const (
	trackHalfMM = 0.45 // of a profile to either side of the line: a rim and its blur
	trackUMM    = 0.03 // standard uncertainty of where one chunk puts the line (set on drawn edges)
)

// track settles l: each chunk of the run is laid on the mean profile of all, and a
// robust line goes through the offsets.
func (g *Strip) track(l *Line, ev []float64, c0, c1, rounds int) {
	half := int(math.Round(trackHalfMM / g.h))
	for round := range rounds {
		mean, _ := g.meanProfile(l, ev, c0, c1, half)
		var dm, vv float64
		for _, m := range mean {
			dm += m / float64(len(mean))
		}
		for _, m := range mean {
			vv += (m - dm) * (m - dm)
		}
		var fixes []Fix
		for c := c0; c <= c1; c++ {
			if g.hidden[c] || ev[c] < trackEvidence {
				continue
			}
			at := (l.N + l.Slope*g.s(c) - g.n0) / g.h
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
			gain := max(cov/vv, 0.2) // fainter than that the noise would be blown up
			var num, den float64
			for i := 1; i < len(row)-1; i++ {
				d := (mean[i+1] - mean[i-1]) / 2
				num -= ((row[i]-dc)/gain - (mean[i] - dm)) * d
				den += d * d
			}
			if den > 0 {
				// what rounding left out of the line's place comes off again
				fixes = append(fixes, Fix{g.s(c), (min(max(num/den, -2), 2) + float64(j) - at) * g.h, trackUMM})
			}
		}
		if len(fixes) < 4 {
			return
		}
		q := LineThrough(fixes, 0.05+0.1/float64(1+round)) // mm, narrower from round to round
		l.N += q.N
		l.Slope += q.Slope
	}
}

// stretchChunks is how many chunks share a profile.
const stretchChunks = 6

// Profile is the mean light across a line over a stretch of it.
type Profile struct {
	MidMM  float64   // the middle of what shows the line there
	Light  []float64 // 2 k + 1 samples stepMM apart, the middle one on the line
	StepMM float64
	StdErr float64 // of the light, from the scatter along the line
}

// Profiles settles l on the whole strip and gives its profiles, stretch by stretch, out to halfMM
// on both sides. A stretch that hardly shows the line has none.
func (g *Strip) Profiles(l *Line, halfMM float64) (all []Profile) {
	ev := g.evidence(l)
	g.track(l, ev, 0, g.Chunks-1, 4)
	half := int(math.Round(halfMM / g.h))
	pieces := max(1, (g.Chunks+stretchChunks/2)/stretchChunks)
	for p := range pieces {
		a, b := p*g.Chunks/pieces, (p+1)*g.Chunks/pieces-1
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
		m, stdErr := g.meanProfile(l, ev, a, b, half)
		all = append(all, Profile{mid / float64(n), m, g.h, stdErr})
	}
	return all
}

// meanProfile averages the run's chunks about the line, 2 half + 1 samples, and gives the
// standard error of that, from the scatter between chunks.
func (g *Strip) meanProfile(l *Line, ev []float64, c0, c1, half int) (mean []float64, stdErr float64) {
	mean = make([]float64, 2*half+1)
	square := make([]float64, 2*half+1)
	n := 0.0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] || ev[c] < minEvidence {
			continue
		}
		at := (l.N + l.Slope*g.s(c) - g.n0) / g.h
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
