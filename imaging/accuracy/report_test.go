//go:build !js

package accuracy

import (
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bucktail/qc"
)

// words names the quantities, in Go and in the tables, in the order of the tables.
var words = []struct {
	quantity     qc.Quantity
	goName, name string
}{
	{qc.HeadDMean, "HeadDMean", "head diameter, mean"},
	{qc.HeadDMax, "HeadDMax", "head diameter, greatest"},
	{qc.HeadDMin, "HeadDMin", "head diameter, least"},
	{qc.HoleDMean, "HoleDMean", "hole diameter, mean"},
	{qc.HoleDMax, "HoleDMax", "hole diameter, greatest"},
	{qc.HoleDMin, "HoleDMin", "hole diameter, least"},
	{qc.EdgeDistance, "EdgeDistance", "edge distance, from the head's centre or the hole's axis"},
	{qc.Pitch, "Pitch", "pitch"},
}

// report is all that was found, for people who work on the program.
func (m *measured) report() string {
	var b strings.Builder
	for _, g := range []struct {
		title string
		score *score
	}{
		{"rendered scenes, nothing was trained on them or chosen by them", m.rendered},
		{"of these, the near ones", m.near},
		{"bundled photos that no network was trained on: " + strings.Join(bundledFresh, ", "), m.bundled},
		{"in-sample, bundled photos that the networks were trained on: " + strings.Join(bundledSeen, ", "), m.inSample},
	} {
		s := g.score
		fmt.Fprintf(&b, "## %s\n\n%s\n\n", g.title, s.counts())
		b.WriteString("| mm | n | bias | median error | 95 % below | worst | median U | covered by U | by U/2 | by U/4 | median of error/U |\n")
		b.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
		for _, w := range words {
			if f := figuresOf(s.readings[w.quantity]); f.n > 0 {
				fmt.Fprintf(&b, "| %s | %d | %+.4f | %.4f | %.4f | %.3f | %.3f | %.1f %% | %.1f %% | %.1f %% | %.3f |\n", w.name, f.n, f.biasMM,
					f.medianMM, f.p95MM, f.worstMM, f.medianU, 100*f.covered, 100*f.byHalf, 100*f.byQuarter, f.ratio)
			}
		}
		for _, c := range slices.Concat(s.failed, s.falseWithin, s.falseOut) {
			fmt.Fprintf(&b, "\n- %s", c)
		}
		b.WriteString("\n\n")
	}
	return b.String()
}

func (s *score) counts() string {
	return fmt.Sprintf("%d photos; of %d fasteners (%d heads, %d holes) %d read, %d asked about, %d not seen; %d false; %d of %d edges found, "+
		"nearest wrong for %d of %d, said so for %d of these; %d readings with a nearer line, the edge in %d of them; %d checks, %d false within, %d false out",
		s.photos, s.fasteners, s.heads, s.holes, s.read, s.asked, s.fasteners-s.read-s.asked, s.falseOnes, s.edgesFound, s.edges,
		s.nearestWrong, s.nearest, s.hiddenSaid, s.lesser, s.lesserTrue, s.checks, len(s.falseWithin), len(s.falseOut))
}

// asBounds is what was found in the form of the tables in bounds_test.go.
func (s *score) asBounds() string {
	var b strings.Builder
	fmt.Fprintf(&b, "\tread: %d, asked: %d, falseOnes: %d, edgesFound: %d, nearestWrong: %d, lesser: %d, lesserTrue: %d,\n\tfigures: map[qc.Quantity]figures{\n",
		s.read, s.asked, s.falseOnes, s.edgesFound, s.nearestWrong, s.lesser, s.lesserTrue)
	for _, w := range words {
		if f := figuresOf(s.readings[w.quantity]); f.n > 0 {
			fmt.Fprintf(&b, "\t\tqc.%s: {n: %d, biasMM: %+.4f, medianMM: %.4f, p95MM: %.4f, covered: %.3f, ratio: %.3f},\n",
				w.goName, f.n, f.biasMM, f.medianMM, f.p95MM, f.covered, f.ratio)
		}
	}
	return b.String() + "\t},\n"
}

