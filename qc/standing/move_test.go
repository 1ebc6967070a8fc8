package standing_test

import (
	"encoding/json"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/standing"
)

// moves writes what a plan to move says.
func (b *bench) moves(t *testing.T, drafts []history.Draft) {
	t.Helper()
	first := ""
	for _, d := range drafts {
		raw, err := json.Marshal(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		d.Data = json.RawMessage(strings.ReplaceAll(string(raw), `"@0"`, `"`+first+`"`))
		if e := b.Put(d); first == "" {
			first = e.ID
		}
	}
}

func TestAReadingIsMovedToTheRightRivet(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	wrong := b.at.Location
	right := b.Put(history.Draft{Kind: history.KindLocation, Project: b.at.Project, Part: b.at.Part, Data: history.LocationData{Tag: "R3"}}).ID
	photo := histtest.PhotoHash(nil)
	own := b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.4, 12)) // R8's own
	f := b.do(history.KindFinding, histtest.HeadFinding("", photo, 6.62, 12))  // R3's, saved at R8
	b.do(history.KindGauge, histtest.GaugeReading(f, 6.5))
	b.at.Location = right
	later := b.do(history.KindFinding, histtest.HeadFinding("", photo, 7.5, 12))

	before := len(b.Wrote)
	drafts, err := standing.Move(history.StateOf(b.Wrote), f, right)
	if err != nil {
		t.Fatal(err)
	}
	b.moves(t, drafts)
	if n := len(b.Wrote) - before; n != 3 {
		t.Errorf("%d entries, want the finding, the hand reading and one withdrawal", n)
	}
	at := func(id string) standing.View {
		v, _ := standing.Of(history.StateOf(b.Wrote), id)
		return v
	}
	if v := at(wrong); v.Location.Finding != own || len(v.Looks) != 1 {
		t.Errorf("at the wrong one: %q of %d looks, want %q alone", v.Location.Finding, len(v.Looks), own)
	}
	v := at(right)
	if v.Location.Finding != later {
		t.Errorf("what was measured before does not stand now: %q", v.Location.Finding)
	}
	if len(v.Looks) != 2 || len(v.Looks[0].Entries) != 2 || v.Looks[0].Whole != qc.Out {
		t.Errorf("moved: %+v", v.Looks)
	}
	if _, err := standing.Move(history.StateOf(b.Wrote), f, right); err == nil {
		t.Error("moved twice")
	}
}

func TestWhatIsNotMoved(t *testing.T) {
	s := histtest.ShopHead()
	b := newBench(&s)
	other := b.Put(history.Draft{Kind: history.KindLocation, Project: b.at.Project, Part: b.at.Part, Data: history.LocationData{Tag: "R3"}}).ID
	f := b.do(history.KindFinding, histtest.HoleFinding("", histtest.PhotoHash(nil), 4.86))
	elsewhere := b.Put(history.Draft{Kind: history.KindPart, Project: b.at.Project, Data: history.PartData{Name: "Rib", Spec: &s}}).ID
	far := b.Put(history.Draft{Kind: history.KindLocation, Project: b.at.Project, Part: elsewhere, Data: history.LocationData{Tag: "R1"}}).ID
	for name, to := range map[string]string{"where it is": b.at.Location, "another part": far, "nowhere": f} {
		if _, err := standing.Move(history.StateOf(b.Wrote), f, to); err == nil {
			t.Errorf("moved to %s", name)
		}
	}
	if _, err := standing.Move(history.StateOf(b.Wrote), f, other); err != nil {
		t.Errorf("not moved to an empty one: %v", err)
	}
	// A rivet that stood there then; one that was set later does not matter.
	here := b.at.Location
	b.at.Location = other
	b.do(history.KindAttempt, history.AttemptData{})
	if _, err := standing.Move(history.StateOf(b.Wrote), f, other); err != nil {
		t.Errorf("a rivet that was set after the hole was measured: %v", err)
	}
	b.at.Location = here
	second := b.do(history.KindFinding, histtest.HoleFinding("", histtest.PhotoHash(nil), 4.9))
	if _, err := standing.Move(history.StateOf(b.Wrote), second, other); err == nil {
		t.Error("a hole was moved to where a rivet stood")
	}
}
