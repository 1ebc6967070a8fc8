package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"bucktail/imaging/annotate"
	"bucktail/imaging/answer"
	"bucktail/qc"
)

// table prints answers for people. Lengths stand in columns with their decimals under each
// other, or one below the other where the terminal is too narrow for that.
type table struct {
	w     io.Writer
	width int
	units qc.Units
	size  string
	n     int  // photos printed
	found bool // whether anything stood on them
}

// plainWidth is taken where the output is no terminal.
const plainWidth = 100

func newTable(w io.Writer, job *measureJob) *table {
	t := &table{w: w, width: plainWidth, units: job.units, size: job.options.Size}
	if cols := columnsOf(w); cols > 0 {
		t.width = cols
	}
	return t
}

// column is one quantity of the table: of several readings the smallest is shown.
type column struct {
	head string
	is   []qc.Quantity // the first that was read is shown
}

var (
	diameters = []column{
		{"least Ø", []qc.Quantity{qc.HeadDMin, qc.HoleDMin}},
		{"greatest Ø", []qc.Quantity{qc.HeadDMax, qc.HoleDMax}},
	}
	places = []column{
		{"nearest edge", []qc.Quantity{qc.EdgeDistance}},
		{"nearest pitch", []qc.Quantity{qc.Pitch}},
	}
	height  = column{"height", []qc.Quantity{qc.HeadHeight}}
	mandrel = column{"mandrel off", []qc.Quantity{qc.MandrelOff}}
)

// kindNames name the kinds for people.
var kindNames = map[qc.Kind]string{
	qc.ShopHead: "shop heads", qc.UniversalHead: "universal heads", qc.PulledHead: "pulled heads",
	qc.FlushHead: "flush heads", qc.Hole: "holes",
}

// photo prints the answer to one photo; saved is where its annotated copy went, "" nowhere.
func (t *table) photo(doc *answer.Document, saved string) error {
	var b strings.Builder
	if t.n++; t.n > 1 {
		b.WriteString("\n")
	}
	t.head(&b, doc)
	if len(doc.Locations) == 0 && len(doc.Problems) > 0 && doc.Scale == nil {
		return nil // the photo was not measured at all, which is said where errors are
	}
	if len(doc.Locations) > 0 {
		t.found = true
		t.wrap(&b, "", fmt.Sprintf("%s for rivet %s (%s), lengths in %s, ± U at k = 2", kindNames[doc.Spec.Kind], t.size,
			t.units.Value(doc.Spec.NominalMM), t.units))
	}
	for _, w := range doc.Warnings {
		t.wrap(&b, "  ", "note: "+w.Text)
	}
	for i := range doc.Problems {
		p := &doc.Problems[i]
		t.wrap(&b, "  ", "not measured: "+p.Error())
	}
	if len(doc.Locations) > 0 {
		b.WriteString("\n")
		t.locations(&b, doc)
		for _, n := range annotate.Notes(doc, nil) {
			t.wrap(&b, "  ", "note on "+n.String())
		}
	}
	if saved != "" {
		b.WriteString("\n  annotated: " + saved + "\n")
	}
	_, err := io.WriteString(t.w, b.String())
	return err
}

// head tells which photos the answer stands on, and their scales.
func (t *table) head(b *strings.Builder, doc *answer.Document) {
	if doc.Photos == nil {
		b.WriteString(doc.Photo + "\n")
		if s := doc.Scale; s != nil {
			t.wrap(b, "", scaleLine(s))
		}
		return
	}
	fmt.Fprintf(b, "%d photos measured together\n", len(doc.Photos))
	for _, p := range doc.Photos {
		line := p.Name
		if p.Scale != nil {
			line += ": " + scaleLine(p.Scale)
		}
		if p.Moved {
			line += ", card moved"
		}
		t.wrap(b, "  ", line)
	}
}

