package report

import (
	"slices"

	"bucktail/qc"
)

// worstCheck is the check that makes the location's verdict, nil where there is none.
func worstCheck(l *Location) (*Finding, *qc.Check) {
	f := current(l)
	if f == nil {
		return nil, nil
	}
	var best *qc.Check
	checks := settled(l, f)
	for i := range checks {
		if best == nil || checks[i].Verdict != best.Verdict && qc.Worst(checks[i].Verdict, best.Verdict) == checks[i].Verdict {
			best = &checks[i]
		}
	}
	return f, best
}

// current is the finding that a location's verdict is from; the last one of all where the
// current attempt has none yet.
func current(l *Location) *Finding {
	for i := len(l.Attempts) - 1; i >= 0; i-- {
		fs := l.Attempts[i].Findings
		for j := len(fs) - 1; j >= 0; j-- {
			if fs[j].Entry == l.Finding || l.Finding == "" && fs[j].Settles == "" {
				return &fs[j]
			}
		}
	}
	return nil
}

// settled gives a finding's checks with those of later gauge readings on it in place of its
// own against the same limits, as the verdict counts them.
func settled(l *Location, f *Finding) []qc.Check {
	checks := slices.Clone(f.Result.Checks)
	for _, g := range gauges(l, f) {
		checks = slices.DeleteFunc(checks, func(c qc.Check) bool {
			return slices.ContainsFunc(g.Result.Checks, func(n qc.Check) bool {
				return n.Limit.Quantity == c.Limit.Quantity && (n.Limit.MinMM > 0) == (c.Limit.MinMM > 0)
			})
		})
		checks = append(checks, g.Result.Checks...)
	}
	return checks
}

// gauges are the gauge readings of the same attempt that came after a finding.
func gauges(l *Location, f *Finding) []*Finding {
	var out []*Finding
	for i := range l.Attempts {
		fs := l.Attempts[i].Findings
		for j := range fs {
			if fs[j].Entry == f.Entry {
				for k := j + 1; k < len(fs) && fs[k].Gauge; k++ {
					out = append(out, &fs[k])
				}
			}
		}
	}
	return out
}
