package feature

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// EdgeOptions says what is known when edges are looked for.
type EdgeOptions struct {
	Fasteners        []geom.SheetCircle                             // already found: the outlines on the sheet
	NominalDMM       float64                                        // the fastener's nominal diameter; edges within 5 of it are looked for
	OnCard           func(p geom.SheetPoint, marginMM float64) bool // on the printed card or within the margin of it, at least that deep inside if it is negative; nil: no card
	RingBlurPx       float64                                        // sigma of the picture's blur as seen on the card; 0: 0.8
	SheetThicknessMM float64                                        // 0: unknown
	Hints            []geom.SheetPoint                              // points that the user tapped on an edge
}

// Edge is one straight edge of the top sheet, as a line on the sheet plane.
type Edge struct {
	P0, P1     geom.SheetPoint // ends of the seen support
	P0Px, P1Px geom.PxPoint    // where those are seen
	// Strength is the contrast of the line, summed over its length, in standard deviations
	// of what chance alignments give in the same strip of the photo.
	Strength float64
	// Tapped: the user pointed at this edge.
	Tapped bool
	// Warnings say where the photo can't tell that nothing lies nearer.
	Warnings []string

	// The line's own doubt: square to itself at its middle, and of its angle.
	uMidMM, uAngleRad float64
	contributions     []qc.Contribution
	// How far beyond P0 and P1 the line may be taken to run, because what lies there is hidden.
	ext0MM, ext1MM float64
	// Whether the support ends in the open, with nothing in sight that ends it.
	open0, open1 bool
}

// At gives the distance from p to the line in mm and its standard uncertainty.
func (e *Edge) At(p geom.SheetPoint) (distanceMM, uMM float64) {
	dir, n := e.axes()
	q := p.Sub(e.P0)
	mid := e.P1.Sub(e.P0).Norm() / 2
	return math.Abs(q.Dot(n)), math.Hypot(e.uMidMM, e.uAngleRad*(q.Dot(dir)-mid))
}

// Foot gives the point of the line nearest to p.
func (e *Edge) Foot(p geom.SheetPoint) geom.SheetPoint {
	dir, _ := e.axes()
	return e.P0.Add(dir.Scale(p.Sub(e.P0).Dot(dir)))
}

// Contributions lists the labelled parts of the uncertainty that At gives for p.
func (e *Edge) Contributions(p geom.SheetPoint) []qc.Contribution {
	dir, _ := e.axes()
	mid := e.P1.Sub(e.P0).Norm() / 2
	return append(slices.Clone(e.contributions),
		qc.Contribution{Label: "edge direction", UMM: e.uAngleRad * math.Abs(p.Sub(e.P0).Dot(dir)-mid)})
}

func (e *Edge) axes() (dir, n geom.SheetPoint) {
	d := e.P1.Sub(e.P0)
	dir = d.Scale(1 / d.Norm())
	return dir, geom.SheetPoint{X: -dir.Y, Y: dir.X}
}

// reachD is how far from a fastener, in nominal diameters, edges are looked for: limits on
// edge distance end well below it (2 D to 4 D, see qc).
const reachD = 5

