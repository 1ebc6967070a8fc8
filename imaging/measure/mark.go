package measure

import (
	"math"
	"math/cmplx"
	"slices"

	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/imaging/rectified"
	"bucktail/qc"
)

// Marks are not found by themselves: a pen's cross and a punch's dimple have no form that tells them
// from scratches and chips. A person points at each, and the photo is read there: a mark is the place
// about which the picture's edges are most alike when they are turned by half a turn, be it a cross, a
// dimple lit from one side, or both.
const (
	markReachMM  = 1.5  // how far off the tap its middle may lie
	markRoundMM  = 2.0  // how much about its middle is looked at
	markBorderMM = 0.2  // room for what blurs
	markStepMM   = 0.05 // half a pixel of a good photo
	// markApartMM is how far off the middle another place counts as another one, and markAlike how good
	// that may be: along a single line all places are alike, along a cross's arm half as good.
	markApartMM = 0.6
	markAlike   = 0.8
	// markLeast is the least likeness to itself, turned, 0 to 1: bare metal has 0.63 at the most.
	markLeast = 0.65
	// markOneWay is how much of it may run one way: a piece of a line alone has 0.8 or more.
	markOneWay = 0.6
)

// markU is the standard uncertainty of a mark's middle as the photo shows it, mm: the pen's line is
// 0.3 to 0.5 mm wide and ragged. Held by TestMarksAreReadWhereTheyAre.
const markU = 0.06

// marks adds the marks that a person pointed at or placed under the loupe, in place of what was found
// there. Each is drawn as a circle of its rivet's size; a mark has no diameter to be read.
func (m *sheetMap) marks(pic *raster.Picture, opt *Options, res *Result, fs []fastener.Fastener) []fastener.Fastener {
	add := func(f fastener.Fastener, hand Hand, ask *qc.Refusal, u qc.Contribution) {
		for i := len(fs) - 1; i >= 0; i-- {
			if fs[i].Centre.Sub(f.Centre).Norm() < opt.NominalMM/2 {
				fs, res.Locations = slices.Delete(fs, i, i+1), slices.Delete(res.Locations, i, i+1)
			}
		}
		loc := Location{Kind: opt.Kind, Centre: f.Centre, RadiusMM: f.RMM, CentrePx: m.cam.Project(f.Centre, 0), ByHand: true, Hand: hand,
			Ask: ask, Probability: 1, Clear: 1, OutlinePx: seenPx(&m.cam, &f), centreU: []CentreTerm{{u.Label, u.UMM, u.UMM}}}
		loc.MiddlePx, loc.SidesPx = f.Handles(&m.cam, opt.Kind)
		fs, res.Locations = append(fs, f), append(res.Locations, loc)
	}
	for _, t := range opt.Taps {
		at, ok := m.markNear(pic, m.cam.ToSheet(t, 0))
		var ask *qc.Refusal
		if !ok {
			at = m.cam.ToSheet(t, 0)
			ask = &qc.Refusal{Code: "no-mark", Text: "no mark stands out here", Do: "move its middle onto the mark under the loupe"}
		}
		f := fastener.Fastener{Tapped: true, PxPerMM: m.cam.PxPerMM(at, 0)}
		f.Centre, f.RMM = at, opt.NominalMM/2
		_, sides := f.Handles(&m.cam, opt.Kind)
		if drawn, ok := fastener.Placed(&m.cam, opt.Kind, opt.NominalMM, 0, sides); ok {
			f.Contour = drawn.Contour
		}
		add(f, "", ask, qc.Contribution{Label: "middle of the mark", UMM: markU})
	}
	for _, h := range opt.Outlines {
		if f, ok := fastener.Placed(&m.cam, opt.Kind, opt.NominalMM, 0, h.SidesPx); ok {
			add(f, FromMarks, nil, qc.Contribution{Label: "mark placed by hand", UMM: handPx / f.PxPerMM})
		}
	}
	return fs
}

