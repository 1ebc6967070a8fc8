package sheetedge

import (
	"math"
	"slices"

	"bucktail/imaging/geom"
	"bucktail/imaging/sheetedge/strip"
)

// Rows of fasteners run along edges and edges along each other or square: a second search
// looks along those few directions only, on the full picture, for what is too faint to
// stand out among all lines of the view. Tuned on the bundled photos; TestEdgesOfRenderedPhotos
// and TestFaintJointGoesBeforeTheStrongEdgeBehind would notice.
const (
	scanStepMM   = 1.6  // from one scanned strip to the next
	scanSlope    = 0.03 // rows and edges are parallel to within about this
	scanZ        = 4.0  // weaker lines are not worth following
	maxScanDirs  = 4
	sameScanDirs = 0.05 // radians: directions nearer to one another are one
)

// scan gives seeds along the rows, the strongest edges and square to both.
func (f *finder) scan(edges []Edge) []seed {
	var lines []scanLine
	for _, dir := range f.scanDirections(edges) {
		n := geom.SheetPoint{X: -dir.Y, Y: dir.X}
		from, to := math.Inf(1), math.Inf(-1)
		var along float64
		for _, r := range f.opt.Fasteners {
			from, to = min(from, r.Centre.Dot(n)), max(to, r.Centre.Dot(n))
			along += r.Centre.Dot(dir) / float64(len(f.opt.Fasteners))
		}
		reach := reachD * f.opt.NominalDMM
		for q := from - reach; q <= to+reach; q += scanStepMM {
			if !f.withinReach(n, q, edges) {
				continue
			}
			o := dir.Scale(along).Add(n.Scale(q))
			a, b := f.clip(strip.Frame{O: o, Dir: dir})
			if b-a < 2*minSupportMM {
				continue
			}
			lines = append(lines, scanLine{o.Add(dir.Scale((a + b) / 2)), dir, (b - a) / 2})
		}
	}
	found := make([]seed, len(lines))
	f.each(len(lines), func(g *strip.Strip, i int) { found[i] = f.scanAlong(g, lines[i]) })
	return slices.DeleteFunc(found, func(s seed) bool { return s.Z == 0 })
}

// scanLine is a line to be looked along, halfMM to both sides of mid.
type scanLine struct {
	mid, dir geom.SheetPoint
	halfMM   float64
}

// scanAlong gives the strongest line beside s, or a seed without strength.
func (f *finder) scanAlong(g *strip.Strip, s scanLine) seed {
	at := f.along(s.mid, s.dir)
	f.lay(g, f.coarse, at, -s.halfMM, s.halfMM)
	l, ok := g.BestLine(scanStepMM/2+0.05, scanSlope)
	if !ok || l.Z < scanZ {
		return seed{}
	}
	found := seed{Segment: middleOf(at.On(l), s.halfMM, l.Z)}
	if !f.reachable(found.Segment) {
		return seed{}
	}
	return found
}

// withinReach tells whether some fastener stands at a distance from the line at q along n
// that could be its edge distance: no edge that is sure already comes before the line.
func (f *finder) withinReach(n geom.SheetPoint, q float64, edges []Edge) bool {
next:
	for _, r := range f.opt.Fasteners {
		way := q - r.Centre.Dot(n)
		d := math.Abs(way)
		if d <= 0.9*r.RadiusMM-scanStepMM || d >= reachD*f.opt.NominalDMM+scanStepMM {
			continue
		}
		for i := range edges {
			if edges[i].before(r, n.Scale(math.Copysign(1, way)), d-scanStepMM) {
				continue next
			}
		}
		return true
	}
	return false
}

// before tells whether e is sure to be an edge that r has in the direction n, nearer than d mm.
func (e *Edge) before(r geom.SheetCircle, n geom.SheetPoint, d float64) bool {
	if e.Strength < sureEdgeZ {
		return false
	}
	to := e.Foot(r.Centre).Sub(r.Centre)
	at := to.Dot(n)
	if at <= 0 || at >= d || at < 0.98*to.Norm() { // 11° off
		return false
	}
	dir, _ := e.axes()
	s := r.Centre.Sub(e.P0).Dot(dir)
	return s > 0 && s < e.P1.Sub(e.P0).Norm()
}

// scanDirections gives unit vectors: the row's, the strongest edges', and square to them.
func (f *finder) scanDirections(edges []Edge) []geom.SheetPoint {
	var out []geom.SheetPoint
	add := func(d geom.SheetPoint) {
		for _, o := range out {
			if math.Abs(o.X*d.Y-o.Y*d.X) < sameScanDirs {
				return
			}
		}
		if len(out) < maxScanDirs {
			out = append(out, d)
		}
	}
	strong := -1
	for i := range edges {
		if edges[i].Strength > plainEdgeZ && (strong < 0 || edges[i].weight() > edges[strong].weight()) {
			strong = i
		}
	}
	if strong >= 0 {
		d, n := edges[strong].axes()
		add(d)
		add(n)
	}
	if d, ok := f.rowDirection(); ok {
		add(d)
		add(geom.SheetPoint{X: -d.Y, Y: d.X})
	}
	return out
}

// rowDirection gives the direction from neighbour to neighbour that most fasteners share.
func (f *finder) rowDirection() (best geom.SheetPoint, ok bool) {
	count := 0
	for i, r := range f.opt.Fasteners {
		for _, o := range f.opt.Fasteners[i+1:] {
			d := o.Centre.Sub(r.Centre)
			length := d.Norm()
			if length < 2*f.opt.NominalDMM {
				continue
			}
			d = d.Scale(1 / length)
			on := 0
			for _, p := range f.opt.Fasteners {
				q := p.Centre.Sub(r.Centre)
				if math.Abs(q.X*d.Y-q.Y*d.X) < 0.15*f.opt.NominalDMM+0.02*length { // rows are drilled about as straight
					on++
				}
			}
			if on > count {
				best, count = d, on
			}
		}
		if i == 40 {
			break // long rows need no more pairs
		}
	}
	return best, count >= 2
}
