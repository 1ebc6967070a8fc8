package together

import (
	"math"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

// How two photos are matched. Fasteners are found to about a hundredth of D in place and lines to a
// tenth of a millimetre; with what an unknown head height moves, sameD D and sameLineMM mm tell
// whether two are one.
const (
	likely     = 0.5   // a fastener that counts in a pattern
	sameD      = 0.2   // of D: two centres are of one fastener
	sameLineMM = 0.6   // two lines are one edge
	sameLineR  = 0.03  // and the angle between them, rad
	uCentreD   = 0.012 // standard uncertainty of a centre, in D
	uLineMM    = 0.04  // and of an edge
	uSlopeD    = 0.04  // of a centre, for a view slope of 1, in D
	stillMM    = 0.08  // what two cameras' fits, and all heads of a photo together, err by where the card lay still
	stillRad   = 0.004 // and the directions of edges
	leastChi2  = 16    // of three degrees of freedom: one card in a thousand that lay still is taken for moved
	surely     = 0.75
	overrules  = 4 // and to say that a card was moved which may as well have lain still
)

// register finds how the card lies in each photo against the first that has one, by the pattern of
// fasteners and edges, at true scale. A photo that fits in no way, or in more than one, is left out.
func (j *joining) register() {
	base := -1
	for i := range j.res.Photos {
		p := &j.res.Photos[i]
		if p.LeftOut != nil {
			continue
		}
		if base < 0 {
			base = i
			continue
		}
		r := newRegistration(&j.res.Photos[base], p, &j.opt.Kind, j.opt.NominalMM)
		m, moved, ok := r.find()
		if !ok {
			p.LeftOut = &qc.Refusal{Code: "no-match", Text: "it does not show in one way only how this photo and the first belong together: the card was moved and too few fasteners and edges show in both",
				Do: "leave the card where it lies and take the photo again"}
			continue
		}
		p.motion, p.Moved = m, moved
		if moved {
			p.regCov, p.regAt = r.cov, r.at
		}
	}
}

// registration is the search for the motion between two photos' sheets.
type registration struct {
	a, b         *Photo
	as, bs       []fastener.Fastener // that count
	aEdge, bEdge []sheetedge.Edge
	nominalMM    float64
	uHeightMM    float64 // of where a head's outline is seen, common to all heads of a photo
	at           geom.SheetPoint
	cov          [3][3]float64 // of the motion found: X, Y about at in b's frame, angle
}

func newRegistration(a, b *Photo, kind *qc.Kind, nominalMM float64) *registration {
	r := &registration{a: a, b: b, nominalMM: nominalMM}
	p := outline.ProfileOf(*kind)
	r.uHeightMM = 0.01
	if p.HeightD > 0 {
		r.uHeightMM = 0.04 * nominalMM // of where a driven head is widest, and of a dome's rim, whose form differs
	}
	sure := func(fs []fastener.Fastener) (out []fastener.Fastener) {
		for _, f := range fs {
			if f.Probability >= likely || f.Tapped || f.Placed {
				out = append(out, f)
			}
		}
		return out
	}
	r.as, r.bs = sure(a.fs), sure(b.fs)
	r.aEdge, _ = a.Edges()
	r.bEdge, _ = b.Edges()
	return r
}

// find gives the motion from a's sheet to b's, and whether the card was moved.
func (r *registration) find() (m motion, moved, ok bool) {
	best, score := still, r.score(still)
	if len(r.as) == 0 && len(r.bs) == 0 {
		return still, false, true // nothing to tell by, and nothing to join
	}
	stillScore := score
	var found []motion
	for _, c := range r.candidates() {
		if c, ok := r.refine(c); ok {
			found = append(found, c)
			if s := r.score(c); s > score {
				best, score = c, s
			}
		}
	}
	if stillScore > 0 {
		// In a row, a card that lay still while a rivet was not found looks like one that was moved by the
		// pitch, which hardly ever happens.
		n, _ := r.matches(best)
		there, _ := r.matches(still)
		if n <= there || stillScore >= score-surely {
			return r.nudged()
		}
		if score < stillScore+overrules && r.fits(still) {
			return m, false, false
		}
	}
	if n, edges := r.matches(best); n < 2 && (n < 1 || edges < 2) || n+edges < 3 {
		return m, false, false
	}
	for _, c := range found {
		if r.apart(c, best) && r.score(c) > score-surely {
			return m, false, false // it fits in another way, too
		}
	}
	m, ok = r.refine(best)
	return m, true, ok
}

// fits tells whether all fasteners that agree under m lie as near one another as they do on one sheet.
func (r *registration) fits(m motion) bool {
	for i, k := range r.pairs(m) {
		if k < 0 {
			continue
		}
		slope := r.b.Scale.Camera.ViewSlope(r.bs[k].Centre).Sub(m.turn(r.a.Scale.Camera.ViewSlope(r.as[i].Centre))).Norm()
		u := math.Hypot(math.Hypot(r.uCentre(&r.as[i]), r.uCentre(&r.bs[k])), math.Hypot(stillMM, slope*r.uHeightMM))
		if r.bs[k].Centre.Sub(m.to(r.as[i].Centre)).Norm() > rarely*u {
			return false
		}
	}
	return true
}

// nudged tells a card that lay still from one that was pushed by less than tells at first sight.
func (r *registration) nudged() (motion, bool, bool) {
	m, ok := r.refine(still)
	if !ok {
		return still, false, true
	}
	d := m.to(r.at).Sub(still.to(r.at))
	v := [3]float64{d.X, d.Y, m.angle()}
	c := r.cov
	c[0][0] += stillMM * stillMM
	c[1][1] += stillMM * stillMM
	c[2][2] += stillRad * stillRad
	inv, good := fit.Invert([]float64{c[0][0], c[0][1], c[0][2], c[1][0], c[1][1], c[1][2], c[2][0], c[2][1], c[2][2]}, 3)
	chi2 := 0.0
	for i := range 3 {
		for k := range 3 {
			chi2 += v[i] * inv[3*i+k] * v[k]
		}
	}
	if !good || chi2 < leastChi2 {
		return still, false, true
	}
	return m, true, true
}

// candidates gives the motions that bring two fasteners of a onto two of b, or one and an edge.
func (r *registration) candidates() (out []motion) {
	const mostPairs = 4000
	tol := sameD * r.nominalMM
	onto := func(p, q geom.SheetPoint, angle float64) {
		m := turned(angle, geom.SheetPoint{})
		m.by = q.Sub(m.turn(p))
		out = append(out, m)
	}
	heading := func(v geom.SheetPoint) float64 { return math.Atan2(v.Y, v.X) }
	for i := range r.as {
		for k := range r.as {
			if i == k {
				continue
			}
			v := r.as[k].Centre.Sub(r.as[i].Centre)
			for x := range r.bs {
				for y := range r.bs {
					w := r.bs[y].Centre.Sub(r.bs[x].Centre)
					if x == y || math.Abs(v.Norm()-w.Norm()) > tol || len(out) > mostPairs {
						continue
					}
					onto(r.as[i].Centre, r.bs[x].Centre, heading(w)-heading(v))
				}
			}
		}
	}
	if len(r.as) > 2 && len(r.bs) > 2 {
		return out
	}
	for i := range r.as {
		for x := range r.bs {
			for _, e := range r.aEdge {
				for _, f := range r.bEdge {
					angle := heading(f.P1.Sub(f.P0)) - heading(e.P1.Sub(e.P0))
					onto(r.as[i].Centre, r.bs[x].Centre, angle)
					onto(r.as[i].Centre, r.bs[x].Centre, angle+math.Pi)
				}
			}
		}
	}
	return out
}

// pairs gives which of b's fasteners each of a's is under m, -1 for none.
func (r *registration) pairs(m motion) []int {
	out := make([]int, len(r.as))
	taken := make([]bool, len(r.bs))
	for i := range r.as {
		out[i] = -1
		near := sameD * r.nominalMM
		p := m.to(r.as[i].Centre)
		for k := range r.bs {
			if d := r.bs[k].Centre.Sub(p).Norm(); d < near && !taken[k] {
				out[i], near = k, d
			}
		}
		if out[i] >= 0 {
			taken[out[i]] = true
		}
	}
	return out
}

// linePair is an edge in both photos.
type linePair struct{ a, b *sheetedge.Edge }

func (r *registration) linePairs(m motion) (out []linePair) {
	for i := range r.aEdge {
		for k := range r.bEdge {
			if sameLine(&r.aEdge[i], &r.bEdge[k], m) {
				out = append(out, linePair{&r.aEdge[i], &r.bEdge[k]})
				break
			}
		}
	}
	return out
}

// sameLine tells whether edge a, moved by m, is b.
func sameLine(a, b *sheetedge.Edge, m motion) bool {
	p, q := m.to(a.P0), m.to(a.P1)
	v, w := q.Sub(p), b.P1.Sub(b.P0)
	if math.Abs(v.X*w.Y-v.Y*w.X) > sameLineR*v.Norm()*w.Norm() {
		return false
	}
	d, _ := b.At(p.Add(q).Scale(0.5))
	u := w.Scale(1 / w.Norm())
	from, to := p.Sub(b.P0).Dot(u), q.Sub(b.P0).Dot(u)
	return d < sameLineMM && max(from, to) > 0 && min(from, to) < w.Norm()
}

func (r *registration) matches(m motion) (fasteners, edges int) {
	for _, k := range r.pairs(m) {
		if k >= 0 {
			fasteners++
		}
	}
	return fasteners, len(r.linePairs(m))
}

// score counts what agrees under m, less what should show in both photos and shows in one.
func (r *registration) score(m motion) float64 {
	n, edges := r.matches(m)
	if n == 0 {
		return 0
	}
	s := float64(n + edges)
	missing := func(fs []fastener.Fastener, to *Photo, m motion, there func(int) bool) {
		for i := range fs {
			if p := m.to(fs[i].Centre); !there(i) && to.shows(p, fs[i].RMM) {
				s -= 0.5
			}
		}
	}
	pairs := r.pairs(m)
	seen := map[int]bool{}
	for _, k := range pairs {
		seen[k] = true
	}
	missing(r.as, r.b, m, func(i int) bool { return pairs[i] >= 0 })
	missing(r.bs, r.a, m.inverse(), func(i int) bool { return seen[i] })
	return s
}

// shows tells whether the photo shows a disc on its sheet, clear of its card.
func (p *Photo) shows(at geom.SheetPoint, radiusMM float64) bool {
	c := p.Scale.Camera.Project(at, 0)
	room := radiusMM / p.Scale.MMPerPx
	return c.U > room && c.V > room && c.U < float64(p.Width)-room && c.V < float64(p.Height)-room && !p.OnCard(at, radiusMM)
}

// apart tells whether two motions differ by more than one fastener may be off.
func (r *registration) apart(a, b motion) bool {
	for i := range r.as {
		if a.to(r.as[i].Centre).Sub(b.to(r.as[i].Centre)).Norm() > 2*sameD*r.nominalMM {
			return true
		}
	}
	return false
}

// refine fits the motion to all that agree under m: linear least squares for shift, angle and how
// much higher or lower than assumed heads are, which moves all of them along the difference of the two
// lines of sight; its covariance is left in r.cov.
func (r *registration) refine(m motion) (motion, bool) {
	for range 3 {
		pairs := r.pairs(m)
		r.at = geom.SheetPoint{}
		n := 0.0
		for i, k := range pairs {
			if k >= 0 {
				r.at, n = r.at.Add(r.as[i].Centre), n+1
			}
		}
		if n == 0 {
			return m, false
		}
		r.at = r.at.Scale(1 / n)
		pivot := m.to(r.at)
		eq := fit.NewNormal(4)
		add := func(p, n geom.SheetPoint, off, height, u float64) {
			q := p.Sub(pivot)
			eq.Add(-off/u, 1, fit.Huber(2), []float64{n.X / u, n.Y / u, (n.Y*q.X - n.X*q.Y) / u, height / u})
		}
		x, y := geom.SheetPoint{X: 1}, geom.SheetPoint{Y: 1}
		for i, k := range pairs {
			if k < 0 {
				continue
			}
			p := m.to(r.as[i].Centre)
			off := r.bs[k].Centre.Sub(p)
			d := r.b.Scale.Camera.ViewSlope(r.bs[k].Centre).Sub(m.turn(r.a.Scale.Camera.ViewSlope(r.as[i].Centre)))
			u := math.Hypot(r.uCentre(&r.as[i]), r.uCentre(&r.bs[k]))
			add(p, x, off.X, d.X, u)
			add(p, y, off.Y, d.Y, u)
		}
		for _, l := range r.linePairs(m) {
			w := l.b.P1.Sub(l.b.P0)
			nrm := geom.SheetPoint{X: -w.Y, Y: w.X}.Scale(1 / w.Norm())
			for _, p := range []geom.SheetPoint{m.to(l.a.P0), m.to(l.a.P1)} {
				add(p, nrm, l.b.P0.Sub(p).Dot(nrm), 0, 2*uLineMM)
			}
		}
		eq.A[0] += 1e-6 // one fastener alone leaves the angle open
		eq.A[2*4+2] += 1e-6
		eq.A[3*4+3] += 1 / (r.uHeightMM * r.uHeightMM)
		eq.Mirror()
		inv, ok := fit.Invert(eq.A, 4)
		if !ok {
			return m, false
		}
		var s [4]float64
		for i := range s {
			for k := range s {
				s[i] -= inv[4*i+k] * eq.G[k]
			}
		}
		for i := range 3 {
			for k := range 3 {
				r.cov[i][k] = inv[4*i+k]
			}
		}
		next := turned(m.angle()+s[2], geom.SheetPoint{})
		next.by = pivot.Add(geom.SheetPoint{X: s[0], Y: s[1]}).Sub(next.turn(r.at))
		m = next
	}
	return m, true
}

// uCentre is the standard uncertainty of a centre each way, mm: the more aslant a head is seen, the
// more its form moves it.
func (r *registration) uCentre(f *fastener.Fastener) float64 {
	return r.nominalMM * math.Hypot(uCentreD, uSlopeD*f.Slope)
}

// regShift gives the covariance of where p of the first photo's sheet lies in this one's, by the
// motion alone, in the first photo's frame, mm².
func (p *Photo) regShift(at geom.SheetPoint) [2][2]float64 {
	if !p.Moved {
		return [2][2]float64{}
	}
	q := p.motion.turn(at.Sub(p.regAt))
	g := [2][3]float64{{1, 0, -q.Y}, {0, 1, q.X}}
	var c [2][2]float64
	for i := range 2 {
		for k := range 2 {
			for a := range 3 {
				for b := range 3 {
					c[i][k] += g[i][a] * p.regCov[a][b] * g[k][b]
				}
			}
		}
	}
	return p.motion.inverse().cov(c)
}
