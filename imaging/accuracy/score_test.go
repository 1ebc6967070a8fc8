//go:build !js

package accuracy

import (
	"fmt"
	"math"

	"bucktail/imaging/answer"
	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/synth"
	"bucktail/qc"
)

// reading is one reading beside what it should have been.
type reading struct {
	errorMM, uMM float64 // read less true; expanded uncertainty
}

// score is how a group of photos was measured.
type score struct {
	photos, fasteners, heads, holes int
	read, asked, falseOnes          int
	edges, edgesFound               int // within 4 D, foot in the frame, of fasteners that were read
	nearest, nearestWrong           int // fasteners that have such an edge; where the nearest one read is another
	hiddenSaid                      int // of the wrong ones, where the reading says that a nearer line may be the edge
	lesser, lesserTrue              int // edge readings that say so; those of them where it is the edge
	checks                          int
	readings                        map[qc.Quantity][]reading
	falseWithin, falseOut           []string // verdicts that the truth contradicts
	pxPerMM, tiltDeg                []float64
	failed                          []string // photos on which nothing could be measured
}

func newScore() *score { return &score{readings: map[qc.Quantity][]reading{}} }

func sum(scores []*score) *score {
	all := newScore()
	for _, s := range scores {
		all.add(s)
	}
	return all
}

// add adds what o holds.
func (s *score) add(o *score) {
	for _, p := range [][2]*int{{&s.photos, &o.photos}, {&s.fasteners, &o.fasteners}, {&s.heads, &o.heads}, {&s.holes, &o.holes},
		{&s.read, &o.read}, {&s.asked, &o.asked}, {&s.falseOnes, &o.falseOnes}, {&s.edges, &o.edges}, {&s.edgesFound, &o.edgesFound},
		{&s.nearest, &o.nearest}, {&s.nearestWrong, &o.nearestWrong}, {&s.hiddenSaid, &o.hiddenSaid},
		{&s.lesser, &o.lesser}, {&s.lesserTrue, &o.lesserTrue}, {&s.checks, &o.checks}} {
		*p[0] += *p[1]
	}
	for q, rs := range o.readings {
		s.readings[q] = append(s.readings[q], rs...)
	}
	s.falseWithin, s.falseOut = append(s.falseWithin, o.falseWithin...), append(s.falseOut, o.falseOut...)
	s.failed = append(s.failed, o.failed...)
	s.pxPerMM, s.tiltDeg = append(s.pxPerMM, o.pxPerMM...), append(s.tiltDeg, o.tiltDeg...)
}

// measurePhoto measures a photo once for each kind and size that stands on it, as a builder
// would who has measured the card with calipers, and scores what comes back.
func measurePhoto(name string, photo []byte, t *truth) (*score, error) {
	s := newScore()
	s.photos, s.pxPerMM, s.tiltDeg = 1, []float64{t.pxPerMM()}, []float64{t.View.TiltDeg}
	for _, g := range t.groups() {
		nominal, err := g.nominalMM()
		if err != nil {
			return nil, fmt.Errorf("%s: size %q: %w", name, g.dash, err)
		}
		doc, err := answer.Measure(photo, answer.Options{Spec: qc.Spec{Kind: g.kind, NominalMM: nominal}, Size: g.dash, Photo: name,
			Measure: measure.Options{ScaleX: t.Card.PrintScale[0], ScaleY: t.Card.PrintScale[1], ThicknessMM: t.Card.ThicknessMM}})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if doc.Scale == nil || doc.Scale.Layout != t.Card.Layout {
			s.failed = append(s.failed, fmt.Sprintf("%s: the card %q was not found: %v", name, t.Card.Layout, doc.Problems))
		}
		v := view{name: name, truth: t, doc: doc, said: g, pxPerMM: t.pxPerMM()}
		v.match()
		s.add(v.score())
	}
	return s, nil
}

// view is one answer beside the truth of its photo.
type view struct {
	name    string
	truth   *truth
	doc     *answer.Document
	said    said
	pxPerMM float64

	wanted []*synth.FastenerTruth // what was to be found: of the said kind and size, in the frame
	found  []int                  // for each, its index in doc.Locations; -1 for none
	who    []int                  // for each of doc.Locations, its index in wanted; -1 for none
}

