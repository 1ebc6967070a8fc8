package qc

import (
	"fmt"
	"math"
	"slices"
)

// Look is one measurement of a location as it was judged then: the finding of a photo, or what
// a hand gauge read later.
type Look struct {
	ID       string // of its entry
	Readings []Reading
	Result   Result
	ByHand   bool
	// Filed, of an edge that was filed: it voids the edge distances in Layer that were read before.
	Filed bool
	Layer string
}

// Stood is a reading with what became of it.
type Stood struct {
	Reading
	Look   string `json:"look"`             // entry that it is from
	Number int    `json:"number,omitempty"` // its place from 1 among that look's readings; 0: taken from another look's check
	// By is the entry whose hand reading took its place, or that says that the edge was filed; ""
	// while it stands.
	By string `json:"by,omitempty"`
}

// Stands tells whether the reading counts now.
func (s Stood) Stands() bool { return s.By == "" }

// Standing is what several looks at one rivet, or at one hole, add up to.
type Standing struct {
	Readings []Stood  `json:"readings"` // all of them, in the order in which they were taken
	Checks   []Check  `json:"checks"`   // of the readings that stand
	Unread   []Limit  `json:"unread,omitempty"`
	Verdict  Verdict  `json:"verdict"` // the worst of the checks; "" where nothing was judged
	Notes    []string `json:"notes,omitempty"`
}

// Stand adds up a finding and the hand readings that came after it, in their order. It is the one
// place that says which reading stands and which was superseded.
//
// A hand reading takes the place of what it measured and of nothing else: of earlier readings of
// the same quantity, and of a distance only of those to the same edge or neighbour (see [Target]).
// It does so where both agree within their uncertainties; where they don't, one of the two may be
// of another thing, so that both stand, and the note says so, until a second hand reading agrees
// with the first. A distance from the driven head never takes the place of one from the shank.
//
// What a look judged then is kept as it was: no limit that was chosen later changes it.
func Stand(looks []Look) Standing {
	var s Standing
	var apart [][2]int // hand readings and what they don't agree with
	for i := range looks {
		apart = append(apart, s.add(&looks[i], i > 0)...)
	}
	for i := range looks {
		for _, c := range looks[i].Result.Checks {
			k := slices.IndexFunc(s.Readings, func(x Stood) bool { return x.Same(c.Reading) && x.From(looks[i].ID) })
			if k < 0 || s.Readings[k].Stands() {
				s.Checks = append(s.Checks, c)
			}
		}
	}
	if len(looks) > 0 {
		for _, l := range append(slices.Clone(looks[0].Result.Unread), s.voided(looks)...) {
			same := func(x Limit) bool { return x.sameSide(l) }
			if !slices.ContainsFunc(s.Checks, func(c Check) bool { return same(c.Limit) }) && !slices.ContainsFunc(s.Unread, same) {
				s.Unread = append(s.Unread, l)
			}
		}
		s.Notes = slices.Clone(looks[0].Result.Notes)
	}
	for _, p := range apart {
		if g, x := s.Readings[p[0]], s.Readings[p[1]]; g.Stands() && x.Stands() {
			s.Notes = append(s.Notes, fmt.Sprintf("%s by hand, %s, and on the photo, %s, differ by more than their uncertainties explain; both count until it is measured by hand once more",
				x.Quantity.Words(), Millimetres.WithU(g.ValueMM, g.UMM), Millimetres.WithU(x.ValueMM, x.UMM)))
		}
	}
	for _, c := range s.Checks {
		s.Verdict = Worst(s.Verdict, c.Verdict)
	}
	return s
}

// voided are the limits on edge distances that nothing is read for since an edge was filed.
func (s *Standing) voided(looks []Look) (out []Limit) {
	for i := range looks {
		for _, c := range looks[i].Result.Checks {
			k := slices.IndexFunc(s.Readings, func(x Stood) bool { return x.Same(c.Reading) && x.From(looks[i].ID) })
			if k >= 0 && slices.ContainsFunc(looks, func(l Look) bool { return l.Filed && l.ID == s.Readings[k].By }) {
				out = append(out, c.Limit)
			}
		}
	}
	return out
}

// From tells whether a reading is a look's own or was judged in it.
func (s Stood) From(look string) bool { return s.Look == look }