func scaleLine(s *answer.Scale) string {
	var parts []string
	switch {
	case s.Layout != "":
		parts = append(parts, fmt.Sprintf("%s card, %d rings", s.Layout, s.Targets))
	default:
		parts = append(parts, "scale by "+s.From)
	}
	parts = append(parts, fmt.Sprintf("tilt %.0f°", s.TiltDeg))
	if s.DistanceMM > 0 {
		parts = append(parts, fmt.Sprintf("%.0f mm away", s.DistanceMM))
	}
	return strings.Join(append(parts, fmt.Sprintf("%.1f px per mm", 1/s.MMPerPx)), ", ")
}

// locations prints the rows with what decides each.
func (t *table) locations(b *strings.Builder, doc *answer.Document) {
	cols := append(append([]column{}, diameters...), places...)
	if doc.Spec.Kind == qc.PulledHead {
		cols = append(cols, mandrel)
	}
	if doc.Photos != nil && doc.Spec.Kind == qc.ShopHead {
		cols = append(cols, height)
	}
	cells := make([][]string, len(doc.Locations)) // "7.53 ± 0.06"
	wide := make([]int, len(cols))
	for c := range cols {
		wide[c] = utf8.RuneCountInString(cols[c].head)
	}
	for i := range doc.Locations {
		cells[i] = make([]string, len(cols))
		for c := range cols {
			cells[i][c] = t.cell(&doc.Locations[i], cols[c])
		}
	}
	for c := range cols {
		alignPoints(cells, c)
		for i := range cells {
			wide[c] = max(wide[c], utf8.RuneCountInString(cells[i][c]))
		}
	}
	tag := len(strconv.Itoa(len(doc.Locations)))
	total := 2 + tag + 3 + len("within, 2 not read")
	for _, w := range wide {
		total += w + 3
	}
	if total > t.width {
		t.stacked(b, doc, cols, cells)
		return
	}
	fmt.Fprintf(b, "  %*s", tag, "")
	for c := range cols {
		b.WriteString("   " + pad(cols[c].head, wide[c]))
	}
	b.WriteString("   verdict\n")
	indent := strings.Repeat(" ", 2+tag+3)
	for i := range doc.Locations {
		l := &doc.Locations[i]
		fmt.Fprintf(b, "  %*d", tag, i+1)
		if l.Ask != nil {
			t.wrapAfter(b, "   ", indent, askLine(l.Ask))
			continue
		}
		for c := range cols {
			b.WriteString("   " + pad(cells[i][c], wide[c]))
		}
		b.WriteString("   " + l.Headline + "\n")
		t.because(b, indent, l)
	}
}

// stacked prints the rows for a narrow terminal: a line for each reading.
func (t *table) stacked(b *strings.Builder, doc *answer.Document, cols []column, cells [][]string) {
	wide := 0
	for _, c := range cols {
		wide = max(wide, utf8.RuneCountInString(c.head))
	}
	for i := range doc.Locations {
		l := &doc.Locations[i]
		if l.Ask != nil {
			fmt.Fprintf(b, "  %d", i+1)
			t.wrapAfter(b, "  ", "     ", askLine(l.Ask))
			continue
		}
		fmt.Fprintf(b, "  %d  %s\n", i+1, l.Headline)
		for c := range cols {
			if s := cells[i][c]; s != "" {
				b.WriteString("     " + pad(cols[c].head, wide) + "  " + s + "\n")
			}
		}
		t.because(b, "     ", l)
	}
}

func askLine(r *qc.Refusal) string { return "not measured: " + r.Error() }

