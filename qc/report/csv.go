package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"bucktail/qc"
)

// WriteCSV writes the table of readings after RFC 4180: UTF-8 without a byte order mark,
// lines that end in CRLF, a header, one row a reading. Lengths are in the unit that the
// header names, to a millionth of it; times are UTC after RFC 3339. The calibration is that of
// the printed scale card, by the id of its entry.
//
// A reading that was judged here but taken at the hole before the rivet was set has a row of
// its own with "hole" in the column from. The least and the greatest limit have columns of their
// own, each with its source and its basis: "read" there, "derived" (the note says from what),
// "recalled" or the builder's "own"; "limit set" names the set, after the builder's own limits that go before it. A
// reading is current where it counts now: one that a later hand reading took the place of has that
// entry under "superseded by". Of a location's readings one governs how it stands. Where several photos
// were measured together, "views" has on how many of them the reading stands.
//
// Text that a spreadsheet would take for a formula (it begins with = + - @, a tab or a line
// end) has an apostrophe put before it; record.json has all text as typed.
func WriteCSV(w io.Writer, rec *Record, u qc.Units) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	unit := "mm"
	if u == qc.Inches {
		unit = "in"
	}
	length := func(name string) string { return name + " (" + unit + ")" }
	head := []string{
		"project", "part", "drawing", "location", "attempt", "finding", "time (UTC)", "came to the laptop (UTC)", "photo taken (camera)", "odd times", "by", "nominal diameter (" + unit + ")", "kind",
		"quantity", length("value"), length("U, k=2"), "how", "from", "method",
		"edge or neighbour",
		length("least allowed"), "source of least", "basis of least", "note on least", "verdict on least",
		length("greatest allowed"), "source of greatest", "basis of greatest", "note on greatest", "verdict on greatest",
		"verdict", length("U judged with"), "limit set", "location stands", "disposition", "decision", "current", "governs", "superseded by", "card sheet", "calibration", "photo SHA-256", "views", "photos measured together", "warnings and notes",
	}
	if err := c.Write(head); err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	for _, p := range rec.Parts {
		for _, l := range p.Locations {
			for _, a := range l.Attempts {
				for i := range a.Findings {
					for _, r := range rowsOf(&a.Findings[i]) {
						if err := c.Write(r.fields(rec, &p, &l, &a, &a.Findings[i], u)); err != nil {
							return fmt.Errorf("write CSV: %w", err)
						}
					}
				}
			}
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	return nil
}

// row is one reading with the checks of it.
type row struct {
	qc.Reading
	fromHole bool
	checks   []qc.Check
}

// rowsOf pairs the readings of a finding with its checks; a check of a reading that is not
// the finding's own gets a row after them.
func rowsOf(f *Finding) []row {
	var rows []row
	for _, r := range f.Readings {
		rows = append(rows, row{Reading: r})
	}
	for _, c := range f.Result.Checks {
		i := slices.IndexFunc(rows, func(r row) bool { return r.Same(c.Reading) })
		if i < 0 {
			i = len(rows)
			rows = append(rows, row{Reading: c.Reading, fromHole: true})
		}
		rows[i].checks = append(rows[i].checks, c)
	}
	return rows
}

func (r row) fields(rec *Record, p *Part, l *Location, a *Attempt, f *Finding, u qc.Units) []string {
	num := func(mm float64) string {
		if mm == 0 {
			return ""
		}
		return decimal(shown(mm, u))
	}
	var least, greatest [5]string
	limit := func(mm float64, c qc.Check) [5]string {
		return [5]string{num(mm), c.Limit.Source, c.Limit.Basis.Word(), c.Limit.Note, string(c.Verdict)}
	}
	var worst qc.Verdict
	judged := 0.0
	notes := append([]string(nil), r.Warnings...)
	for _, c := range r.checks {
		if c.Limit.MinMM > 0 {
			least = limit(c.Limit.MinMM, c)
		}
		if c.Limit.MaxMM > 0 {
			greatest = limit(c.Limit.MaxMM, c)
		}
		worst = qc.Worst(worst, c.Verdict)
		judged = max(judged, c.UMM)
		notes = append(notes, c.Notes...)
	}
	from := "here"
	if r.fromHole {
		from = "hole"
	}
	disposition := ""
	if n := len(f.Dispositions); n > 0 {
		disposition = string(f.Dispositions[n-1].Action)
	}
	sheet, calibration := "", ""
	if f.Card != nil && !r.fromHole { // the hole's reading has a photo of its own
		sheet, calibration = f.Card.Sheet, f.Card.Calibration
	}
	current, governs, by, of, headline := "no", "no", "", "", ""
	if k := standingOf(l, f); k != nil {
		headline = k.Headline
		for _, s := range k.Readings {
			if s.Look == f.Entry && s.Same(r.Reading) {
				by = s.By
			}
		}
		if by == "" && k == l.View.Current() {
			current = "yes"
			if g := governing(k); g != nil && g.Reading.Same(r.Reading) {
				governs = "yes"
			}
		}
	}
	views, measured := "", ""
	if r.Views > 0 {
		views, measured = strconv.Itoa(r.Views), f.together()
	}
	if r.Of != nil {
		of = r.Of.Name
		if of == "" && r.Of.Nearest {
			of = "nearest"
		}
	}
	out := []string{
		rec.Project.Name, p.Name, p.Drawing, l.Tag, strconv.Itoa(a.N), f.Entry, f.At.UTC().Format(time.RFC3339), timeOrNone(f.Came), f.Taken, strings.Join(f.Odd, "; "), f.By, num(f.Spec.NominalMM), string(f.Spec.Kind),
		string(r.Quantity), decimal(shown(r.ValueMM, u)), num(r.UMM), string(r.How), from, r.Method, of,
		least[0], least[1], least[2], least[3], least[4], greatest[0], greatest[1], greatest[2], greatest[3], greatest[4],
		string(worst), num(judged), join(", ", ownName(f.Spec), f.Spec.LimitSet), headline, disposition, string(f.decision), current, governs, by, sheet, calibration, r.Photo, views, measured, strings.Join(notes, "; "),
	}
	for i, s := range out {
		out[i] = noFormula(s)
	}
	return out
}

// together names the photos that were measured together.
func (f *Finding) together() string {
	var out []string
	for _, v := range f.Views {
		out = append(out, v.Photo)
	}
	return strings.Join(out, " ")
}

func timeOrNone(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// decimal writes a length to a millionth of its unit: far below what any reading is worth, and
// without the noise of binary fractions.
func decimal(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64) }

func shown(mm float64, u qc.Units) float64 {
	if u == qc.Inches {
		return mm / qc.MMPerInch
	}
	return mm
}

// noFormula keeps a spreadsheet from taking typed text for a formula. Numbers are left.
func noFormula(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return "'" + s
}
