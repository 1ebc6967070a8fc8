package plane

import (
	"fmt"
	"math"

	"bucktail/imaging/card"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

const (
	// Four fix the camera; with two more it shows if one of them is wrong.
	minTargets = 6
	// Up to 33° the map errs by no more than it states (TestDrawnCards); farther, heads hide their
	// own far side.
	maxTiltDeg = 35.0
	// Standard deviation of an edge point, px: before the first fit, and at least. A sound card
	// leaves 0.11 to 0.14 px; 0.05 mm matters where pixels are fine.
	firstSigmaPx = 0.5
	minSigmaPx   = 0.05
)

// solver holds one fit and its memory.
type solver struct {
	pic     *raster.Picture
	layout  *card.Layout
	options Options
	use     []bool // per target
	tried   []int  // per target: edge points looked for in the last round

	borders                  []borderLook
	obs                      []obs
	darks, brights, spreads  []float64
	contrast, scratch, resid []float64
}

// Solve fits the plane to the card found in the picture.
//
// The error is a *qc.Refusal: few-targets, too-small, too-tilted, blurred or bent-card.
func Solve(pic *raster.Picture, m *card.Match, opt Options) (*Plane, error) {
	if opt.PrintScaleX == 0 {
		opt.PrintScaleX = 1
	}
	if opt.PrintScaleY == 0 {
		opt.PrintScaleY = 1
	}
	s := &solver{pic: pic, layout: m.Layout, options: opt, use: make([]bool, len(m.Layout.Targets)), tried: make([]int, len(m.Layout.Targets))}
	var middle geom.SheetPoint
	n := 0.0
	for _, t := range m.Targets {
		s.use[t.Index] = t.Sight == card.Seen
		if s.use[t.Index] {
			middle = middle.Add(toSheet(&opt, m.Layout.Targets[t.Index].At))
			n++
		}
	}
	if n < minTargets {
		return nil, fewTargets(int(n), len(m.Targets))
	}
	w, h := pic.Bounds()
	fr := frame{
		pivot: [3]float64{middle.X / n, middle.Y / n, opt.ThicknessMM},
		wPx:   float64(max(w, h)), midU: float64(w-1) / 2, midV: float64(h-1) / 2,
	}
	f, err := s.settle(m, fr, newPrior(opt, fr.wPx, math.Hypot(float64(w), float64(h))))
	if err != nil {
		return nil, err
	}
	return s.finish(f, m)
}

// settle starts and fits the camera, leaving out occluded targets that contradict the rest.
func (s *solver) settle(m *card.Match, fr frame, pr prior) (*fitted, error) {
	frames, xs := start(m, s.options, fr, pr)
	if len(frames) == 0 {
		return nil, bentCard()
	}
	// One or two starts: the first rounds decide between them.
	best := &fitted{}
	for i := range frames {
		f := &fitted{frame: frames[i], x: xs[i], prior: pr}
		if s.round(f, firstHalf) && s.round(f, laterHalf) && (best.sys == nil || f.score < best.score) {
			best = f
		}
	}
	if best.sys == nil {
		return nil, s.faint(m)
	}
	f := best
	most := max(1, s.count()/4)
	for round := 0; ; round++ {
		if !s.round(f, laterHalf) {
			return nil, s.faint(m)
		}
		if bad := s.worst(f); bad >= 0 {
			occluded := s.occluded(f, bad)
			s.use[bad] = false
			f.dropped++
			if !occluded || s.count() < minTargets || f.dropped > most {
				if f.levels.spreadPx > softBlurMM*s.scale(f) {
					return nil, blurred()
				}
				return nil, bentCard()
			}
			round = 0
			continue
		}
		if round >= 1 {
			return f, nil
		}
	}
}

// scale gives px per mm at the card's middle.
func (s *solver) scale(f *fitted) float64 {
	v := f.frame.view(f.x[:])
	c := v.camera()
	return c.PxPerMM(geom.SheetPoint{X: f.frame.pivot[0], Y: f.frame.pivot[1]}, f.frame.pivot[2])
}

func firstHalf(pxPerMM float64) float64 { return firstHalfMM * pxPerMM }

func laterHalf(pxPerMM float64) float64 { return math.Min(laterHalfPx, firstHalfMM*pxPerMM) }

// fitted is one state of the fit.
type fitted struct {
	frame  frame
	x      [nParams]float64
	prior  prior
	sys    *fit.Normal
	sigma  float64
	score  float64 // robust spread of the residuals, px; lower is better
	levels levels
	pb     problem

	dropped int // targets left out
}

// round samples the edges from the present view and fits again; false where too little is
// left to fit.
func (s *solver) round(f *fitted, half func(float64) float64) bool {
	ob, lv := s.sample(&f.frame, f.x[:], half)
	if len(ob) < minTargets*minPoints {
		return false
	}
	sigma := f.sigma
	if sigma == 0 {
		sigma = firstSigmaPx
	}
	f.pb = problem{frame: f.frame, prior: f.prior, obs: ob, sigma: sigma, loss: fit.Huber(2),
		r: f.pb.r, w: f.pb.w, j: f.pb.j}
	f.sys = fit.NewNormal(nParams)
	res := fit.LevenbergMarquardt(f.x[:], f.sys, 30, 1e-4, f.pb.rows)
	if math.IsInf(res.Cost, 0) || math.IsNaN(res.Cost) {
		return false
	}
	v := f.frame.view(f.x[:])
	s.residuals(f, &v)
	f.score = fit.SpreadMAD(s.resid)
	f.sigma = math.Max(minSigmaPx, f.score)
	f.levels = lv
	f.frame.base = v.r
	f.x[0], f.x[1], f.x[2] = 0, 0, 0
	f.pb.frame = f.frame
	return true
}

// residuals fills s.resid with the signed distances, px.
func (s *solver) residuals(f *fitted, v *view) {
	s.resid = s.resid[:0]
	var p projection
	for i := range f.pb.obs {
		r, _ := f.pb.residual(v, &f.pb.obs[i], &p, nil, false)
		s.resid = append(s.resid, r)
	}
}

func (s *solver) count() int {
	n := 0
	for _, u := range s.use {
		if u {
			n++
		}
	}
	return n
}

func fewTargets(n, of int) *qc.Refusal {
	return &qc.Refusal{
		Code: "few-targets",
		Text: fmt.Sprintf("%d of the card's %d rings can be used; %d are needed", n, of, minTargets),
		Do:   "uncover the rings and keep the whole card in the picture",
	}
}

func bentCard() *qc.Refusal {
	return &qc.Refusal{
		Code: "bent-card",
		Text: "the card's rings do not lie in one plane",
		Do:   "the card may be curled or lifted: press it flat, or print it on stiffer paper; cropped photos give the same error",
	}
}

func blurred() *qc.Refusal {
	return &qc.Refusal{
		Code: "blurred",
		Text: "the card's rings are too blurred to measure",
		Do:   "hold still, tap the card on the screen to focus, and add light",
	}
}

// faint tells why too few edge points were found: the card is dark, or it is blurred.
func (s *solver) faint(m *card.Match) *qc.Refusal {
	var white []float64
	for _, t := range m.Targets {
		if t.Sight == card.Seen {
			// White between ring and dot, or the ring's white middle.
			r := 0.47 * (t.MajorPx + t.MinorPx) / 2
			white = append(white, s.pic.Y.SampleLinear(t.CentrePx.U+r, t.CentrePx.V))
		}
	}
	if fit.Median(white) < darkPaper {
		return &qc.Refusal{
			Code: "too-dark",
			Text: "the card is too dark to measure",
			Do:   "add light, or tap the card on the screen to set the exposure",
		}
	}
	return blurred()
}
