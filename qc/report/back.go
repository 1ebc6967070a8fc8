package report

import (
	"cmp"
	"fmt"
	"slices"

	"bucktail/qc"
	"bucktail/qc/paper"
)

// signOff lists the sign-offs of a part and leaves room for one on paper. It names what a
// signature covers, so that a later change shows.
func (w *writer) signOff(p *Part) {
	s, d := w.sheet, w.sheet.d
	if s.need(70); w.whole[p.ID] && s.y > margin {
		s.newPage()
	}
	d.Bookmark("Sign-off", 1)
	first := d.Pages()
	s.heading2("Sign-off of "+p.Name, 40)
	for _, so := range p.SignOffs {
		words := w.when.minute(so.At) + ": " + so.Name + opt(", ", so.Number) + ", " + plural(so.Covered, "entry", "entries") + "; " + stateOf(so) + opt("; code ", so.Code) + opt(". Remark: ", so.Remark)
		if so.OnPaper != nil {
			words += ". On paper" + paperWords(so.OnPaper)
		}
		s.para(words, text)
		s.y += 0.8
	}
	w.open([]*Part{p})
	s.need(62) // what is signed, and the room for it, on one page
	s.y += 1
	s.para(fmt.Sprintf("A signature here covers %s of this part, no more: what is written later is not signed. Digest of what is covered:", plural(p.Covers.Entries, "entry", "entries")), text)
	d.Tag(paper.Para, "", func() { d.Text(margin, s.y, p.Covers.Digest, mono) })
	s.y += 6
	w.signBoxes(15, box{"name of the inspector", 0.5}, box{"authorisation number", 0.5})
	s.y -= 1 // the next row's top is this one's bottom
	w.signBoxes(20, box{"date", 0.25}, box{"signature", 0.4}, box{"remark", 0.35})
	s.y += 2
	s.para("An inspector looks at the part itself before signing. A photo can't show the hidden side, a hair crack or a loose rivet.", small)
	if d.Pages() > first {
		w.apart[p.ID] = true
	}
}

// stateOf says how a sign-off stands to what is here.
func stateOf(so SignOff) string {
	switch {
	case so.Status.Altered || len(so.Status.Missing) > 0:
		return fmt.Sprintf("does not match what is here: %d entries missing or changed", max(1, len(so.Status.Missing)))
	case len(so.Status.Against) > 0:
		return "outdated: " + plural(len(so.Status.Against), "decision", "decisions") + " against it that the signer had not seen"
	case !so.Current:
		return "outdated: " + plural(len(so.Status.Since), "entry", "entries") + " since"
	}
	return "covers exactly what is here"
}

func unsignedOf(c Chain) (n int) {
	for _, d := range c.Devices {
		n += d.Unsigned
	}
	return n
}

// certainty says in plain words what ± U means and what it is made of.
func (w *writer) certainty() {
	s := w.sheet
	s.heading1("How sure the readings are", "", 0)
	for _, t := range []string{
		"Each value stands with ± U, its expanded uncertainty (k = 2): of a hundred such intervals, about 95 hold the true length. It follows JCGM 100:2008.",
		"A verdict is within or out only when the whole interval, value ± U, lies on one side of the limit. When the limit lies inside the interval the verdict is can't tell: calipers, or one more photo where the limit lies near the interval's end, settle it. This is the rule of ISO 14253-1 with the whole U as guard band; it keeps the risk of a wrong within or out at about 2 in 100 for each reading (JCGM 106:2012, 8.3.2).",
		"U speaks of lengths alone. It says nothing about what no photo shows: the hidden side, how the shank fills the hole, gaps and cracks finer than the picture, the fit of a stem, " +
			"a rivet that is loose. A driven rivet's shank may stand off the middle of its head; where the hole was not measured before the rivet was set, the edge distance carries that uncertainty.",
		"The limits are those named beside each reading. The aircraft's own drawings and manual come first, then the rules of the local authority. An inspector who looks at the part confirms.",
	} {
		s.para(t, text)
		s.y += 2.2
	}
	w.madeOf()
	w.limitsUsed()
	w.instruments()
	w.calibrations()
}

