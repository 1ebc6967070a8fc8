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
		mean := g.meanProfile(l, ev, c0, c1, half)
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

// Settle settles l on the whole strip.
func (g *Strip) Settle(l *Line) {
	g.track(l, g.evidence(l), 0, g.Chunks-1, 4)
}

// meanProfile averages the run's chunks about the line, 2 half + 1 samples.
func (g *Strip) meanProfile(l *Line, ev []float64, c0, c1, half int) (mean []float64) {
	mean = make([]float64, 2*half+1)
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
			mean[i] += row[i]*(1-t) + row[i+1]*t
		}
		n++
	}
	for i := range mean {
		mean[i] /= max(n, 1)
	}
	return mean
}