// markNear looks for the middle of the mark near a place of the sheet; ok is false where no one place
// stands out: on a line without a cross, on bare metal, beside an edge.
func (m *sheetMap) markNear(pic *raster.Picture, tap geom.SheetPoint) (at geom.SheetPoint, ok bool) {
	const reachMM = markReachMM + markApartMM // beyond it too, to see whether the middle is one
	const half = reachMM + markRoundMM + markBorderMM
	v := rectified.NewLightView(pic, &m.cam, rectified.Box{MinX: tap.X - half, MinY: tap.Y - half, MaxX: tap.X + half, MaxY: tap.Y + half}, markStepMM)
	if slices.Contains(v.Seen, false) {
		return at, false // partly beside the photo
	}
	edge, dir := edgesOf(v)
	reach, round, apart := int(reachMM/markStepMM), int(markRoundMM/markStepMM), markApartMM/markStepMM
	ci, cj := v.Pixel(tap)
	i0, j0 := int(math.Round(ci)), int(math.Round(cj))
	// Every second place is looked at with every second pixel, then those about the best with all.
	const every = 2
	n := 2*(reach/every) + 1
	sum := make([]float64, n*n)
	best := 0
	for k := range sum {
		much, alike := turned(edge, v.W, v.H, i0+(k%n-n/2)*every, j0+(k/n-n/2)*every, round, every)
		if sum[k] = much * alike; sum[k] > sum[best] { // what is much and alike
			best = k
		}
	}
	x, y := best%n, best/n
	for k := range sum {
		if math.Hypot(float64(k%n-x), float64(k/n-y))*every > apart && sum[k] > markAlike*sum[best] {
			return at, false
		}
	}
	ci, cj = float64(i0+(x-n/2)*every), float64(j0+(y-n/2)*every)
	const side = 2*every + 1
	var near [side * side]float64
	fine, alike := 0, 0.0
	for k := range near {
		much, a := turned(edge, v.W, v.H, int(ci)+k%side-every, int(cj)+k/side-every, round, 1)
		if near[k] = much * a; k == 0 || near[k] > near[fine] {
			fine, alike = k, a
		}
	}
	x, y = fine%side, fine/side
	if x == 0 || y == 0 || x == side-1 || y == side-1 || alike < markLeast {
		return at, false
	}
	ci, cj = ci+float64(x-every), cj+float64(y-every)
	if math.Hypot(ci-float64(i0), cj-float64(j0)) > markReachMM/markStepMM || oneWay(edge, dir, v.W, v.H, int(ci), int(cj), round) > markOneWay {
		return at, false
	}
	return v.Sheet(ci+vertex(near[fine-1], near[fine], near[fine+1]), cj+vertex(near[fine-side], near[fine], near[fine+side])), true
}

// vertex is where the parabola through three values, one step apart, has its vertex, in steps from the middle.
func vertex(a, b, c float64) float64 {
	if d := a - 2*b + c; d < 0 {
		return max(-0.5, min(0.5, (a-c)/(2*d)))
	}
	return 0
}

// pairs gives pairs of pixels that lie opposite one another about a third, every so many.
func pairs(w, h, ci, cj, round, every int, do func(p, q int)) {
	for dj := 0; dj <= round; dj += every {
		for di := -round; di <= round; di += every {
			if dj == 0 && di <= 0 || di*di+dj*dj > round*round {
				continue
			}
			i, j, k, l := ci+di, cj+dj, ci-di, cj-dj
			if min(i, j, k, l) < 0 || max(i, k) >= w || max(j, l) >= h {
				continue
			}
			do(j*w+i, l*w+k)
		}
	}
}

// turned tells how much of what lies round a pixel lies there too when it is turned by half a turn, and
// which fraction of it that is.
func turned(edge []float32, w, h, ci, cj, round, every int) (sum, fraction float64) {
	var all float64
	pairs(w, h, ci, cj, round, every, func(p, q int) {
		a, b := float64(edge[p]), float64(edge[q])
		sum += a * b
		all += (a*a + b*b) / 2
	})
	return sum, sum / max(all, 1e-12)
}

// oneWay tells which fraction of what is alike runs one way, as a line does: 0 of a cross or a ring.
func oneWay(edge []float32, dir []complex64, w, h, ci, cj, round int) float64 {
	var all float64
	var to complex128
	pairs(w, h, ci, cj, round, 1, func(p, q int) {
		ab := float64(edge[p]) * float64(edge[q])
		all += ab
		to += complex(ab/2, 0) * complex128(dir[p]+dir[q])
	})
	return cmplx.Abs(to) / max(all, 1e-12)
}

// edgesOf gives how steep the light is at each pixel of a view, as a fraction of the light there, less
// what is usual: noise and grain. A glint counts no more than a pen's line. dir is which way it is steep,
// its angle doubled: the same for both sides of a line.
func edgesOf(v *rectified.View) (edge []float32, dir []complex64) {
	light := blurred(blurred(v.L, v.W, v.H), v.W, v.H)
	edge, dir = make([]float32, len(light)), make([]complex64, len(light))
	for j := 1; j < v.H-1; j++ {
		for i := 1; i < v.W-1; i++ {
			p := j*v.W + i
			g := complex(float64(light[p+1]-light[p-1]), float64(light[p+v.W]-light[p-v.W]))
			if n := cmplx.Abs(g); n > 0 {
				edge[p], dir[p] = float32(n)/max(light[p], 0.01), complex64(g*g/complex(n*n, 0))
			}
		}
	}
	sorted := slices.Clone(edge)
	slices.Sort(sorted)
	usual, most := 1.5*sorted[len(sorted)/2], sorted[len(sorted)*97/100]
	for p, x := range edge {
		edge[p] = max(0, min(x, most)-usual)
	}
	return edge, dir
}

// blurred is a plane averaged over seven pixels each way, 0.35 mm: a pen's line stays, grain goes.
func blurred(in []float32, w, h int) []float32 {
	across, out := make([]float32, len(in)), make([]float32, len(in))
	for j := range h {
		for i := range w {
			for k := -3; k <= 3; k++ {
				across[j*w+i] += in[j*w+min(max(i+k, 0), w-1)] / 7
			}
		}
	}
	for j := range h {
		for i := range w {
			for k := -3; k <= 3; k++ {
				out[j*w+i] += across[min(max(j+k, 0), h-1)*w+i] / 7
			}
		}
	}
	return out
}
