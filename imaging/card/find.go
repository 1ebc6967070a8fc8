package card

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"bucktail/imaging/fit"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// Finder finds cards in pictures and keeps its memory from one to the next. The zero value
// is ready. One Finder serves one goroutine.
type Finder struct {
	seg    segmenter
	levels []raster.Grey   // pooled reductions by 2, 4, 8 ...
	pic    *raster.Picture // whose levels serve instead, if any
	rings  []ring
}

// Find finds the one card in the picture. The error is a *qc.Refusal that says what was
// missing and what to do: no-card, few-targets, too-small or ambiguous.
func Find(pic *raster.Picture) (*Match, error) {
	f := Finder{pic: pic}
	return f.FindIn(pic.Y)
}

const (
	// A picture is searched first at about this many pixels; then finer, then coarser. An 8
	// Mpx photo is halved, and rings at 7 px/mm in a 5 Mpx photo keep lines of 3 px.
	photoWorkPx = 2.6e6
	// The same for a frame of a video, which must not take long.
	frameWorkPx = 1.0e6
	// The rough tilt goes by this focal length, as a fraction of the picture's diagonal: 26 mm to
	// 43.3 mm, a telephone's main camera (common practice).
	usualFocal = 0.6
	// Below this scale the rings' lines are under 4 px, and heads too coarse to measure.
	minPxPerMM = 4.5
)

// pass is one look at the picture: reduced by factor, thresholded against windows of
// 2 radius + 1 pixels. The large window bridges a ring's line of up to 25 px; the small one
// keeps bright or dark things beside the card out of the mean.
type pass struct{ factor, radius int }

// baseFactor gives the power of two that brings g to about workPx.
func baseFactor(g *raster.Grey, workPx float64) int {
	base := 1
	for float64(g.W)*float64(g.H)/float64(base*base) > workPx {
		base *= 2
	}
	return base
}

// FindIn is [Find] on a grey plane.
func (f *Finder) FindIn(g *raster.Grey) (*Match, error) {
	base := baseFactor(g, photoWorkPx)
	passes := []pass{{base, 30}, {base, 9}}
	if base > 1 {
		passes = append(passes, pass{base / 2, 30}, pass{base / 2, 10})
	}
	passes = append(passes, pass{base * 2, 16}, pass{base * 2, 7}, pass{base * 4, 9})
	v, err := f.look(g, passes)
	if err != nil {
		return nil, err
	}
	if v == nil || !v.ok() {
		return nil, refusal(v)
	}
	v.finish(g)
	if v.m.PxPerMM < minPxPerMM {
		return nil, tooSmall(v.m.PxPerMM)
	}
	return v.m, nil
}

// Observation is what one frame of a video shows of a card, for guiding the hand.
type Observation struct {
	// Match is the card, or the best guess at it while too few rings show; nil where nothing
	// like a card is seen.
	Match *Match
	// Refusal says why the frame would not do, nil where it would. Its code is one of
	// those of [Find].
	Refusal *qc.Refusal
}

// Guide is a quick [Finder.FindIn] for a frame of a video: fewer passes at a smaller size.
func (f *Finder) Guide(g *raster.Grey) Observation {
	base := baseFactor(g, frameWorkPx)
	v, err := f.look(g, []pass{{base, 24}, {base, 8}})
	var r *qc.Refusal
	if errors.As(err, &r) {
		return Observation{Refusal: r}
	}
	if v == nil {
		return Observation{Refusal: refusal(nil)}
	}
	s := Observation{}
	if !v.ok() {
		s.Refusal = refusal(v)
	}
	if v.seen >= 3 && v.residualOK && v.other == 0 {
		v.finish(g)
		s.Match = v.m
		if s.Refusal == nil && v.m.PxPerMM < minPxPerMM {
			s.Refusal = tooSmall(v.m.PxPerMM)
		}
	}
	return s
}

func (v *verdict) finish(g *raster.Grey) {
	v.m.finish(g.W, g.H, usualFocal*math.Hypot(float64(g.W), float64(g.H)))
}

func tooSmall(pxPerMM float64) *qc.Refusal {
	return &qc.Refusal{
		Code: "too-small",
		Text: fmt.Sprintf("the card is shown at only %.1f pixels per millimetre", pxPerMM),
		Do:   "move closer until the card fills the picture",
	}
}

