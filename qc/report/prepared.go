package report

import (
	"fmt"
	"strings"

	"bucktail/qc"
)

// prepared says what the part was made from, how it was prepared and protected, its test coupons, the
// order of riveting, and where its holes or their edges are not as usual.
func (w *writer) prepared(p *Part) {
	lines := w.preparedWords(p)
	if len(lines) == 0 {
		return
	}
	s := w.sheet
	s.heading2("Preparation and protection", 12)
	for _, l := range lines {
		s.para(l, text)
		s.y += 0.5
	}
}

func (w *writer) preparedWords(p *Part) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if l := p.Like; l != nil {
		for i := range w.rec.Parts {
			if o := &w.rec.Parts[i]; o.ID == l.Part {
				say("Made from %s%s.", o.Name, map[bool]string{true: ", as its other hand"}[l.Mirrored])
			}
		}
	}
	if l := p.Prep; l != nil {
		var done, not []string
		for _, x := range l.Items {
			words := join(": ", x.Text, x.Note)
			if x.Done {
				done = append(done, words)
			} else {
				not = append(not, words)
			}
		}
		if len(done) > 0 {
			say("Done: %s.", strings.Join(done, "; "))
		}
		if len(not) > 0 {
			say("Not ticked off: %s.", strings.Join(not, "; "))
		}
		for _, c := range l.Coats {
			wet := "rivets set dry"
			if c.Wet {
				wet = "rivets set wet"
			}
			say("%s.", upper(join(", ", c.What+opt(" ", c.Name), opt("batch ", c.Batch), c.Date, opt("cure ", c.Cure), wet)))
		}
	}
	for _, r := range p.Rivets {
		say("Rivet of %s", w.rivetWords(r))
	}
	for _, c := range p.Coupons {
		say("Test coupon of %s, rivets of lot %s: %s.", w.when.day(c.At), c.Lot, join("; ", tried("stem push", c.Push), tried("feeler", c.Feeler), c.Note))
	}
	if p.Order != nil {
		var tags []string
		for _, r := range p.Riveting.Rows {
			tags = append(tags, r.Tag)
		}
		say("Order of riveting (%s): %s.", p.Riveting.Source, strings.Join(tags, ", "))
		for _, x := range p.Riveting.Warnings {
			say("%s.", upper(x))
		}
	}
	for _, g := range []struct {
		words string
		is    func(l *Location) bool
	}{
		{"Blind side not reachable, its edge not broken", func(l *Location) bool { return l.Unreached }},
		{"Stray holes, which count as neighbours", func(l *Location) bool { return l.Stray && !l.Out }},
	} {
		var tags []string
		for i := range p.Locations {
			if g.is(&p.Locations[i]) {
				tags = append(tags, p.Locations[i].Tag)
			}
		}
		if len(tags) > 0 {
			say("%s: %s.", g.words, strings.Join(tags, ", "))
		}
	}
	for _, f := range filedOf(p) {
		say("Filed: %s.", f)
	}
	return out
}

// filedOf words each edge that was filed, with the holes near it.
func filedOf(p *Part) []string {
	var edges []string
	tags := map[string][]string{}
	for i := range p.Locations {
		for _, f := range p.Locations[i].Filed {
			name := join(" of ", f.Edge, f.Layer)
			if tags[name] == nil {
				edges = append(edges, name)
			}
			tags[name] = append(tags[name], p.Locations[i].Tag)
		}
	}
	for i, name := range edges {
		edges[i] = name + " near " + strings.Join(tags[name], ", ") + "; edge distances from before count no more"
	}
	return edges
}

// tried words what a test by hand said; Yes says that it failed.
func tried(what string, s qc.Seen) string {
	switch s {
	case qc.Yes:
		return what + " failed"
	case qc.No:
		return what + " passed"
	}
	return what + " not tried"
}
