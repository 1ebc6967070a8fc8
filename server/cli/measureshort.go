package cli

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// short prints a photo's answer in three lines, more where many are not within: how many of what
// verdict and what is still to be measured by hand; then what decides where it is not within.
// Whether the size is right comes before that, for a wrong one makes every verdict wrong.
func (t *table) short(doc *answer.Document) error {
	var b strings.Builder
	counts := map[qc.Verdict]int{}
	asked := 0
	var decide []string
	missing := map[string]int{}
	var missed []string
	for i := range doc.Locations {
		l := &doc.Locations[i]
		if l.Ask != nil {
			asked++
			decide = append(decide, fmt.Sprintf("%d: %s", i+1, askLine(l.Ask)))
			continue
		}
		v := qc.Within
		if g := l.Governing; g >= 0 {
			v = l.Checks[g].Verdict
		}
		counts[v]++
		if v != qc.Within {
			c := l.Checks[l.Governing]
			s := fmt.Sprintf("%d: %s, %s%s %s, %s", i+1, v, c.Reading.What(), to(l, c.Reading), t.units.WithU(c.Reading.ValueMM, c.UMM), c.Limit.Text(t.units))
			if do := c.Settle(); do != "" {
				s += "; " + do
			}
			decide = append(decide, s)
		}
		for _, m := range l.Missing {
			if missing[m.What]++; missing[m.What] == 1 {
				missed = append(missed, m.What)
			}
		}
	}
	var parts []string
	for _, v := range []qc.Verdict{qc.Within, qc.TooClose, qc.Out} {
		if counts[v] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", counts[v], v))
		}
	}
	if asked > 0 {
		parts = append(parts, fmt.Sprintf("%d not measured", asked))
	}
	slices.Sort(missed)
	for i, m := range missed {
		missed[i] = fmt.Sprintf("%s (%d)", m, missing[m])
	}
	line := fmt.Sprintf("%s, rivet %s: %s", filepath.Base(doc.Photo), t.size, strings.Join(parts, ", "))
	if len(missed) > 0 {
		line += "; not read: " + strings.Join(missed, ", ")
	}
	t.wrap(&b, "", line)
	for _, n := range doc.SizeDoubts() {
		t.wrap(&b, "", "note: "+n.Text)
	}
	if len(decide) > 0 {
		t.wrap(&b, "", strings.Join(decide, ". "))
	}
	_, err := io.WriteString(t.w, b.String())
	return err
}
