package together

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

// line is one photo's sheet edge as a place sees it.
type line struct {
	photo int
	sheetedge.Distance
	n   geom.SheetPoint // from the place to the edge, on the first photo's sheet, unit
	cs  []qc.Contribution
	u   float64 // standard uncertainty of the line in its photo, mm: how much it counts
	odd bool    // left out of the reading
}

// sameEdge is one edge in the photos that show it.
type sameEdge struct {
	lines    []line
	looked   int // photos that would show it
	strength float64
}

// oddLine is how far, in standard uncertainties of their difference, a photo's edge may lie off the
// others' to be averaged with them: most of these uncertainties all photos share, so that even less
// would be rare.
const oddLine = 2.5

// edges adds the distances to the sheet's edges: those that most photos show.
func (j *joining) edges() {
	for i := range j.places {
		l := &j.res.Locations[i]
		if l.Ask == nil {
			j.edgesOf(j.places[i], l)
		}
	}
}

func (j *joining) edgesOf(p *place, l *Location) {
	groups := j.edgeGroups(p)
	var read, unsure []sameEdge
	for i := range groups {
		g := &groups[i]
		rival := false
		for k := range groups {
			o := &groups[k]
			rival = rival || k != i && g.direction().Dot(o.direction()) > math.Cos(20*math.Pi/180) &&
				(o.byHand() || len(o.lines) > len(g.lines) || len(o.lines) == len(g.lines) && o.strength > g.strength)
		}
		if n := len(g.lines); !g.byHand() && (rival || 2*n < g.looked && len(groups) > 1) {
			unsure = append(unsure, *g)
		} else {
			read = append(read, *g)
		}
	}
	var made []measure.Reading
	for i := range read {
		made = append(made, j.edgeReading(p, l, &read[i]))
	}
	for i := range made {
		r := &made[i]
		if read[i].byHand() {
			continue
		}
		for k := range unsure {
			if mm := unsure[k].nearest(); mm < r.ValueMM-sameLineMM && (r.LessMM == 0 || mm < r.LessMM) {
				r.LessMM = mm
			}
		}
		if mm := j.fainter(p, r.ValueMM); mm > 0 && (r.LessMM == 0 || mm < r.LessMM) {
			r.LessMM = mm
		}
	}
	l.Readings = append(l.Readings, made...)
}

// edgeGroups gathers what the photos show of edges round a place: all photos that show the fastener,
// whether its outline is used or not.
func (j *joining) edgeGroups(p *place) (groups []sameEdge) {
	for _, s := range p.sights {
		photo := &j.res.Photos[s.photo]
		es, _ := photo.Edges()
		at := photo.motion.to(p.head.Centre)
		for _, d := range sheetedge.Distances(geom.SheetCircle{Centre: at, RadiusMM: p.head.RMM}, j.opt.NominalMM, es) {
			foot := photo.motion.inverse().to(d.Foot(at))
			ln := line{photo: s.photo, Distance: d, n: foot.Sub(p.head.Centre).Scale(1 / max(d.DistanceMM, 1e-9))}
			ln.cs = append(d.Contributions(at), photo.Lengths(at, d.Foot(at), 0)...)
			for _, c := range d.Contributions(at) {
				ln.u = math.Hypot(ln.u, c.UMM)
			}
			best := -1
			for g := range groups {
				o := &groups[g].lines[0]
				if o.photo != ln.photo && o.n.Dot(ln.n) > math.Cos(20*math.Pi/180) && math.Abs(o.DistanceMM-ln.DistanceMM) < sameLineMM {
					best = g
				}
			}
			if best < 0 {
				groups = append(groups, sameEdge{})
				best = len(groups) - 1
			}
			groups[best].lines = append(groups[best].lines, ln)
			groups[best].strength += d.Strength
		}
	}
	for i := range groups {
		g := &groups[i]
		foot := p.head.Centre.Add(g.direction().Scale(g.nearest()))
		for _, s := range p.sights {
			if photo := &j.res.Photos[s.photo]; photo.shows(photo.motion.to(foot), 0.5) {
				g.looked++
			}
		}
	}
	return groups
}

func (g *sameEdge) direction() geom.SheetPoint { return g.lines[0].n }

func (g *sameEdge) nearest() float64 {
	least := math.Inf(1)
	for i := range g.lines {
		least = min(least, g.lines[i].DistanceMM)
	}
	return least
}

// kept gives the lines that are not left out.
func (g *sameEdge) kept() (out []*line) {
	for i := range g.lines {
		if ln := &g.lines[i]; !ln.odd {
			out = append(out, ln)
		}
	}
	return out
}

