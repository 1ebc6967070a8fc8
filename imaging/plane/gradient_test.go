package plane

import (
	"math"
	"math/rand"
	"testing"
)

// The quick gradient is that of the residual, and both are what small steps of the unknowns make
// of it.
func TestGradientAgainstResidualAndSmallSteps(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	fr := frame{base: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, pivot: [3]float64{30, 20, 0}}
	pb := problem{sigma: 0.3}
	for n := range 200 {
		x := make([]float64, nParams)
		for k := range 3 {
			x[pRot+k] = 0.4 * rng.NormFloat64()
		}
		x[pPos], x[pPos+1], x[pPos+2] = 10*rng.NormFloat64(), 10*rng.NormFloat64(), 150+20*rng.NormFloat64()
		x[pLogF], x[pCx], x[pCy] = math.Log(1900)+0.1*rng.NormFloat64(), 970+10*rng.NormFloat64(), 1290+10*rng.NormFloat64()
		x[pK1], x[pGain] = 0.03*rng.NormFloat64(), 0.1*rng.NormFloat64()
		turn, edge := 2*math.Pi*rng.Float64(), 2*math.Pi*rng.Float64()
		o := obs{x: 60 * rng.Float64(), y: 40 * rng.Float64(), z: 0.3 * rng.Float64(), gx: math.Cos(edge), gy: math.Sin(edge),
			nu: math.Cos(turn), nv: math.Sin(turn), u: 1000 * rng.Float64(), v: 1000 * rng.Float64()}
		v := fr.view(x)
		var p projection
		var quick [nParams]float64
		plain := make([]float64, nParams)
		r0, ok0 := v.gradient(&o, pb.sigma, &quick)
		r1, ok1 := pb.residual(&v, &o, &p, plain, true)
		if !ok0 || !ok1 || math.Abs(r0-r1) > 1e-9 {
			t.Fatalf("case %d: residuals %g, %g (%v, %v)", n, r0, r1, ok0, ok1)
		}
		for k := range nParams {
			// Another processor may fuse a product and a sum: the last bits are left out.
			if math.Abs(quick[k]*pb.sigma-plain[k]) > 1e-9*math.Max(1, math.Abs(plain[k])) {
				t.Errorf("case %d, unknown %d: gradient %.12g, that of the residual %.12g", n, k, quick[k]*pb.sigma, plain[k])
			}
			const h = 1e-5
			at := func(step float64) float64 {
				y := append([]float64(nil), x...)
				y[k] += step
				w := fr.view(y)
				r, _ := pb.residual(&w, &o, &p, nil, false)
				return r
			}
			if small := (at(h) - at(-h)) / (2 * h); math.Abs(small-plain[k]) > 2e-4*math.Max(1, math.Abs(plain[k])) {
				t.Errorf("case %d, unknown %d: gradient %.9g, small steps give %.9g", n, k, plain[k], small)
			}
		}
	}
}

// What lies behind the camera is refused.
func TestGradientBehindTheCamera(t *testing.T) {
	fr := frame{base: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}}
	x := make([]float64, nParams)
	x[pPos+2], x[pLogF] = -50, 7
	v := fr.view(x)
	var j [nParams]float64
	if _, ok := v.gradient(&obs{nu: 1}, 1, &j); ok {
		t.Error("a point behind the camera has a gradient")
	}
}
