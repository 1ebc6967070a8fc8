package card

import (
	"math"
	"slices"
	"testing"

	"bucktail/imaging/fit"
	"bucktail/imaging/raster"
)

// placed gives the placement that puts the layout's targets where a found card has them.
func placed(m *Match, l *Layout) (hypothesis, []ring) {
	h := hypothesis{layout: l}
	var rings []ring
	for i, t := range m.Targets {
		s, c := math.Sincos(t.AngleRad)
		a, b := t.MajorPx*t.MajorPx/4, t.MinorPx*t.MinorPx/4
		rings = append(rings, ring{x: t.CentrePx.U, y: t.CentrePx.V, xx: a*c*c + b*s*s, xy: (a - b) * s * c, yy: a*s*s + b*c*c,
			full: m.Layout.Targets[i].Full, quality: 1, factor: 2})
		h.ring = append(h.ring, i)
	}
	return h, rings
}

// A ring of the other kind speaks against a placement more strongly than two that can't be seen:
// what covers a ring is common, a card that is printed otherwise is another card.
func TestRingOfTheOtherKindSpeaksAgainst(t *testing.T) {
	pic, truth := loadPhoto(t, "dev-08")
	s := turned(pic, &truth, 0.2, 0.5)
	m, err := Find(&raster.Picture{Y: s.g})
	if err != nil {
		t.Fatal(err)
	}
	h, rings := placed(m, m.Layout)
	whole, ok := h.verify(rings, s.g)
	if !ok || !whole.ok() || whole.seen != len(m.Layout.Targets) {
		t.Fatalf("the card itself: %+v", whole)
	}
	other := *m.Layout
	other.Targets = slices.Clone(other.Targets)
	other.Targets[4].Full = !other.Targets[4].Full
	h, rings = placed(m, &other)
	wrong, ok := h.verify(rings, s.g)
	if !ok || wrong.ok() || wrong.other != 1 {
		t.Fatalf("one ring of the other kind: %+v", wrong)
	}
	for _, q := range s.at[4:6] { // under something dark
		s.eachNear(q.X, q.Y, 3*s.mm, func(x, y int, v float64) float64 {
			if math.Hypot(float64(x)-q.X, float64(y)-q.Y) < 3*s.mm {
				return 40
			}
			return v
		})
	}
	h, rings = placed(m, m.Layout)
	h.ring[4], h.ring[5] = -1, -1
	covered, ok := h.verify(rings, s.g)
	if !ok || covered.other != 0 || covered.seen != whole.seen-2 {
		t.Fatalf("two rings covered: %+v", covered)
	}
	if !(wrong.evidence < covered.evidence-1) {
		t.Errorf("evidence %.1f with a ring of the other kind, %.1f with two covered, %.1f of the whole card", wrong.evidence, covered.evidence, whole.evidence)
	}
}

// A placement that fits the mirror image of a card is none.
func TestMirroredPlacementIsNone(t *testing.T) {
	pic, truth := loadPhoto(t, "dev-08")
	s := turned(pic, &truth, 0.2, 0.5)
	m, err := Find(&raster.Picture{Y: s.g})
	if err != nil {
		t.Fatal(err)
	}
	mirror := raster.NewGrey(s.g.W, s.g.H)
	for y := range s.g.H {
		for x := range s.g.W {
			mirror.Pix[y*s.g.W+x] = s.g.Pix[y*s.g.W+s.g.W-1-x]
		}
	}
	h, rings := placed(m, m.Layout)
	for i := range rings {
		rings[i].x, rings[i].xy = float64(s.g.W-1)-rings[i].x, -rings[i].xy
	}
	if v, ok := h.verify(rings, mirror); ok {
		t.Errorf("a mirrored card: %+v", v)
	}
}

// The best placement is believed unless another comes within two rings of it, or is a card of
// its own.
func TestRivals(t *testing.T) {
	at := func(seen, other, first int) *verdict {
		l := ByName("strip")
		m := &Match{Layout: l, H: fit.H{1, 0, 0, 0, 1, 0, 0, 0, 1}}
		v := &verdict{m: m, seen: seen, other: other, spread: true, residualOK: true, evidence: float64(seen) - otherCosts*float64(other)}
		for i := range seen {
			v.ring = append(v.ring, first+i)
		}
		return v
	}
	best := at(12, 0, 0)
	uncertain := at(11, 0, 0)
	uncertain.residualOK = false
	for name, c := range map[string]struct {
		second *verdict
		want   bool
	}{
		"one ring less":                       {at(11, 0, 0), true},
		"two rings less":                      {at(10, 0, 0), false},
		"nearly as many, but they do not fit": {uncertain, false},
		"nearly as many, but too few":         {at(minSeen-1, 0, 0), false},
		"other rings, a card of its own":      {at(8, 0, 12), true},
		"a third of the rings shared":         {at(9, 0, 9), true},
		"most of the rings shared":            {at(9, 0, 5), false},
		"contradicted by a ring":              {at(11, 1, 12), false},
	} {
		if got := rivals(best, c.second); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
