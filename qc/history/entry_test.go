package history_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// The example of RFC 8785, sections 3.2.2 and 3.2.3 (input, then the canonical form).
func TestCanonicalGivesTheExampleOfRFC8785(t *testing.T) {
	in := `{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}`
	want := `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`
	got, err := history.Canonical([]byte(in))
	if err != nil || string(got) != want {
		t.Errorf("got  %s, %v\nwant %s", got, err, want)
	}
	for _, bad := range []string{`{"a":1,"a":2}`, `{"a":1e999}`, `{`, ``, "{\"a\":\"\xff\"}", `{"a":"\ud800"}`} {
		if got, err := history.Canonical([]byte(bad)); err == nil {
			t.Errorf("%q was taken as %s", bad, got)
		}
	}
}

func project(d *histtest.Device) history.Entry {
	return d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
}

func TestAnEntryIsTheSameInAnySpacingAndOrderOfMembers(t *testing.T) {
	e := project(histtest.NewDevice(1, "Ines K.", history.Builder))
	var m map[string]any
	if err := json.Unmarshal(e.Bytes(), &m); err != nil {
		t.Fatal(err)
	}
	loose, _ := json.MarshalIndent(m, "\t", "  ")
	back, err := history.Parse(append([]byte("\n "), loose...))
	if err != nil {
		t.Fatal(err)
	}
	if back.Hash() != e.Hash() || !bytes.Equal(back.Bytes(), e.Bytes()) {
		t.Errorf("came back as\n%s\nwas\n%s", back.Bytes(), e.Bytes())
	}
}

func TestMembersOfANewerVersionAreKeptHashedAndNamed(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	p := project(d)
	raw := strings.Replace(string(p.Bytes()), `"name":"Tarn 2"`, `"floats":{"n":2},"name":"Tarn 2"`, 1)
	raw = strings.Replace(raw, `"data"`, `"colour":"red","data"`, 1)
	e, err := history.Parse([]byte(raw))
	if err != nil {
		t.Fatal(err)
	}
	if string(e.Bytes()) != raw {
		t.Errorf("changed to\n%s\nfrom\n%s", e.Bytes(), raw)
	}
	if e.Hash() == p.Hash() {
		t.Error("the unknown members are not part of the hash")
	}
	if got := strings.Join(e.Unknown(), " "); got != "colour data.floats" {
		t.Errorf("unknown members: %q", got)
	}
	if got := p.Unknown(); len(got) != 0 {
		t.Errorf("unknown members of our own entry: %q", got)
	}
}