// FindEdges finds the straight edges of the top sheet within 5 D of the fasteners. Apart it
// gives the lines that are strong enough for an edge but end in the open, as scratches do: they
// may be the joint of two sheets, seen in part. A distance to a farther edge is not proven while
// one of them runs nearer.
//
// Lines are sought in view as line integrals of the signed contrast across them, so a
// faint joint gains by its length, and are then settled on the full picture in linear
// light. Left out are layout lines (they run through a fastener), whatever lies on the
// card or along its border, and lines that are seen over less than 5 mm.
// The result is sorted by strength, greatest first. It needs at least one fastener.
func FindEdges(pic *raster.Picture, cam *geom.Camera, view *View, opt EdgeOptions) (edges, unsure []Edge) {
	if len(opt.Fasteners) == 0 && len(opt.Hints) == 0 || opt.NominalDMM <= 0 {
		return nil, nil
	}
	if opt.RingBlurPx <= 0 {
		opt.RingBlurPx = 0.8
	}
	strips := stripMemories.Get().(*[]strip)
	defer stripMemories.Put(strips)
	*strips = grow(*strips, runtime.GOMAXPROCS(0))
	f := &edgeFinder{pic: pic, cam: cam, view: view, opt: opt, cover: newCover(view, opt.Fasteners, opt.OnCard), strips: *strips}
	f.levels()
	for _, h := range opt.Hints {
		if e, ok := f.tapped(h); ok {
			edges = append(edges, e)
		}
	}
	edges = f.settleAll(seeds(findLines(view, f.cover, f.reachable)), edges)
	edges = f.settleAll(f.scan(edges), edges)
	edges, faint := joinEdges(edges)
	f.each(len(edges), func(g *strip, i int) {
		f.finish(g, &edges[i])
		f.warnOfNearer(&edges[i], faint)
	})
	const long = 10 // mm: chance makes many shorter ones
	for _, e := range faint {
		if e.Strength >= minEdgeZ && e.P1.Sub(e.P0).Norm() >= long {
			unsure = append(unsure, e)
		}
	}
	return edges, unsure
}

// edgeFinder holds what all steps of FindEdges share.
type edgeFinder struct {
	pic *raster.Picture
	// The photo at full size, which places edges, and averaged down for following and for
	// telling lines apart.
	full, middle, coarse photoLevel
	cam                  *geom.Camera
	view                 *View
	opt                  EdgeOptions
	cover                *cover
	strips               []strip // one for each core
}

var stripMemories = sync.Pool{New: func() any { return new([]strip) }} // kept from one call to the next

// seeds gives the lines found as lines to be followed.
func seeds(lines []segment) []seed {
	out := make([]seed, len(lines))
	for i, s := range lines {
		out[i].segment = s
	}
	return out
}

// levels averages the photo down: lines are told apart at coarsePxPerMM at most, and followed
// at middlePxPerMM.
func (f *edgeFinder) levels() {
	const middlePxPerMM, coarsePxPerMM = 18, 14
	at := f.cam.PxPerMM(f.view.Sheet(float64(f.view.W)/2, float64(f.view.H)/2), 0)
	f.full = levelOf(f.pic, 0)
	f.middle, f.coarse = f.full, f.full
	for halved := 1; at*f.coarse.scale > coarsePxPerMM; halved++ {
		fine := at*f.coarse.scale > middlePxPerMM
		f.coarse = levelOf(f.pic, halved)
		if fine {
			f.middle = f.coarse
		}
	}
}

// joinEdges drops the weaker of two results for one line, what grazes a stronger line and
// what ends in the open, and sorts by strength. Apart it gives what is too faint.
func joinEdges(edges []Edge) (kept, faint []Edge) {
	slices.SortFunc(edges, func(a, b Edge) int { return cmp.Compare(b.Strength, a.Strength) })
	var out []Edge
next:
	for _, e := range edges {
		for i := range out {
			o := &out[i]
			if o.same(&e) {
				// Of two for one line the one that explains more of the photo.
				if e.Strength > 0.85*o.Strength && e.weight() > o.weight() {
					*o, e = e, *o
				}
				o.Tapped = o.Tapped || e.Tapped
				continue next
			}
			if o.grazes(&e) && !e.Tapped {
				continue next
			}
		}
		out = append(out, e)
	}
	return closed(out)
}

// An edge of a sheet ends at a corner, under something or out of sight. Scratches, brushing,
// text and layout lines end in the open: each such end asks for this much more strength.
const openEndZ = 3.5

// An edge as strong as that needs no other sign.
const sureEdgeZ = minEdgeZ + 2*openEndZ

// closed parts off the edges that are too faint for their open ends.
func closed(edges []Edge) (out, faint []Edge) {
	for _, e := range edges {
		need := minEdgeZ
		if runsOver(&e, out) {
			need = sureEdgeZ
		}
		if e.open0 && !corner(&e, false, out) {
			need += openEndZ
		}
		if e.open1 && !corner(&e, true, out) {
			need += openEndZ
		}
		if e.Strength >= need || e.Tapped {
			out = append(out, e)
		} else {
			faint = append(faint, e)
		}
	}
	return out, faint
}

