package standing

import (
	"bucktail/qc"
	"bucktail/qc/history"
)

// Next is something that can be done at a location now.
type Next string

// What can be done.
const (
	Photo    Next = "photo"     // take a photo
	Gauge    Next = "gauge"     // measure by hand gauge
	Decide   Next = "decide"    // say what is to be done about the finding
	DrillOut Next = "drill out" // the rivet that stands there
	SetRivet Next = "set rivet" // say that a new one stands there
	Change   Next = "change"    // its name, pin, fastener or limits
)

// next lists what can be done: first what waits, then what its stage allows; s is what is meant to stand
// there, nil where that was not said.
func next(l history.Location, s *qc.Spec) []Next {
	if l.Out {
		return []Next{Change}
	}
	var out []Next
	add := func(n Next) {
		for _, o := range out {
			if o == n {
				return
			}
		}
		out = append(out, n)
	}
	for _, w := range l.Work {
		switch w.Kind {
		case history.WorkDrillOut:
			add(DrillOut)
		case history.WorkMeasure:
			add(Gauge)
		case history.WorkSetRivet:
			if l.Finding == "" { // its hole, before it is filled again
				add(Photo)
			}
			add(SetRivet)
		case history.WorkDecide, history.WorkRefer:
			add(Decide)
		case history.WorkInspector:
			add(Photo)
		}
	}
	if l.NotRead > 0 {
		add(Gauge)
	}
	add(Photo)
	if l.Stage == qc.SetRivet {
		add(DrillOut)
	} else if !l.Stray && (s == nil || s.Kind != qc.Hole) {
		add(SetRivet)
	}
	add(Gauge)
	if l.Finding != "" {
		add(Decide)
	}
	add(Change)
	return out
}

// First is what is usually done at a location next.
func First(l history.Location) Next { return next(l, nil)[0] }

// LookFor is what a photo shows that is taken of a location now, where its stage says so: the hole
// after a rivet was drilled out, what is meant to stand there once one is set; "" where that is open.
func LookFor(l history.Location, s *qc.Spec) qc.Kind {
	switch {
	case l.Stage == qc.DrilledOut:
		return qc.Hole
	case l.Stage == qc.SetRivet && s != nil && s.Kind != qc.Hole:
		return s.Kind
	}
	return ""
}

// Urgency tells how soon a location needs somebody, the smallest number first: what is out or too
// close, what waits, what was not all read, then what is still to be done.
func Urgency(l history.Location) int {
	switch {
	case l.Whole == qc.Out:
		return 0
	case l.Whole == qc.TooClose:
		return 1
	case len(l.Work) > 0:
		return 2
	case l.Whole == qc.Unread:
		return 3
	case l.Whole == qc.Within:
		return 7
	case l.Stage == qc.DrilledOut:
		return 4
	case l.Stage == qc.Marked:
		return 6
	}
	return 5
}
