//go:build !js

package report

import (
	"bytes"
	"context"
	"encoding/xml"
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/paper"
	"bucktail/qc/spec"
	"bucktail/qc/standing"
)

// bbox is what poppler's pdftotext -bbox tells: each word with its box in points from the
// page's top left corner.
type bbox struct {
	Pages []struct {
		Width  float64 `xml:"width,attr"`
		Height float64 `xml:"height,attr"`
		Words  []struct {
			X0   float64 `xml:"xMin,attr"`
			Y0   float64 `xml:"yMin,attr"`
			X1   float64 `xml:"xMax,attr"`
			Y1   float64 `xml:"yMax,attr"`
			Text string  `xml:",chardata"`
		} `xml:"word"`
	} `xml:"body>doc>page"`
}

// TestPagesHoldTheirText: names, reasons and notes of any length stay inside the frame, the
// cautions stand on the first page however long its lists are, and a location with one attempt
// has one page, with the room for the inspector on it.
func TestPagesHoldTheirText(t *testing.T) {
	t.Parallel()
	d := newDemo(14)
	rec := d.record(t)
	p := &rec.Parts[0]
	p.Name = strings.Repeat("Baggage-hatch frame with its doubler and the packing strip, ", 4)
	p.Drawing = strings.Repeat("BH-112-and-all-its-sheets-", 6)
	rec.Project.Authority = strings.Repeat("rules for what is built at home; ", 20)
	p.Notes = append(p.Notes, Note{At: made, By: "Ines K.", Text: "looked at with a lens"})
	p.Locations[12].Notes = append(p.Locations[12].Notes, Note{At: made, By: "Ines K.", Text: "waits for the spacer 中"})
	p.Laxer = append(p.Laxer, laxerEdge())
	measured, _ := current(&p.Locations[6])
	measured.Card = &CardFacts{Layout: "strip"}
	for range 30 {
		rec.Parts = append(rec.Parts, rec.Parts[1])
	}
	for i := range p.Locations { // two edges and two pitches each, as photos give them
		if f, k := current(&p.Locations[i]); f != nil && f.Spec.Kind == qc.ShopHead {
			checks := slices.Clone(k.Checks)
			for _, c := range k.Checks {
				if c.Limit.Quantity == qc.EdgeDistance || c.Limit.Quantity == qc.Pitch {
					c.Reading.ValueMM += 8
					if c.Limit.Basis = spec.Memory; c.Limit.Quantity == qc.Pitch { // and the other read, each from AC 43.13-1B
						c.Limit.Basis, c.Limit.Note = spec.Derived, "from the worked example in it"
					}
					c.Notes = append(c.Notes, "a faint line runs 9.02 mm away")
					checks = append(checks, c)
				}
			}
			k.Summary = standing.Summarize(checks, k.Current(), nil, "")
		}
	}
	for _, o := range []Options{{}, {Paper: paper.Letter, Units: qc.Inches, Fractions: true}} {
		o.Picture = d.picture
		var b bytes.Buffer
		if err := PDF(context.Background(), &b, rec, o); err != nil {
			t.Fatal(err)
		}
		doc := boxes(t, b.Bytes())
		if len(doc.Pages) < 20 {
			t.Fatalf("%d pages", len(doc.Pages))
		}
		const edge = frame / paper.MMPerPt
		of := make([]string, len(doc.Pages))
		for i, pg := range doc.Pages {
			for _, w := range pg.Words {
				if w.X0 < edge || w.X1 > pg.Width-edge || w.Y0 < edge || w.Y1 > pg.Height-edge {
					t.Errorf("page %d: %q runs out of the frame", i+1, w.Text)
				}
				of[i] += w.Text + " "
			}
		}
		if !strings.Contains(of[0], "What a photo can't show") || !strings.Contains(of[0], "Who decides") {
			t.Errorf("no cautions on the first page: %s", of[0])
		}
		all := strings.Join(of, "")
		for _, want := range []string{"looked at with a lens", "R13, 13 November 2026", "waits for the spacer [U+4E2D]", "record.json has all text as typed",
			"Own limits that are less strict", "AC 43.13-1B 4-57c, from the table", "AC 43.13-1B 4-57c, recalled, not", "AC 43.13-1B 4-57c, derived", "limit derived: from the worked example in it", "drawing BH-112, note 5", "Calibrations of the scale cards", map[qc.Units]string{qc.Millimetres: "0.315 ± 0.020 mm", qc.Inches: "0.0124 ± 0.0008 in"}[o.Units],
			"Scale card strip, its printed sheet not measured"} {
			if !strings.Contains(all, want) {
				t.Errorf("the report does not say %q", want)
			}
		}
		if away := map[bool]string{false: "runs 9.02 mm away", true: "runs 0.355 in away"}[o.Units == qc.Inches]; !strings.Contains(all, away) {
			t.Errorf("the report does not say %q", away)
		}
		for i, text := range of {
			if strings.Contains(text, ", attempt 1, continued") {
				t.Errorf("page %d only goes on with a location of one attempt: %s", i+1, text)
			}
			for _, tag := range []string{"R5", "R7"} {
				if strings.Contains(text, tag+", attempt 1 ") && !strings.Contains(text, "inspector's decision") {
					t.Errorf("%s, page %d has no room for the inspector's decision on %s:\n%s", o.Paper.Name, i+1, tag, text)
				}
			}
		}
	}
}

