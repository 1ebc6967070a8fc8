package report

import (
	"bytes"
	"encoding/csv"
	"testing"

	"bucktail/qc"
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

// The readings that count now are those of the location's finding and of the gauge that settled
// it; those of an earlier look and another attempt are not.
func TestCSVSaysWhatIsCurrent(t *testing.T) {
	finding := func(id, settles string) Finding {
		return Finding{Event: Event{Entry: id}, Settles: settles, Readings: []qc.Reading{{Quantity: qc.HeadDMin, ValueMM: 5, UMM: 0.1, How: qc.ByPhoto}}}
	}
	rec := &Record{Parts: []Part{{Locations: []Location{
		{Tag: "R1", Finding: "f3", Attempts: []Attempt{{N: 1, Findings: []Finding{finding("f1", "")}}, {N: 2, Findings: []Finding{finding("f2", ""), finding("f3", ""), finding("g1", "f3"), finding("g2", "f2")}}}},
		{Tag: "R2", Attempts: []Attempt{{N: 1, Findings: []Finding{finding("f4", "")}}}}, // nothing stands there now
	}}}}
	want := map[string]string{"f1": "no", "f2": "no", "f3": "yes", "g1": "yes", "g2": "no", "f4": "no"}
	for _, row := range csvTable(t, rec) {
		if row["current"] != want[row["finding"]] {
			t.Errorf("%s: current %q, want %q", row["finding"], row["current"], want[row["finding"]])
		}
	}
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
