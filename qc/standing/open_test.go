package standing_test

import (
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/standing"
)

// Whoever signs is told all that is open, also what stands on one location beside something worse.
func TestOpenNamesEverything(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	photo := histtest.PhotoHash(nil)
	has := func(when, what string, tags ...string) {
		t.Helper()
		all := standing.OpenOf(history.StateOf(b.Wrote), b.at.Part)
		i := slices.IndexFunc(all, func(o standing.Open) bool { return strings.HasPrefix(o.What, what) })
		if i < 0 || !slices.Equal(all[i].Tags, tags) {
			t.Errorf("%s: no %q at %q: %+v", when, what, tags, all)
		}
	}
	hasNot := func(when string, what ...string) {
		t.Helper()
		for _, o := range standing.OpenOf(history.StateOf(b.Wrote), b.at.Part) {
			if slices.Contains(what, o.What) {
				t.Errorf("%s: %q at %q", when, o.What, o.Tags)
			}
		}
	}
	const away = "No photo of the whole part"
	has("marked", "Never measured", "R8")
	has("marked", away)

	wide := histtest.HeadFinding("", photo, 6.3, 12)
	wide.Answers, wide.AnswersVerdict = nil, ""
	b.do(history.KindFinding, wide)
	has("a head that is out", "Out", "R8")
	has("a head that is out", "Hole never measured under the rivet that stands", "R8")
	has("a head that is out", "Not everything looked at", "R8")
	hasNot("a head that is out", "Never measured", "To be drilled out, though not out")

	f := b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.3, 12))
	hasNot("one that is within", "Out", "To be drilled out, though not out")
	b.do(history.KindDisposition, history.DispositionData{Finding: f, Action: qc.DrillOut, Reason: "cracked"})
	has("within, and to be drilled out", "To be drilled out, though not out", "R8")
	b.do(history.KindDisposition, history.DispositionData{Finding: f, Action: qc.ReMeasure, Reason: "glare"})
	has("within, and to be measured again", "To be measured by hand", "R8")
	b.do(history.KindDisposition, history.DispositionData{Finding: f, Action: qc.Refer, Reason: "edge of the tube"})
	has("within, and with the designer", "With the designer", "R8")
	b.do(history.KindDisposition, history.DispositionData{Finding: f, Action: qc.Refer, Reason: "edge of the tube", Answer: "set a larger one"})
	has("the designer has answered", "To be decided", "R8")

	b.do(history.KindDrilledOut, history.DrilledOutData{})
	has("drilled out", "Drilled out, without a new rivet", "R8")
	b.do(history.KindAttempt, history.AttemptData{})
	has("a new rivet", "New rivet not measured", "R8")

	out := true
	b.do(history.KindLocation, history.LocationData{Out: &out})
	hasNot("taken out", "New rivet not measured")
	here := b.at
	here.Location = ""
	b.Put(here.Draft(history.KindNote, history.NoteData{Text: "From above.", Photos: []string{photo}}))
	hasNot("a note with a photo", away)
}

// Whoever signs is told that two devices changed the same without knowing of one another.
func TestOpenNamesAClash(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	part := histtest.Place{Project: b.at.Project, Part: b.at.Part}
	for _, drawing := range []string{"BH-2", "BH-3"} {
		b.Put(part.Draft(history.KindPart, history.PartData{Drawing: drawing, Was: &history.PartData{Drawing: "BH-1"}}))
	}
	if all := standing.OpenOf(history.StateOf(b.Wrote), b.at.Part); !slices.ContainsFunc(all, func(o standing.Open) bool {
		return o.What == "Two devices changed the drawing (BH-2 / BH-3)"
	}) {
		t.Errorf("the clash is not named: %+v", all)
	}
}

// What could not be read is named, and times that can hardly be right are told of.
func TestOpenNamesWhatWasNotReadAndOddTimes(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	shot := histtest.Shot([]byte{1}, "", b.at.Location)
	shot.TakenAt = "2019:01:01 08:00:00"
	b.do(history.KindFinding, histtest.HoleFinding(b.do(history.KindShot, shot), histtest.PhotoHash(nil), 4.86))
	all := standing.OpenOf(history.StateOf(b.Wrote), b.at.Part)
	for _, want := range []string{"Not read (pitch)", "Times that are to be asked about"} {
		if !slices.ContainsFunc(all, func(o standing.Open) bool { return o.What == want && slices.Equal(o.Tags, []string{"R8"}) }) {
			t.Errorf("no %q: %+v", want, all)
		}
	}
}