// because prints the check that governs, every other that is not within, and what was not read.
func (t *table) because(b *strings.Builder, indent string, l *answer.Location) {
	if g := l.Governing; g >= 0 && l.Checks[g].Verdict == qc.Within {
		t.wrap(b, indent, t.checkLine(l, g))
	}
	said := map[string]bool{}
	for i := range l.Checks {
		if l.Checks[i].Verdict == qc.Within {
			continue
		}
		if s := t.checkLine(l, i); !said[s] {
			said[s] = true
			t.wrap(b, indent, s)
		}
	}
	for _, m := range l.Missing {
		t.wrap(b, indent, "not read: "+m.What+": "+m.Do)
	}
	for _, p := range l.Photos {
		if !p.Used {
			t.wrap(b, indent, p.Photo+" left out here: "+p.Why)
		}
	}
	if l.Tilt != nil && l.Tilt.Deg > l.Tilt.UDeg {
		t.wrap(b, indent, fmt.Sprintf("its flat leans by %.0f° ± %.0f°", l.Tilt.Deg, l.Tilt.UDeg))
	}
}

// checkLine tells a check in words: value, limit, source and how the limit's figure got here.
func (t *table) checkLine(l *answer.Location, i int) string {
	c := l.Checks[i]
	s := fmt.Sprintf("%s: %s%s %s; %s", c.Verdict, c.Reading.What(), to(l, c.Reading), t.units.WithU(c.Reading.ValueMM, c.UMM), t.limit(&c.Limit))
	if do := c.Settle(); do != "" {
		s += ": " + do
	}
	if c.Limit.Laxer && c.Limit.Published != nil {
		s += "; less strict than the published limit, " + t.limit(c.Limit.Published)
	}
	return s
}

// limit tells a limit with its origin: "at least 4.37 mm (AC 43.13-1B 4-57c; from the table)".
func (t *table) limit(l *qc.Limit) string {
	return fmt.Sprintf("%s (%s; %s)", l.Text(t.units), l.Source, l.Provenance())
}

// to names the neighbour of a pitch.
func to(l *answer.Location, pitch qc.Reading) string {
	for _, r := range l.Readings {
		if r.To != nil && r.Quantity == pitch.Quantity && r.ValueMM == pitch.ValueMM {
			return fmt.Sprintf(" to %d", *r.To+1)
		}
	}
	return ""
}

// cell shows the smallest reading of a column's quantity, "" where there is none.
func (t *table) cell(l *answer.Location, c column) string {
	for _, q := range c.is {
		best := -1
		for i, r := range l.Readings {
			if r.Quantity == q && (best < 0 || r.ValueMM < l.Readings[best].ValueMM) {
				best = i
			}
		}
		if best >= 0 {
			r := l.Readings[best]
			s, _ := strings.CutSuffix(t.units.WithU(r.ValueMM, r.UMM), " "+string(t.units))
			return s
		}
	}
	return ""
}

// alignPoints pads a column on the left so that the decimal points of the values stand under
// each other; every value has as many decimals.
func alignPoints(cells [][]string, c int) {
	most := 0
	for _, row := range cells {
		most = max(most, strings.IndexByte(row[c], '.'))
	}
	for _, row := range cells {
		if at := strings.IndexByte(row[c], '.'); at >= 0 {
			row[c] = strings.Repeat(" ", most-at) + row[c]
		}
	}
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(s)))
}

// wrap writes a paragraph whose lines begin with indent.
func (t *table) wrap(b *strings.Builder, indent, s string) {
	t.wrapAfter(b, indent, indent, s)
}

// wrapAfter writes a paragraph that goes on after what stands on the line already, which takes
// as much room as indent.
func (t *table) wrapAfter(b *strings.Builder, first, indent, s string) {
	b.WriteString(first)
	room := max(t.width-utf8.RuneCountInString(indent), 20)
	used := 0
	for _, word := range strings.Fields(s) {
		n := utf8.RuneCountInString(word)
		switch {
		case used == 0:
		case used+1+n > room:
			b.WriteString("\n" + indent)
			used = 0
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	b.WriteByte('\n')
}

// end prints what stands beside every verdict; nothing where there is none.
func (t *table) end() {
	if !t.found {
		return
	}
	var b strings.Builder
	b.WriteByte('\n')
	t.wrap(&b, "", qc.PhotoCaution)
	fmt.Fprint(t.w, b.String())
}