// Standing readings, for what is computed from them.
func (s Standing) Current() []Reading {
	var out []Reading
	for _, r := range s.Readings {
		if r.Stands() && r.Number > 0 {
			out = append(out, r.Reading)
		}
	}
	return out
}

func (l Limit) sameSide(m Limit) bool {
	return l.Quantity == m.Quantity && l.Layer == m.Layer && (l.MinMM > 0) == (m.MinMM > 0) && (l.MaxMM > 0) == (m.MaxMM > 0)
}

// add takes in a look: its readings, and those of its checks that are from elsewhere (the hole's,
// from before the rivet was set).
func (s *Standing) add(l *Look, later bool) (apart [][2]int) {
	if l.Filed {
		for i := range s.Readings {
			if x := &s.Readings[i]; x.Stands() && x.Quantity == EdgeDistance && x.Layer == l.Layer {
				x.By = l.ID
			}
		}
	}
	from := len(s.Readings)
	for k, r := range l.Readings {
		s.Readings = append(s.Readings, Stood{Reading: r, Look: l.ID, Number: k + 1})
	}
	own := len(s.Readings)
	for _, c := range l.Result.Checks {
		if !slices.ContainsFunc(s.Readings[from:], func(x Stood) bool { return x.Same(c.Reading) }) {
			r := c.Reading
			r.FromShank = true
			s.Readings = append(s.Readings, Stood{Reading: r, Look: l.ID})
		}
	}
	for k := from; later && l.ByHand && k < own; k++ {
		for _, i := range s.supersede(k, from) {
			apart = append(apart, [2]int{k, i})
		}
	}
	return apart
}

// supersede lets hand reading k take the place of those before n that it measured. It gives those
// that it does not agree with.
func (s *Standing) supersede(k, n int) (against []int) {
	g := s.Readings[k]
	seconded := false // an earlier hand reading of the same thing agrees
	for i := range s.Readings[:n] {
		x := &s.Readings[i]
		if !x.Stands() || !s.measured(g, i, n) {
			continue
		}
		agree := g.agrees(x.Reading)
		seconded = seconded || agree && x.How == ByGauge
		if agree || x.How == ByGauge || x.How == ByLayout { // what was only laid out gives way to what was measured
			x.By = g.Look
		} else {
			against = append(against, i)
		}
	}
	if !seconded {
		return against
	}
	for _, i := range against {
		s.Readings[i].By = g.Look
	}
	return nil
}

// measured tells whether hand reading g is of the same thing as reading i of those before n.
func (s *Standing) measured(g Stood, i, n int) bool {
	x := s.Readings[i]
	if x.Quantity != g.Quantity || x.Layer != g.Layer {
		return false
	}
	if !distance(g.Quantity) {
		return true
	}
	if x.FromShank && !g.FromShank {
		return false
	}
	var to, of Target
	if x.Of != nil {
		of = *x.Of
	}
	if to.Nearest = g.Of == nil; g.Of != nil {
		to = *g.Of
	}
	switch {
	case to.Reading > 0:
		return x.How != ByGauge && x.Number == to.Reading || x.How == ByGauge && of.Reading == to.Reading
	case to.Location != "":
		return of.Location == to.Location
	case !to.Nearest: // another edge, known by its name
		return x.How == ByGauge && x.Of != nil && !of.Nearest && of.Reading == 0 && of.Location == "" && of.Name == to.Name
	case x.How == ByGauge:
		return x.Of == nil || of.Nearest
	}
	// The nearest of those that a photo read in the same way.
	for _, y := range s.Readings[:n] {
		if y.Quantity == x.Quantity && y.How != ByGauge && y.FromShank == x.FromShank && y.Layer == x.Layer && y.ValueMM < x.ValueMM {
			return false
		}
	}
	return true
}

func distance(q Quantity) bool { return q == EdgeDistance || q == Pitch }

// agrees tells whether two readings may be of one thing: they differ by no more than both
// uncertainties explain. A distance from the driven head may be off by as much as its shank is.
func (r Reading) agrees(o Reading) bool {
	u := math.Hypot(r.UMM, o.UMM)
	if distance(r.Quantity) && r.FromShank != o.FromShank {
		u = math.Hypot(u, 2*ShankOff("").UMM)
	}
	return math.Abs(r.ValueMM-o.ValueMM) <= u
}
