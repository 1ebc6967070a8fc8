package plane

import (
	"math"
	"sync/atomic"

	"bucktail/imaging/cores"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// frame is what the unknowns are relative to: R = exp(rotation vector) base, turning about
// the pivot on the printed face.
type frame struct {
	base  [3][3]float64
	pivot [3]float64 // sheet mm
	wPx   float64    // picture width, for the priors
	midU  float64    // picture middle
	midV  float64
}

// obs is one observed edge point: the model's point (x + gx gain, y + gy gain) at height z
// must be seen on the line through (u, v) with unit normal (nu, nv).
type obs struct {
	x, y, z        float64
	gx, gy         float64
	nu, nv, u, v   float64
	weight         float64
	target, border int
}

// view is the camera of one set of unknowns, ready to project many points.
type view struct {
	r      [3][3]float64
	t      [3]float64
	jl     [3][3]float64 // left Jacobian of the rotation vector
	f      float64
	cx, cy float64
	k1     float64
	gain   float64
	pivot  [3]float64
}

func (fr *frame) view(x []float64) view {
	e, jl := expRotation(x[pRot], x[pRot+1], x[pRot+2])
	return view{
		r: matMul(&e, &fr.base), jl: jl,
		t: [3]float64{x[pPos], x[pPos+1], x[pPos+2]},
		f: fit.Exp(x[pLogF]), cx: x[pCx], cy: x[pCy], k1: x[pK1], gain: x[pGain],
		pivot: fr.pivot,
	}
}

// camera gives the view as the shared camera type.
func (v *view) camera() geom.Camera {
	c := geom.Camera{FocalPx: v.f, CxPx: v.cx, CyPx: v.cy, K1: v.k1, R: v.r, T: v.t}
	for i := 0; i < 3; i++ {
		for k := 0; k < 3; k++ {
			c.T[i] -= v.r[i][k] * v.pivot[k]
		}
	}
	return c
}

// projection is a projected point with its derivatives.
type projection struct {
	u, v float64
	du   [3]float64 // by the point's x, y, z on the sheet
	dv   [3]float64
	pu   [nParams]float64 // by the unknowns, with the point held
	pv   [nParams]float64
}

// project fills p for the sheet point (x, y, z); false behind the camera.
func (v *view) project(x, y, z float64, p *projection, derivatives bool) bool {
	dx, dy, dz := x-v.pivot[0], y-v.pivot[1], z-v.pivot[2]
	r := &v.r
	rx := r[0][0]*dx + r[0][1]*dy + r[0][2]*dz
	ry := r[1][0]*dx + r[1][1]*dy + r[1][2]*dz
	rz := r[2][0]*dx + r[2][1]*dy + r[2][2]*dz
	X, Y, Z := rx+v.t[0], ry+v.t[1], rz+v.t[2]
	if !(Z > 1e-6) {
		return false
	}
	a, b := X/Z, Y/Z
	q := a*a + b*b
	g := 1 + v.k1*q
	p.u, p.v = v.cx+v.f*g*a, v.cy+v.f*g*b
	if !derivatives {
		return true
	}
	// (u, v) by (a, b), then by the camera's X, Y, Z.
	k2 := 2 * v.k1
	uaa, uab, vbb := v.f*(g+k2*a*a), v.f*k2*a*b, v.f*(g+k2*b*b)
	iz := 1 / Z
	cu := [3]float64{uaa * iz, uab * iz, -(uaa*a + uab*b) * iz}
	cv := [3]float64{uab * iz, vbb * iz, -(uab*a + vbb*b) * iz}
	for k := 0; k < 3; k++ {
		p.du[k] = cu[0]*r[0][k] + cu[1]*r[1][k] + cu[2]*r[2][k]
		p.dv[k] = cv[0]*r[0][k] + cv[1]*r[1][k] + cv[2]*r[2][k]
	}
	// d(exp(w) q) = (J_l dw) × (exp(w) q), so the row by dw is ((rx, ry, rz) × c) J_l.
	wu := [3]float64{ry*cu[2] - rz*cu[1], rz*cu[0] - rx*cu[2], rx*cu[1] - ry*cu[0]}
	wv := [3]float64{ry*cv[2] - rz*cv[1], rz*cv[0] - rx*cv[2], rx*cv[1] - ry*cv[0]}
	for k := 0; k < 3; k++ {
		p.pu[pRot+k] = wu[0]*v.jl[0][k] + wu[1]*v.jl[1][k] + wu[2]*v.jl[2][k]
		p.pv[pRot+k] = wv[0]*v.jl[0][k] + wv[1]*v.jl[1][k] + wv[2]*v.jl[2][k]
		p.pu[pPos+k], p.pv[pPos+k] = cu[k], cv[k]
	}
	p.pu[pLogF], p.pv[pLogF] = v.f*g*a, v.f*g*b
	p.pu[pCx], p.pv[pCx] = 1, 0
	p.pu[pCy], p.pv[pCy] = 0, 1
	p.pu[pK1], p.pv[pK1] = v.f*q*a, v.f*q*b
	p.pu[pGain], p.pv[pGain] = 0, 0
	return true
}

// prior is what is known of the camera and the print before the fit, 1 sigma each.
type prior struct {
	logF, logFU float64
	centreU     float64 // px
	gainU       float64 // mm
	k1U         float64
}

// Priors found in the study of photos with known cameras (telephones' main cameras have
// the centre within about 1.2 % of the width and |k1| within 0.03; laser and ink jet print
// gains within 0.15 mm). TestPriorsHardlyMoveThePlane holds that they matter little.
func newPrior(o Options, wPx, diagonalPx float64) prior {
	p := prior{logF: math.Log(0.6 * diagonalPx), logFU: 0.25, centreU: 0.012 * wPx, gainU: 0.15, k1U: 0.02}
	if o.FocalPriorPx > 0 {
		p.logF, p.logFU = math.Log(o.FocalPriorPx), 0.035
	}
	if o.FocalPriorRel > 0 {
		p.logFU = o.FocalPriorRel
	}
	return p
}

// problem is one least squares problem over the unknowns.
type problem struct {
	frame frame
	prior prior
	obs   []obs
	sigma float64 // standard deviation of an edge point, px
	loss  fit.Loss
	// Memory of rows: per observation its residual and weight, and its gradient.
	r, w, j []float64
}

// residual gives the signed distance of observation o from the model, px, and fills j with
// its gradient where derivatives are wanted.
func (pb *problem) residual(v *view, o *obs, p *projection, j []float64, derivatives bool) (float64, bool) {
	if !v.project(o.x+o.gx*v.gain, o.y+o.gy*v.gain, o.z, p, derivatives) {
		return 0, false
	}
	if derivatives {
		for k := range j {
			j[k] = o.nu*p.pu[k] + o.nv*p.pv[k]
		}
		j[pGain] = (o.nu*p.du[0]+o.nv*p.dv[0])*o.gx + (o.nu*p.du[1]+o.nv*p.dv[1])*o.gy
	}
	return o.nu*(p.u-o.u) + o.nv*(p.v-o.v), true
}

// rows adds all observations and priors at x to the equations.
func (pb *problem) rows(x []float64, s *fit.Normal) bool {
	// A step far out of any camera is refused before exp overflows.
	if math.Abs(x[pLogF]-pb.prior.logF) > 3 || math.Abs(x[pK1]) > 2 {
		return false
	}
	v := pb.frame.view(x)
	n := len(pb.obs)
	if cap(pb.r) < n {
		pb.r, pb.w, pb.j = make([]float64, n), make([]float64, n), make([]float64, n*nParams)
	}
	pb.r, pb.w, pb.j = pb.r[:n], pb.w[:n], pb.j[:n*nParams]
	var behind atomic.Bool
	cores.InTurn((n+piece-1)/piece, func(i int) {
		if !pb.fill(&v, i*piece, min(n, (i+1)*piece), s.WantJ) {
			behind.Store(true)
		}
	}, func(i int) {
		o0, o1 := i*piece, min(n, (i+1)*piece)
		s.AddAll(pb.r[o0:o1], pb.w[o0:o1], pb.loss, pb.j[o0*nParams:o1*nParams])
	})
	if behind.Load() {
		return false
	}
	pb.addPrior(x, s)
	return true
}

// piece is how many observations are worth handing to another core.
const piece = 96

// fill gives the observations from o0 up to o1 their residuals, and gradients where derivatives
// are wanted, in units of sigma; false where one lies behind the camera.
func (pb *problem) fill(v *view, o0, o1 int, derivatives bool) bool {
	var p projection
	for i := o0; i < o1; i++ {
		o := &pb.obs[i]
		var r float64
		var ok bool
		if derivatives {
			r, ok = v.gradient(o, pb.sigma, (*[nParams]float64)(pb.j[i*nParams:]))
		} else {
			r, ok = pb.residual(v, o, &p, nil, false)
		}
		if !ok {
			return false
		}
		pb.r[i], pb.w[i] = r/pb.sigma, o.weight
	}
	return true
}

func (pb *problem) addPrior(x []float64, s *fit.Normal) {
	var j [nParams]float64
	one := func(k int, value, u float64) {
		j = [nParams]float64{}
		j[k] = 1 / u
		s.Add((x[k]-value)/u, 1, fit.Loss{}, j[:])
	}
	one(pLogF, pb.prior.logF, pb.prior.logFU)
	one(pCx, pb.frame.midU, pb.prior.centreU)
	one(pCy, pb.frame.midV, pb.prior.centreU)
	one(pK1, 0, pb.prior.k1U)
	one(pGain, 0, pb.prior.gainU)
}

// expRotation gives the rotation by the vector w (radians) and its left Jacobian J_l:
// exp(w + dw) = exp(J_l dw) exp(w) to first order.
//
// Source: T. D. Barfoot, State Estimation for Robotics, 2017, section 7.1.5.
func expRotation(wx, wy, wz float64) (e, jl [3][3]float64) {
	t2 := wx*wx + wy*wy + wz*wz
	t := math.Sqrt(t2)
	// sin t/t, (1-cos t)/t², (t-sin t)/t³, by their series where t is small.
	a, b, c := 1-t2/6, 0.5-t2/24, 1.0/6-t2/120
	if t > 1e-3 {
		s, co := math.Sincos(t)
		a, b, c = s/t, (1-co)/t2, (t-s)/(t2*t)
	}
	k := [3][3]float64{{0, -wz, wy}, {wz, 0, -wx}, {-wy, wx, 0}}
	kk := matMul(&k, &k)
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			d := 0.0
			if i == j {
				d = 1
			}
			e[i][j] = d + a*k[i][j] + b*kk[i][j]
			jl[i][j] = d + b*k[i][j] + c*kk[i][j]
		}
	}
	return e, jl
}

func matMul(a, b *[3][3]float64) (c [3][3]float64) {
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			c[i][j] = a[i][0]*b[0][j] + a[i][1]*b[1][j] + a[i][2]*b[2][j]
		}
	}
	return c
}
