package dimension

import (
	"math"

	"bucktail/imaging/geom"
)

// row is a run of fasteners whose pitches stand in one chain.
type row struct {
	of  []int           // fasteners in their order along it
	way geom.SheetPoint // where the chain lies beside the row; length 1
	off float64         // how far off, mm
}

// tree joins fasteners by the shortest ways (R. C. Prim, Bell System Tech. J. 36 (1957)
// 1389-1401): each pair is two indexes into the document, the smaller first.
func tree(fs []*fastener) (pairs [][2]int) {
	if len(fs) < 2 {
		return nil
	}
	in := make([]bool, len(fs))
	near, dist := make([]int, len(fs)), make([]float64, len(fs))
	in[0] = true
	for i := range fs {
		dist[i] = fs[i].at.Sub(fs[0].at).Norm()
	}
	for range fs[1:] {
		best := -1
		for i := range fs {
			if !in[i] && (best < 0 || dist[i] < dist[best]) {
				best = i
			}
		}
		in[best] = true
		a, b := fs[near[best]].i, fs[best].i
		pairs = append(pairs, [2]int{min(a, b), max(a, b)})
		for i := range fs {
			if d := fs[i].at.Sub(fs[best].at).Norm(); !in[i] && d < dist[i] {
				near[i], dist[i] = best, d
			}
		}
	}
	return pairs
}

// straight is how far two pitches may bend, as the cosine, to stand in one chain.
const straight = 0.94 // 20°

// rowsOf joins pairs that share a fastener and go straight on to rows.
func rowsOf(all []*fastener, pairs [][2]int) (rows []*row) {
	for _, p := range pairs {
		rows = append(rows, &row{of: []int{p[0], p[1]}})
	}
	for merged := true; merged; {
		merged = false
		for i := 0; i < len(rows) && !merged; i++ {
			for j := i + 1; j < len(rows) && !merged; j++ {
				if joined := join(all, rows[i].of, rows[j].of); joined != nil {
					rows[i].of = joined
					rows = append(rows[:j], rows[j+1:]...)
					merged = true
				}
			}
		}
	}
	return rows
}

// join puts two runs that meet at an end and go straight on into one, nil if they don't.
func join(all []*fastener, a, b []int) []int {
	for _, x := range [2][]int{a, reversed(a)} {
		for _, y := range [2][]int{b, reversed(b)} {
			n := len(x)
			if x[n-1] != y[0] {
				continue
			}
			u := all[x[n-1]].at.Sub(all[x[n-2]].at)
			v := all[y[1]].at.Sub(all[y[0]].at)
			if u.Dot(v) > straight*u.Norm()*v.Norm() {
				return append(append([]int{}, x...), y[1:]...)
			}
		}
	}
	return nil
}

func reversed(a []int) []int {
	b := make([]int, len(a))
	for i := range a {
		b[len(a)-1-i] = a[i]
	}
	return b
}

// side chooses where the row's chain lies: square to the row, on the inner side, off the
// heads, off other fasteners, inside the picture.
func (w *row) side(p *Plan) {
	first, last := p.all[w.of[0]], p.all[w.of[len(w.of)-1]]
	u := last.at.Sub(first.at)
	u = u.Scale(1 / max(u.Norm(), 1e-9))
	n := geom.SheetPoint{X: -u.Y, Y: u.X}
	most, out := 0.0, 0.0
	for _, i := range w.of {
		most = max(most, p.all[i].r)
		out += p.all[i].out.Dot(n)
	}
	least := math.Inf(1)
	for _, more := range []float64{0, 3, 6} {
		for _, s := range []float64{1, -1} {
			way, off := n.Scale(s), most+chainOff+more
			cost := more / 3
			if out*s > 0.5 { // toward the nearest edges
				cost += 4
			}
			for k := range w.of {
				cost += w.crossed(p, k, way, off)
			}
			cost += w.clash(p, way, off)
			// Of two equal sides the left one in the picture: values go to the right.
			if l := p.screenLeft(first); l.Dot(way) < -1e-6 {
				cost += 0.5
			}
			if cost < least {
				least, w.way, w.off = cost, way, off
			}
		}
	}
}

// crossed is the cost of a chain at one fastener and on to the next.
func (w *row) crossed(p *Plan, k int, way geom.SheetPoint, off float64) (cost float64) {
	f := p.all[w.of[k]]
	end := f.at.Add(way.Scale(off))
	px := p.cam.Project(end, 0)
	if !(px.U >= 0 && px.V >= 0 && px.U < float64(p.doc.Width) && px.V < float64(p.doc.Height)) {
		cost += 6
	}
	for _, g := range p.all {
		if g != f && offLine(g.at, f.at, end) < g.r+extensionOff {
			cost += 3
		}
		if k+1 < len(w.of) {
			next := p.all[w.of[k+1]].at.Add(way.Scale(off))
			if offLine(g.at, end, next) < g.r+extensionOff {
				cost += 3
			}
		}
	}
	return cost
}

// lane is how far apart two chains must lie, mm: a value is 2 to 3 mm high where its head is drawn
// as large as it should be.
const lane = 2.5

// clash is the cost of a chain that lies upon an earlier one.
func (w *row) clash(p *Plan, way geom.SheetPoint, off float64) (cost float64) {
	end := func(v *row, i int, way geom.SheetPoint, off float64) geom.SheetPoint {
		return p.all[v.of[i]].at.Add(way.Scale(off))
	}
	a, b := end(w, 0, way, off), end(w, len(w.of)-1, way, off)
	for _, v := range p.rows {
		c, d := end(v, 0, v.way, v.off), end(v, len(v.of)-1, v.way, v.off)
		for _, t := range []float64{0.25, 0.5, 0.75} {
			if offLine(a.Add(b.Sub(a).Scale(t)), c, d) < lane || offLine(c.Add(d.Sub(c).Scale(t)), a, b) < lane {
				cost += 3
			}
		}
	}
	return cost
}

// offLine is the distance of q from the line between a and b, mm.
func offLine(q, a, b geom.SheetPoint) float64 {
	d := b.Sub(a)
	t := 0.0
	if l := d.Dot(d); l > 0 {
		t = min(max(q.Sub(a).Dot(d)/l, 0), 1)
	}
	return q.Sub(a.Add(d.Scale(t))).Norm()
}
