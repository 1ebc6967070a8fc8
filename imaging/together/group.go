package together

import (
	"cmp"
	"math"
	"slices"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
)

// place is one fastener as the photos show it.
type place struct {
	centre geom.SheetPoint // rough, on the first photo's sheet
	sights []*sight
	head   head
}

// sight is one photo's outline at a place.
type sight struct {
	photo, at int // at: index in the photo's Locations
	f         *fastener.Fastener
	centre    geom.SheetPoint // on the first photo's sheet
	used      bool
	why       string // why not
}

// group puts together what the photos found: what lies nearer than half a radius is one, the
// likeliest sights first, one of each photo.
func (j *joining) group() {
	var all []*sight
	for _, i := range j.used {
		p := &j.res.Photos[i]
		for k := range p.fs {
			all = append(all, &sight{photo: i, at: k, f: &p.fs[k], centre: p.motion.inverse().to(p.fs[k].Centre)})
		}
	}
	// Sorts of pointers share their code in the phone's program; those of structs add 20 kB each.
	slices.SortStableFunc(all, func(a, b *sight) int { return cmp.Compare(b.f.Probability*b.f.Clear, a.f.Probability*a.f.Clear) })
	for _, s := range all {
		if j.opt.Only && s.photo != j.used[0] && !j.firstHas(s) {
			continue // the first photo was looked at where it was tapped alone
		}
		best, near := -1, 0.5*s.f.RMM
		for k := range j.places {
			p := j.places[k]
			if slices.ContainsFunc(p.sights, func(o *sight) bool { return o.photo == s.photo }) {
				continue
			}
			if d := p.centre.Sub(s.centre).Norm(); d < near {
				best, near = k, d
			}
		}
		if best < 0 {
			if j.overlaps(s) {
				continue
			}
			j.places = append(j.places, &place{centre: s.centre})
			best = len(j.places) - 1
		}
		j.places[best].sights = append(j.places[best].sights, s)
	}
	for i := range j.places {
		slices.SortStableFunc(j.places[i].sights, func(a, b *sight) int { return cmp.Compare(a.photo, b.photo) })
	}
	slices.SortStableFunc(j.places, func(a, b *place) int {
		return cmp.Or(cmp.Compare(a.centre.X, b.centre.X), cmp.Compare(a.centre.Y, b.centre.Y))
	})
}

// firstHas tells whether the first photo found something at a sight.
func (j *joining) firstHas(s *sight) bool {
	p := &j.res.Photos[j.used[0]]
	return slices.ContainsFunc(p.fs, func(f fastener.Fastener) bool {
		return p.motion.inverse().to(f.Centre).Sub(s.centre).Norm() < 0.5*s.f.RMM
	})
}

// overlaps tells whether a likelier place already covers the sight: another photo's wrong outline of
// the same fastener, or of its shadow.
func (j *joining) overlaps(s *sight) bool {
	return slices.ContainsFunc(j.places, func(p *place) bool {
		return math.Abs(p.centre.Sub(s.centre).Norm()) < max(p.sights[0].f.RMM, s.f.RMM)
	})
}

// moved gives an outline of the first photo's sheet on this photo's.
func (p *Photo) outline(o outline.Outline) outline.Outline {
	o.Centre = p.motion.to(o.Centre)
	s, c := 2*p.motion.sin*p.motion.cos, p.motion.cos*p.motion.cos-p.motion.sin*p.motion.sin
	o.A2, o.B2 = c*o.A2-s*o.B2, s*o.A2+c*o.B2
	return o
}