// match finds for each fastener the nearest location within three quarters of its radius.
func (v *view) match() {
	v.who = make([]int, len(v.doc.Locations))
	for i := range v.who {
		v.who[i] = -1
	}
	for i := range v.truth.Fasteners {
		f := &v.truth.Fasteners[i]
		if saidOf(f) != v.said || !v.truth.inFrame(px(f.CentrePx)) {
			continue
		}
		mean, _, _ := extremes(f)
		best, reach := -1, 0.75*v.pxPerMM*mean/2
		for k, l := range v.doc.Locations {
			if d := geom.PxPoint(px(l.CentrePx)).Sub(px(f.CentrePx)).Norm(); v.who[k] < 0 && d < reach {
				best, reach = k, d
			}
		}
		if best >= 0 {
			v.who[best] = len(v.wanted)
		}
		v.wanted, v.found = append(v.wanted, f), append(v.found, best)
	}
}

func (v *view) score() *score {
	s := newScore()
	for i, f := range v.wanted {
		s.fasteners++
		if f.Type == synth.Hole {
			s.holes++
		} else {
			s.heads++
		}
		if v.found[i] < 0 {
			continue
		}
		l := &v.doc.Locations[v.found[i]]
		if len(l.Readings) == 0 {
			s.asked++
			continue
		}
		s.read++
		v.diameters(s, f, l)
		v.edges(s, f, l)
		v.pitches(s, f, l)
		v.verdicts(s, f, l)
	}
	for k, l := range v.doc.Locations {
		if v.who[k] < 0 && v.alone(&l) {
			s.falseOnes++
		}
	}
	return s
}

// alone tells whether no fastener of any kind stands within its shank's diameter of a location.
func (v *view) alone(l *answer.Location) bool {
	for i := range v.truth.Fasteners {
		f := &v.truth.Fasteners[i]
		if geom.PxPoint(px(l.CentrePx)).Sub(px(f.CentrePx)).Norm() <= v.pxPerMM*f.NominalDMM {
			return false
		}
	}
	return true
}

func (s *score) take(q qc.Quantity, r *answer.Reading, trueMM float64) {
	s.readings[q] = append(s.readings[q], reading{r.ValueMM - trueMM, r.UMM})
}

func (v *view) diameters(s *score, f *synth.FastenerTruth, l *answer.Location) {
	mean, greatest, least := extremes(f)
	for i := range l.Readings {
		r := &l.Readings[i]
		switch r.Quantity {
		case qc.HeadDMean, qc.HoleDMean:
			s.take(r.Quantity, r, mean)
		case qc.HeadDMax, qc.HoleDMax:
			s.take(r.Quantity, r, greatest)
		case qc.HeadDMin, qc.HoleDMin:
			s.take(r.Quantity, r, least)
		}
	}
}

// edges scores each edge within 4 D of the fastener by the reading whose line runs through its
// foot, and the nearest reading against the nearest edge.
func (v *view) edges(s *score, f *synth.FastenerTruth, l *answer.Location) {
	const (
		sameMM  = 0.6 // a line that passes the foot farther off is another line
		wrongMM = 0.5
	)
	nearest := math.Inf(1) // as read
	var nearestReading *answer.Reading
	for i := range l.Readings {
		if r := &l.Readings[i]; r.Quantity == qc.EdgeDistance && r.ValueMM < nearest {
			nearest, nearestReading = r.ValueMM, r
		}
	}
	trueNearest := math.Inf(1)
	for _, e := range v.truth.edgesOf(f) {
		if e.axisMM > 4*f.NominalDMM {
			continue
		}
		s.edges++
		trueNearest = min(trueNearest, e.shownMM)
		var best *answer.Reading
		off := sameMM * v.pxPerMM
		for i := range l.Readings {
			if r := &l.Readings[i]; r.Quantity == qc.EdgeDistance && r.EdgePx != nil {
				if d := pxOff(e.foot, px(r.EdgePx[0]), px(r.EdgePx[1])); d < off {
					best, off = r, d
				}
			}
		}
		if best != nil {
			s.edgesFound++
			s.take(qc.EdgeDistance, best, e.shownMM)
		}
	}
	if !math.IsInf(trueNearest, 1) {
		s.nearest++
		if !(math.Abs(nearest-trueNearest) <= wrongMM) {
			s.nearestWrong++
			if nearestReading != nil && nearestReading.LessMM > 0 {
				s.hiddenSaid++
			}
		}
	}
	for i := range l.Readings {
		if r := &l.Readings[i]; r.Quantity == qc.EdgeDistance && r.LessMM > 0 {
			s.lesser++
			if math.Abs(r.LessMM-trueNearest) <= wrongMM {
				s.lesserTrue++
			}
		}
	}
}