// madeOf tells what the uncertainty of this record's photo readings is made of.
func (w *writer) madeOf() {
	s := w.sheet
	type part struct {
		label    string
		n        int
		fraction float64
	}
	byLabel := map[string]*part{}
	readings, byHand, gauge := 0, 0, 0
	for i := range w.rec.Parts {
		for _, l := range w.rec.Parts[i].Locations {
			for _, a := range l.Attempts {
				for _, f := range a.Findings {
					for _, r := range f.Readings {
						switch r.How {
						case qc.ByGauge:
							gauge++
							continue
						case qc.ByPhotoHand:
							byHand++
						}
						readings++
						sum := 0.0
						for _, c := range r.Contributions {
							sum += c.UMM * c.UMM
						}
						for _, c := range r.Contributions {
							if byLabel[c.Label] == nil {
								byLabel[c.Label] = &part{label: c.Label}
							}
							if sum > 0 {
								byLabel[c.Label].n++
								byLabel[c.Label].fraction += c.UMM * c.UMM / sum
							}
						}
					}
				}
			}
		}
	}
	s.heading2("In this record", 30)
	s.para(fmt.Sprintf("%s from photos, %d of them with a mark placed by hand; %s by hand gauge.", plural(readings, "reading", "readings"), byHand, plural(gauge, "reading", "readings")), text)
	var parts []*part
	for _, p := range byLabel {
		parts = append(parts, p)
	}
	slices.SortFunc(parts, func(a, b *part) int {
		if a.fraction != b.fraction {
			if a.fraction > b.fraction {
				return -1
			}
			return 1
		}
		return compare(a.label, b.label)
	})
	if len(parts) == 0 {
		return
	}
	s.y += 3
	ww := s.width()
	s.table([]column{{"what U is made of", 0.5 * ww, false}, {"in readings", 0.2 * ww, true}, {"fraction of U² over all", 0.3 * ww, true}}, func(t *table) {
		const most = 8
		rest := 0.0
		for i, p := range parts {
			percent := 100 * p.fraction / float64(readings)
			if i >= most {
				rest += percent
				continue
			}
			t.row("", cell{text: p.label, style: text}, num(p.n), cell{text: fmt.Sprintf("%.0f %%", percent), style: text})
		}
		if n := len(parts) - most; n > 0 {
			t.row("", cell{text: plural(n, "smaller one", "smaller ones"), style: text}, cell{style: text}, cell{text: fmt.Sprintf("%.0f %%", rest), style: text})
		}
	})
}

// checking tells the hashes and how anybody can check them.
func (w *writer) checking() {
	s, d := w.sheet, w.sheet.d
	c := w.rec.Chain
	s.heading1("How to check this record", "", 0)
	s.para("Record number "+c.Number, strong)
	s.y += 1
	s.para("The number is how many entries there were when this was made, and the beginning of the SHA-256 over the hashes of all of them in their fixed order:", text)
	d.Tag(paper.Para, "", func() { d.Text(margin, s.y, c.SHA256, mono) })
	s.y += 7
	for _, t := range []string{
		"Each entry carries the hash of the one before it on the same device. Whoever changes, removes or inserts an entry must rewrite all later ones, and then the record number differs: " +
			"keep this page, or a signed one, to compare.",
		"The bundle that this report is part of holds the entries, the photos without their location data, the tables and a list of hashes. Its file FORMAT.txt tells how another program can check it. " +
			"With this one, on any computer and without the builder's record:  bucktail verify OUT.zip",
		"Without this program:  sha256sum -c SHA256SUMS  in the unpacked bundle.",
		"A photo of the bundle is a copy without location data; its pixels are as taken. The original keeps its own SHA-256, which stands under each picture here and in the entries.",
	} {
		s.para(t, text)
		s.y += 2
	}
	if d.Named() {
		s.para("Where the fonts of this report have no character for what was typed, its Unicode number stands in its place, as in [U+4E2D]. record.json has all text as typed.", text)
		s.y += 2
	}
	s.heading2("Chains", 24)
	ww := s.width()
	s.table([]column{{"device", 0.3 * ww, false}, {"entries", 0.12 * ww, true}, {"SHA-256 of its last entry", 0.58 * ww, false}}, func(t *table) {
		for _, v := range c.Devices {
			name := v.Name
			if name == "" {
				name = v.ID
			}
			t.row("", cell{text: name, style: text}, num(v.Entries), cell{text: Groups(v.Last[:32]) + " …", style: mono})
		}
	})
	for _, v := range c.Devices {
		if v.Fingerprint != "" {
			s.para(cmp.Or(v.Name, v.ID)+" signs what it writes; fingerprint of its key: "+v.Fingerprint, text)
		}
	}
	if n := unsignedOf(c); n > 0 {
		s.para(plural(n, "entry is", "entries are")+" not signed: from before the device had a key.", text)
	}
	if len(c.Faults) == 0 {
		s.para("All chains are whole.", text)
		return
	}
	s.para("What is wrong in the chains:", strong)
	for _, f := range c.Faults {
		s.para("– "+f.Text, text)
	}
}
