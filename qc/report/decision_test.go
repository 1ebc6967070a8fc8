//go:build !js

package report

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// TestDecisionStaysWithItsFinding: whatever was written about a location, the room for the
// inspector's decision stands on the page that shows the finding, once, and no word stands in it.
func TestDecisionStaysWithItsFinding(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	rec := d.record(t, d.parts[0])
	p := &rec.Parts[0]
	over := 0
	// In each round each location has another length, and over the rounds each has short and long ones.
	const rounds, most = 4, 900
	for round := range rounds {
		words := make([]int, len(p.Locations))
		for i := range p.Locations {
			l := &p.Locations[i]
			f, _ := current(l)
			if f == nil || !needsPage(l) {
				continue
			}
			if len(f.Dispositions) == 0 {
				f.Dispositions = []Disposition{{Event: f.Event}}
			}
			words[i] = (round*most/rounds + 67*i) % most
			x := &f.Dispositions[0]
			x.Action, x.Reason = qc.Keep, strings.Repeat("reason ", words[i])
		}
		for _, o := range []Options{[]Options{{}, {Paper: paper.Letter, Units: qc.Inches}}[round%2]} {
			o.Picture = d.picture
			var b bytes.Buffer
			if err := PDF(context.Background(), &b, rec, o); err != nil {
				t.Fatal(err)
			}
			doc := boxes(t, b.Bytes())
			for n, pg := range doc.Pages {
				var all []string
				for _, w := range pg.Words {
					all = append(all, w.Text)
				}
				text := strings.Join(all, " ")
				begins, boxes := strings.Contains(text, "Photo, SHA-256") && !strings.Contains(text, ", continued"), strings.Count(text, "inspector's decision")
				if begins != (boxes == 1) || boxes > 1 {
					t.Errorf("%s, %v words: page %d shows a finding: %v, with %d rooms for its decision:\n%s", o.Paper.Name, words, n+1, begins, boxes, text)
				}
				if strings.Contains(text, "see the next page too") {
					over++
					if n+1 == len(doc.Pages) || !strings.Contains(pageText(doc, n+1), ", continued") {
						t.Errorf("%s, %v words: page %d names a next page that does not go on", o.Paper.Name, words, n+1)
					}
				}
				if top, low, ok := decisionBox(doc, n); ok {
					for _, w := range pg.Words {
						if w.Y1 > top && w.Y0 < low && w.Text == "reason" {
							t.Errorf("%s, %v words: page %d has a reason in the room for the decision", o.Paper.Name, words, n+1)
							break
						}
					}
				}
			}
		}
		if t.Failed() {
			return
		}
	}
	if over == 0 {
		t.Error("no text was long enough to go over its page")
	}
}

func pageText(doc bbox, n int) string {
	var b strings.Builder
	for _, w := range doc.Pages[n].Words {
		fmt.Fprint(&b, w.Text, " ")
	}
	return b.String()
}

// decisionBox gives the rows of points between which an inspector writes on a page.
func decisionBox(doc bbox, n int) (top, low float64, ok bool) {
	for _, w := range doc.Pages[n].Words {
		if w.Text == "inspector's" && w.X0 < 80 {
			top, ok = w.Y0, true
		}
	}
	return top, top + (decisionHeight-3)/paper.MMPerPt, ok
}
