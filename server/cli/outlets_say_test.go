package cli_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/report"
	"bucktail/qc/standing"
	"bucktail/server/cli"
)

func inRecord(t *testing.T, rec *report.Record, want []stands) {
	var b bytes.Buffer
	if err := report.WriteJSON(&b, rec); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Parts []struct {
			Locations []struct {
				Tag, ID, Headline string
				Whole             qc.Verdict
				NotRead           []string `json:"not_read"`
				Governing         *qc.Check
				Limits            struct {
					Set, Own string
					Chosen   standing.Origin
				}
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	var all []stands
	for _, p := range got.Parts {
		for _, l := range p.Locations {
			s := stands{Tag: l.Tag, ID: l.ID, Whole: l.Whole, Headline: l.Headline, NotRead: append([]string{}, l.NotRead...), Set: l.Limits.Set, Own: l.Limits.Own, Chosen: l.Limits.Chosen}
			if l.Governing != nil {
				s.check(*l.Governing)
			}
			all = append(all, s)
		}
	}
	same(t, all, want)
}

func same(t *testing.T, got, want []stands) {
	t.Helper()
	for i, s := range want {
		if i >= len(got) || !reflect.DeepEqual(got[i], s) {
			t.Errorf("%s, want %s", brief(got[i]), brief(s))
		}
	}
}

// inTable reads the one row of each location that says that it governs.
func inTable(t *testing.T, rec *report.Record, want []stands) {
	var b bytes.Buffer
	if err := report.WriteCSV(&b, rec, qc.Millimetres); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(row []string, name string) string { return row[slices.Index(rows[0], name)] }
	num := func(row []string, name string) float64 { v, _ := strconv.ParseFloat(at(row, name), 64); return v }
	for _, s := range want {
		var governs []string
		for _, r := range rows[1:] {
			if at(r, "location") == s.Tag && at(r, "governs") == "yes" {
				if governs != nil {
					t.Errorf("%s: two rows govern", s.Tag)
				}
				governs = r
			}
		}
		if governs == nil {
			if s.Quantity != "" {
				t.Errorf("%s: no row governs", s.Tag)
			}
			continue
		}
		limit, source := num(governs, "least allowed (mm)"), at(governs, "source of least")
		set := s.Set
		if s.Own != "" {
			set = s.Own + ", " + s.Set
		}
		if at(governs, "quantity") != string(s.Quantity) || !near(num(governs, "value (mm)"), s.ValueMM) || !near(num(governs, "U judged with (mm)"), s.UMM) ||
			!near(limit, s.MinMM) || source != s.Source || at(governs, "verdict on least") != string(s.Verdict) ||
			at(governs, "location stands") != s.Headline || at(governs, "limit set") != set || at(governs, "current") != "yes" {
			t.Errorf("%q, want %s", governs, brief(s))
		}
	}
}

func near(a, b float64) bool { return a-b < 1e-6 && b-a < 1e-6 }

// pdfText gives what a reader that is not ours sees, line by line.
func pdfText(t *testing.T, write func(*bytes.Buffer) error) string {
	t.Helper()
	if os.Getenv("BUCKTAIL_TOOLS") == "" {
		t.Skip("set BUCKTAIL_TOOLS=1: the PDF is read by poppler")
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// fields is a text with single spaces.
func fields(s string) string { return strings.Join(strings.Fields(s), " ") }

// tagged gives the rows of a table by their first word, a tag, with what is wrapped below them.
func tagged(table string) map[string]string {
	out := map[string]string{}
	tag := ""
	for _, line := range strings.Split(table, "\n") {
		if f := strings.Fields(line); len(f) == 0 {
			tag = ""
		} else if strings.HasPrefix(line, "R") {
			tag = f[0]
		}
		if tag != "" {
			out[tag] = fields(out[tag] + " " + line)
		}
	}
	return out
}

// words are the pieces by which a person knows the check that governs.
func (s stands) words() (value, limit string) {
	return strings.TrimSuffix(qc.Millimetres.WithU(s.ValueMM, s.UMM), " mm"), "min " + qc.Millimetres.Number(s.MinMM)
}

func (s stands) limits() string {
	if s.Own != "" {
		return s.Own + ", " + s.Set
	}
	return s.Set
}

// inReport reads the tables of locations, and the limits of each part and of what differs from it.
func inReport(t *testing.T, text string, want []stands) {
	table := map[string]string{}
	for _, page := range strings.Split(text, "\f") {
		if _, rows, ok := strings.Cut("\n"+page, "\nLocations\n"); ok {
			for tag, b := range tagged(rows) {
				table[tag] = b
			}
		}
	}
	for _, s := range want {
		line := "not measured " + s.Headline
		if s.Quantity != "" {
			value, limit := s.words()
			line = s.Quantity.Words() + " " + value + " " + limit + " " + s.Headline
		}
		// The page's number stands at the end of the row's first line, which may be within the headline.
		if got := table[s.Tag]; !strings.Contains(got, line) && !strings.Contains(withoutPage(got), line) {
			t.Errorf("%s: the table of locations says %q, want %q in it", s.Tag, got, line)
		}
		if s.Chosen != standing.ByLocation {
			set, _ := qc.FindSet(s.Set)
			if !strings.Contains(fields(text), "Limit set "+set.Title) {
				t.Errorf("%s: no part's page names %q", s.Tag, set.Title)
			}
		} else if s.Quantity != "" && !strings.Contains(fields(text), s.Tag+", attempt 1 "+s.Headline+" Shop head of -6 (3/16 in) · limits: "+s.limits()) {
			t.Errorf("%s: its page does not name the limits %s", s.Tag, s.limits())
		}
	}
}

// withoutPage takes the number of the page out of a row of which the headline goes over two lines:
// "within, 1 4 not read".
func withoutPage(row string) string {
	f := strings.Fields(row)
	for i := 1; i < len(f)-2; i++ {
		if _, err := strconv.Atoi(f[i]); err == nil && f[i+1] == "not" && f[i+2] == "read" && strings.HasSuffix(f[i-2], ",") {
			return strings.Join(slices.Delete(f, i, i+1), " ")
		}
	}
	return row
}

// inForm reads the rows of the form: what governs, how it stands, what was not read.
func inForm(t *testing.T, text string, want []stands) {
	parts := strings.Split(text, "Inspector's form: ")[1:]
	for _, s := range want {
		if s.Quantity == "" {
			continue // only findings are decided on
		}
		value, limit := s.words()
		line := s.Tag + " " + s.Quantity.Words() + " " + value + " mm, " + limit
		stands := s.Whole.String()
		if s.Whole == qc.Unread {
			stands = "not all read"
		}
		i := slices.IndexFunc(parts, func(p string) bool { return strings.Contains(fields(p), line) })
		if i < 0 {
			t.Errorf("%s: no row says %q", s.Tag, line)
			continue
		}
		row := fields(parts[i])
		row = row[strings.Index(row, line):]
		row, _, _ = strings.Cut(row, "reason")
		set := "limits: " + s.limits()
		if s.Chosen != standing.ByLocation {
			set = " · record"
			if !strings.Contains(fields(parts[i]), "limits: "+s.limits()+set) {
				t.Errorf("%s: its form does not name the limits %s", s.Tag, s.limits())
			}
		} else if !strings.Contains(row, set) {
			t.Errorf("%s: %q does not say %q", s.Tag, row, set)
		}
		if !strings.Contains(row, " "+stands+" confirmed") || strings.Contains(row, "not read: "+strings.Join(s.NotRead, ", ")) != (len(s.NotRead) > 0) {
			t.Errorf("%s: %q, want it to say %q and what was not read, %q", s.Tag, row, stands, s.NotRead)
		}
	}
}

// kept holds the record and how it stands against the file that the app's test reads.
func (w *workshop) kept(t *testing.T, want []stands) {
	var b bytes.Buffer
	line := func(before string, v any, after string) {
		j, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "%s%s%s\n", before, j, after)
	}
	comma := func(i, n int) string { return strings.Repeat(",", min(1, n-1-i)) }
	b.WriteString("{\n \"stands\": [\n")
	for i, s := range want {
		line("  ", s, comma(i, len(want)))
	}
	b.WriteString(" ],\n \"entries\": [\n")
	for i, e := range w.d.Wrote {
		line("  ", json.RawMessage(e.Bytes()), comma(i, len(w.d.Wrote)))
	}
	b.WriteString(" ]\n}\n")
	if *update {
		if err := os.WriteFile(outletsFile, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	old, err := os.ReadFile(outletsFile)
	if err != nil || !bytes.Equal(old, b.Bytes()) {
		t.Errorf("%s is not what the record says now (%v): go test ./server/cli -run EveryOutlet -update, and look at the changes", outletsFile, err)
	}
}

// A photo's answer says the same as JSON and as a table; TestListSaysHowEachStands of package
// annotate holds the list below a drawn photo against it.
func TestPhotoOutletsSayTheSame(t *testing.T) {
	args := []string{"measure", "--what", "shop-head", "--rivet", "6", "--limits", "mil", "--card-scale", "0.99701,0.99744", "--card-thickness", "0.255"}
	say := func(more ...string) string {
		var out, errs bytes.Buffer
		if status := cli.Run(append(args, append(more, "../../testdata/photos/dev-08.jpg")...), strings.NewReader(""), &out, &errs); status > 1 {
			t.Fatalf("status %d: %s", status, errs.String())
		}
		return out.String()
	}
	var doc answer.Document
	if err := json.Unmarshal([]byte(say("--json")), &doc); err != nil {
		t.Fatal(err)
	}
	table := say()
	if len(doc.Locations) < 3 || doc.Spec.LimitSet != "mil" {
		t.Fatalf("%d locations by the limits %q", len(doc.Locations), doc.Spec.LimitSet)
	}
	_, rows, _ := strings.Cut(table, "verdict\n")
	for i, l := range doc.Locations {
		row, rest, _ := strings.Cut(rows, fmt.Sprintf("\n  %d ", i+2))
		rows = rest
		if l.Ask != nil {
			continue
		}
		var readings []qc.Reading
		for _, r := range l.Readings {
			readings = append(readings, r.Reading)
		}
		if again := standing.Summarize(l.Checks, readings, l.Unread, ""); !reflect.DeepEqual(again, l.Summary) {
			t.Errorf("%d: the answer says %+v", i+1, l.Summary)
		}
		first, below, _ := strings.Cut(row, "\n")
		c := l.Checks[l.Governing]
		governs := fmt.Sprintf("%s: %s", c.Verdict, c.Reading.Quantity.Words())
		value := qc.Millimetres.WithU(c.Reading.ValueMM, c.UMM) + "; " + c.Limit.Text(qc.Millimetres) + " (" + c.Limit.Source
		if !strings.HasSuffix(first, "   "+l.Headline) || !strings.HasPrefix(fields(below), governs) || !strings.Contains(fields(below), value) {
			t.Errorf("%d: the table says\n%s\nwant %q, then %q with %q first", i+1, row, l.Headline, governs, value)
		}
		for _, m := range l.Missing {
			if !strings.Contains(fields(below), "not read: "+m.What+": "+m.Do) {
				t.Errorf("%d: the table does not say that %s was not read:\n%s", i+1, m.What, row)
			}
		}
	}
}
