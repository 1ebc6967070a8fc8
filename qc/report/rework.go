package report

import (
	"strings"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// ifDrilledOut says what a new rivet would need: beside the photo where there is room.
func (w *writer) ifDrilledOut(l *Location, f *Finding, x, width, room float64) (done bool) {
	s := w.sheet
	words := w.nextRivet(l, f)
	if words == "" {
		return true
	}
	if room > 0 && float64(len(s.d.Wrap(words, width, small)))*small.LeadMM()+7 > room {
		return false
	}
	s.need(7 + 2*text.LeadMM())
	s.y += 4
	s.d.Tag(paper.Heading2, "", func() { s.d.Text(x, s.y, "If it is drilled out", h2) })
	s.y += 5
	s.paraAt(x, width, words, small)
	return true
}

// nextRivet says in short what the hole must measure then, and whether the next size fits
// here; empty where nothing is out, or for a hole.
func (w *writer) nextRivet(l *Location, f *Finding) string {
	if l.Verdict != qc.Out || f.Spec.Kind == qc.Hole {
		return ""
	}
	rw, err := qc.PlanRework(f.Spec, standingOf(l, f).Current(), l.View.Hole, w.u)
	if err != nil {
		return ""
	}
	var must []string
	for _, h := range rw.HoleCheck {
		must = append(must, h.Quantity.Words()+" "+limitWords(h, w.u))
	}
	out := ""
	if len(must) > 0 {
		out = "Same size again if the hole measures " + strings.Join(must, ", ") + " " + string(w.u) + "."
	}
	if n := rw.NextSize; n != nil {
		var why []string
		for _, c := range n.Checks {
			if c.Verdict == n.Verdict {
				why = append(why, c.Reading.What()+" "+w.u.WithU(c.Reading.ValueMM, c.UMM)+", "+limitWords(c.Limit, w.u))
			}
		}
		if n.Verdict == "" {
			out = join(" ", out, "Next size "+n.Name+": nothing known about its edge distance and pitch here.")
		} else {
			out = join(" ", out, "Next size "+n.Name+": "+n.Verdict.String()+" ("+strings.Join(why, "; ")+").")
		}
	}
	return out
}
