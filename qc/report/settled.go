package report

import (
	"bucktail/qc"
	"bucktail/qc/standing"
)

// current is the finding that a location's verdict is from, and how it stands; where the current
// attempt has none yet, the last one of all. Both are nil where nothing was measured.
func current(l *Location) (*Finding, *standing.Look) {
	k := l.View.Last()
	if k == nil {
		return nil, nil
	}
	return l.finding(k.Entries[0]), k
}

// standingOf is how a finding stands, with the gauge readings on it.
func standingOf(l *Location, f *Finding) *standing.Look { return l.View.LookOf(f.Entry) }

// finding finds one by its entry, nil if it is not there.
func (l *Location) finding(entry string) *Finding {
	for i := range l.Attempts {
		for j := range l.Attempts[i].Findings {
			if f := &l.Attempts[i].Findings[j]; f.Entry == entry {
				return f
			}
		}
	}
	return nil
}

// governing is the check that governs, nil where there is none.
func governing(k *standing.Look) *qc.Check {
	if k == nil || k.Governing < 0 {
		return nil
	}
	return &k.Checks[k.Governing]
}
