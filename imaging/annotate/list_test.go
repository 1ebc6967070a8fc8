package annotate

import (
	"strings"
	"testing"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/standing"
)

// The list below a photo says of each fastener what its answer says: how it stands, the check that
// governs with its limit and source, and what was not read.
func TestListSaysHowEachStands(t *testing.T) {
	spec := qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625, LimitSet: "mil"}
	r := func(q qc.Quantity, mm, less float64) qc.Reading {
		return qc.Reading{Quantity: q, ValueMM: mm, UMM: 0.07, How: qc.ByPhoto, LessMM: less}
	}
	doc := &answer.Document{Spec: spec}
	for _, c := range []struct {
		headline string
		rs       []qc.Reading
	}{
		{"within, 1 not read", []qc.Reading{r(qc.HeadDMin, 6.6, 0), r(qc.HeadDMax, 6.7, 0), r(qc.EdgeDistance, 12, 0), r(qc.Pitch, 19, 0)}},
		{"can't tell", []qc.Reading{r(qc.HeadDMin, 6.6, 0), r(qc.EdgeDistance, 12, 0), r(qc.Pitch, 19, 16)}},
		{"out", []qc.Reading{r(qc.HeadDMin, 5.9, 0), r(qc.EdgeDistance, 9.6, 0)}},
		{"out", []qc.Reading{r(qc.HeadDMin, 6.6, 0), r(qc.HeadHeight, 1.2, 0)}},
		{"open", nil},
	} {
		res, err := qc.JudgeLocation(spec, c.rs, nil)
		if err != nil {
			t.Fatal(err)
		}
		l := answer.Location{What: spec.Kind, Summary: standing.Summarize(res.Checks, c.rs, res.Unread, "")}
		if l.Headline != c.headline {
			t.Fatalf("%q, want %q", l.Headline, c.headline)
		}
		for _, x := range c.rs {
			l.Readings = append(l.Readings, answer.Reading{Reading: x})
		}
		doc.Locations = append(doc.Locations, l)
	}
	opt := &Options{Units: qc.Millimetres}
	list := newList(doc, opt)
	rows := map[string][]string{} // the words of each row, by tag
	shapes := map[string]qc.Verdict{}
	tag := ""
	for _, line := range list.lines {
		if line.rule {
			tag = ""
		}
		for _, p := range line.parts {
			if tag == "" && p.x == margin && p.face == rowFace {
				tag = p.text
			}
			rows[tag] = append(rows[tag], strings.ReplaceAll(p.text, "\u00a0", " "))
		}
		if line.shape != "" {
			shapes[tag] = line.shape
		}
	}
	for i, l := range doc.Locations {
		words := strings.Join(rows[opt.tag(i)], " ")
		want := []string{l.Headline}
		if l.Governing >= 0 {
			c := l.Checks[l.Governing]
			value := strings.TrimSuffix(qc.Millimetres.WithU(c.Reading.ValueMM, c.UMM), " mm")
			number, u, _ := strings.Cut(value, " ")
			if quantityWords[c.Reading.Quantity] == "" {
				t.Errorf("%s: a value of %s stands there without a word", opt.tag(i), c.Reading.Quantity)
			}
			want = append(want, quantityWords[c.Reading.Quantity], number, u, c.Limit.Text(qc.Millimetres)+" · "+c.Limit.Source)
		}
		for _, m := range l.Missing {
			want = append(want, m.What+" not read")
		}
		for _, s := range want {
			if !strings.Contains(words, s) {
				t.Errorf("%s: %q, want %q in it", opt.tag(i), words, s)
			}
		}
		if shapes[opt.tag(i)] != l.Whole {
			t.Errorf("%s: drawn as %q, stands %q", opt.tag(i), shapes[opt.tag(i)], l.Whole)
		}
	}
}
