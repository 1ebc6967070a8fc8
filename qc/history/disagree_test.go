package history_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// inspected is a location with a finding that waits for inspectors.
type inspected struct {
	t       *testing.T
	builder *histtest.Device
	at      histtest.Place
	finding string
	entries []history.Entry
}

func newInspected(t *testing.T) *inspected {
	b := &inspected{t: t, builder: histtest.NewDevice(11, "Ines K.", history.Builder)}
	b.at.Project = b.put(b.builder, history.KindProject, history.ProjectData{Name: "Tarn 2"}).ID
	spec := histtest.ShopHead()
	b.at.Part = b.put(b.builder, history.KindPart, history.PartData{Name: "Gusset", Drawing: "D-1", Spec: &spec}).ID
	b.at.Location = b.put(b.builder, history.KindLocation, history.LocationData{Tag: "R1"}).ID
	b.finding = b.put(b.builder, history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash([]byte("a")), 7.4, 12)).ID
	return b
}

func (b *inspected) put(d *histtest.Device, k history.Kind, data any) history.Entry {
	e := d.Put(b.at.Draft(k, data))
	b.entries = append(b.entries, e)
	return e
}

// inspector is a device that has all entries up to now.
func (b *inspected) inspector(seed uint64, name string) *histtest.Device {
	d := histtest.NewDevice(seed, name, history.Inspector)
	d.Clock = b.builder.Clock.Add(time.Hour)
	d.Saw(b.entries...)
	return d
}

// says writes a decision, as the app does with what the device knows.
func (b *inspected) says(d *histtest.Device, answer qc.Disposition, knows []history.Entry) history.Entry {
	b.t.Helper()
	data := &history.DecisionData{Finding: b.finding, Answer: answer, Reason: "gap", Name: d.By}
	draft := b.at.Draft(history.KindDecision, data)
	if err := history.StateOf(knows).Complete(&draft); err != nil {
		b.t.Fatal(err)
	}
	d.Saw(knows...)
	e := d.Put(draft)
	b.entries = append(b.entries, e)
	return e
}

func (b *inspected) location() history.Location {
	l, _ := history.StateOf(b.entries).Location(b.at.Location)
	return l
}

func (b *inspected) waits(k history.WorkKind) bool {
	return slices.ContainsFunc(b.location().Work, func(w history.Work) bool { return w.Kind == k })
}

// Two inspectors who are out of reach of one another: whichever of their decisions sorts last,
// the rejection stands until somebody decides who has seen both.
func TestAnUnseenRejectionStands(t *testing.T) {
	for _, rejectsFirst := range []bool{true, false} {
		b := newInspected(t)
		salo, berg := b.inspector(21, "E. Salo"), b.inspector(22, "K. Berg")
		before := slices.Clone(b.entries)
		if rejectsFirst {
			b.says(salo, qc.Rejected, before)
			b.says(berg, qc.Confirmed, before)
		} else {
			berg.Clock = berg.Clock.Add(-30 * time.Minute)
			b.says(berg, qc.Confirmed, before)
			b.says(salo, qc.Rejected, before)
		}
		l := b.location()
		if l.Decision != qc.Rejected || len(l.Disagree) != 2 || l.Disagree[0].Name != "E. Salo" {
			t.Errorf("rejected first %v: %q, %+v", rejectsFirst, l.Decision, l.Disagree)
		}
		if !b.waits(history.WorkDisagree) || !l.Awaits {
			t.Errorf("it is not on the lists: %+v, awaits %v", l.Work, l.Awaits)
		}
		// One who has seen one of them alone settles nothing.
		third := b.inspector(23, "A. Toivonen")
		e := b.says(third, qc.Confirmed, append(slices.Clone(before), b.entries[len(before)+1]))
		if l := b.location(); l.Decision != qc.Rejected && rejectsFirst {
			t.Errorf("who has seen one decision settles both: %+v", l)
		}
		b.entries = slices.DeleteFunc(b.entries, func(x history.Entry) bool { return x.ID == e.ID })
		b.says(b.inspector(24, "M. Laine"), qc.Confirmed, b.entries)
		if l := b.location(); l.Decision != qc.Confirmed || len(l.Disagree) > 0 || b.waits(history.WorkDisagree) {
			t.Errorf("who has seen both does not settle it: %+v", l)
		}
	}
}

// What was written before decisions named what they had seen adds up as it did: the last counts.
func TestOldDecisionsStandAsTheyDid(t *testing.T) {
	b := newInspected(t)
	for i, answer := range []qc.Disposition{qc.Rejected, qc.Confirmed} {
		d := b.inspector(uint64(31+i), "E. Salo")
		b.put(d, history.KindDecision, history.DecisionData{Finding: b.finding, Answer: answer, Reason: "gap", Name: "E. Salo"})
	}
	if l := b.location(); l.Decision != qc.Confirmed || len(l.Disagree) > 0 {
		t.Errorf("%q, %+v", l.Decision, l.Disagree)
	}
}

func TestARejectionThatTheSignerHadNotSeenOutdatesHisSignOff(t *testing.T) {
	b := newInspected(t)
	salo, berg := b.inspector(41, "E. Salo"), b.inspector(42, "K. Berg")
	before := slices.Clone(b.entries)
	salo.Clock = salo.Clock.Add(-20 * time.Minute) // it even sorts before the signature
	b.says(salo, qc.Rejected, before)
	ids, digest := history.Covers(b.at.Part, before)
	draft := histtest.Place{Project: b.at.Project, Part: b.at.Part}.Draft(history.KindSignOff, &history.SignOffData{Covers: ids, Digest: digest, Name: "K. Berg"})
	if err := history.StateOf(before).Complete(&draft); err != nil {
		t.Fatal(err)
	}
	signed := berg.Put(draft)
	b.entries = append(b.entries, signed)
	st, err := history.StateOf(b.entries).SignOff(signed)
	if err != nil || st.Current() || len(st.Against) != 1 {
		t.Errorf("%+v, %v", st, err)
	}
	if st, _ := history.StateOf(append(before, signed)).SignOff(signed); !st.Current() {
		t.Errorf("without the rejection: %+v", st)
	}
}

