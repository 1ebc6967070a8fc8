package plane

import (
	"math"
	"math/rand"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/card/cardtest"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
)

// seenEdges gives the rings' edge points as the camera of x sees them, each off by noise along
// its normal whose variance is that of its weight: sigma² / weight.
func seenEdges(fr *frame, x []float64, l *card.Layout, thick, sigma float64, rng *rand.Rand) (out []obs) {
	v := fr.view(x)
	const points = 24
	var p projection
	for ti, t := range l.Targets {
		for bi, b := range borders(t.Full) {
			for k := range points {
				sn, cs := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / points)
				o := obs{x: t.At.X + b.radiusMM*cs, y: -t.At.Y - b.radiusMM*sn, z: thick, gx: b.gain * cs, gy: -b.gain * sn,
					weight: ringFreedom / points, target: ti, border: bi}
				v.project(o.x+o.gx*v.gain, o.y+o.gy*v.gain, o.z, &p, true)
				tu, tv := -p.du[0]*sn-p.du[1]*cs, -p.dv[0]*sn-p.dv[1]*cs // along the border
				n := math.Hypot(tu, tv)
				o.nu, o.nv = tv/n, -tu/n
				e := sigma / math.Sqrt(o.weight) * rng.NormFloat64()
				o.u, o.v = p.u+e*o.nu, p.v+e*o.nv
				out = append(out, o)
			}
		}
	}
	return out
}

// The covariance of a maximum a posteriori fit is the mean squared error over truths drawn from
// the prior and noise drawn from its distribution: of a place, and of a length, which is what
// readings get from it.
func TestCovarianceIsTheScatter(t *testing.T) {
	const repeats, sigma, thick, w, h = 400, 0.12, 0.25, 960, 960
	rng := rand.New(rand.NewSource(21))
	l := card.ByName("strip")
	cam := cardtest.Look(l, 1000, 12, 0.8, 0.3, 118, w, h)
	mid := cardtest.Middle(l)
	fr := frame{base: cam.R, pivot: [3]float64{mid.X, mid.Y, thick}, wPx: w, midU: (w - 1) / 2.0, midV: (h - 1) / 2.0}
	pr := newPrior(Options{FocalPriorPx: 1000}, w, math.Hypot(w, h))
	start := [nParams]float64{pLogF: pr.logF, pCx: fr.midU, pCy: fr.midV}
	for i := range 3 {
		start[pPos+i] = cam.T[i]
		for k := range 3 {
			start[pPos+i] += cam.R[i][k] * fr.pivot[k]
		}
	}
	places := []geom.SheetPoint{mid, mid.Add(geom.SheetPoint{X: 20, Y: -25}), mid.Add(geom.SheetPoint{X: -30, Y: 20})}
	stated, scatter := make([]float64, len(places)), make([]float64, len(places))
	var lengthStated, lengthScatter float64
	for range repeats {
		truth := start
		truth[pLogF] += pr.logFU * rng.NormFloat64()
		truth[pCx] += pr.centreU * rng.NormFloat64()
		truth[pCy] += pr.centreU * rng.NormFloat64()
		truth[pK1] = pr.k1U * rng.NormFloat64()
		truth[pGain] = pr.gainU * rng.NormFloat64()
		f := &fitted{frame: fr, x: start, prior: pr, sigma: sigma}
		f.pb = problem{frame: fr, prior: pr, obs: seenEdges(&fr, truth[:], l, thick, sigma, rng), sigma: sigma}
		if r := fit.LevenbergMarquardt(f.x[:], fit.NewNormal(nParams), 50, 1e-6, f.pb.rows); math.IsInf(r.Cost, 0) {
			t.Fatal("no fit")
		}
		v := f.frame.view(f.x[:])
		f.frame.base = v.r
		f.x[0], f.x[1], f.x[2] = 0, 0, 0
		f.pb.frame = f.frame
		s := &solver{layout: l, options: Options{PrintScaleX: 1, PrintScaleY: 1, ThicknessMM: thick}}
		pl := &Plane{Camera: v.camera(), Layout: l, Options: s.options, frame: f.frame, x: f.x}
		if !s.uncertainty(f, pl, &v) {
			t.Fatal("no covariance")
		}
		tv := fr.view(truth[:])
		seen := tv.camera()
		var got []geom.SheetPoint
		for i, p := range places {
			q := pl.Camera.ToSheet(seen.Project(p, 0), 0)
			c := pl.CovXY(p, 0)
			stated[i] += (c[0][0] + c[1][1]) / repeats
			scatter[i] += (q.Sub(p).X*q.Sub(p).X + q.Sub(p).Y*q.Sub(p).Y) / repeats
			got = append(got, q)
		}
		e := got[2].Sub(got[1]).Norm() - places[2].Sub(places[1]).Norm()
		u := pl.LengthU(places[1], places[2], 0).CameraMM
		lengthStated, lengthScatter = lengthStated+u*u/repeats, lengthScatter+e*e/repeats
	}
	// A variance from 400 repeats is good to 7 %.
	for i := range places {
		t.Logf("place %d: stated %.4f mm, scatter %.4f", i, math.Sqrt(stated[i]), math.Sqrt(scatter[i]))
		if r := stated[i] / scatter[i]; r < 0.8 || r > 1.25 {
			t.Errorf("place %d: the stated variance is %.2f of the scatter's", i, r)
		}
	}
	t.Logf("length: stated %.4f mm, scatter %.4f", math.Sqrt(lengthStated), math.Sqrt(lengthScatter))
	if r := lengthStated / lengthScatter; r < 0.8 || r > 1.25 {
		t.Errorf("a length's stated variance is %.2f of the scatter's", r)
	}
}
