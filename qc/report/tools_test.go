//go:build !js

package report

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
)

// tool runs a program that is not ours. With BUCKTAIL_TOOLS=1 it must be there.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("set BUCKTAIL_TOOLS=1 to check with outside programs")
	}
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing: apt-get install qpdf poppler-utils python3 coreutils", name)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

func save(t *testing.T, name string, data []byte) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// structureText gives the tagged text of the first part's report, with R7 alone: poppler draws a
// page again for each of its texts, a minute for the whole report.
var structureText = sync.OnceValues(func() (string, error) {
	d := newDemo(14)
	rec, err := Build(history.StateOf(d.entries), Scope{d.project, d.parts[:1]}, made)
	if err != nil {
		return "", err
	}
	p := &rec.Parts[0]
	p.Locations = slices.DeleteFunc(p.Locations, func(l Location) bool { return l.Tag != "R7" })
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{Picture: d.picture}); err != nil {
		return "", err
	}
	cmd := exec.Command("pdfinfo", "-struct-text", "-")
	cmd.Stdin = &b
	out, err := cmd.CombinedOutput()
	return string(out), err
})

// structured is structureText for a test.
func structured(t *testing.T) string {
	t.Helper()
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("set BUCKTAIL_TOOLS=1 to check with outside programs")
	}
	text, err := structureText()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestReportForOthers reads reports with qpdf and poppler: well-formed, all fonts embedded,
// all text there, all pictures there, tags and bookmarks there, every page can be rendered.
func TestReportForOthers(t *testing.T) {
	d := newDemo(14)
	for _, tt := range []struct {
		name  string
		parts []string
		o     Options
		page  string
	}{
		{"one part, A4, mm", d.parts[:1], Options{}, "595.28 x 841.89 pts (A4)"},
		{"project, Letter, inches", nil, Options{Paper: paper.Letter, Units: qc.Inches, Fractions: true}, "612 x 792 pts (letter)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rec := d.record(t, tt.parts...)
			var mu sync.Mutex // pictures are asked for from several goroutines
			pictures := map[string]bool{}
			tt.o.Picture = func(ctx context.Context, r PictureRequest) (Picture, error) {
				mu.Lock()
				pictures[r.Finding.Photo] = true
				mu.Unlock()
				return d.picture(ctx, r)
			}
			var b bytes.Buffer
			if err := PDF(context.Background(), &b, rec, tt.o); err != nil {
				t.Fatal(err)
			}
			pdf := save(t, "report.pdf", b.Bytes())
			tool(t, "qpdf", "--check", pdf)
			info := tool(t, "pdfinfo", pdf)
			for _, want := range []string{tt.page, "Tagged:          yes", "Inspection record: "} {
				if !strings.Contains(info, want) {
					t.Errorf("pdfinfo does not say %q:\n%s", want, info)
				}
			}
			for _, line := range strings.Split(strings.TrimSpace(tool(t, "pdffonts", pdf)), "\n")[2:] {
				if f := strings.Fields(line); f[len(f)-5] != "yes" || f[len(f)-3] != "yes" { // emb, uni
					t.Errorf("a font is not embedded, or without Unicode: %s", line)
				}
			}
			text := tool(t, "pdftotext", pdf, "-")
			checkText(t, text, rec, tt.o.Units)
			if n := strings.Count(tool(t, "pdfimages", "-list", pdf), "jpeg"); n < len(pictures) || len(pictures) < 5 {
				t.Errorf("%d pictures on the pages, %d were given", n, len(pictures))
			}
			if len(tt.parts) == 1 {
				structure := structured(t)
				for _, want := range []string{"H1 (block)", "Table (block)", "/Scope /Column", "Figure", "R7, attempt 1", `"Drawing BH-112, sheet 2, rev C"`} {
					if !strings.Contains(structure, want) {
						t.Errorf("the structure tree has no %q", want)
					}
				}
				if !regexp.MustCompile(`"\d\.\d\d ± 0\.\d\d"`).MatchString(structure) {
					t.Error("the structure tree has no value with its uncertainty")
				}
			}
			checkAlt(t, pdf)
			checkBookmarks(t, pdf, text, rec)
			dir := t.TempDir()
			if out := tool(t, "pdftoppm", "-r", "40", "-png", pdf, filepath.Join(dir, "p")); out != "" {
				t.Errorf("pdftoppm complains: %s", out)
			}
			pages, _ := filepath.Glob(filepath.Join(dir, "p*.png"))
			if m := regexp.MustCompile(`Pages:\s+(\d+)`).FindStringSubmatch(info); m == nil || m[1] != strconv.Itoa(len(pages)) {
				t.Errorf("%d pages rendered of %v", len(pages), m)
			}
		})
	}
}

