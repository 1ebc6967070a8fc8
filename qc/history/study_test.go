package history_test

import (
	"testing"

	"bucktail/qc"
	"bucktail/qc/gaugestudy"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// A device that lost its key goes on under another id, more than once; a record may also say nonsense.
func TestPhonesGoOn(t *testing.T) {
	ids := []string{"01a19b45-b800-7c0c-a013-d2c903d89c21", "01a19b45-b800-7c0c-a013-d2c903d89c22", "01a19b45-b800-7c0c-a013-d2c903d89c23"}
	laptop := histtest.NewDevice(4, "This laptop", history.Builder)
	said := func(before, now string) history.Entry {
		return laptop.Put(history.Draft{Kind: history.KindMember, Data: history.MemberData{Device: now, What: "rejoined", Name: "phone", Role: history.Builder, Before: before}})
	}
	var p history.Phones
	for _, e := range []history.Entry{said("", ids[0]), said(ids[1], ids[2]), said(ids[0], ids[1])} {
		p.Take(e)
	}
	for _, id := range ids {
		if got := p.Now(id); got != ids[2] {
			t.Errorf("%s goes on as %s", id, got)
		}
	}
	of := history.Project{Studies: []history.Study{{Phone: ids[0], StudyData: history.StudyData{Setup: qc.Setup{Device: ids[0]}}}}, Proofs: []qc.Proof{{Setup: qc.Setup{Device: ids[0]}}}}
	of.ID = "one"
	now := p.Follow([]history.Project{of, {ID: "two"}})
	for i, where := range []string{"", "one"} { // proven for one aircraft, it was proven
		if n := now[i]; n.Studies[0].Phone != ids[2] || n.Studies[0].Device != ids[0] || n.Proofs[0].Device != ids[2] || n.Proofs[0].Elsewhere != where || of.Proofs[0].Device != ids[0] {
			t.Errorf("%+v of %+v", n, of)
		}
	}
	p.Take(said(ids[2], ids[0]))
	p.Now(ids[0]) // ends
	if got := p.Now("another"); got != "another" {
		t.Errorf("another goes on as %s", got)
	}
}

func TestStudiesOfAProject(t *testing.T) {
	d := histtest.NewDevice(3, "Ines K.", history.Builder)
	d.Put(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone"}})
	var at histtest.Place
	at.Project = d.Put(at.Draft(history.KindProject, history.ProjectData{Name: "Tarn 2"})).ID
	hash := histtest.PhotoHash([]byte("x"))
	put := func(s history.StudyData) (history.Entry, error) { return d.Try(at.Draft(history.KindStudy, s)) }
	bad := histtest.Study(d.Device, hash, 20)
	first, err := put(bad)
	if err != nil {
		t.Fatal(err)
	}
	proven := func() qc.Proven {
		return qc.InForce(history.ProjectOf(at.Project, d.Wrote).Proofs, bad.Setup)
	}
	if p := proven(); bad.Result.Verdict != gaugestudy.Worse || p.Study != first.ID || p.Factor != bad.Result.Factor || p.Factor <= 1 {
		t.Errorf("%+v of %+v", p, bad.Result)
	}
	few := bad
	few.Result = gaugestudy.Result{Verdict: gaugestudy.TooFew, Factor: 1}
	if _, err := put(few); err != nil {
		t.Fatal(err)
	}
	if p := proven(); p.Study != first.ID {
		t.Errorf("one that tells nothing ended the first: %+v", p)
	}
	good, err := put(histtest.Study(d.Device, hash, 1))
	if err != nil {
		t.Fatal(err)
	}
	if p := proven(); p.Study != good.ID || p.Factor != 1 {
		t.Errorf("a new study did not end the old: %+v", p)
	}
	if got := good.Photos(); len(got) != 1 || got[0] != hash {
		t.Errorf("photos %v", got)
	}
	for what, change := range map[string]func(*history.StudyData){
		"another device":  func(s *history.StudyData) { s.Device = "01a19b45-b800-7c0c-a013-d2c903d89c24" },
		"no reference":    func(s *history.StudyData) { s.Objects[0].ReferenceMM = 0 },
		"a smaller U":     func(s *history.StudyData) { s.Result.Factor = 0.5 },
		"a photo less":    func(s *history.StudyData) { s.Photos = s.Photos[:2] },
		"no photo":        func(s *history.StudyData) { s.Photos = nil },
		"no instrument":   func(s *history.StudyData) { s.Instrument = "" },
		"an unknown kind": func(s *history.StudyData) { s.Kind = "nail" },
	} {
		s := histtest.Study(d.Device, hash, 1)
		change(&s)
		if _, err := put(s); err == nil {
			t.Errorf("%s was taken", what)
		}
	}
}
