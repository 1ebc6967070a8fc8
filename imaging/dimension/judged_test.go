package dimension

import (
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/standing"
)

// A value bears the U that its check was made with, within or not, as the tables have it: a shank
// that may stand off its head's centre widens an edge distance and not its reading.
func TestValuesBearTheirChecksU(t *testing.T) {
	r := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 6.69, UMM: 0.14}
	for v, want := range map[qc.Verdict]qc.Verdict{qc.Within: "", qc.TooClose: qc.TooClose, qc.Out: qc.Out} {
		l := &answer.Location{Summary: standing.Summary{Verdict: v, Checks: []qc.Check{{Reading: r, UMM: 0.43, Verdict: v}}}}
		if got, u := judged(l, r); got != want || u != 0.43 {
			t.Errorf("%s: %q, ± %v", v, got, u)
		}
		l.Verdict = qc.Out // by something else that was read or seen
		if got, _ := judged(l, r); got != want {
			t.Errorf("%s where the location is out: %q", v, got)
		}
		other := qc.Reading{Quantity: qc.Pitch, ValueMM: 7.27, UMM: 0.11}
		if got, u := judged(l, other); got != "" || u != 0.11 {
			t.Errorf("not judged: %q, ± %v", got, u)
		}
	}
}