// checkText looks for every location, its verdict, and on each finding's page every value
// with its U, its limit and the limit's source.
func checkText(t *testing.T, text string, rec *Record, u qc.Units) {
	t.Helper()
	if u == "" {
		u = qc.Millimetres
	}
	text = strings.Join(strings.Fields(text), " ")
	want := []string{rec.Chain.Number, rec.Chain.SHA256, "What a photo can't show", "an inspector who looks at the part confirms", "Sign-off of Corner gusset, left", "outdated: 1 entry since",
		"inspector M. Oduya (INS-0417): rejected, the head leans", "on paper: confirmed. Entered by Ines K.", "with 4.6", "JCGM 100:2008"}
	if u == qc.Inches {
		want = append(want, "1/4 in", "Tarn 2")
		want = append(want[:8], want[9:]...)
	}
	for i := range rec.Parts {
		p := &rec.Parts[i]
		want = append(want, p.Name, p.Drawing)
		for j := range p.Locations {
			l := &p.Locations[j]
			want = append(want, l.Tag)
			f, _ := current(l)
			if !needsPage(l) || f == nil {
				continue
			}
			want = append(want, f.Photo)
			for _, c := range standingOf(l, f).Checks {
				value := strings.TrimSuffix(u.WithU(c.Reading.ValueMM, c.UMM), " "+string(u))
				want = append(want, value, c.Limit.Source[:12], c.Reading.Quantity.Words())
			}
		}
	}
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("the report does not say %q", w)
		}
	}
	for _, never := range []string{"NaN", "%!", "TODO", "passed", "approved"} {
		if strings.Contains(text, never) {
			t.Errorf("the report says %q", never)
		}
	}
}

// checkAlt reads the structure through qpdf: each figure has an alternative text.
func checkAlt(t *testing.T, pdf string) {
	t.Helper()
	out := tool(t, "qpdf", "--json", "--json-key=qpdf", "--json-stream-data=none", pdf)
	var raw struct {
		QPDF []map[string]json.RawMessage `json:"qpdf"`
	}
	if err := json.Unmarshal([]byte(out), &raw); err != nil || len(raw.QPDF) < 2 {
		t.Fatalf("qpdf --json: %v", err)
	}
	figures := 0
	for _, v := range raw.QPDF[1] {
		var o struct {
			Value map[string]any `json:"value"`
		}
		if json.Unmarshal(v, &o) != nil || o.Value["/S"] != "/Figure" || o.Value["/Type"] != "/StructElem" {
			continue
		}
		figures++
		if alt, _ := o.Value["/Alt"].(string); len(alt) < 12 {
			t.Errorf("a figure has the alternative text %q", alt)
		}
	}
	if figures < 10 {
		t.Errorf("%d figures in the structure", figures)
	}
}

// checkBookmarks reads the outline through qpdf: each part, each location with a page, and the
// pages at the end, on the pages where pdftotext finds them.
func checkBookmarks(t *testing.T, pdf, text string, rec *Record) {
	t.Helper()
	type mark struct {
		Title string
		Page  int `json:"destpageposfrom1"`
		Kids  []mark
	}
	var raw struct{ Outlines []mark }
	if err := json.Unmarshal([]byte(tool(t, "qpdf", "--json", "--json-key=outlines", pdf)), &raw); err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(text, "\f")
	marks := map[string]bool{}
	var walk func(ms []mark)
	walk = func(ms []mark) {
		for _, m := range ms {
			marks[m.Title] = true
			head, _, _ := strings.Cut(m.Title, ":") // of a location: its tag, then its verdict
			if m.Page < 1 || m.Page > len(pages) || !strings.Contains(pages[m.Page-1], head) {
				t.Errorf("the bookmark %q leads to page %d, which does not say it", m.Title, m.Page)
			}
			walk(m.Kids)
		}
	}
	walk(raw.Outlines)
	want := []string{"Sign-off", "How sure the readings are", "How to check this record"}
	for i := range rec.Parts {
		want = append(want, rec.Parts[i].Name)
		for j := range rec.Parts[i].Locations {
			if l := &rec.Parts[i].Locations[j]; needsPage(l) {
				want = append(want, l.Tag+": "+qc.Headline(l.Whole, len(l.NotRead)))
			}
		}
	}
	for _, w := range want {
		if !marks[w] {
			t.Errorf("no bookmark %q", w)
		}
	}
}

