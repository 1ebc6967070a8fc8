package feature

import (
	"math"

	"bucktail/imaging/geom"
)

const (
	minSupportMM = 5   // shorter lines are text, scratches, corners
	reachAlongMM = 120 // how far along the line from the seed's middle it is followed
	faintEdgeZ   = 5.0 // fainter lines are not even a doubt
	minEdgeZ     = 7.0 // chance lines reach 6 to 7 in brushed metal, true joints start there
)

// settle follows a seed on the full picture and places it, or refuses it.
func (f *edgeFinder) settle(s seed) (Edge, bool) {
	mid, dir := s.a.Add(s.b).Scale(0.5), s.direction()
	out := f.outward(mid, dir)
	half := s.b.Sub(s.a).Norm() / 2
	from, to := f.clip(mid, dir)
	// First look: the seed's own stretch and a bit more, over small turns and shifts.
	g := f.straightenFrom(f.middle, mid, dir, out, max(from, -half-3), min(to, half+3))
	l, ok := g.bestLine(0.4, 0.018, f.opt.Fasteners)
	if !ok {
		return Edge{}, false
	}
	// Second look, along the whole line, straightened on what was found.
	mid, dir, out = l.move(mid, dir, out)
	from, to = f.clip(mid, dir)
	g = f.straightenFrom(f.middle, mid, dir, out, from, to)
	l, ok = g.bestLine(0.25, 0.006, f.opt.Fasteners)
	if !ok && s.tapped {
		// Short and faint: alone the stretch that the user pointed at shows it.
		g = f.straightenFrom(f.middle, mid, dir, out, max(from, -half-3), min(to, half+3))
		l, ok = g.bestLine(0.25, 0.006, f.opt.Fasteners)
	}
	if !ok {
		return Edge{}, false
	}
	return f.place(g, l, s)
}

// move gives the frame whose n = 0 is the line l of the frame (mid, dir, out).
func (l stripLine) move(mid, dir, out geom.SheetPoint) (m, d, o geom.SheetPoint) {
	return mid.Add(out.Scale(l.n)), swing(dir, out, l.slope), swing(out, dir, -l.slope)
}

// swing gives the unit vector a turned toward b by the small angle whose tangent is t.
func swing(a, b geom.SheetPoint, t float64) geom.SheetPoint {
	c := a.Add(b.Scale(t))
	return c.Scale(1 / c.Norm())
}

// outward gives the unit normal of the line that points away from the nearest fastener.
func (f *edgeFinder) outward(mid, dir geom.SheetPoint) geom.SheetPoint {
	n := geom.SheetPoint{X: -dir.Y, Y: dir.X}
	best, side := math.Inf(1), 0.0
	for _, r := range f.opt.Fasteners {
		q := r.Centre.Sub(mid)
		// far along the line counts for less than across it
		d := math.Hypot(q.Dot(n), 0.5*max(0, math.Abs(q.Dot(dir))-8))
		if d < best {
			best, side = d, q.Dot(n)
		}
	}
	if side > 0 {
		return n.Scale(-1)
	}
	return n
}

