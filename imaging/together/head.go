package together

import (
	"fmt"
	"math"
	"slices"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// What a joint fit is held to.
const (
	// floorD is what any observation may err by at least, in D: as in a closer look at one photo.
	floorD = 0.002
	// flatOwnD is what the flat's place may be off by in one photo, each way, in D: part of its rim is
	// seldom told from the bright flank below. Set on drawn scenes (TestStudy).
	flatOwnD = 0.008
	// rarely is the normal quantile beyond which photos are taken to disagree grossly: one set in a
	// thousand that is as good as its budgets say, even if photos shared nothing of them. What is a
	// photo's own is about a third of its variance (budget.go).
	rarely, ownOfAll = 3.09, 1.0 / 3
	// leastAgree is the fraction of what it saw of an outline that a photo has to agree in with the joint one.
	leastAgree = 0.55
)

// head is what the photos say together of the fastener at a place.
type head struct {
	outline.Joined               // on the first photo's sheet
	weights        []float64     // of the place's used sights, in their order
	commonCentre   [2][2]float64 // covariance of the centre that all photos share, mm²
	ask            *qc.Refusal
}

// used gives the place's used sights.
func (p *place) used() (out []*sight) {
	for _, s := range p.sights {
		if s.used {
			out = append(out, s)
		}
	}
	return out
}

// unclear are the reasons to ask about an outline that other photos may settle by agreeing. That a hole
// may be oblong is none: all may take its lit end for a wall.
var unclear = []string{"unclear-outline", "two-outlines"}

// head decides on which photos the fastener at p stands and fits it to them.
func (j *joining) head(p *place) {
	var best *sight
	for _, s := range p.sights {
		if best == nil || s.f.Probability > best.f.Probability {
			best = s
		}
		ask := j.ask(s)
		s.used = s.f.Probability >= likely || s.f.Tapped || s.f.Placed
		switch {
		case !s.used:
			s.why = "here it may or may not be one"
		case ask != nil && !slices.Contains(unclear, ask.Code):
			s.used, s.why = false, ask.Text
		case len(s.f.Observations) == 0:
			s.used, s.why = s.f.Placed, "no outline was seen here"
		}
	}
	p.placedAlone()
	if len(p.used()) == 0 {
		p.head.ask = j.ask(best)
		if p.head.ask == nil {
			p.head.ask = &qc.Refusal{Code: "unsure", Text: "no photo shows it well enough", Do: "take another photo of it"}
		}
		return
	}
	if !j.settle(p) {
		return
	}
	if us := p.used(); len(us) == 1 {
		j.single(p, us[0])
	}
	j.weigh(p)
}

// placedAlone leaves out all other sights where a person placed the outline in one photo: the person
// has the last word.
func (p *place) placedAlone() {
	k := slices.IndexFunc(p.sights, func(s *sight) bool { return s.used && s.f.Placed })
	if k < 0 {
		return
	}
	for i, s := range p.sights {
		if i != k && s.used {
			s.used, s.why = false, "its outline was placed by hand in another photo"
		}
	}
}

// ask tells why a photo alone would ask about a sight.
func (j *joining) ask(s *sight) *qc.Refusal { return j.res.Photos[s.photo].Locations[s.at].Ask }

// settle fits the head to the used sights and leaves out those that disagree; false where it has to be
// asked about.
func (j *joining) settle(p *place) bool {
	for {
		us := p.used()
		sound := 0
		for _, s := range us {
			if j.ask(s) == nil {
				sound++
			}
		}
		if len(us) == 1 {
			if sound == 0 {
				p.head.ask = j.ask(us[0])
			}
			return sound == 1
		}
		fitted, ok := j.fit(us)
		if ok {
			p.head.Joined = fitted
		}
		if disagreement(fitted, ok) <= 1 {
			return true
		}
		odd := j.odd(us, sound)
		if odd == nil {
			p.head.ask = &qc.Refusal{Code: "views-disagree", Text: "the photos show different outlines here", Do: "take one more photo of it, in other light; or tap its middle and drag the outline, or use calipers"}
			for _, s := range us {
				s.used, s.why = false, "the photos disagree"
			}
			return false
		}
		odd.used = false
		odd.why = fmt.Sprintf("its outline disagrees with the other photos' (%.2f mm across)", odd.f.MeanD())
		if a := j.ask(odd); a != nil {
			odd.why += ": " + a.Text
		}
	}
}

// odd chooses whom to leave out of sights that disagree: the one without which the rest agree best,
// and of two the one whose outline would be asked about by itself. nil where it cannot be told.
func (j *joining) odd(us []*sight, sound int) *sight {
	if len(us) == 2 {
		if sound != 1 {
			return nil
		}
		if j.ask(us[0]) != nil {
			return us[0]
		}
		return us[1]
	}
	var odd *sight
	least := math.Inf(1)
	for i := range us {
		rest := slices.Delete(slices.Clone(us), i, i+1)
		w := disagreement(j.fit(rest))
		if j.ask(us[i]) == nil {
			w *= 1.5 // a sound outline is not left out for a doubtful one that is about as odd
		}
		if w < least {
			odd, least = us[i], w
		}
	}
	return odd
}

// disagreement gives how far views are from their joint fit, over what is allowed: the sum of their
// squares, which is that of three values for each view but the first, or how few directions of one
// agree.
func disagreement(f outline.Joined, ok bool) float64 {
	if !ok {
		return math.Inf(1)
	}
	sum, few := 0.0, 0.0
	for _, v := range f.Fits {
		sum += v.Chi2
		few = max(few, leastAgree*float64(v.Seen)/max(float64(v.Used), 1))
	}
	return max(few, ownOfAll*sum/mostChi2(3*(len(f.Fits)-1)))
}

// mostChi2 is the quantile of the chi-square distribution that is passed as rarely.
//
// Source: E. B. Wilson, M. M. Hilferty, PNAS 17 (1931) 684-688.
func mostChi2(freedom int) float64 {
	if freedom < 1 {
		return math.Inf(1) // one view alone agrees with itself
	}
	k := float64(freedom)
	c := 1 - 2/(9*k) + rarely*math.Sqrt(2/(9*k))
	return k * c * c * c
}

// fit fits one head to the sights.
func (j *joining) fit(us []*sight) (outline.Joined, bool) {
	var views []outline.View
	var xs, ys, rs []float64
	for _, s := range us {
		views = append(views, j.view(s))
		xs, ys, rs = append(xs, s.centre.X), append(ys, s.centre.Y), append(rs, s.f.RMM)
	}
	start := outline.Outline{Centre: geom.SheetPoint{X: fit.Median(xs), Y: fit.Median(ys)}, RMM: fit.Median(rs)}
	return outline.FitViews(views, start, outline.PriorOf(j.opt.Kind, j.opt.NominalMM), floorD*j.opt.NominalMM)
}

// view gives a sight as the joint fit takes it, on the first photo's sheet.
func (j *joining) view(s *sight) outline.View {
	p := &j.res.Photos[s.photo]
	back := p.motion.inverse()
	v := outline.View{Cam: &p.Camera, USizeMM: math.Sqrt(ownVariance(p.Diameters(s.f)[0].Contributions)) / 2, UFlatMM: flatOwnD * j.opt.NominalMM}
	for _, o := range s.f.Observations {
		o.At = back.to(o.At)
		v.Observations = append(v.Observations, o)
	}
	along, across := ownCentre(p.CentreTerms(s.f))
	light := ellipse(toward(p.Scale.Camera.ViewSlope(s.f.Centre)), along, across)
	c := p.CameraCov(s.f.Centre)
	for i := range c {
		for k := range c {
			c[i][k] += light[i][k]
		}
	}
	c = back.cov(c)
	reg := p.regShift(s.centre)
	for i := range c {
		for k := range c {
			c[i][k] += reg[i][k]
		}
	}
	v.ShiftCov = c
	return v
}

// single takes a place's only used sight as its photo has it.
func (j *joining) single(p *place, s *sight) {
	photo := &j.res.Photos[s.photo]
	back := Photo{motion: photo.motion.inverse()}
	h := &p.head
	h.Joined = outline.Joined{Outline: back.outline(s.f.Outline), Cov: s.f.Cov, HeightMM: s.f.HeightMM}
	own := j.view(s)
	for i := range 2 {
		for k := range 2 {
			h.Cov[i][k] += own.ShiftCov[i][k]
		}
	}
}

// on gives the head as the fastener that one photo shows.
func (p *place) on(photo *Photo, s *sight) *fastener.Fastener {
	f := *s.f
	f.Outline = p.head.Outline
	f.Centre = photo.motion.to(p.head.Centre)
	f.Cov, f.HeightMM = p.head.Cov, p.head.HeightMM
	return &f
}