// pxOff is how far p lies off the line through a and b.
func pxOff(p, a, b geom.PxPoint) float64 {
	d, q := b.Sub(a), p.Sub(a)
	if d.Norm() == 0 {
		return math.Inf(1)
	}
	return math.Abs(d.U*q.V-d.V*q.U) / d.Norm()
}

// neighbour gives the fastener that a pitch goes to, nil where none stands there.
func (v *view) neighbour(r *answer.Reading) *synth.FastenerTruth {
	if r.To == nil || v.who[*r.To] < 0 {
		return nil
	}
	return v.wanted[v.who[*r.To]]
}

func (v *view) pitches(s *score, f *synth.FastenerTruth, l *answer.Location) {
	for i := range l.Readings {
		if r := &l.Readings[i]; r.Quantity == qc.Pitch {
			if to := v.neighbour(r); to != nil {
				s.take(qc.Pitch, r, shownCentre(to).Sub(shownCentre(f)).Norm())
			}
		}
	}
}

// verdicts holds every check against what is true of the shank, not of what a photo shows.
func (v *view) verdicts(s *score, f *synth.FastenerTruth, l *answer.Location) {
	for _, c := range l.Checks {
		trueMM, ok := v.judged(f, l, &c)
		if !ok {
			continue
		}
		s.checks++
		allowed := (c.Limit.MinMM <= 0 || trueMM >= c.Limit.MinMM) && (c.Limit.MaxMM <= 0 || trueMM <= c.Limit.MaxMM)
		told := fmt.Sprintf("%s %s, %s: %s, read as %.3f ± %.3f mm; it is %.3f mm",
			v.name, f.ID, c.Limit.Name, c.Verdict, c.Reading.ValueMM, c.UMM, trueMM)
		switch {
		case c.Verdict == qc.Within && !allowed:
			s.falseWithin = append(s.falseWithin, told)
		case c.Verdict == qc.Out && allowed:
			s.falseOut = append(s.falseOut, told)
		}
	}
}

// judged gives the true value of what a check judges; ok is false where there is none.
func (v *view) judged(f *synth.FastenerTruth, l *answer.Location, c *qc.Check) (trueMM float64, ok bool) {
	mean, greatest, least := extremes(f)
	switch c.Reading.Quantity {
	case qc.HeadDMean, qc.HoleDMean:
		return mean, true
	case qc.HeadDMax, qc.HoleDMax:
		return greatest, true
	case qc.HeadDMin, qc.HoleDMin:
		return least, true
	case qc.EdgeDistance:
		// Whichever edge was read: the nearest is what the limit is about.
		trueMM = math.Inf(1)
		for _, e := range v.truth.edgesOf(f) {
			trueMM = min(trueMM, e.axisMM)
		}
		return trueMM, !math.IsInf(trueMM, 1)
	case qc.Pitch:
		// The smallest is about the nearest neighbour, whether that one was read or not.
		smallest := math.Inf(1)
		for i := range l.Readings {
			r := &l.Readings[i]
			if r.Quantity != qc.Pitch {
				continue
			}
			smallest = min(smallest, r.ValueMM)
			if to := v.neighbour(r); to != nil && r.ValueMM == c.Reading.ValueMM {
				trueMM, ok = axisPitch(f, to), true
			}
		}
		if c.Reading.ValueMM == smallest {
			for _, g := range v.wanted {
				if g != f && ok {
					trueMM = min(trueMM, axisPitch(f, g))
				}
			}
		}
		return trueMM, ok
	}
	return 0, false
}

func axisPitch(f, g *synth.FastenerTruth) float64 { return sheet(g.AxisMM).Sub(sheet(f.AxisMM)).Norm() }
