package history_test

import (
	"slices"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// An inspector decides, signs, writes notes and takes back what an inspector wrote, and nothing
// else; a builder writes everything, and what comes with a newer version.
func TestWhoMayWriteWhat(t *testing.T) {
	inspectors := []history.Kind{history.KindDevice, history.KindNote, history.KindDecision, history.KindSignOff, history.KindWithdrawal}
	for _, k := range history.Kinds {
		if got, want := history.MayWrite(history.Inspector, k), slices.Contains(inspectors, k); got != want {
			t.Errorf("an inspector may write %q: %v", k, got)
		}
		if !history.MayWrite(history.Builder, k) {
			t.Errorf("a builder may not write %q", k)
		}
		if history.MayWrite("guest", k) || history.MayWrite("", k) {
			t.Errorf("somebody in another role may write %q", k)
		}
	}
	if !history.MayWrite(history.Builder, "torque") || history.MayWrite(history.Inspector, "torque") {
		t.Error("a kind of a newer version is for builders alone")
	}
}

// A chain reaches to the last entry that follows from the one before, however many stand behind.
func TestReachEndsAtABreak(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(d)
	notes(d, pr.ID, 6)
	other, err := history.Parse([]byte(strings.Replace(string(d.Wrote[3].Bytes()), `"text":"n"`, `"text":"N"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	places := map[int64][]history.Link{}
	for i, e := range d.Wrote {
		if i == 3 {
			e = other // entry 5 names the one that stood here
		}
		places[e.Seq] = append(places[e.Seq], history.LinkOf(e))
	}
	at := func(seq int64) []history.Link { return places[seq] }
	for _, from := range []int64{0, 2, 4} {
		if seq, hash := history.Reach(from, at); seq != 4 || hash != other.Hash().String() {
			t.Errorf("from %d it reaches to %d, %s; entry 5 does not follow from entry 4", from, seq, hash)
		}
	}
}

// Bytes that are kept under a hash must have it.
func TestKeptEntryMustHaveItsHash(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	e := project(d)
	if got, err := history.ParseKept(e.Bytes(), e.Hash()); err != nil || got.ID != e.ID {
		t.Errorf("the entry itself: %v", err)
	}
	raw := []byte(strings.Replace(string(e.Bytes()), "Tarn", "Torn", 1))
	if string(raw) == string(e.Bytes()) {
		t.Fatal("nothing was changed")
	}
	if _, err := history.ParseKept(raw, e.Hash()); err == nil || !strings.Contains(err.Error(), "was changed") {
		t.Errorf("one that was changed on the disk: %v", err)
	}
}

// A sign-off is current only if it names all there is, all of it is here, and it is what was signed.
func TestSignOffIsCurrentOnlyIfAllIsAsSigned(t *testing.T) {
	for name, c := range map[string]struct {
		st   history.SignOffStatus
		want bool
	}{
		"as signed":     {history.SignOffStatus{}, true},
		"one since":     {history.SignOffStatus{Since: []string{"a"}}, false},
		"one missing":   {history.SignOffStatus{Missing: []string{"a"}}, false},
		"another entry": {history.SignOffStatus{Altered: true}, false},
	} {
		if got := c.st.Current(); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A location that was taken out counts no more, and what was found there neither.
func TestTakenOutLocationsDoNotCount(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	at := histtest.Place{Project: project(d).ID}
	at.Part = d.Put(at.Draft(history.KindPart, history.PartData{Name: "Gusset"})).ID
	var tags []histtest.Place
	for _, tag := range []string{"R1", "R2"} {
		l := at
		l.Location = d.Put(at.Draft(history.KindLocation, history.LocationData{Tag: tag})).ID
		sh := d.Put(l.Draft(history.KindShot, histtest.Shot([]byte(tag), "", l.Location)))
		d.Put(l.Draft(history.KindFinding, histtest.HeadFinding(sh.ID, histtest.PhotoHash([]byte(tag)), 6.1, 10.1)))
		tags = append(tags, l)
	}
	count := func() (locations, verdicts, work int) {
		_, c, ok := history.StateOf(d.Wrote).Part(at.Part)
		if !ok {
			t.Fatal("there is no part")
		}
		for _, n := range c.Verdicts {
			verdicts += n
		}
		for _, n := range c.Work {
			work += n
		}
		return c.Locations, verdicts, work
	}
	if l, v, w := count(); l != 2 || v != 2 || w != 2 {
		t.Fatalf("%d locations, %d verdicts, %d to do; want 2 each", l, v, w)
	}
	out := true
	d.Put(tags[0].Draft(history.KindLocation, history.LocationData{Out: &out}))
	if l, v, w := count(); l != 1 || v != 1 || w != 1 {
		t.Errorf("with one taken out %d locations, %d verdicts, %d to do; want 1 each", l, v, w)
	}
}
