package report

import (
	"bytes"
	"encoding/csv"
	"testing"
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/spec"
)

// csvTable reads back what is written, a map by column for each row.
func csvTable(t *testing.T, rec *Record) (rows []map[string]string) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCSV(&b, rec, qc.Millimetres); err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all[1:] {
		row := map[string]string{}
		for i, h := range all[0] {
			row[h] = r[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// A row has its reading as it was read, and its checks as they were judged: the worst verdict,
// whichever check comes last, and the widest U that was judged with.
func TestCSVRowIsItsReadingAndItsChecks(t *testing.T) {
	r := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 6.1, UMM: 0.2, How: qc.ByPhoto}
	least := qc.Check{Reading: r, Limit: qc.Limit{Quantity: qc.EdgeDistance, MinMM: 9.525, Source: "AC 43.13-1B"}, Verdict: qc.Out, UMM: 0.45}
	greatest := qc.Check{Reading: r, Limit: qc.Limit{Quantity: qc.EdgeDistance, MaxMM: 19.05, Source: "AL0992"}, Verdict: qc.Within, UMM: 0.2}
	for _, checks := range [][]qc.Check{{least, greatest}, {greatest, least}} {
		f := Finding{Event: Event{Entry: "f1"}, Readings: []qc.Reading{r}, Result: qc.Result{Checks: checks}}
		rec := &Record{Parts: []Part{{Locations: []Location{{Tag: "R1", Finding: "f1", Attempts: []Attempt{{N: 1, Findings: []Finding{f}}}}}}}}
		row := csvTable(t, rec)[0]
		for col, want := range map[string]string{
			"value (mm)": "6.1", "U, k=2 (mm)": "0.2", "verdict": "out", "U judged with (mm)": "0.45",
			"least allowed (mm)": "9.525", "source of least": "AC 43.13-1B", "verdict on least": "out",
			"greatest allowed (mm)": "19.05", "source of greatest": "AL0992", "verdict on greatest": "within",
		} {
			if row[col] != want {
				t.Errorf("%s is %q, want %q", col, row[col], want)
			}
		}
	}
}

// The readings that count now are those that stand of the location's finding and of the gauge
// readings on it; those of an earlier attempt are not, nor is one that a later hand reading took
// the place of.
func TestCSVSaysWhatIsCurrent(t *testing.T) {
	d := newDemo(14)
	current := map[string]string{} // by location, attempt, quantity and how
	for _, row := range csvTable(t, d.record(t)) {
		key := row["location"] + " " + row["attempt"] + " " + row["quantity"] + " " + row["how"]
		current[key] = row["current"]
		if (row["superseded by"] != "") != (row["location"] == "R5" && row["how"] == "photo" && (row["quantity"] == "head_d_min" || row["quantity"] == "head_d_max")) {
			t.Errorf("%s: superseded by %q", key, row["superseded by"])
		}
	}
	for key, want := range map[string]string{
		"R1 1 head_d_min photo": "yes", "R4 1 head_d_min photo": "no", // drilled out
		"R5 1 head_d_min photo": "no", "R5 1 head_d_min hand gauge": "yes", "R5 1 head_d_mean photo": "yes", "R5 1 edge_distance photo": "yes",
		"R8 1 head_d_min photo": "no", "R8 2 hole_d_min photo": "no", "R8 3 head_d_min photo": "yes",
	} {
		if current[key] != want {
			t.Errorf("%s: current %q, want %q", key, current[key], want)
		}
	}
}

// Where two inspectors decided without having seen one another's decision the strictest stands in
// the table, whichever was written last, until somebody decides who has seen both.
func TestCSVNamesTheDecisionThatStands(t *testing.T) {
	d := newDemo(14)
	here := histtest.Place{Project: d.project, Part: d.parts[0]}
	here.Location = d.put(d.builder, here, history.KindLocation, history.LocationData{Tag: "R99"}).ID
	f := d.put(d.builder, here, history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 12))
	says := func(answer qc.Disposition, seen ...history.Entry) history.Entry {
		data := history.DecisionData{Finding: f.ID, Answer: answer, Reason: "gap", Name: "M. Oduya", Seen: []string{}}
		for _, e := range seen {
			data.Seen = append(data.Seen, e.ID)
		}
		inspector := histtest.NewDevice(uint64(90+len(d.entries)), "M. Oduya", history.Inspector)
		inspector.Clock = d.builder.Clock.Add(time.Duration(len(d.entries)) * time.Minute)
		inspector.Saw(d.entries...)
		return d.put(inspector, here, history.KindDecision, data)
	}
	stands := func(want qc.Disposition) {
		t.Helper()
		found := false
		for _, row := range csvTable(t, d.record(t)) {
			if row["location"] == "R99" && row["decision"] != string(want) {
				t.Errorf("the decision is %q, want %q", row["decision"], want)
			}
			found = found || row["location"] == "R99"
		}
		if !found {
			t.Error("no row")
		}
	}
	stands("")
	rejected := says(qc.Rejected)
	confirmed := says(qc.Confirmed)
	stands(qc.Rejected)
	says(qc.Confirmed, rejected, confirmed)
	stands(qc.Confirmed)
}

// Text that a spreadsheet would take for a formula is kept from it; numbers stay numbers.
func TestCSVKeepsFormulasOut(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+41 79": "'+41 79", "-cmd|x": "'-cmd|x", "@SUM(A1)": "'@SUM(A1)", "\tx": "'\tx", "\nx": "'\nx", "\rx": "'\rx",
		"-0.25": "-0.25", "+0.25": "+0.25", "R1": "R1", "": "", "a=b": "a=b",
	} {
		if got := noFormula(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// A row names the source of each limit and its basis in plain words, and of a derived one from what.
func TestCSVSaysHowEachLimitIsKnown(t *testing.T) {
	r := qc.Reading{Quantity: qc.HeadDMin, ValueMM: 6.1, UMM: 0.2, How: qc.ByPhoto}
	for _, want := range []struct {
		basis      spec.Basis
		word, note string
	}{
		{spec.Read, "read", ""}, {spec.Derived, "derived", "ratios of the 1/8 in row"}, {spec.Memory, "recalled", "the tolerance is less certain"}, {spec.Own, "own", "note 4"},
	} {
		least := qc.Check{Reading: r, Limit: qc.Limit{Quantity: qc.HeadDMin, MinMM: 5.2, Source: "a document", Basis: want.basis, Note: want.note}, Verdict: qc.Within, UMM: 0.2}
		greatest := least
		greatest.Limit.MinMM, greatest.Limit.MaxMM = 0, 7.1
		f := Finding{Event: Event{Entry: "f1"}, Readings: []qc.Reading{r}, Result: qc.Result{Checks: []qc.Check{least, greatest}}}
		row := csvTable(t, &Record{Parts: []Part{{Locations: []Location{{Tag: "R1", Attempts: []Attempt{{N: 1, Findings: []Finding{f}}}}}}}})[0]
		for _, side := range []string{"least", "greatest"} {
			if s, b, n := row["source of "+side], row["basis of "+side], row["note on "+side]; s != "a document" || b != want.word || n != want.note {
				t.Errorf("%s, %s: source %q, basis %q, note %q", want.basis, side, s, b, n)
			}
		}
	}
}
