package qc

import (
	"math"
	"slices"
)

// Verdict says how a reading stands to a limit. Its value is what records and other programs hold; a
// person reads [Verdict.String].
type Verdict string

const (
	Within   Verdict = "within"    // the whole interval value ± U is allowed
	Out      Verdict = "out"       // the whole interval is not allowed
	TooClose Verdict = "too close" // the limit lies inside the interval: measure by hand

	// Unread is the verdict of a location alone, never of a check: all that was read is within,
	// but for one or more limits there is no reading.
	Unread Verdict = "unread"
)

// String is the verdict's word for a person. The undecided one is stored as "too close", which reads
// as an edge distance that is too short.
func (v Verdict) String() string {
	if v == TooClose {
		return "can't tell"
	}
	return string(v)
}

// Verdicts lists them, the worst first.
var Verdicts = []Verdict{Out, TooClose, Unread, Within}

func (v Verdict) rank() int {
	if i := slices.Index(Verdicts, v); i >= 0 {
		return len(Verdicts) - i
	}
	return 0
}

// worse orders verdicts as [Verdicts] does, "" the least.
func (v Verdict) worse(w Verdict) bool { return v.rank() > w.rank() }

// Worst is the worst of some verdicts, in the order of [Verdicts]; "" of none.
func Worst(vs ...Verdict) Verdict {
	var worst Verdict
	for _, v := range vs {
		if v.worse(worst) {
			worst = v
		}
	}
	return worst
}

// Check is one reading against one limit.
type Check struct {
	Reading Reading `json:"reading"`
	Limit   Limit   `json:"limit"`
	Verdict Verdict `json:"verdict"`

	// UMM is the expanded uncertainty that was judged with. It is the reading's own unless
	// Added names contributions that only the check knows of.
	UMM   float64        `json:"U_mm"`
	Added []Contribution `json:"added,omitempty"`

	// PConform is the probability that the true value conforms, as extra information: the
	// verdict does not hang on it. Where the photo can't rule out a smaller value it is that
	// one's, if less.
	PConform float64  `json:"p_conform"`
	Notes    []string `json:"notes,omitempty"`
}

// Judge holds a reading against a limit, with contributions that only the check knows of
// added to the reading's own uncertainty.
//
// The rule is that of ISO 14253-1 for proving conformity and non-conformity, with the whole
// expanded uncertainty as the guard band on either side:
//
//	within     min + U <= value <= max - U
//	out        value + U < min  or  value - U > max
//	too close  otherwise
//
// A reading that the photo can't prove not to be smaller (LessMM) is within a least value
// only if that smaller one would be, too; a pitch never while a nearer neighbour was seen but
// not measured.
//
// It is the rule of the standard's 1998 and 2013 editions, wider than the 2017 default
// (0.83 U for a probability of 95 %), and bounds the risk of a wrong `within` or `out` to
// about 2.3 % each (JCGM 106:2012 8.3.2: guarded acceptance). A reading without a usable
// value or uncertainty is too close to any limit.
func Judge(r Reading, l Limit, added ...Contribution) Check {
	c := Check{Reading: r, Limit: l, UMM: r.UMM, Added: added, Verdict: TooClose}
	if bad(r.ValueMM) || bad(r.UMM) || r.UMM <= 0 || r.ValueMM < 0 {
		c.Notes = append(c.Notes, "the reading has no usable uncertainty: measure by hand")
		return c
	}
	if l.MinMM <= 0 && l.MaxMM <= 0 {
		c.Notes = append(c.Notes, "the limit has no bound")
		return c
	}
	u, dof := r.Standard()
	if len(added) > 0 {
		b, err := CombineReading(append([]Contribution{{Label: "reading", UMM: u, DoF: dof}}, added...))
		if err != nil {
			c.Notes = append(c.Notes, err.Error())
			return c
		}
		u, dof, c.UMM = b.U, b.DoF, math.Max(b.Expanded, r.UMM)
	}
	c.PConform = Conformance(r.ValueMM, u, dof, l.MinMM, l.MaxMM)
	if r.LessMM > 0 && l.MinMM > 0 {
		c.PConform = math.Min(c.PConform, Conformance(r.LessMM, u, dof, l.MinMM, l.MaxMM))
	}
	lo, hi := r.ValueMM-c.UMM, r.ValueMM+c.UMM
	switch {
	case l.MinMM > 0 && hi < l.MinMM, l.MaxMM > 0 && lo > l.MaxMM:
		c.Verdict = Out
	case (l.MinMM <= 0 || lo >= l.MinMM) && (l.MaxMM <= 0 || hi <= l.MaxMM):
		c.Verdict = Within
	}
	if c.Verdict == Within && r.LessMM > 0 && l.MinMM > 0 {
		switch less := Millimetres.Value(r.LessMM); {
		case r.Quantity == Pitch: // how far away it is was not measured, so no distance makes it good
			c.Verdict = TooClose
			c.Notes = append(c.Notes, "a neighbour about "+less+" away was seen but not measured, and may be the nearest: tap it on the photo, or measure by hand")
		case r.LessMM-c.UMM < l.MinMM:
			c.Verdict = TooClose
			c.Notes = append(c.Notes, "a faint line runs "+less+" away: if it is the nearer edge, mark it on the photo; else measure by hand")
		}
	}
	if l.Laxer {
		c.Notes = append(c.Notes, "the builder's own limit ("+l.Text(Millimetres)+", "+l.Source+") is less strict than the published one ("+l.Published.Text(Millimetres)+", "+l.Published.Source+")")
	}
	return c
}

// Conformance is the probability that the true value lies between min and max (0: no bound),
// for a value with standard uncertainty u and dof degrees of freedom (0: infinitely many, the
// normal distribution) and no prior knowledge. All lengths in one unit.
//
// Source: JCGM 106:2012 7.2 to 7.4.
func Conformance(value, u, dof, min, max float64) float64 {
	if u <= 0 || bad(u) || bad(value) {
		return 0
	}
	p := 1.0
	if max > 0 {
		p = studentCDF((max-value)/u, dof)
	}
	if min > 0 {
		p -= studentCDF((min-value)/u, dof)
	}
	return math.Max(0, p)
}

// Whole is the verdict of a location as a whole, from the worst verdict of what was read and seen
// there and what was not read: nothing is `within` of which a part was not read.
func Whole(v Verdict, unread []Limit) Verdict {
	if v == Within && len(unread) > 0 {
		return Unread
	}
	return v
}

// Governing gives the index of the check that governs a location, -1 of none: of the worst
// verdicts the one that lies farthest beyond its limit, or nearest to it, in its own U. Every
// screen, table and picture that has room for one check shows this one.
func Governing(checks []Check) int {
	best := -1
	for i, c := range checks {
		switch {
		case best < 0, c.Verdict.worse(checks[best].Verdict):
			best = i
		case c.Verdict == checks[best].Verdict && c.inside() < checks[best].inside():
			best = i
		}
	}
	return best
}

// inside is how far inside its limits a value lies, in U; negative beyond them.
func (c Check) inside() float64 {
	mm := math.Inf(1)
	if c.Limit.MinMM > 0 {
		mm = c.Reading.ValueMM - c.Limit.MinMM
	}
	if c.Limit.MaxMM > 0 {
		mm = math.Min(mm, c.Limit.MaxMM-c.Reading.ValueMM)
	}
	return mm / math.Max(c.UMM, 1e-6)
}
