package plane

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

const (
	// A target whose rings lie further than this from where the others put them contradicts
	// them: in mm, or in px where pixels are coarse. Sound cards show less than a third of it
	// (TestMapAgainstTheExactCamera, TestDrawnCards).
	maxLeaveOutMM = 0.06
	maxLeaveOutPx = 0.45
	// A contradicting target may be left out if it shows why: fewer than this fraction of its
	// edge points found, or this many times the usual scatter. A whole, clean ring in the
	// wrong place means that the card is not flat.
	occludedFraction = 0.93
	occludedScatter  = 2.0
	// What is left over all targets: above, the card is not flat (TestCurledCard refuses one
	// that is curled by 1 mm).
	maxFlatRMSMM = 0.05
	// Coarser, a ring's line is under 5 pixels and its two borders are no longer apart.
	minPxPerMM = 5.0
	// Edge spread against the ring's line of 0.9 mm: beyond, the two borders of the line
	// run together and the half level no longer lies on the border.
	maxBlurMM = 0.21
	// Beyond this a contradiction among the rings is put down to blur, not to the card.
	softBlurMM = 0.12
	// Paper below this in linear light (sRGB 25 of 255) leaves too few grey levels.
	darkPaper = 0.0097
)

// leaveOut gives for each target how far its image lies from where the others put it, in
// mm, NaN where it is not used.
//
// With the whole fit at its minimum and one target's part g_t, A_t taken out of the normal
// equations, the unknowns move by (A - A_t)⁻¹ g_t; the target's residuals there, fitted by
// one shift of the whole target, are what the others would not have foretold.
func (s *solver) leaveOut(f *fitted) []float64 {
	out := make([]float64, len(s.layout.Targets))
	v := f.frame.view(f.x[:])
	sys := fit.NewNormal(nParams)
	f.pb.rows(f.x[:], sys)
	sys.Mirror()
	var p projection
	j := make([]float64, nParams)
	l := make([]float64, nParams*nParams)
	part := fit.NewNormal(nParams)
	end := 0
	for t := range out {
		// The observations come target by target; rows has left what each contributes.
		from := end
		for end < len(f.pb.obs) && f.pb.obs[end].target == t {
			end++
		}
		out[t] = math.NaN()
		if !s.use[t] {
			continue
		}
		part.Reset()
		part.AddAll(f.pb.r[from:end], f.pb.w[from:end], f.pb.loss, f.pb.j[from*nParams:end*nParams])
		part.Mirror()
		for k := range l {
			l[k] = sys.A[k] - part.A[k]
		}
		move := append([]float64(nil), part.G...)
		if !fit.Cholesky(l, nParams) {
			continue
		}
		fit.CholeskySolve(l, nParams, move)
		// Shift (a, b) of the target's image: least squares over its points.
		var nn, nm, mm, nr, mr float64
		for i := from; i < end; i++ {
			o := &f.pb.obs[i]
			r, _ := f.pb.residual(&v, o, &p, j, true)
			for k := range j {
				r += j[k] * move[k]
			}
			nn, nm, mm = nn+o.nu*o.nu, nm+o.nu*o.nv, mm+o.nv*o.nv
			nr, mr = nr+o.nu*r, mr+o.nv*r
		}
		if det := nn*mm - nm*nm; det > 0 {
			a, b := (nr*mm-mr*nm)/det, (mr*nn-nr*nm)/det
			at := toSheet(&s.options, s.layout.Targets[t].At)
			c := v.camera()
			out[t] = math.Hypot(a, b) / c.PxPerMM(at, s.options.ThicknessMM)
		}
	}
	return out
}

// worst gives the target that contradicts the others most, -1 where none does so too much.
func (s *solver) worst(f *fitted) int {
	bad, most := -1, math.Max(maxLeaveOutMM, maxLeaveOutPx/s.scale(f))
	for t, d := range s.leaveOut(f) {
		if d > most {
			bad, most = t, d
		}
	}
	return bad
}

// occluded tells whether target t shows signs of cover or glare.
func (s *solver) occluded(f *fitted, t int) bool {
	sum, n := make([]float64, len(s.use)), make([]int, len(s.use))
	v := f.frame.view(f.x[:])
	s.residuals(f, &v)
	for i, r := range s.resid {
		k := f.pb.obs[i].target
		sum[k] += r * r
		n[k]++
	}
	var rms []float64
	for k := range sum {
		if k != t && n[k] > 0 {
			rms = append(rms, math.Sqrt(sum[k]/float64(n[k])))
		}
	}
	if n[t] == 0 || float64(n[t]) < occludedFraction*float64(s.tried[t]) {
		return true
	}
	return math.Sqrt(sum[t]/float64(n[t])) > occludedScatter*fit.Median(rms)
}

