package sheetedge

import (
	"math"
	"sort"
)

// joinEdges drops the weaker of two results for one line, what grazes a stronger line and
// what ends in the open, and sorts by strength. Apart it gives what is too faint.
func joinEdges(edges []Edge) (kept, faint []Edge) {
	sort.Slice(edges, func(i, j int) bool { return edges[i].Strength > edges[j].Strength })
	var out []Edge
next:
	for _, e := range edges {
		for i := range out {
			o := &out[i]
			if o.same(&e) {
				// Of two for one line, if about as strong, the one that explains more of the photo.
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
	const (
		farMM    = 2.5 // of the crossing from the ends of both
		crossSin = 0.3 // sine of the angle between the two: less is no crossing
	)
	dir, _ := e.axes()
	for i := range others {
		o := &others[i]
		q, n := o.axes()
		across := dir.Dot(n)
		if o.Strength < sureEdgeZ || math.Abs(across) < crossSin {
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
	const (
		cornerMM  = 9    // tangent of a corner's round at most: a radius of 9 mm at a right angle
		roundMM   = 2.2  // what the two tangents may differ by: each end is found to a chunk of 1 mm
		cornerSin = 0.45 // sine of the angle between the two
	)
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
		if math.Abs(across) < cornerSin {
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
	const parallelSin = 0.006 // as near to parallel as two looks at one line are
	sin := math.Abs(n.Dot(q))
	if sin > math.Sin(20*math.Pi/180) || sin < parallelSin {
		return false
	}
	// s of the crossing along e and along o
	t := -o.P0.Sub(e.P0).Dot(n) / q.Dot(n)
	s := o.P0.Add(q.Scale(t)).Sub(e.P0).Dot(d)
	const past = 3 // mm
	return t > -past && t < o.P1.Sub(o.P0).Norm()+past && s > -past && s < e.P1.Sub(e.P0).Norm()+past
}

// same tells whether both are one line: within 0.3 mm where they overlap, and that is at
// least half of the shorter one.
func (e *Edge) same(o *Edge) bool {
	d, n := e.axes()
	if q, _ := o.axes(); math.Abs(n.Dot(q)) > 0.1 { // 6°
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
