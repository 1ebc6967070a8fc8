package strip

import "math"

// foundZ is the strength from which on the best of a strip's lines is worth following: of
// 300 independent lines of either sign chance gives the best about 3.
const foundZ = 3.5

// BestLine finds the line within maxN mm of n = 0 and maxSlope of its direction that has
// the greatest sum of softened responses.
func (g *Strip) BestLine(maxN, maxSlope float64) (Line, bool) {
	g.seen = 0
	for _, h := range g.hidden {
		if !h {
			g.seen++
		}
	}
	if g.seen == 0 {
		return Line{}, false
	}
	g.respond()
	for kind := range g.resp {
		sigma := g.sigma(g.resp[kind])
		if sigma == 0 {
			clear(g.resp[kind])
			continue
		}
		g.soften(g.resp[kind], sigma)
	}
	g.pack()
	g.alongFace()
	l := g.search(Line{}, maxN, maxSlope, 0, g.Chunks-1)
	return l, l.Z > foundZ
}

// search finds the strongest line within maxN mm and maxSlope of l over chunks c0 to c1.
func (g *Strip) search(l Line, maxN, maxSlope float64, c0, c1 int) Line {
	best := Line{}
	mid := (g.s(c0) + g.s(c1)) / 2
	// from turn to turn the ends move by less than a sample
	turns := min(max(int(maxSlope*(g.s(c1)-mid)/(0.7*g.h)), 4), 24)
	var norm [2]float64
	for kind := range norm {
		norm[kind] = 1 / (g.unit * math.Sqrt(float64(max(g.seen, 1))) * g.chance[kind])
	}
	for t := -turns; t <= turns; t++ {
		slope := l.Slope + maxSlope*float64(t)/float64(turns)
		at := l.N + (l.Slope-slope)*mid // so that the middle of the chunks stays
		i0, i1 := int((at-maxN-g.n0)/g.h), int((at+maxN-g.n0)/g.h)
		for i, w := range g.sums(slope, i0, i1, c0, c1) {
			for kind, s := range w.lanes() {
				if z := float64(s.plain+max(s.signed, -s.signed)) * norm[kind]; z > best.Z {
					best = Line{N: g.n(i0 + i), Slope: slope, Z: z, kind: kind, sign: 1}
					if s.signed < 0 {
						best.sign = -1
					}
				}
			}
		}
	}
	return best
}
