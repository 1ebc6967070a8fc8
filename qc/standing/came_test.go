package standing_test

import (
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/standing"
)

// What each entry came to by itself stays, whatever came after it; only what counts has a mark.
func TestWhatEachEntryCameTo(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	photo := histtest.PhotoHash(nil)
	hole := b.do(history.KindFinding, histtest.HoleFinding("", photo, 4.86))
	b.do(history.KindAttempt, history.AttemptData{})
	gone := b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.1, 12))
	b.Put(history.Draft{Kind: history.KindWithdrawal, Project: b.at.Project, Part: b.at.Part, Location: b.at.Location, Supersedes: []string{gone}, Why: "another rivet", Data: history.WithdrawalData{}})
	f := b.do(history.KindFinding, histtest.HeadFinding("", photo, 6.62, 9.6))
	g := b.do(history.KindGauge, histtest.GaugeReading(f, 6.5))
	note := b.do(history.KindNote, history.NoteData{Text: "the old set"})

	came := standing.CameTo(history.StateOf(b.Wrote), b.at.Part)
	for _, c := range []struct {
		name, entry string
		whole       qc.Verdict
		points      int
	}{
		{"hole", hole, qc.Unread, 1}, {"taken back", gone, qc.Unread, 0}, {"head", f, qc.TooClose, 2}, {"calipers", g, qc.Out, 0},
	} {
		got, ok := came[c.entry]
		if !ok || got.Whole != c.whole || len(got.Points) != c.points || (c.entry == g) != (got.NotRead == 0) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	if _, ok := came[note]; ok {
		t.Error("a note came to something")
	}
	head, edge := came[f].Points[standing.HeadPlot], came[f].Points[standing.EdgePlot]
	if head.MM != 6.62 || head.UMM != 0.06 || head.Verdict != qc.TooClose || head.MinMM == 0 || head.MaxMM <= head.MinMM {
		t.Errorf("head %+v", head)
	}
	if edge.MM != 9.6 || edge.Verdict != qc.TooClose || edge.MinMM != 2*s.NominalMM || edge.MaxMM != 0 {
		t.Errorf("edge %+v", edge)
	}
	if h := came[hole].Points[standing.EdgePlot]; h.Verdict != qc.Unread {
		t.Errorf("a hole of which the pitch was not read: %+v", h)
	}
}

// Of several edges the nearest is the mark, with its own verdict.
func TestPlotOfTheNearestEdge(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	photo := histtest.PhotoHash(nil)
	rs := []qc.Reading{histtest.Reading(qc.EdgeDistance, 14, 0.1, photo), histtest.Reading(qc.EdgeDistance, 8, 0.1, photo), histtest.Reading(qc.Pitch, 19.2, 0.05, photo)}
	res, err := qc.JudgeLocation(s, rs, nil)
	if err != nil {
		t.Fatal(err)
	}
	f := b.do(history.KindFinding, history.FindingData{Spec: s, Readings: rs, Result: res})
	p := standing.CameTo(history.StateOf(b.Wrote), b.at.Part)[f].Points
	if len(p) != 1 || p[standing.EdgePlot].MM != 8 || p[standing.EdgePlot].Verdict != qc.Out {
		t.Errorf("%+v", p)
	}
}

// What needs somebody first: shown as lists show it.
func TestUrgency(t *testing.T) {
	order := []history.Location{
		{Whole: qc.Out}, {Whole: qc.TooClose}, {Whole: qc.Unread, Work: []history.Work{{Kind: history.WorkMeasure}}}, {Whole: qc.Unread},
		{Stage: qc.DrilledOut}, {Stage: qc.FinalHole}, {Stage: qc.Marked}, {Whole: qc.Within, Stage: qc.SetRivet},
	}
	for i := range order[1:] {
		if standing.Urgency(order[i]) >= standing.Urgency(order[i+1]) {
			t.Errorf("%+v does not come before %+v", order[i], order[i+1])
		}
	}
}
