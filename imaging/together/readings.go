package together

import (
	"fmt"
	"math"

	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

// Labels of what a joint fit contributes.
const (
	ownOutline = "outline: what differs between photos"
	ownAt      = "centre: what differs between photos"
	// What all photos share of a centre's form, light, blur and clearness.
	commonAt = "centre: what photos share"
)

// locations makes the answer of the places.
func (j *joining) locations() {
	for _, p := range j.places {
		first := p.sights[0]
		photo := &j.res.Photos[first.photo]
		was := &photo.Locations[first.at]
		l := Location{Px: first.photo}
		l.Kind, l.Ask = j.opt.Kind, p.head.ask
		l.MiddlePx, l.SidesPx = was.MiddlePx, was.SidesPx
		if first.photo == j.used[0] {
			l.Alone = was.Readings
		}
		for _, s := range p.sights {
			l.Probability, l.Clear = max(l.Probability, s.f.Probability), max(l.Clear, s.f.Clear)
		}
		if l.Ask != nil {
			l.Centre, l.RadiusMM, l.CentrePx, l.OutlinePx = first.centre, first.f.RMM, was.CentrePx, was.OutlinePx
		} else {
			l.Centre, l.RadiusMM = p.head.Centre, p.head.RMM
			l.CentrePx = photo.Camera.Project(l.Centre, 0)
			l.OutlinePx = was.OutlinePx
			for _, s := range p.used() {
				own := &j.res.Photos[s.photo].Locations[s.at]
				if own.ByHand {
					l.ByHand, l.Hand = true, own.Hand
				}
			}
			j.diameters(p, &l)
		}
		l.Looks = j.looks(p, &l)
		j.res.Locations = append(j.res.Locations, l)
	}
	j.edges()
	j.pitches()
	if j.opt.Kind == qc.ShopHead {
		for i := range j.places {
			j.height(j.places[i], &j.res.Locations[i])
		}
	}
}

// looks tells of each photo what it shows of a place.
func (j *joining) looks(p *place, l *Location) (out []Look) {
	for _, i := range j.used {
		photo := &j.res.Photos[i]
		k := Look{Photo: i, CentrePx: photo.Camera.Project(l.Centre, 0), Why: "not seen in this photo"}
		for _, s := range p.sights {
			if s.photo == i {
				k.Used, k.Why, k.OutlinePx = s.used, s.why, photo.Locations[s.at].OutlinePx
			}
		}
		if l.Ask == nil && !k.Used {
			k.OutlinePx = j.silhouette(p, photo)
		}
		if math.IsNaN(k.CentrePx.U) {
			continue // behind that camera
		}
		out = append(out, k)
	}
	return out
}

// silhouette gives what a photo would show of a place's head, px.
func (j *joining) silhouette(p *place, photo *Photo) (out []geom.PxPoint) {
	profile := outline.ProfileOf(j.opt.Kind)
	for _, q := range p.head.Contour(&profile, p.head.HeightMM, &photo.Camera, 64) {
		out = append(out, photo.Camera.Project(q, 0))
	}
	return out
}

// diameters adds the diameters of a place that is not asked about.
func (j *joining) diameters(p *place, l *Location) {
	us := p.used()
	if len(us) == 1 {
		s := us[0]
		for _, r := range j.res.Photos[s.photo].Locations[s.at].Readings {
			if r.Quantity.Diameter() || r.Quantity == qc.OutOfRound || r.Quantity == qc.MandrelOff {
				r.Views = 1
				l.Readings = append(l.Readings, r)
			}
		}
		return
	}
	var all [][]qc.Reading
	for _, s := range us {
		photo := &j.res.Photos[s.photo]
		all = append(all, photo.Diameters(p.on(photo, s)))
	}
	for k, r := range all[0] {
		var budgets [][]qc.Contribution
		noise := 0.0
		for _, rs := range all {
			budgets = append(budgets, rs[k].Contributions)
			for _, c := range rs[k].Contributions {
				if c.Label == "outline: noise" {
					noise = c.UMM // of the joint fit, in every photo's budget the same
				}
			}
		}
		cs := []qc.Contribution{{Label: ownOutline, UMM: noise}}
		// The fit has been told all that a view's mean diameter has of its own (view).
		for _, c := range fuse(budgets, p.head.weights, func(label string) bool {
			return fitKnows[label] || r.Quantity != qc.OutOfRound && label != "ovality"
		}) {
			if c.Label != "outline: noise" && c.UMM > 0 { // what is each photo's own is in the first
				cs = append(cs, c)
			}
		}
		joined := measure.Join(r.Quantity, r.ValueMM, cs, r.How)
		joined.Views = len(us)
		l.Readings = append(l.Readings, measure.Reading{Reading: joined, ToIndex: -1})
	}
	j.mandrel(p, l)
}

// mandrel takes over how far a pulled rivet's mandrel is off from the photo that looks at it most
// squarely: a point on the dome's top, which the photos' joint fit does not hold.
func (j *joining) mandrel(p *place, l *Location) {
	var best *measure.Reading
	slope := math.Inf(1)
	for _, s := range p.used() {
		for i, r := range j.res.Photos[s.photo].Locations[s.at].Readings {
			if r.Quantity == qc.MandrelOff && s.f.Slope < slope {
				best, slope = &j.res.Photos[s.photo].Locations[s.at].Readings[i], s.f.Slope
			}
		}
	}
	if best != nil {
		r := *best
		r.Views = 1
		l.Readings = append(l.Readings, r)
	}
}

// centreParts gives what the uncertainty of a place's centre adds to a distance in direction n.
func (p *place) centreParts(n geom.SheetPoint) []qc.Contribution {
	c, s := &p.head.Cov, &p.head.commonCentre
	own := n.X*n.X*c[0][0] + 2*n.X*n.Y*c[0][1] + n.Y*n.Y*c[1][1]
	common := n.X*n.X*s[0][0] + 2*n.X*n.Y*s[0][1] + n.Y*n.Y*s[1][1]
	return []qc.Contribution{{Label: ownAt, UMM: math.Sqrt(max(own, 0))}, {Label: commonAt, UMM: math.Sqrt(max(common, 0))}}
}

// lengths gives what the scales of the photos in which a place is used contribute to the distance
// between two points of the first photo's sheet.
func (j *joining) lengths(p *place, a, b geom.SheetPoint) []qc.Contribution {
	var budgets [][]qc.Contribution
	for _, s := range p.used() {
		photo := &j.res.Photos[s.photo]
		budgets = append(budgets, photo.Lengths(photo.motion.to(a), photo.motion.to(b), 0))
	}
	return fuse(budgets, p.head.weights, func(string) bool { return false })
}

// pitches adds the distances between the fasteners, each way.
func (j *joining) pitches() {
	ls := make([]measure.Location, len(j.res.Locations))
	for i := range j.res.Locations {
		a := &j.res.Locations[i]
		for k := range j.res.Locations {
			b := &j.res.Locations[k]
			if i == k || a.Ask != nil || b.Ask != nil {
				continue
			}
			pa, pb := j.places[i], j.places[k]
			v := b.Centre.Sub(a.Centre)
			d := v.Norm()
			cs := j.lengths(pa, a.Centre, b.Centre)
			ca, cb := pa.centreParts(v.Scale(1/d)), pb.centreParts(v.Scale(1/d))
			for x := range ca {
				cs = append(cs, qc.Contribution{Label: ca[x].Label, UMM: math.Hypot(ca[x].UMM, cb[x].UMM)})
			}
			to := j.res.Photos[a.Px].Camera.Project(b.Centre, 0)
			how := qc.ByPhoto
			if a.ByHand || b.ByHand {
				how = qc.ByPhotoHand
			}
			r := measure.Join(qc.Pitch, d, cs, how)
			r.Views = min(len(pa.used()), len(pb.used()))
			a.Readings = append(a.Readings, measure.Reading{Reading: r, ToPx: &to, ToIndex: k})
		}
		ls[i] = a.Location
	}
	measure.NoteUnmeasured(ls, j.opt.NominalMM)
	for i := range ls {
		j.res.Locations[i].Location = ls[i]
	}
}

// What a driven head's height is not read without, and what it carries besides its fit.
const (
	// prior is the fraction of the scatter of all heads' heights that the photos have to leave.
	leftOfPrior = 0.5
	// fitWide is by how much the fit's own uncertainty is too wide by three photos: of 85 heads of
	// workshop scenes that nobody chose by, seen from three sides by the networks, 95 % of heights err by
	// less than 0.61 of it. A part of that is kept for what such scenes don't show.
	fitWide = 0.75
	// crownD is how far a flat's middle may stand over its rim, or its rounding be taken for its rim,
	// standard, in D (assumed).
	crownD = 0.01
)

// height adds how high a driven head stands, where the photos tell.
func (j *joining) height(p *place, l *Location) {
	us := p.used()
	if l.Ask != nil {
		return
	}
	if len(us) < 2 {
		l.NoHeight = "it takes two photos that agree on the head: take one more from another side"
		return
	}
	flats := 0
	for _, f := range p.head.Fits {
		if f.Flats >= 8 {
			flats++
		}
	}
	D := j.opt.NominalMM
	scatter := outline.ProfileOf(j.opt.Kind).UHeightD * D
	if flats < 2 || p.head.UHeight > leftOfPrior*scatter {
		l.NoHeight = j.tooAlike(p, flats, scatter)
		return
	}
	mm := p.head.HeightMM + p.head.RiseMM
	told := p.head.UTopMM
	if len(us) > 2 {
		told *= fitWide
	}
	cs := []qc.Contribution{{Label: "head height: what the photos' sides tell", UMM: told},
		{Label: "head height: crown of the flat", UMM: crownD * D},
		{Label: "card thickness", UMM: j.opt.ThicknessStandardU()}}
	for _, c := range j.lengths(p, l.Centre, l.Centre.Add(geom.SheetPoint{X: mm})) {
		if c.Label == "card print scale" {
			cs = append(cs, c)
		}
	}
	r := measure.Join(qc.HeadHeight, mm, cs, qc.ByPhoto)
	r.Views = len(us)
	l.Readings = append(l.Readings, measure.Reading{Reading: r, ToIndex: -1})
	l.Tilt = &Tilt{Deg: p.head.TiltRad * 180 / math.Pi, UDeg: 2 * p.head.UTiltRad * 180 / math.Pi}
}

// tooAlike says why no height was read and how to take the next photo.
func (j *joining) tooAlike(p *place, flats int, scatterMM float64) string {
	if flats < 2 {
		return "the head's flat shows in fewer than two photos: change the light, or take one more from another side"
	}
	const least, most = 10, 30 // degrees
	between := 0.0
	us := p.used()
	for _, a := range us {
		for _, b := range us {
			between = max(between, j.slope(a).Sub(j.slope(b)).Norm())
		}
	}
	// What the photos alone tell goes with one over the way between their lines of sight.
	alone := 1 / math.Sqrt(max(1/(p.head.UHeight*p.head.UHeight)-1/(scatterMM*scatterMM), 1e-6))
	deg := math.Atan(between*alone/(0.5*leftOfPrior*scatterMM)) * 180 / math.Pi
	return fmt.Sprintf("the photos were taken from too nearly the same place to tell it: tilt the phone by about %.0f° and take one more", min(max(5*math.Ceil(deg/5), least), most))
}

// slope gives a sight's line of sight over the first photo's sheet.
func (j *joining) slope(s *sight) geom.SheetPoint {
	return j.res.Photos[s.photo].Camera.ViewSlope(s.centre)
}