// mean gives the distance by the lines that are not left out, and their weights.
func (g *sameEdge) mean() (mm float64, kept []*line, weights []float64) {
	kept = g.kept()
	var values []uncertain
	for _, ln := range kept {
		values = append(values, uncertainBy(ln.cs))
	}
	weights = bestWeights(values)
	for i, ln := range kept {
		mm += weights[i] * ln.DistanceMM
	}
	return mm, kept, weights
}

// byHand tells whether a person placed the edge, in whichever photo.
func (g *sameEdge) byHand() bool {
	return slices.ContainsFunc(g.lines, func(ln line) bool { return ln.Tapped })
}

// leaveOdd leaves out, worst first, lines that lie off the mean of the others. Of two that disagree
// the plainer one is kept; lesser is then the distance of the other, which may be the edge, else 0.
// What a person placed counts alone.
func (g *sameEdge) leaveOdd() (lesser float64) {
	if g.byHand() {
		for i := range g.lines {
			g.lines[i].odd = !g.lines[i].Tapped
		}
	}
	for {
		kept := g.kept()
		worst, off := -1, oddLine
		for i, ln := range kept {
			if len(kept) < 2 {
				break
			}
			var m, t float64
			for k, o := range kept {
				if k != i {
					w := 1 / (o.u*o.u + 1e-6)
					m, t = m+w*o.DistanceMM, t+w
				}
			}
			if e := math.Abs(ln.DistanceMM-m/t) / math.Sqrt(ln.u*ln.u+1/t); e > off {
				worst, off = i, e
			}
		}
		if worst < 0 {
			return lesser
		}
		if len(kept) == 2 {
			worst = 0
			if kept[1].Strength < kept[0].Strength {
				worst = 1
			}
			lesser = kept[worst].DistanceMM
		}
		kept[worst].odd = true
	}
}

// edgeReading joins the lines of one edge, without those that lie off the others.
func (j *joining) edgeReading(p *place, l *Location, g *sameEdge) measure.Reading {
	lesser := g.leaveOdd()
	mm, kept, weights := g.mean()
	var budgets [][]qc.Contribution
	for _, ln := range kept {
		budgets = append(budgets, ln.cs)
	}
	cs := append(p.centreParts(g.direction()), fuse(budgets, weights, func(string) bool { return false })...)
	r := measure.Join(qc.EdgeDistance, mm, cs, qc.ByPhoto)
	if lesser > 0 && lesser < mm {
		r.LessMM = lesser
	}
	r.Warnings = sharedWarnings(kept)
	r.Views = len(kept)
	if l.ByHand || kept[0].Tapped {
		r.How = qc.ByPhotoHand
	}
	out := measure.Reading{Reading: r, ToIndex: -1}
	own := kept[0]
	for _, ln := range kept {
		if ln.photo == l.Px {
			own = ln
		}
	}
	back := j.res.Photos[own.photo].motion.inverse()
	ends := [2]geom.SheetPoint{back.to(own.P0), back.to(own.P1)}
	cam := &j.res.Photos[l.Px].Camera
	out.EdgeMM = &ends
	out.EdgePx = &[2]geom.PxPoint{cam.Project(ends[0], 0), cam.Project(ends[1], 0)}
	if own.photo == l.Px {
		out.EdgePx = &[2]geom.PxPoint{own.P0Px, own.P1Px}
	}
	return out
}

// sharedWarnings gives the warnings that more than half of the lines carry.
func sharedWarnings(lines []*line) (out []string) {
	count := map[string]int{}
	for _, ln := range lines {
		for _, w := range ln.Warnings {
			if count[w]++; 2*count[w] > len(lines) && 2*(count[w]-1) <= len(lines) {
				out = append(out, w)
			}
		}
	}
	return out
}

// fainter gives the distance of a line nearer than mm that is no edge for certain, where at least
// half of the photos show it; 0 where none does.
func (j *joining) fainter(p *place, mm float64) float64 {
	var found []float64
	for _, s := range p.sights {
		photo := &j.res.Photos[s.photo]
		es, unsure := photo.Edges()
		c := geom.SheetCircle{Centre: photo.motion.to(p.head.Centre), RadiusMM: p.head.RMM}
		read := sheetedge.Distances(c, j.opt.NominalMM, es)
		if d := sheetedge.Nearer(c, j.opt.NominalMM, mm, slices.Concat(unsure, es), read); d > 0 {
			found = append(found, d)
		}
	}
	least := 0.0
	for _, d := range found {
		n := 0
		for _, o := range found {
			if math.Abs(d-o) < sameLineMM {
				n++
			}
		}
		if 2*n >= len(p.sights) && (least == 0 || d < least) {
			least = d
		}
	}
	return least
}