// runsOver tells whether e runs on across one of others that is sure: edges of a sheet end at
// its border, shadows and mirror images don't.
func runsOver(e *Edge, others []Edge) bool {
	const farMM = 2.5 // of the crossing from the ends of both
	dir, _ := e.axes()
	for i := range others {
		o := &others[i]
		q, n := o.axes()
		across := dir.Dot(n)
		if o.Strength < sureEdgeZ || math.Abs(across) < 0.3 {
			continue
		}
		t := -e.P0.Sub(o.P0).Dot(n) / across
		s := e.P0.Add(dir.Scale(t)).Sub(o.P0).Dot(q)
		if t > farMM && t < e.P1.Sub(e.P0).Norm()-farMM && s > farMM && s < o.P1.Sub(o.P0).Norm()-farMM {
			return true
		}
	}
	return false
}

// corner tells whether the end p of e, the last of the two when last, lies at a corner with
// one of others, rounded by at most cornerMM: e runs on to it from there, and it ends there
// in the open too.
func corner(e *Edge, last bool, others []Edge) bool {
	const cornerMM, roundMM = 9, 2.2
	p := e.P0
	dir, _ := e.axes()
	dir = dir.Scale(-1)
	if last {
		p, dir = e.P1, dir.Scale(-1)
	}
	for i := range others {
		o := &others[i]
		q, n := o.axes()
		across := dir.Dot(n)
		if math.Abs(across) < 0.45 {
			continue
		}
		t := -p.Sub(o.P0).Dot(n) / across                                        // how far beyond p the lines cross
		s, length := p.Add(dir.Scale(t)).Sub(o.P0).Dot(q), o.P1.Sub(o.P0).Norm() // where, along o
		if t < -1 || t > cornerMM {
			continue
		}
		// From where the lines cross, both tangents of a round are equally long.
		if o.open0 && s < 1 && math.Abs(t-math.Abs(s)) < roundMM || o.open1 && s > length-1 && math.Abs(t-math.Abs(s-length)) < roundMM {
			return true
		}
	}
	return false
}

// weight is the line's contrast summed over its length.
func (e *Edge) weight() float64 { return e.Strength * math.Sqrt(e.P1.Sub(e.P0).Norm()) }

// span gives the stretch of o along e, mm from e.P0.
func (e *Edge) span(o *Edge) (from, to float64) {
	dir, _ := e.axes()
	a, b := o.P0.Sub(e.P0).Dot(dir), o.P1.Sub(e.P0).Dot(dir)
	return min(a, b), max(a, b)
}

// grazes tells whether e and o cross at less than 20° where both are seen: two edges of a
// sheet don't, so the weaker one is made of bits of the stronger.
func (e *Edge) grazes(o *Edge) bool {
	d, n := e.axes()
	q, _ := o.axes()
	sin := math.Abs(n.Dot(q))
	if sin > math.Sin(20*math.Pi/180) || sin < 0.006 {
		return false
	}
	// s of the crossing along e and along o
	t := -o.P0.Sub(e.P0).Dot(n) / q.Dot(n)
	s := o.P0.Add(q.Scale(t)).Sub(e.P0).Dot(d)
	const past = 3
	return t > -past && t < o.P1.Sub(o.P0).Norm()+past && s > -past && s < e.P1.Sub(e.P0).Norm()+past
}

// same tells whether both are one line: within 0.3 mm where they overlap, and that is at
// least half of the shorter one.
func (e *Edge) same(o *Edge) bool {
	d, n := e.axes()
	if q, _ := o.axes(); math.Abs(n.Dot(q)) > 0.1 {
		return false
	}
	length := e.P1.Sub(e.P0).Norm()
	from, to := e.span(o)
	from2, to2 := max(from, 0), min(to, length)
	if to2-from2 < 0.5*min(length, to-from) {
		return false
	}
	a, _ := o.At(e.P0.Add(d.Scale(from2)))
	b, _ := o.At(e.P0.Add(d.Scale(to2)))
	return max(a, b) < 0.3
}