// forReaders is the part of README.md that is made from what was found.
func (m *measured) forReaders() string {
	var b strings.Builder
	r := m.rendered
	fmt.Fprintf(&b, "Errors on %d rendered photos with exact truth, of %d heads and %d holes. "+
		"The photos have %.0f to %.0f pixels a millimetre, are tilted %.0f° to %.0f°, and show all kinds of light and finish. "+
		"No network was trained on them. But they come from the renderer that made most of the training scenes, from other seeds. "+
		"U was set on more of its photos. Nothing was chosen by these photos: they were drawn once the method was settled. "+
		"Expect somewhat worse on real metal:\n\n",
		r.photos, r.heads, r.holes, slices.Min(r.pxPerMM), slices.Max(r.pxPerMM), slices.Min(r.tiltDeg), slices.Max(r.tiltDeg))
	b.WriteString("| what | readings | bias | median error | 95 % below | U covers the truth in |\n| --- | --- | --- | --- | --- | --- |\n")
	for _, w := range words {
		f := figuresOf(r.readings[w.quantity])
		fmt.Fprintf(&b, "| %s | %d | %s mm | %.2f mm | %.2f mm | %.0f %% |\n", w.name, f.n, signed(f.biasMM), f.medianMM, f.p95MM, 100*f.covered)
	}
	fmt.Fprintf(&b, "\n%d of these are near: %d pixels a millimetre or more. There 95 %% of the errors lie below", m.near.photos, nearPxPerMM)
	for i, q := range mainFour {
		fmt.Fprintf(&b, "%s for %s", fmt.Sprintf([4]string{" %.2f mm", ", %.2f", ", %.2f", " and %.2f"}[i], figuresOf(m.near.readings[q.quantity]).p95MM), q.name)
	}
	b.WriteString(".\n")
	fmt.Fprintf(&b, "\nOf %d fasteners %d were read, %d asked about and %d not seen; other things taken for one: %d. "+
		"%d of %d edges were found, and the nearest was wrong or not seen for %d of %d fasteners. "+
		"Of %d checks against the default limits %d said `within` of what is out, and %d `out` of what is allowed.\n\n",
		r.fasteners, r.read, r.asked, r.fasteners-r.read-r.asked, r.falseOnes, r.edgesFound, r.edges, r.nearestWrong, r.nearest, r.checks, len(r.falseWithin), len(r.falseOut))
	b.WriteString("Four bundled photos come from another renderer. The networks were trained on two of them, which say only how well they remember. " +
		"The greatest errors, with the number of readings:\n\n" +
		"| photos | fasteners read | asked about | heads | holes | edge distances | pitches | U covers |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n")
	m.bundled.row(&b, strings.Join(bundledFresh, ", ")+": not trained on")
	m.inSample.row(&b, strings.Join(bundledSeen, ", ")+": trained on")
	return strings.TrimRight(b.String(), "\n")
}

// mainFour are the quantities that a single line has room for.
var mainFour = [4]struct {
	name     string
	quantity qc.Quantity
}{{"heads", qc.HeadDMean}, {"holes", qc.HoleDMean}, {"edge distances", qc.EdgeDistance}, {"pitches", qc.Pitch}}

// row writes what was found on some photos as a row of a table.
func (s *score) row(b *strings.Builder, photos string) {
	fmt.Fprintf(b, "| %s | %d of %d | %d |", photos, s.read, s.fasteners, s.asked)
	var all []reading
	for _, q := range mainFour {
		f := figuresOf(s.readings[q.quantity])
		if f.n == 0 {
			b.WriteString(" none |")
			continue
		}
		fmt.Fprintf(b, " %.2f mm (%d) |", f.worstMM, f.n)
		all = append(all, s.readings[q.quantity]...)
	}
	fmt.Fprintf(b, " %.0f %% of %d |\n", 100*figuresOf(all).covered, len(all))
}

// signed shows a bias with its sign, and none where it rounds to nothing.
func signed(mm float64) string {
	if math.Abs(mm) < 0.005 {
		return "0.00"
	}
	return fmt.Sprintf("%+.2f", mm)
}

var update = flag.Bool("update", false, "write what was found into README.md")

const (
	readme = "../../README.md"
	begins = "<!-- accuracy: made by `go test ./imaging/accuracy -run README -update`, and held by that test -->\n\n"
	ends   = "\n\n<!-- /accuracy -->"
)

// README.md says what is measured. Figures may differ by one in their last digit, and fractions
// by two per cent, three of the edges: processors round products differently.
func TestREADMESaysWhatIsMeasured(t *testing.T) {
	if testing.Short() {
		t.Skip("a tenth of the scenes gives other figures")
	}
	m, err := measureAll()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), begins)
	told, after, ok2 := strings.Cut(rest, ends)
	if !ok || !ok2 {
		t.Fatalf("README.md lacks the lines between which the figures stand:\n%s...%s", begins, ends)
	}
	found := m.forReaders()
	if *update {
		if err := os.WriteFile(readme, []byte(before+begins+found+ends+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if why := differ(told, found); why != "" {
		t.Errorf("README.md does not say what is measured: %s\nwrite it anew with -update, and look at what changed:\n%s", why, found)
	}
}

var number = regexp.MustCompile(`\d+(\.\d+)?( %)?`)

// differ tells how two texts differ in more than the last digit of a number, or by more than two
// per cent; "" if they don't.
func differ(told, found string) string {
	if number.ReplaceAllString(told, "#") != number.ReplaceAllString(found, "#") {
		return "other words, or another sign"
	}
	a, b := number.FindAllString(told, -1), number.FindAllString(found, -1)
	for i := range a {
		told, _ := strings.CutSuffix(a[i], " %")
		now, fraction := strings.CutSuffix(b[i], " %")
		x, err1 := strconv.ParseFloat(told, 64)
		y, err2 := strconv.ParseFloat(now, 64)
		_, digits, _ := strings.Cut(now, ".")
		step := math.Pow10(-len(digits))
		if fraction {
			step = 2
		}
		if err1 != nil || err2 != nil || math.Abs(x-y) > 1.01*step {
			return fmt.Sprintf("it says %s, found were %s", a[i], b[i])
		}
	}
	return ""
}

func TestDiffer(t *testing.T) {
	for _, c := range []struct {
		told, found string
		same        bool
	}{
		{"| 0.02 mm | 95 % |", "| 0.03 mm | 93 % |", true},
		{"| 0.02 mm |", "| 0.04 mm |", false},
		{"| 95 % |", "| 92 % |", false},
		{"| 95 |", "| 93 |", false},
		{"| +0.02 mm |", "| -0.02 mm |", false},
		{"12 of 13", "12 from 13", false},
	} {
		if why := differ(c.told, c.found); (why == "") != c.same {
			t.Errorf("%q and %q: %q", c.told, c.found, why)
		}
	}
}