// look goes through the passes, gathering rings, until a placement convinces.
func (f *Finder) look(g *raster.Grey, passes []pass) (*verdict, error) {
	f.rings = f.rings[:0]
	var best *verdict
	for _, p := range passes {
		lv := f.level(g, p.factor)
		if lv.g.W < 48 || lv.g.H < 48 {
			break
		}
		if !f.seg.segment(&lv.g, p.radius, darkPer256, darkOffset) {
			continue
		}
		f.seg.fill()
		n := len(f.rings)
		f.rings = f.seg.rings(f.rings, &lv)
		if len(f.rings) == n {
			continue // nothing new
		}
		f.rings = cleanest(f.rings)
		v, err := f.best(g)
		if err != nil {
			return nil, err
		}
		if v != nil && v.ok() {
			return v, nil
		}
		if v != nil && (best == nil || v.evidence > best.evidence) {
			best = v
		}
	}
	return best, nil
}

// A pixel is dark below 225/256 of its neighbourhood's mean less 3 levels: print has a
// quarter of the paper's level, grain and noise of a sound photo a few levels.
const darkPer256, darkOffset = 225, 3

// level gives the picture reduced by factor, a power of two.
func (f *Finder) level(g *raster.Grey, factor int) level {
	if factor == 1 {
		return level{*g, 1}
	}
	if f.pic != nil {
		return level{*f.pic.Level(bits.TrailingZeros(uint(factor))), factor}
	}
	k := 0
	src := g
	for s := 2; ; s *= 2 {
		if len(f.levels) <= k {
			f.levels = append(f.levels, raster.Grey{})
		}
		src.HalfInto(&f.levels[k])
		if s == factor {
			return level{f.levels[k], factor}
		}
		src = &f.levels[k]
		k++
	}
}

// best looks for a card among the rings. It returns the best placement, nil for none.
func (f *Finder) best(g *raster.Grey) (*verdict, error) {
	var best, second *verdict
	for _, h := range hypotheses(f.rings, 12) {
		v, ok := h.verify(f.rings, g)
		if !ok {
			continue
		}
		switch {
		case best == nil || v.evidence > best.evidence:
			if best != nil && !samePlace(best.m, v.m) {
				second = best
			}
			best = &v
		case !samePlace(best.m, v.m) && (second == nil || v.evidence > second.evidence):
			second = &v
		}
	}
	if best != nil && second != nil && best.ok() && rivals(best, second) {
		return nil, &qc.Refusal{
			Code: "ambiguous",
			Text: fmt.Sprintf("what is visible could be the %q card or the %q card", best.m.Layout.Name, second.m.Layout.Name),
			Do:   "keep only one card in the picture and show all of it",
		}
	}
	return best, nil
}

// rivals tells whether the second placement keeps the best from being believed: another
// card of its own rings, or another reading of the same rings that explains nearly as many.
func rivals(best, second *verdict) bool {
	if !second.residualOK || second.seen < minSeen {
		return false
	}
	if second.evidence > best.evidence-minMargin {
		return true
	}
	if !second.ok() {
		return false
	}
	shared := 0
	for _, r := range second.ring {
		if r >= 0 && slices.Contains(best.ring, r) {
			shared++
		}
	}
	return shared <= second.seen/3
}

// samePlace tells whether two matches put the same layout at the same place.
func samePlace(a, b *Match) bool {
	if a.Layout != b.Layout {
		return false
	}
	for i := range a.Targets {
		d := a.Targets[i].CentrePx.Sub(b.Targets[i].CentrePx).Norm()
		ux, uy, vx, vy := a.H.Jacobian(fit.Point(a.Layout.Targets[i].At))
		if d > adoptMM*math.Sqrt(math.Abs(ux*vy-uy*vx)) {
			return false
		}
	}
	return true
}

// refusal words the failure of the best placement, nil for none at all.
func refusal(v *verdict) *qc.Refusal {
	switch {
	case v == nil || v.seen < 3:
		return &qc.Refusal{
			Code: "no-card",
			Text: "no scale card was found",
			Do:   "lay the printed card flat beside the work, with all of it in the picture, in focus and without glare",
		}
	case v.other > 0 || v.blank > 3 || !v.residualOK:
		return &qc.Refusal{
			Code: "no-card",
			Text: "there are rings, but they do not match any of the scale cards",
			Do:   "print the card from this program at true size, lay it flat and keep it uncovered",
		}
	case v.seen >= minSeen:
		return &qc.Refusal{
			Code: "few-targets",
			Text: fmt.Sprintf("%d of the card's %d rings are visible, but only on one side of it", v.seen, len(v.m.Targets)),
			Do:   "uncover the rings at the other end of the card as well",
		}
	}
	return &qc.Refusal{
		Code: "few-targets",
		Text: fmt.Sprintf("%d of the card's %d rings are visible; %d are needed", v.seen, len(v.m.Targets), minSeen),
		Do:   "move back until the whole card is in the picture, and make sure that nothing covers it",
	}
}