func TestFormForOthers(t *testing.T) {
	d := newDemo(14)
	var b bytes.Buffer
	if err := Form(context.Background(), &b, d.record(t), Options{}); err != nil {
		t.Fatal(err)
	}
	pdf := save(t, "form.pdf", b.Bytes())
	tool(t, "qpdf", "--check", pdf)
	text := strings.Join(strings.Fields(tool(t, "pdftotext", pdf, "-")), " ")
	for _, want := range []string{"Inspector's form: Corner gusset, left", "Waiting for a decision, 6", "measure again", "authorisation number", "signature", d.record(t).Chain.Number, d.record(t).Parts[0].Covers.Digest, "R10", "R8"} {
		if !strings.Contains(text, want) {
			t.Errorf("the form does not say %q", want)
		}
	}
	if strings.Index(text, "R1 ") > strings.Index(text, "Not finished") {
		t.Error("what waits does not come first")
	}
}

// TestCSVForOthers lets Python's csv module read the table.
func TestCSVForOthers(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t)
	rec.Parts[0].Drawing = "BH-112, \"sheet 2\"\nrev Ø, 中"
	var b bytes.Buffer
	if err := WriteCSV(&b, rec, qc.Millimetres); err != nil {
		t.Fatal(err)
	}
	out := tool(t, "python3", "-c", `
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1], newline='', encoding='utf-8'), strict=True))
r = [x for x in rows if x['location'] == 'R8' and x['quantity'] == 'head_d_min' and x['current'] == 'yes'][0]
print(len(rows), r['value (mm)'], r['U, k=2 (mm)'], r['verdict'], r['decision'])
print(ascii(r['drawing']))
`, save(t, "readings.csv", b.Bytes()))
	n := 0
	for _, p := range rec.Parts {
		for _, l := range p.Locations {
			for _, a := range l.Attempts {
				for i := range a.Findings {
					n += len(rowsOf(&a.Findings[i]))
				}
			}
		}
	}
	want := fmt.Sprintf("%d 6.4 0.07 out rejected\n%s\n", n, `'BH-112, "sheet 2"\r\nrev \xd8, \u4e2d'`) // RFC 4180: line ends are CRLF, in fields too
	if out != want {
		t.Errorf("Python reads %q, not %q", out, want)
	}
}

// TestSumsForOthers lets sha256sum check an unpacked bundle, whole and with one byte changed.
func TestSumsForOthers(t *testing.T) {
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("set BUCKTAIL_TOOLS=1 to check with outside programs")
	}
	d := newDemo(14)
	whole, _ := d.bundle(t)
	name := save(t, "out.zip", whole)
	dir := t.TempDir()
	tool(t, "python3", "-m", "zipfile", "-t", name)
	tool(t, "python3", "-m", "zipfile", "-e", name, dir)
	check := func() (string, error) {
		cmd := exec.Command("sha256sum", "-c", "--quiet", sumsFile)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := check(); err != nil || out != "" {
		t.Errorf("sha256sum: %v %s", err, out)
	}
	b, err := os.ReadFile(filepath.Join(dir, csvFile))
	if err != nil {
		t.Fatal(err)
	}
	b[100] ^= 1
	if err := os.WriteFile(filepath.Join(dir, csvFile), b, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := check(); err == nil || !strings.Contains(out, csvFile+": FAILED") {
		t.Errorf("sha256sum finds no change: %s", out)
	}
}