// clip gives the stretch of the line that lies in the view.
func (f *edgeFinder) clip(mid, dir geom.SheetPoint) (from, to float64) {
	v := f.view
	x1, y1 := v.X0+float64(v.W-1)*v.StepMM, v.Y0+float64(v.H-1)*v.StepMM
	from, to = -reachAlongMM, reachAlongMM
	cut := func(p, d, lo, hi float64) {
		if math.Abs(d) < 1e-9 {
			return
		}
		a, b := (lo-p)/d, (hi-p)/d
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	cut(mid.X, dir.X, v.X0, x1)
	cut(mid.Y, dir.Y, v.Y0, y1)
	return from, to
}

// stripLine is a line in a strip: at s it lies at n + slope s.
type stripLine struct {
	n, slope float64
	z        float64 // strength over chance
	kind     int     // of the response: 0 step, 1 ridge
	sign     float64 // of the response
}

// sample gives the line's sample at chunk c.
func (g *strip) sample(l *stripLine, c int) int {
	return int(math.Round((l.n + l.slope*g.s(c) - g.n0) / g.h))
}

// bestLine finds the line within maxN mm of n = 0 and maxSlope of its direction that has
// the greatest sum of softened responses.
func (g *strip) bestLine(maxN, maxSlope float64, fasteners []Round) (stripLine, bool) {
	g.seen = 0
	for _, h := range g.hidden {
		if !h {
			g.seen++
		}
	}
	if g.seen == 0 {
		return stripLine{}, false
	}
	g.respond(fasteners)
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
	l := g.search(stripLine{}, maxN, maxSlope, 0, g.chunks-1)
	return l, l.z > 3.5
}

// search finds the strongest line within maxN mm and maxSlope of l over chunks c0 to c1.
func (g *strip) search(l stripLine, maxN, maxSlope float64, c0, c1 int) stripLine {
	best := stripLine{}
	mid := (g.s(c0) + g.s(c1)) / 2
	// from turn to turn the ends move by less than a sample
	turns := min(max(int(maxSlope*(g.s(c1)-mid)/(0.7*g.h)), 4), 24)
	var norm [2]float64
	for kind := range norm {
		norm[kind] = 1 / (g.unit * math.Sqrt(float64(max(g.seen, 1))) * g.chance[kind])
	}
	for t := -turns; t <= turns; t++ {
		slope := l.slope + maxSlope*float64(t)/float64(turns)
		at := l.n + (l.slope-slope)*mid // so that the middle of the chunks stays
		i0, i1 := int((at-maxN-g.n0)/g.h), int((at+maxN-g.n0)/g.h)
		for i, w := range g.sums(slope, i0, i1, c0, c1) {
			for kind, s := range w.lanes() {
				if z := float64(s.plain+max(s.signed, -s.signed)) * norm[kind]; z > best.z {
					best = stripLine{n: g.n(i0 + i), slope: slope, z: z, kind: kind, sign: 1}
					if s.signed < 0 {
						best.sign = -1
					}
				}
			}
		}
	}
	return best
}

// soften turns responses into multiples of sigma of which one chunk counts at most 5: the
// order is kept, one bright speck can't carry a line. A response beside a stronger one
// counts less, so that the flanks of a strong line don't blur its place.
func (g *strip) soften(resp []float64, sigma float64) {
	near := max(1, int(0.35/g.h))
	g.mag = grow(g.mag, g.k)
	per := 1 / sigma
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		row := resp[c*g.k : (c+1)*g.k]
		strong := false
		for i, x := range row {
			m := math.Abs(x) * per
			g.mag[i] = m
			strong = strong || m > 3
		}
		if !strong {
			for i, m := range g.mag {
				row[i] *= per / (1 + m/5)
			}
			continue
		}
		g.top = grow(g.top, g.k)
		for i := range g.top {
			g.top[i] = 3
		}
		for i, m := range g.mag {
			if m > 3 {
				for j := max(0, i-near); j <= min(g.k-1, i+near); j++ {
					if g.top[j] < m {
						g.top[j] = m
					}
				}
			}
		}
		for i, m := range g.mag {
			y := per / (1 + m/5)
			if m < g.top[i] && g.top[i] > 3 {
				y *= m / g.top[i]
			}
			row[i] *= y
		}
	}
}

// alongFace sets chance: how much greater than for independent chunks the sums of plain
// responses are along the lines of the sheet's own face: brushing runs along lines too.
func (g *strip) alongFace() {
	var zs [2][]float64
	// Turned by at most 0.2 mm at the ends, so that the line at n = 0 stays out.
	turn := 0.1 / (float64(max(g.chunks, 1)) * chunkMM / 2)
	for t := -2; t <= 2; t++ {
		sums := g.sums(turn*float64(t), g.margin, int((-faceMM-g.n0)/g.h), 0, g.chunks-1)
		for i := 0; i < len(sums); i += 2 {
			for kind, s := range sums[i].lanes() {
				zs[kind] = append(zs[kind], math.Abs(float64(s.signed)))
			}
		}
	}
	for kind, z := range zs {
		g.chance[kind] = 1
		if len(z) > 0 {
			g.chance[kind] = max(1, upperMedian(z)/g.unit/0.6745/math.Sqrt(float64(g.seen)))
		}
	}
}

// sigma gives the usual size of a chunk's response, from the inner side, where the
// sheet's own face lies.
func (g *strip) sigma(resp []float64) float64 {
	xs := g.mag[:0]
	i1 := int((0.2 - faceMM - g.n0) / g.h)
	every := 1 + g.seen*max(i1-g.margin, 0)/300 // some 300 of them do
	i := g.margin
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		for ; i < i1; i += every {
			if x := resp[c*g.k+i]; x != 0 {
				xs = append(xs, math.Abs(x))
			}
		}
		i = g.margin + (i-i1)%max(1, i1-g.margin)
	}
	g.mag = xs
	if len(xs) < 20 {
		return 0
	}
	return max(upperMedian(xs)/0.6745, 0.004)
}

