// Package border looks once at the sheet as it is seen square from above and says where its border
// seems to run: a small network tells of each cell how likely the top sheet ends there, and which way
// the border runs; straight runs of such cells come out, on the sheet (mm). It measures nothing, and
// what it sees is no edge yet. Start with [Find].
package border

import (
	_ "embed"
	"math"
	"sort"
	"sync"

	"bucktail/imaging/convnet"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/imaging/rectified/look"
)

// stepD is the grain of what the network looks at, in nominal diameters: as in training
// (testdata/training).
const stepD = 0.05

// The network says six things of a cell: logits that the border runs through it or by it, and that the
// place is on the top sheet; the cosine and sine of twice the angle of the border's normal; and how far
// off the border lies, cells.
//
//go:embed border.weights
var weights []byte

var network = sync.OnceValue(func() *convnet.Map {
	n, err := convnet.ReadMap(weights)
	if err != nil {
		panic("border: the embedded network is damaged: " + err.Error())
	}
	return n
})

// Line is a straight run of cells through which the border seems to go.
type Line struct {
	A, B geom.SheetPoint
}

// Find looks at what the picture shows within around (mm), at a grain that fits things of nominal
// diameter nominalMM, and gives the straight runs that the border seems to take, the likeliest first. hides leaves
// places out.
func Find(pic *raster.Picture, cam *geom.Camera, around rectified.Box, nominalMM float64, hides func(geom.SheetPoint) bool) []Line {
	v := rectified.NewView(pic, cam, rectified.SeenBox(pic, cam, around, 0), stepD*nominalMM)
	if v.W < 8 || v.H < 8 {
		return nil
	}
	ws := convnet.Borrow()
	defer ws.Return()
	out := network().See(ws, look.Planes(ws, v))
	m := newMarks(out, func(i, j float64) bool {
		p := v.Sheet(i, j)
		return hides(p) || !inside(pic, cam.Project(p, 0))
	})
	var lines []Line
	for _, r := range m.runs(longMM / (convnet.MapCell * v.StepMM)) {
		lines = append(lines, Line{v.Sheet(middle(r.a.X), middle(r.a.Y)), v.Sheet(middle(r.b.X), middle(r.b.Y))})
	}
	return lines
}

// inside tells whether the picture shows q, not at its very rim.
func inside(pic *raster.Picture, q geom.PxPoint) bool { return pic.Inside(q.U, q.V, 2) }

// middle is the step of the view in the middle of a cell.
func middle(cell float64) float64 { return cell*convnet.MapCell + (convnet.MapCell-1)/2.0 }

// What makes a run; chosen on drawn scenes that no network was trained on (testdata/training/README.md).
const (
	longMM = 5   // it is at least so long
	least  = -1  // a cell counts by its logit over this
	strong = 0.7 // and a run by what its cells count in the mean over its length, nothing where there is none
)

// mark is a place of the border that a cell tells of; places and directions are in cells.
type mark struct {
	at   geom.SheetPoint
	n    geom.SheetPoint // unit normal, of either sign
	over float64         // how far its logit lies over least
	used bool
}

type marks []mark

func newMarks(out *convnet.Planes, hidden func(u, v float64) bool) marks {
	var m marks
	rows, cols := out.Size()
	for j := range rows {
		for i, l := range out.Row(0, j) {
			if l <= least || i == cols || hidden(middle(float64(i)), middle(float64(j))) {
				continue
			}
			at := func(c int) float64 { return float64(out.Row(c, j)[i]) }
			sn, cs := math.Sincos(math.Atan2(at(3), at(2)) / 2)
			m = append(m, mark{at: geom.SheetPoint{X: float64(i) + min(max(at(4), -1), 1), Y: float64(j) + min(max(at(5), -1), 1)},
				n: geom.SheetPoint{X: cs, Y: sn}, over: float64(l) - least})
		}
	}
	sort.SliceStable(m, func(a, b int) bool { return m[a].over > m[b].over })
	return m
}

// run is a straight run of marks, in cells.
type run struct {
	a, b geom.SheetPoint
	over float64 // the mean of its marks' over its length
}

// runs gathers marks into straight runs of at least a length, cells, from the likeliest on.
func (m marks) runs(length float64) (out []run) {
	for i := range m {
		if m[i].used {
			continue
		}
		at, n := m[i].at, m[i].n
		var r run
		for _, reach := range []int{6, 20, 300} { // the mark's own direction is off by some degrees
			r, at, n = m.along(at, n, reach)
		}
		if r.b.Sub(r.a).Norm() < length {
			continue
		}
		// What is beside a run is the same border, or its shadow.
		for k := range m {
			if m[k].near(at, n, 1.5) {
				m[k].used = true
			}
		}
		if r.over > strong {
			out = append(out, r)
		}
	}
	return out
}

// near tells whether the mark lies within so many cells of a line and runs as it does.
func (k *mark) near(at, n geom.SheetPoint, cells float64) bool {
	const alongCos = 0.985 // 10°
	return math.Abs(k.at.Sub(at).Dot(n)) < cells && math.Abs(k.n.Dot(n)) > alongCos
}

// along follows the line through at, for so many cells to both sides, over the marks that lie on it, and gives the line
// through those.
func (m marks) along(at, n geom.SheetPoint, reach int) (r run, mid, normal geom.SheetPoint) {
	const gap = 3 // cells without a mark end a run
	dir := geom.SheetPoint{X: -n.Y, Y: n.X}
	best := make([]float64, 2*reach+1)
	in := make([]int, 0, 64)
	for k := range m {
		s := int(math.Round(m[k].at.Sub(at).Dot(dir))) + reach
		if !m[k].used && s >= 0 && s < len(best) && m[k].near(at, n, 0.7) {
			best[s] = max(best[s], m[k].over)
			in = append(in, k)
		}
	}
	end := func(step int) int {
		last := reach
		for s := reach; s >= 0 && s < len(best) && (s-last)*step <= gap; s += step {
			if best[s] > 0 {
				last = s
			}
		}
		return last
	}
	lo, hi := end(-1), end(1)
	for _, l := range best[lo : hi+1] {
		r.over += l / float64(hi-lo+1)
	}
	// The line through the marks of the run.
	var w, ms, mn, ss, sn float64
	for _, k := range in {
		q := m[k].at.Sub(at)
		if s := q.Dot(dir); s > float64(lo-reach)-1 && s < float64(hi-reach)+1 {
			l := m[k].over
			w, ms, mn, ss, sn = w+l, ms+l*s, mn+l*q.Dot(n), ss+l*s*s, sn+l*s*q.Dot(n)
		}
	}
	slope := 0.0
	if d := ss - ms*ms/w; d > 1e-9 {
		slope = (sn - ms*mn/w) / d
	}
	mid = at.Add(n.Scale(mn/w - slope*ms/w))
	dir = dir.Add(n.Scale(slope))
	dir = dir.Scale(1 / dir.Norm())
	r.a, r.b = mid.Add(dir.Scale(float64(lo-reach)-0.5)), mid.Add(dir.Scale(float64(hi-reach)+0.5))
	return r, mid, geom.SheetPoint{X: dir.Y, Y: -dir.X}
}
