//go:build training

package face

// This file writes the strips that the network is trained on; see testdata/training/README.md:
//
//	BUCKTAIL_PATCHES=out.bin BUCKTAIL_SEEDS=0:2000 go test -tags training -run WriteStrips -timeout 9h ./imaging/sheetedge/face

import (
	"bufio"
	"encoding/binary"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/sheetedge/strip"
	"bucktail/imaging/synth"
	"bucktail/imaging/training"
)

// TestWriteStrips writes strips along the true edges of scenes, and along other lines there.
func TestWriteStrips(t *testing.T) {
	out := training.Create(t, os.Getenv("BUCKTAIL_PATCHES"))
	from, to := training.Seeds(t)
	for seed := from; seed < to; seed++ {
		w := writer{rng: rand.New(rand.NewSource(int64(seed))), seed: seed, out: out}
		if w.scene(); w.err != nil {
			t.Fatal(w.err)
		}
	}
}

type writer struct {
	s     *synth.Scene
	sees  func(geom.SheetPoint) bool
	edges []line
	rng   *rand.Rand
	seed  int
	out   *bufio.Writer
	err   error
}

// line is a straight edge of the sheet, as far as it lies in the frame.
type line struct{ a, b geom.SheetPoint }

const (
	mostEdges, mostOthers = 5, 2
	coarsest, finest      = 5.5, 27.0 // px per mm
	leastSeen             = 8         // rows that have to see the edge
)

func (w *writer) scene() {
	w.s, _, _ = training.Scene(w.seed)
	w.sees = w.s.Seer()
	for _, e := range w.s.Truth().Edges {
		if e.InFrame {
			p, q := *e.In0MM, *e.In1MM
			w.edges = append(w.edges, line{geom.SheetPoint{X: p[0], Y: p[1]}, geom.SheetPoint{X: q[0], Y: q[1]}})
		}
	}
	if len(w.edges) == 0 {
		return
	}
	for range mostEdges {
		w.along(w.edges[w.rng.Intn(len(w.edges))])
	}
	for range mostOthers {
		w.elsewhere()
	}
}

// length draws how long a strip is: mostly as long as strips get.
func (w *writer) length() float64 {
	const most = rows * rowMM
	if w.rng.Float64() < 0.6 {
		return most
	}
	return 5 + (most-5)*w.rng.Float64()
}

func (w *writer) scale() float64 {
	return coarsest * math.Pow(finest/coarsest, w.rng.Float64())
}

// outward turns the normal of a line away from the middle of the fasteners.
func (w *writer) outward(mid, dir geom.SheetPoint) geom.SheetPoint {
	n := geom.SheetPoint{X: -dir.Y, Y: dir.X}
	var c geom.SheetPoint
	for i := range w.s.Fasteners {
		c = c.Add(w.s.Fasteners[i].AxisMM.Scale(1 / float64(len(w.s.Fasteners))))
	}
	if c.Sub(mid).Dot(n) > 0 {
		return n.Scale(-1)
	}
	return n
}

// along writes strips along a part of an edge, off by about what a first look is, and along the
// plainest line beside it that is none.
func (w *writer) along(e line) {
	d := e.b.Sub(e.a)
	length := d.Norm()
	long := w.length()
	if length < 6 || w.err != nil {
		return
	}
	dir := d.Scale(1 / length)
	at := min(long, length) / 2
	at += (length - 2*at) * w.rng.Float64()
	mid := e.a.Add(dir.Scale(at))
	if at := w.rng.Float64(); at < 0.1 { // over a corner
		mid = e.a.Add(dir.Scale(long * (0.25 + 0.2*w.rng.Float64())))
	}
	f := strip.Frame{O: mid, Dir: dir, Out: w.outward(mid, dir)}
	beside := 1.2
	if w.rng.Float64() < 0.5 {
		beside = 4
	}
	var corners []geom.SheetPoint
	for _, c := range [5][2]float64{{0, 0}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
		corners = append(corners, f.At(c[0]*(long/2+0.5), c[1]*beside))
	}
	pic, cam, ok, err := training.WindowOver(w.s, corners, w.scale(), 12, synth.Effort{Base: 4, Near: 5, Edge: 10})
	if w.err = err; !ok || err != nil {
		return
	}
	for range 4 {
		s := 0.1
		if w.rng.Float64() < 0.4 {
			s = 0.3
		}
		off, turn := min(max(w.rng.NormFloat64(), -2), 2)*s, 0.6*(2*w.rng.Float64()-1)*s/long
		g := f.On(strip.Line{N: off, Slope: turn})
		w.strip(pic, cam, g, long, f)
	}
	if beside > 2 {
		w.other(pic, cam, long, 40, func() strip.Frame {
			off := math.Copysign(0.9+2.6*w.rng.Float64(), w.rng.Float64()-0.5)
			return f.On(strip.Line{N: off, Slope: 0.05 * (2*w.rng.Float64() - 1)})
		})
	}
}

// elsewhere writes a strip along the plainest line of some place.
func (w *writer) elsewhere() {
	if len(w.s.Fasteners) == 0 || w.err != nil {
		return
	}
	c := w.s.Fasteners[w.rng.Intn(len(w.s.Fasteners))]
	reach := 5 * c.NominalMM
	mid := c.AxisMM.Add(geom.SheetPoint{X: reach * (2*w.rng.Float64() - 1), Y: reach * (2*w.rng.Float64() - 1)})
	pic, cam, ok, err := training.Window(w.s, mid, 7, w.scale(), 40, synth.Effort{Base: 4, Near: 4, Edge: 8})
	if w.err = err; !ok || err != nil {
		return
	}
	w.other(pic, cam, 5+5*w.rng.Float64(), 150, func() strip.Frame {
		sn, cs := math.Sincos(w.rng.Float64() * 2 * math.Pi)
		dir := geom.SheetPoint{X: cs, Y: sn}
		o := mid.Add(geom.SheetPoint{X: 3 * (2*w.rng.Float64() - 1), Y: 3 * (2*w.rng.Float64() - 1)})
		return strip.Frame{O: o, Dir: dir, Out: w.outward(o, dir)}
	})
}

