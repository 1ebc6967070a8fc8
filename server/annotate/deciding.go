package annotate

import (
	"math"
	"slices"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// Deciding gives the index of the check that makes a location's verdict: of the worst ones that
// which lies farthest beyond its limit, or nearest to it, measured in its own uncertainty. ok is
// false and the index -1 where there is none.
func Deciding(checks []qc.Check) (i int, ok bool) {
	best, least := -1, math.Inf(1)
	for i, c := range checks {
		m := inside(c)
		switch {
		case best < 0, c.Verdict != checks[best].Verdict && qc.Worst(c.Verdict, checks[best].Verdict) == c.Verdict,
			c.Verdict == checks[best].Verdict && m < least:
			best, least = i, m
		}
	}
	return best, best >= 0
}

// inside is how far inside its limits a value lies, in U.
func inside(c qc.Check) float64 {
	m := math.Inf(1)
	if c.Limit.MinMM > 0 {
		m = c.Reading.ValueMM - c.Limit.MinMM
	}
	if c.Limit.MaxMM > 0 {
		m = min(m, c.Limit.MaxMM-c.Reading.ValueMM)
	}
	return m / max(c.UMM, 1e-6)
}

// Notes gives what a person should know of a location beside its values: notes of its checks as
// a whole, and warnings of its diameters, nearest edge and nearest pitch. Each stands once.
func Notes(l *answer.Location) []string {
	out := slices.Clone(l.Notes)
	nearest := map[qc.Quantity]float64{}
	for _, r := range l.Readings {
		if v, ok := nearest[r.Quantity]; !ok || r.ValueMM < v {
			nearest[r.Quantity] = r.ValueMM
		}
	}
	for _, r := range l.Readings {
		if r.ValueMM != nearest[r.Quantity] {
			continue
		}
		for _, w := range r.Warnings {
			if !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return out
}