func TestEntriesOfANewerVersionAreKeptAndHaveNoEffect(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	p := project(d)
	for _, c := range []struct{ name, from, to, remark string }{
		{"kind", `"kind":"project"`, `"kind":"torque"`, `its kind "torque" is not known to this version`},
		{"format", `"format":1`, `"format":7`, "written in format 7 by a newer version"},
	} {
		e, err := history.Parse([]byte(strings.Replace(string(p.Bytes()), c.from, c.to, 1)))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if e.Known() {
			t.Errorf("%s: said to be known", c.name)
		}
		got := history.ProjectOf(p.ID, []history.Entry{e})
		if got.Name != "" || len(got.Remarks) != 1 || got.Remarks[0].Text != c.remark {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// Each row changes a good entry; the answer must say what is wrong, and must be a refusal.
func TestBadEntriesAreRefusedInWords(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(d)
	pl := histtest.Place{Project: pr.ID}
	pl.Part = d.Put(pl.Draft(history.KindPart, history.PartData{Name: "Corner gusset, left"})).ID
	pl.Location = d.Put(pl.Draft(history.KindLocation, history.LocationData{Tag: "R1"})).ID
	photo := histtest.PhotoHash([]byte("x"))
	f := string(d.Put(pl.Draft(history.KindFinding, histtest.HeadFinding("", photo, 7.4, 12))).Bytes())
	for _, c := range []struct{ name, from, to, want string }{
		{"not JSON", `{"at"`, `{at`, "not a JSON object"},
		{"a list", f, `[]`, "right form"},
		{"a number", f, `3`, "right form"},
		{"member twice", `{"at"`, `{"seq":9,"at"`, "can be kept"},
		{"capitals", `"kind":"finding"`, `"Kind":"note","kind":"finding"`, "capitals"},
		{"capitals deep", `"value_mm":7.4}`, `"value_mm":7.4,"Value_mm":8}`, "capitals"},
		{"wrong type", `"kind":"finding"`, `"kind":7`, "right form"},
		{"wrong type deep", `"value_mm":7.4}`, `"value_mm":"7.4"}`, "readings.value_mm"},
		{"id", `"id":"01`, `"id":"XX`, "UUID of version 7"},
		{"seq 0", `"seq":4`, `"seq":0`, "place in a chain"},
		{"seq 1 with prev", `"seq":4`, `"seq":1`, "nothing before it"},
		{"no prev", `"prev"`, `"perv"`, "prev"},
		{"role", `"role":"builder"`, `"role":"owner"`, "neither builder nor inspector"},
		{"nobody", `"by":"Ines K."`, `"by":" "`, "by is empty"},
		{"control character", `"by":"Ines K."`, `"by":"Ines\u0000"`, "control character"},
		{"no location", `"location":`, `"place":`, "project, part and location"},
		{"no uncertainty", `"U_mm":0.06`, `"U_mm":0`, "no uncertainty"},
		{"no photo", `,"photo":"` + photo + `"`, ``, "photo of head_d_mean is missing"},
		{"photo's name", photo, "../../etc/passwd", "not a SHA-256"},
		{"no way", `"how":"photo"`, `"how":"guess"`, "how it was obtained"},
		{"neighbour", `"how":"photo"`, `"how":"photo","of":{"location":"R4"}`, "neighbour \"R4\" is not an id"},
		{"neighbour's name", `"how":"photo"`, `"how":"photo","of":{"name":"` + strings.Repeat("R", 500) + `"}`, "edge or neighbour"},
		{"reading of no finding", `"how":"photo"`, `"how":"photo","of":{"reading":-1}`, "goes to reading -1"},
		{"no source", `"source":"`, `"sauce":"`, "names no source"},
		{"verdict", `"verdict":"within"`, `"verdict":"fine"`, "verdict"},
		{"a fault seen", `"seen":"no"`, `"seen":"yes"`, "verdict"},
		{"time", `"at":"2026`, `"at":"0026`, "is not a time"},
		{"self", `"seq":4`, `"seq":4,"supersedes":["` + idOf(f) + `"]`, "supersedes itself"},
	} {
		if !strings.Contains(f, c.from) {
			t.Errorf("%s: the good entry has no %s", c.name, c.from)
			continue
		}
		_, err := history.Parse([]byte(strings.ReplaceAll(f, c.from, c.to)))
		var r *qc.Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Text, c.want) || r.Do == "" {
			t.Errorf("%s: got %v, want %q in it", c.name, err, c.want)
		}
	}
	if _, err := history.Parse([]byte(f)); err != nil {
		t.Errorf("the good entry itself: %v", err)
	}
	if _, err := history.Parse([]byte(strings.Repeat("[", 100_000))); err == nil {
		t.Error("a hundred thousand open brackets were taken")
	}
	big := strings.Replace(f, `"by":"Ines K."`, `"by":"`+strings.Repeat("x", history.MaxEntryBytes)+`"`, 1)
	var r *qc.Refusal
	if _, err := history.Parse([]byte(big)); !errors.As(err, &r) || r.Code != "entry-too-large" {
		t.Errorf("too large: %v", err)
	}
}

func idOf(raw string) string {
	var h history.Head
	if err := json.Unmarshal([]byte(raw), &h); err != nil {
		panic(err)
	}
	return h.ID
}

func TestTheMakerRefusesWhatParseRefusesAndStaysWhereItWas(t *testing.T) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(d)
	before := *d.Maker
	for _, c := range []struct {
		name  string
		draft history.Draft
	}{
		{"141 mm", history.Draft{Kind: history.KindCard, Project: pr.ID, Data: history.CardData{Sheet: "1", CheckNominalMM: 150,
			CheckAcrossMM: 110, CheckAlongMM: 150, CheckUMM: 0.1, ThicknessMM: 0.3, ThicknessUMM: 0.02}}},
		{"decision by a builder", histtest.Place{Project: pr.ID, Part: pr.ID, Location: pr.ID}.Draft(history.KindDecision,
			history.DecisionData{Finding: pr.ID, Answer: qc.Confirmed, Name: "E. Salo"})},
		{"withdrawal without a reason", history.Draft{Kind: history.KindWithdrawal, Project: pr.ID, Supersedes: []string{pr.ID}, Data: history.WithdrawalData{}}},
	} {
		if _, err := d.Make(c.draft, d.Clock, d.Rand); err == nil {
			t.Errorf("%s: was made", c.name)
		}
	}
	if *d.Maker != before {
		t.Errorf("moved on to %+v", *d.Maker)
	}
}

func TestAClockYearsBehindDoesNotPutEntriesBeforeWhatTheyAnswer(t *testing.T) {
	a := histtest.NewDevice(1, "Ines K.", history.Builder)
	pr := project(a)
	b := histtest.NewDevice(2, "Bo", history.Builder)
	b.Clock = time.Date(2009, 1, 1, 0, 0, 0, 0, time.UTC)
	b.Saw(pr)
	e := b.Put(history.Draft{Kind: history.KindProject, Project: pr.ID, Data: history.ProjectData{Name: "Tarn 3"}})
	if history.Compare(pr, e) >= 0 {
		t.Error("the answer sorts before what it answers")
	}
	if e.At.Year() != 2009 {
		t.Errorf("the device's own clock reading is lost: %v", e.At)
	}
	if got := history.ProjectOf(pr.ID, []history.Entry{e, pr}).Name; got != "Tarn 3" {
		t.Errorf("name %q", got)
	}
}

func FuzzParse(f *testing.F) {
	d := histtest.NewDevice(1, "Ines K.", history.Builder)
	f.Add(project(d).Bytes())
	f.Add([]byte(`{"format":2}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		e, err := history.Parse(b)
		if err != nil {
			return
		}
		back, err := history.Parse(e.Bytes())
		if err != nil || back.Hash() != e.Hash() {
			t.Errorf("%s\ncame back as %s, %v", e.Bytes(), back.Bytes(), err)
		}
		history.StateOf([]history.Entry{e}).WorkList()
		e.Unknown()
	})
}