// other writes the plainest of so many lines that draw gives and no edge of the sheet lies near.
func (w *writer) other(pic *raster.Picture, cam *geom.Camera, long float64, lines int, draw func() strip.Frame) {
	var best *patch
	most := 0.0
	for range lines {
		f := draw()
		if w.nearEdge(f, long) {
			continue
		}
		p := lay(pic, cam, w.hides(f), f, long)
		if p.seen < rows/2 {
			continue
		}
		if c := p.contrast(); c > most {
			best, most = p, c
		}
	}
	if best != nil {
		w.record(best, cam, 0, nil)
	}
}

// contrast is how plain a line shows in the middle of a patch: the mean step or ridge over rows.
func (p *patch) contrast() float64 {
	var col [columns]float64
	for i := range rows {
		for k := range columns {
			col[k] += float64(p.lum[i*columns+k]) / rows
		}
	}
	mean := func(a, b int) (m float64) {
		for k := a; k < b; k++ {
			m += col[k] / float64(b-a)
		}
		return m
	}
	in, mid, out := mean(12, 20), mean(22, 26), mean(28, 36)
	return max(math.Abs(out-in), math.Abs(2*mid-in-out)/2)
}

// nearEdge tells whether some true edge shows in the strip along f.
func (w *writer) nearEdge(f strip.Frame, long float64) bool {
	for _, e := range w.edges {
		d := e.b.Sub(e.a)
		for k := 0.0; k <= 1; k += 0.02 {
			q := e.a.Add(d.Scale(k)).Sub(f.O)
			if math.Abs(q.Dot(f.Out)) < 0.85 && math.Abs(q.Dot(f.Dir)) < long/2 {
				return true
			}
		}
	}
	return false
}

// hides plays what lies on a sheet: the card and the fasteners as the program knows them, and at
// times something at an end or in the middle.
func (w *writer) hides(f strip.Frame) func(geom.SheetPoint) bool {
	from, to := math.Inf(1), math.Inf(1)
	if w.rng.Float64() < 0.3 {
		from = 16 * (w.rng.Float64() - 0.5)
		to = from + 1 + 7*w.rng.Float64()
	}
	return func(p geom.SheetPoint) bool {
		s := p.Sub(f.O).Dot(f.Dir)
		if s > from && s < to {
			return true
		}
		if c := w.s.Card; c != nil && c.Covers(p) {
			return true
		}
		for i := range w.s.Fasteners {
			if h := &w.s.Fasteners[i]; p.Sub(h.AxisMM).Norm() < 0.95*h.NominalMM {
				return true
			}
		}
		return false
	}
}

// strip writes the strip along g, which lies near the edge along f.
func (w *writer) strip(pic *raster.Picture, cam *geom.Camera, g strip.Frame, long float64, f strip.Frame) {
	p := lay(pic, cam, w.hides(g), g, long)
	labels := make([]float32, rows)
	known := 0
	for i := range labels {
		labels[i] = -1
		// Where the true edge crosses row i.
		o := p.frame.At(p.s(i), 0)
		off := f.O.Sub(o).Dot(f.Out) / p.frame.Out.Dot(f.Out)
		k := off/stepMM + (columns-1)/2.0
		if at := p.frame.At(p.s(i), off); !p.hidden[i] && k > 0 && k < columns-1 && w.on(at) && w.sees(at) {
			labels[i] = float32(k)
			known++
		}
	}
	if known >= leastSeen {
		w.record(p, cam, 1, labels)
	}
}

// on tells whether p lies on the straight part of some edge.
func (w *writer) on(p geom.SheetPoint) bool {
	for _, e := range w.edges {
		d := e.b.Sub(e.a)
		q := p.Sub(e.a)
		s := q.Dot(d) / d.Norm()
		if s > 0 && s < d.Norm() && q.Sub(d.Scale(s/d.Norm())).Norm() < 0.01 {
			return true
		}
	}
	return false
}

// record writes 12 float32 (seed, 1 for an edge, px per mm, then 9 of 0), 8 settings of each row, the
// edge's column in each row (-1: unknown), then the light and the two colour ratios as half floats;
// little-endian.
func (w *writer) record(p *patch, cam *geom.Camera, class float32, labels []float32) {
	if labels == nil {
		labels = make([]float32, rows)
		for i := range labels {
			labels[i] = -1
		}
	}
	head := make([]float32, 12)
	head[0], head[1], head[2] = float32(w.seed), class, float32(cam.PxPerMM(p.frame.O, 0))
	head = append(append(head, p.setting(cam)...), labels...)
	if w.err = binary.Write(w.out, binary.LittleEndian, head); w.err != nil {
		return
	}
	for _, plane := range [3][]float32{p.lum, p.rg, p.gb} {
		h := make([]uint16, len(plane))
		for i, v := range plane {
			h[i] = training.Half(v)
		}
		if w.err = binary.Write(w.out, binary.LittleEndian, h); w.err != nil {
			return
		}
	}
}
