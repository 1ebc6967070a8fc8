package sheetedge

import (
	"bucktail/imaging/rectified"
	"math"
)

// Two sides whose light differs by less than this factor, and whose colour ratios by less
// than alikeColour, look alike: sheets of one metal differ by less, sheet and bench by more.
// Set on the bundled photos; TestFaintJointGoesBeforeTheStrongEdgeBehind holds a joint.
const (
	alikeLight  = 1.25
	alikeColour = 0.03
	alikeOffMM  = 0.9 // to either side of the line: beyond rim, side face and contact shadow
)

// warnOfNearer warns where the photo can't tell that nothing lies between e and the
// fasteners: when both sides of e look alike, so that another sheet may come
// first, or when one of the faint lines runs along e on the inner side.
func (f *finder) warnOfNearer(e *Edge, faint []Edge) {
	dir, n := e.axes()
	mid := e.P0.Add(e.P1).Scale(0.5)
	out := f.outward(mid, dir)
	if out.Dot(n) < 0 {
		n = n.Scale(-1)
	}
	if f.alike(e, n.X, n.Y) {
		e.Warnings = append(e.Warnings, "both sides of the edge look alike, so a nearer edge may have been missed")
	}
	const (
		alongSin = 0.09 // sine of the angle between lines that run along each other
		apartMM  = 0.5  // nearer together they are the same line
	)
	length := e.P1.Sub(e.P0).Norm()
	for i := range faint {
		w := &faint[i]
		if w.Strength < faintNearZ || w.P1.Sub(w.P0).Norm() < faintLongMM {
			continue
		}
		q, _ := w.axes()
		from, to := e.span(w)
		a, b := w.P0.Sub(e.P0).Dot(n), w.P1.Sub(e.P0).Dot(n)
		if math.Abs(n.Dot(q)) < alongSin && a < -apartMM && b < -apartMM && min(to, length)-max(from, 0) > 0.5*min(length, to-from) {
			e.Warnings = append(e.Warnings, "a faint line runs along the edge, nearer to the fastener")
			return
		}
	}
}

// alike compares the photo to either side of e, the outer side being that of (nx, ny).
func (f *finder) alike(e *Edge, nx, ny float64) bool {
	var in, out [3]float64
	count := 0
	length := e.P1.Sub(e.P0).Norm()
	dir, _ := e.axes()
	for s := 0.5; s < length; s++ {
		at := e.P0.Add(dir.Scale(s))
		if f.cover.Hides(at) {
			continue
		}
		a, b := at, at
		a.X, a.Y = at.X-alikeOffMM*nx, at.Y-alikeOffMM*ny
		b.X, b.Y = at.X+alikeOffMM*nx, at.Y+alikeOffMM*ny
		pa, pb := f.cam.Project(a, 0), f.cam.Project(b, 0)
		if !f.pic.Inside(pa.U, pa.V, 1) || !f.pic.Inside(pb.U, pb.V, 1) {
			continue
		}
		count++
		for i, p := range [2]*[3]float64{&in, &out} {
			px := pa
			if i == 1 {
				px = pb
			}
			p[0] += f.pic.Y.SampleLinear(px.U, px.V)
			r, g, b := f.pic.RGB(px.U, px.V)
			sum := max(r+g+b, rectified.LeastRGB)
			p[1] += (r - g) / sum
			p[2] += (g - b) / sum
		}
	}
	if count == 0 {
		return true
	}
	k := float64(count)
	const dark = 0.003 // of full light: below that a ratio is noise
	light := math.Abs(math.Log((in[0] + dark*k) / (out[0] + dark*k)))
	colour := math.Hypot(in[1]-out[1], in[2]-out[2]) / k
	return light < math.Log(alikeLight) && colour < alikeColour
}