// finish makes the plane of the last round, or refuses it.
func (s *solver) finish(f *fitted, m *card.Match) (*Plane, error) {
	v := f.frame.view(f.x[:])
	pl := &Plane{
		Camera: v.camera(), Layout: s.layout, Options: s.options,
		InkGainMM: v.gain, RingBlurPx: f.levels.spreadPx,
		InkDark: f.levels.dark, PaperBright: f.levels.bright,
		frame: f.frame, x: f.x,
	}
	f.pb.sigma = f.sigma
	s.residuals(f, &v)
	sums := make([]float64, len(s.layout.Targets))
	counts := make([]int, len(sums))
	total, n := 0.0, 0
	// The root mean square is of the points that the loss takes whole, within 3 sigma.
	for i, r := range s.resid {
		t := f.pb.obs[i].target
		sums[t] += r * r
		counts[t]++
		if math.Abs(r) < 3*f.sigma {
			total += r * r
			n++
		}
	}
	pl.ResidualPx = math.Sqrt(total / float64(max(n, 1)))
	loo := s.leaveOut(f)
	for i, t := range s.layout.Targets {
		at := toSheet(&s.options, t.At)
		tf := TargetFit{Index: i, Used: s.use[i] && counts[i] > 0, Points: counts[i], LeaveOutMM: loo[i]}
		tf.CentrePx = pl.Camera.Project(at, s.options.ThicknessMM)
		if counts[i] > 0 {
			tf.RMSPx = math.Sqrt(sums[i] / float64(counts[i]))
		}
		pl.Targets = append(pl.Targets, tf)
	}
	if n := pl.UsedCount(); n < minTargets {
		return nil, fewTargets(n, len(m.Targets))
	}
	scale := pl.PxPerMM()
	switch {
	case pl.TiltDeg() > maxTiltDeg:
		return nil, &qc.Refusal{
			Code: "too-tilted",
			Text: fmt.Sprintf("the camera was tilted by %.0f° from the card; the limit is %.0f°", pl.TiltDeg(), maxTiltDeg),
			Do:   "hold the phone parallel to the card; under 10° is best",
		}
	case scale < minPxPerMM:
		return nil, &qc.Refusal{
			Code: "too-small",
			Text: fmt.Sprintf("the card is shown at only %.1f pixels per millimetre; %.0f are needed", scale, minPxPerMM),
			Do:   "move closer until the card fills the picture",
		}
	case pl.RingBlurPx > maxBlurMM*scale:
		return nil, blurred()
	case pl.PaperBright < darkPaper:
		return nil, s.faint(m)
	case pl.ResidualPx > maxFlatRMSMM*scale && pl.ResidualPx > 0.3:
		return nil, bentCard()
	}
	if !s.uncertainty(f, pl, &v) {
		return nil, bentCard()
	}
	return pl, nil
}

// uncertainty fills the covariance of the unknowns and what the inputs do to them.
func (s *solver) uncertainty(f *fitted, pl *Plane, v *view) bool {
	sys := fit.NewNormal(nParams)
	if !f.pb.rows(f.x[:], sys) {
		return false
	}
	sys.Mirror()
	cov, err := fit.Covariance(sys)
	if err != nil {
		return false
	}
	copy(pl.cov[:], cov)
	// At the minimum JᵀWr = 0; an input s moves the unknowns by -A⁻¹ JᵀW dr/ds.
	var cross [nParams * nInputs]float64
	var p projection
	j := make([]float64, nParams)
	for i := range f.pb.obs {
		o := &f.pb.obs[i]
		r, ok := f.pb.residual(v, o, &p, j, true)
		if !ok {
			return false
		}
		w := o.weight * f.pb.loss.Weight(r/f.pb.sigma) / (f.pb.sigma * f.pb.sigma)
		x, y := o.x+o.gx*v.gain, o.y+o.gy*v.gain
		d := [nInputs]float64{
			(o.nu*p.du[0] + o.nv*p.dv[0]) * x / s.options.PrintScaleX,
			(o.nu*p.du[1] + o.nv*p.dv[1]) * y / s.options.PrintScaleY,
			o.nu*p.du[2] + o.nv*p.dv[2],
		}
		for k := range j {
			for q, dq := range d {
				cross[k*nInputs+q] += w * j[k] * dq
			}
		}
	}
	for k := 0; k < nParams; k++ {
		for q := 0; q < nInputs; q++ {
			sum := 0.0
			for l := 0; l < nParams; l++ {
				sum -= cov[k*nParams+l] * cross[l*nInputs+q]
			}
			pl.inputs[k*nInputs+q] = sum
		}
	}
	return true
}

// mapGrad gives the change of the sheet point seen at a fixed pixel, at height zMM, for a
// change of each unknown: rows X and Y.
func (pl *Plane) mapGrad(p geom.SheetPoint, zMM float64) (g [2][nParams]float64, ok bool) {
	v := pl.frame.view(pl.x[:])
	var q projection
	if !v.project(p.X, p.Y, zMM, &q, true) {
		return g, false
	}
	det := q.du[0]*q.dv[1] - q.du[1]*q.dv[0]
	if det == 0 {
		return g, false
	}
	for k := 0; k < nParams; k++ {
		g[0][k] = -(q.dv[1]*q.pu[k] - q.du[1]*q.pv[k]) / det
		g[1][k] = -(q.du[0]*q.pv[k] - q.dv[0]*q.pu[k]) / det
	}
	return g, true
}
