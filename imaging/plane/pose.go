package plane

import (
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// startPose gives the rotation and the place of the pivot that the homography h (sheet mm
// at the printed face to px) implies for a camera of focal length f about (cu, cv).
//
// Source: Z. Zhang, IEEE PAMI 22 (2000) 1330-1334, section 3.1; the two columns are made
// square to each other symmetrically, so that neither carries the whole error.
func startPose(h *fit.H, f, cu, cv float64, pivot geom.SheetPoint) (r [3][3]float64, t [3]float64, ok bool) {
	col := func(k int) [3]float64 {
		z := h[6+k]
		return [3]float64{(h[k] - cu*z) / f, (h[3+k] - cv*z) / f, z}
	}
	a, b, c := col(0), col(1), col(2)
	l := 2 / (norm3(a) + norm3(b))
	if c[2]+a[2]*pivot.X+b[2]*pivot.Y < 0 {
		l = -l
	}
	for k := 0; k < 3; k++ {
		a[k], b[k], c[k] = a[k]*l, b[k]*l, c[k]*l
		t[k] = a[k]*pivot.X + b[k]*pivot.Y + c[k]
	}
	a, b = unit3(a), unit3(b)
	var m, d [3]float64
	for k := 0; k < 3; k++ {
		m[k], d[k] = a[k]+b[k], a[k]-b[k]
	}
	m, d = unit3(m), unit3(d)
	for k := 0; k < 3; k++ {
		a[k], b[k] = (m[k]+d[k])*math.Sqrt2/2, (m[k]-d[k])*math.Sqrt2/2
	}
	n := cross3(a, b)
	for k := 0; k < 3; k++ {
		r[k] = [3]float64{a[k], b[k], n[k]}
	}
	return r, t, !math.IsNaN(r[0][0] + r[1][1] + t[0] + t[1] + t[2])
}

// flipPose gives the other pose that looks alike from afar: the plane's normal mirrored at
// the line of sight to the pivot.
//
// Source: T. Collins, A. Bartoli, International Journal of Computer Vision 109 (2014)
// 252-286, section 5.
func flipPose(r [3][3]float64, t [3]float64) [3][3]float64 {
	v := unit3(t)
	// Half a turn about v takes n to 2(n.v)v - n; a second half turn about the new normal
	// gives the axes in the plane back their direction.
	h := [3][3]float64{}
	for i := 0; i < 3; i++ {
		for k := 0; k < 3; k++ {
			h[i][k] = 2 * v[i] * v[k]
			if i == k {
				h[i][k]--
			}
		}
	}
	m := matMul(&h, &r)
	for i := 0; i < 3; i++ {
		m[i][0], m[i][1] = -m[i][0], -m[i][1]
	}
	return m
}

// start fits the camera to the targets' centres alone, from both poses that a plane seen
// from afar allows, and returns the starts worth following, best first.
func start(m *card.Match, o Options, fr frame, pr prior) (frames []frame, xs [][nParams]float64) {
	var p, q []fit.Point
	var ob []obs
	for _, t := range m.Targets {
		if t.Sight != card.Seen {
			continue
		}
		at := m.Layout.Targets[t.Index].At
		x, y := o.PrintScaleX*at.X, -o.PrintScaleY*at.Y
		p = append(p, fit.Point{X: x, Y: y})
		q = append(q, fit.Point{X: t.CentrePx.U, Y: t.CentrePx.V})
		ob = append(ob,
			obs{x: x, y: y, z: o.ThicknessMM, nu: 1, u: t.CentrePx.U, v: t.CentrePx.V, weight: 1},
			obs{x: x, y: y, z: o.ThicknessMM, nv: 1, u: t.CentrePx.U, v: t.CentrePx.V, weight: 1})
	}
	h, err := fit.Homography(p, q)
	if err != nil {
		return nil, nil
	}
	f := fit.Exp(pr.logF)
	r, t, ok := startPose(&h.H, f, fr.midU, fr.midV, geom.SheetPoint{X: fr.pivot[0], Y: fr.pivot[1]})
	if !ok {
		return nil, nil
	}
	// A blob's centre errs by about half a pixel at worst, and by the image of the circle's
	// centre not being the centre of its image.
	pb := problem{frame: fr, prior: pr, obs: ob, sigma: 0.5, loss: fit.Huber(3)}
	var costs []float64
	for _, base := range [][3][3]float64{r, flipPose(r, t)} {
		pb.frame.base = base
		x := [nParams]float64{pPos: t[0], pPos + 1: t[1], pPos + 2: t[2], pLogF: pr.logF, pCx: fr.midU, pCy: fr.midV}
		res := fit.LevenbergMarquardt(x[:], fit.NewNormal(nParams), 40, 1e-3, pb.rows)
		if math.IsInf(res.Cost, 0) || math.IsNaN(res.Cost) {
			continue
		}
		fr2 := fr
		v := pb.frame.view(x[:])
		if v.r[2][2] >= 0 { // seen from below
			continue
		}
		fr2.base = v.r
		x[0], x[1], x[2] = 0, 0, 0
		frames, xs, costs = append(frames, fr2), append(xs, x), append(costs, res.Cost)
	}
	if len(costs) == 2 {
		if costs[1] < costs[0] {
			frames[0], frames[1] = frames[1], frames[0]
			xs[0], xs[1] = xs[1], xs[0]
			costs[0], costs[1] = costs[1], costs[0]
		}
		// Centres are good to about the sigma used: a cost beyond this cannot win later.
		same := math.Abs(xs[0][pPos]-xs[1][pPos]) < 0.05 && angleBetween(&frames[0].base, &frames[1].base) < 2e-3
		if same || costs[1] > 4*costs[0]+20 {
			frames, xs = frames[:1], xs[:1]
		}
	}
	return frames, xs
}

// angleBetween gives the angle of the rotation from a to b, radians.
func angleBetween(a, b *[3][3]float64) float64 {
	tr := 0.0
	for i := 0; i < 3; i++ {
		for k := 0; k < 3; k++ {
			tr += a[i][k] * b[i][k]
		}
	}
	return math.Acos(math.Max(-1, math.Min(1, (tr-1)/2)))
}

func norm3(a [3]float64) float64 { return math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2]) }

func unit3(a [3]float64) [3]float64 {
	n := norm3(a)
	return [3]float64{a[0] / n, a[1] / n, a[2] / n}
}

func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