// A builder's phone, or another inspector's, can't take a decision back.
func TestADecisionIsTakenBackByItsAuthorAlone(t *testing.T) {
	b := newInspected(t)
	salo, berg := b.inspector(51, "E. Salo"), b.inspector(52, "K. Berg")
	d := b.says(salo, qc.Rejected, b.entries)
	back := func(dev *histtest.Device) {
		draft := b.at.Draft(history.KindWithdrawal, history.WithdrawalData{})
		draft.Supersedes, draft.Why = []string{d.ID}, "a slip"
		dev.Saw(b.entries...)
		b.entries = append(b.entries, dev.Put(draft))
	}
	back(berg)
	if l := b.location(); l.Decision != qc.Rejected {
		t.Errorf("another inspector took it back: %q", l.Decision)
	}
	back(salo)
	if l := b.location(); l.Decision != "" {
		t.Errorf("its author did not take it back: %q", l.Decision)
	}
}

func TestAPageOlderThanTheFindingDecidesNothing(t *testing.T) {
	b := newInspected(t)
	page := func(date string) *history.DecisionData {
		return &history.DecisionData{Finding: b.finding, Answer: qc.Confirmed, Name: "E. Salo", OnPaper: &history.OnPaper{Photo: histtest.PhotoHash([]byte("page")), Date: date}}
	}
	old, now := b.builder.Clock.AddDate(0, 0, -3).Format(time.DateOnly), b.builder.Clock.Format(time.DateOnly)
	draft := b.at.Draft(history.KindDecision, page(old))
	if err := history.StateOf(b.entries).Complete(&draft); err == nil {
		t.Error("it is not asked about")
	}
	b.put(b.builder, history.KindDecision, page(old))
	if l := b.location(); l.Decision != "" || len(l.Remarks) != 1 {
		t.Errorf("%q, %+v", l.Decision, l.Remarks)
	}
	b.put(b.builder, history.KindDecision, page(now))
	if l := b.location(); l.Decision != qc.Confirmed {
		t.Errorf("%q, %+v", l.Decision, l.Remarks)
	}
}

// A form that was opened before another device's change puts nothing back that its user did not
// touch; where both changed the same, it is told.
func TestTwoDevicesThatChangeAPart(t *testing.T) {
	b := newInspected(t)
	other := histtest.NewDevice(61, "Bo", history.Builder)
	other.Clock = b.builder.Clock.Add(time.Hour)
	other.Saw(b.entries...)
	before := history.StateOf(b.entries)
	spec := histtest.ShopHead()
	shown := history.PartData{Name: "Gusset", Drawing: "D-1", Spec: &spec}
	change := func(d *histtest.Device, name, drawing string) {
		was := shown
		data := &history.PartData{Name: name, Drawing: drawing, Spec: &spec, Was: &was}
		draft := histtest.Place{Project: b.at.Project, Part: b.at.Part}.Draft(history.KindPart, data)
		if err := before.Complete(&draft); err != nil {
			b.t.Fatal(err)
		}
		b.entries = append(b.entries, d.Put(draft))
	}
	change(b.builder, "Gusset", "D-2")
	change(other, "Gusset, left", "D-1") // its form shows the old drawing
	p, _, _ := history.StateOf(b.entries).Part(b.at.Part)
	if p.Drawing != "D-2" || p.Name != "Gusset, left" || len(p.Clashes) > 0 {
		t.Errorf("%q, %q, %+v", p.Drawing, p.Name, p.Clashes)
	}
	change(other, "Gusset", "D-3")
	p, _, _ = history.StateOf(b.entries).Part(b.at.Part)
	if p.Drawing != "D-3" || len(p.Clashes) != 1 || p.Clashes[0].Before != "D-2" || len(p.Clashes[0].Entries) != 2 {
		t.Errorf("%q, %+v", p.Drawing, p.Clashes)
	}
	shown.Drawing = "D-3"
	b.builder.Saw(b.entries...)
	change(b.builder, "Gusset", "D-4")
	if p, _, _ = history.StateOf(b.entries).Part(b.at.Part); p.Drawing != "D-4" || len(p.Clashes) > 0 {
		t.Errorf("%q, %+v", p.Drawing, p.Clashes)
	}
	was := shown
	draft := histtest.Place{Project: b.at.Project, Part: b.at.Part}.Draft(history.KindPart, &history.PartData{Name: "Gusset", Was: &was})
	if err := before.Complete(&draft); err == nil {
		t.Error("a change of nothing is written")
	}
	// 3/16 in came out in millimetres in another way; 1/8 in is another rivet.
	for mm, changed := range map[float64]bool{math.Nextafter(spec.NominalMM, 0): false, 3.175: true} {
		was, now := shown, spec
		now.NominalMM = mm
		draft := histtest.Place{Project: b.at.Project, Part: b.at.Part}.Draft(history.KindPart, &history.PartData{Name: "Gusset", Spec: &now, Was: &was})
		if err := before.Complete(&draft); (err == nil) != changed {
			t.Errorf("a fastener of %v mm where it was %v: %v", mm, spec.NominalMM, err)
		}
	}
}