// TestWhatWasTakenBack: a finding that was withdrawn does not count, and the report says that it
// was, by whom and why; a fault that was seen is named where the verdict comes from it.
func TestWhatWasTakenBack(t *testing.T) {
	d := newDemo(14)
	finding := d.record(t).Parts[0].Locations[0].Attempts[0].Findings[0]
	draft := histtest.Place{Project: d.project, Part: d.parts[0], Location: d.record(t).Parts[0].Locations[0].ID}.Draft(history.KindWithdrawal, history.WithdrawalData{})
	draft.Supersedes, draft.Why = []string{finding.Entry}, "another rivet was measured"
	d.builder.Saw(d.entries...)
	d.entries = append(d.entries, d.builder.Put(draft))
	rec := d.record(t)
	l := &rec.Parts[0].Locations[0]
	if l.Verdict != "" || len(l.Replaced) != 1 || !l.Replaced[0].Withdrawn || l.Replaced[0].Entry != finding.Entry {
		t.Fatalf("%q, %+v", l.Verdict, l.Replaced)
	}
	cracked := &rec.Parts[0].Locations[1]
	f := &cracked.Attempts[0].Findings[0]
	f.Answers[0].Seen, f.Answers[0].Note = qc.Yes, "at the rim"
	f.Verdict, cracked.Verdict, cracked.Whole = qc.Out, qc.Out, qc.Out
	now := cracked.View.Current()
	now.Verdict, now.Whole, now.Headline = qc.Out, qc.Out, "out"
	var b bytes.Buffer
	if err := PDF(context.Background(), &b, rec, Options{}); err != nil {
		t.Fatal(err)
	}
	all := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", save(t, "report.pdf", b.Bytes()), "-")), " ")
	for _, want := range []string{"Ines K.: finding of 2 November 2026, 08:", "withdrawn: another rivet was measured", "R2 fault seen out", "Fault seen: ", "Yes: at the rim."} {
		if !strings.Contains(all, want) {
			t.Errorf("the report does not say %q", want)
		}
	}
}

// TestFormHoldsLongTags: a long tag stands beside what was read there, not under it.
func TestFormHoldsLongTags(t *testing.T) {
	d := newDemo(14)
	rec := d.record(t)
	const tag = "hatch-frame-forward-left-1"
	rec.Parts[0].Locations[7].Tag = tag
	var b bytes.Buffer
	if err := Form(context.Background(), &b, rec, Options{}); err != nil {
		t.Fatal(err)
	}
	doc := boxes(t, b.Bytes())
	found := 0
	for _, w := range doc.Pages[0].Words {
		if strings.HasPrefix(w.Text, "hatch-") || strings.HasSuffix(tag, w.Text) && len(w.Text) > 3 {
			if found++; w.X1 > (margin+26)/paper.MMPerPt {
				t.Errorf("%q reaches into the text beside it", w.Text)
			}
		}
	}
	if found < 2 {
		t.Errorf("%d pieces of the tag found", found)
	}
}

// boxes lets poppler say where each word stands.
func boxes(t *testing.T, pdf []byte) (doc bbox) {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(tool(t, "pdftotext", "-bbox", save(t, "out.pdf", pdf), "-")))
	dec.Strict, dec.Entity = false, xml.HTMLEntity
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func laxerEdge() history.Laxer {
	pub := qc.Limit{Quantity: qc.EdgeDistance, MinMM: 9.53, Source: "published"}
	return history.Laxer{LaxerData: history.LaxerData{Reference: "drawing BH-112, note 5", Said: "asked the designer",
		Limit: qc.Limit{Quantity: qc.EdgeDistance, MinMM: 8, Source: "drawing BH-112, note 5", Basis: "own", Published: &pub}}}
}