// upperMedian gives the value in the middle of x, of two the greater, and changes the order
// of x (Hoare's selection: C. A. R. Hoare, Comm. ACM 4 (1961) 321).
func upperMedian(x []float64) float64 {
	k, lo, hi := len(x)/2, 0, len(x)-1
	for lo < hi {
		pivot := x[k]
		i, j := lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if j < k {
			lo = i
		}
		if i > k {
			hi = j
		}
	}
	return x[k]
}

// evidence gives for each chunk how well it shows the line l: the softened response of
// l's sign, less than nothing where a stronger one lies close beside it (then the line
// only grazes another). Along one edge step and ridge may take turns, so a plain response
// of the other kind counts too.
func (g *strip) evidence(l *stripLine) []float64 {
	ev := make([]float64, g.chunks)
	near := int(math.Ceil(0.35 / g.h))
	play := max(1, int(0.08/g.h))
	play2 := max(1, int(0.13/g.h)) // a step's middle and a rim line's lie half a rim apart
	for c := range g.chunks {
		if g.hidden[c] {
			continue
		}
		j := g.sample(l, c)
		if j < 1 || j >= g.k-1 {
			continue
		}
		at, beside := peakAt(g.resp[l.kind][c*g.k:(c+1)*g.k], j, play, near, l.sign)
		if beside > at+1 {
			ev[c] = min(at, 0) - 1
			continue
		}
		ev[c] = at
		at, beside = peakAt(g.resp[1-l.kind][c*g.k:(c+1)*g.k], j, play2, near, 0)
		if at > otherResponse && beside < at+0.5 {
			ev[c] = max(ev[c], at)
		}
	}
	return ev
}

// peakAt gives the greatest response for a line of that sign (0: either) within play
// samples of j, and beside that within near.
func peakAt(row []float64, j, play, near int, sign float64) (at, beside float64) {
	at, beside = -5, -5
	for i := max(0, j-near); i <= min(len(row)-1, j+near); i++ {
		x := math.Abs(row[i])
		if sign != 0 {
			x = signed(row[i], sign)
		}
		if abs(i-j) <= play {
			at = max(at, x)
		} else {
			beside = max(beside, x)
		}
	}
	return at, beside
}

// What a chunk must respond with in the other kind to count, see evidence.
const otherResponse = 1.8

// alongCard tells whether most of the seen stretch lies beside the card's border: its edge
// or its shadow.
func (f *edgeFinder) alongCard(g *strip, l *stripLine, c0, c1 int) bool {
	near, n := 0, 0
	for c := c0; c <= c1; c++ {
		if g.hidden[c] {
			continue
		}
		n++
		s := g.s(c)
		if f.opt.OnCard(g.o.Add(g.dir.Scale(s)).Add(g.out.Scale(l.n+l.slope*s)), 1.3) {
			near++
		}
	}
	return 10*near > 6*n
}

// longestRun gives the stretch with the greatest sum of evidence over a level, hidden
// chunks counting nothing, and how many seen chunks it has.
func longestRun(evidence []float64, hidden []bool, level float64) (c0, c1, seen int) {
	best, sum, start := 0.0, 0.0, -1
	c0, c1 = 0, -1
	for c, e := range evidence {
		if hidden[c] {
			continue
		}
		if start < 0 || sum <= 0 {
			sum, start = 0, c
		}
		sum += e - level
		if sum > best {
			best, c0, c1 = sum, start, c
		}
	}
	for c := c0; c <= c1; c++ {
		if !hidden[c] {
			seen++
		}
	}
	return c0, c1, seen
}

// mean gives the mean evidence of the chunks that are seen, 0 if there are none.
func mean(evidence []float64, hidden []bool) float64 {
	sum, n := 0.0, 0
	for c, e := range evidence {
		if !hidden[c] {
			sum += e
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// faceEvidence gives the mean evidence that chance makes for a line like l: along lines
// beside it on the sheet's own face.
func (g *strip) faceEvidence(l stripLine) float64 {
	sum, n := 0.0, 0
	for _, shift := range [4]float64{1.0, 1.2, 1.4, 1.6} {
		m := l
		m.n -= shift
		ev := g.evidence(&m)
		for c, e := range ev {
			if !g.hidden[c] && e > -4 && e != 0 {
				sum += e
				n++
			}
		}
	}
	return max(0, sum/float64(max(n, 1)))
}
