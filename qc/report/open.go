package report

import (
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
)

// open is one kind of thing that is not settled, and the locations where it is so.
type open struct {
	what string
	tags []string
}

// openItems lists what is open on a part, the most serious first. First page, sign-off and form
// name all of it, so that nobody signs what was not told.
func openItems(p *Part) []open {
	kinds := []struct {
		what string
		is   func(l *Location) bool
	}{
		{"Rejected by the inspector", func(l *Location) bool { return l.Decision == qc.Rejected }},
		{"Inspectors disagree", func(l *Location) bool { return waitsFor(l, history.WorkDisagree) }},
		{"To be measured again, says the inspector", func(l *Location) bool { return l.Decision == qc.ReMeasure }},
		{"Out", func(l *Location) bool { return l.Whole == qc.Out }},
		{"Can't tell", func(l *Location) bool { return l.Whole == qc.TooClose }},
		{"With the designer", func(l *Location) bool { return waitsFor(l, history.WorkRefer) }},
		{"Drilled out, without a new rivet", func(l *Location) bool { return waitsFor(l, history.WorkSetRivet) || l.Stage == qc.DrilledOut }},
		{"Never measured", func(l *Location) bool { return l.View.Last() == nil }},
		{"New rivet not measured", func(l *Location) bool { return l.View.Last() != nil && l.Finding == "" && l.Stage != qc.DrilledOut }},
		{"Not everything read", func(l *Location) bool { return len(l.NotRead) > 0 }},
		{"Not everything looked at", func(l *Location) bool { return len(notLooked(l)) > 0 }},
		{"Hole never measured under the rivet that stands", noHole},
		{"Times that are to be asked about", func(l *Location) bool { return len(oddDates(l)) > 0 }},
		{"Awaits the inspector", func(l *Location) bool { return l.Awaits }},
	}
	var out []open
	for _, k := range kinds {
		o := open{what: k.what}
		for i := range p.Locations {
			if l := &p.Locations[i]; !l.Out && k.is(l) {
				o.tags = append(o.tags, l.Tag)
			}
		}
		if len(o.tags) > 0 {
			out = append(out, o)
		}
	}
	if photo, _ := wholePhoto(p); photo == "" {
		out = append(out, open{what: "No photo of the whole part (a note with a photo on the part's page gives one, or a photo as its layout)"})
	}
	return out
}

func waitsFor(l *Location, k history.WorkKind) bool {
	return slices.ContainsFunc(l.Work, func(w history.Work) bool { return w.Kind == k })
}

// notLooked gives the questions that only an eye answers and nobody did, at the finding that stands.
func notLooked(l *Location) []qc.Question {
	f := l.finding(l.Finding)
	if f == nil || f.Gauge {
		return nil
	}
	return qc.Unlooked(f.Spec.Kind, f.Answers)
}

// noHole tells that a rivet stands whose hole nobody measured: no photo shows how it is filled.
func noHole(l *Location) bool {
	f, _ := current(l)
	return f != nil && f.Spec.Kind != qc.Hole && l.Finding != "" && len(l.View.Hole) == 0
}

// holeMeasured tells whether the hole was measured in an attempt.
func holeMeasured(a *Attempt) bool {
	return slices.ContainsFunc(a.Findings, func(f Finding) bool {
		return f.Spec.Kind == qc.Hole || slices.ContainsFunc(f.Readings, func(r qc.Reading) bool {
			return r.Quantity == qc.HoleDMin || r.Quantity == qc.HoleDMax || r.Quantity == qc.HoleDMean
		})
	})
}

func oddDates(l *Location) (all []string) {
	for _, a := range l.Attempts {
		for _, f := range a.Findings {
			all = append(all, f.Odd...)
		}
	}
	return all
}

// notRead names what there are limits for and no reading. Where something of the kind was read, it
// says which of it was not: a least diameter, say.
func notRead(k *standing.Look, m qc.Missing) string {
	if !slices.ContainsFunc(k.Readings, func(r qc.Stood) bool {
		return r.Stands() && qc.MissingOf([]qc.Limit{{Quantity: r.Quantity}})[0].What == m.What
	}) {
		return m.What
	}
	var words []string
	for _, l := range m.Limits {
		if q := l.Quantity.Words(); !slices.Contains(words, q) {
			words = append(words, q)
		}
	}
	return strings.Join(words, ", ")
}

// open writes what is open on a part; of several it names each one's number.
func (w *writer) open(parts []*Part) {
	s := w.sheet
	s.heading2("Open", 12)
	none := true
	for _, p := range parts {
		items := openItems(p)
		if len(items) == 0 {
			continue
		}
		if none = false; len(parts) > 1 {
			var words []string
			for _, o := range items {
				if len(o.tags) > 0 {
					words = append(words, lower(o.what)+" "+itoa(len(o.tags)))
				}
			}
			if len(words) > 0 {
				s.para(p.Name+": "+strings.Join(words, ", ")+".", text)
			}
			continue
		}
		for _, o := range items {
			if len(o.tags) == 0 {
				s.para(o.what+".", text)
				continue
			}
			s.para(o.what+", "+itoa(len(o.tags))+": "+tagList(o.tags), text)
		}
	}
	if none {
		s.para("Nothing is open.", text)
	}
	s.y += 0.8
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// tagList names locations, runs of numbers as such: "R1 to R4, R9".
func tagList(tags []string) string {
	var out []string
	for i := 0; i < len(tags); {
		j := i
		for j+1 < len(tags) && follows(tags[j], tags[j+1]) {
			j++
		}
		switch j - i {
		case 0:
			out = append(out, tags[i])
		case 1:
			out = append(out, tags[i], tags[j])
		default:
			out = append(out, tags[i]+" to "+tags[j])
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// follows tells whether a tag is the next number after another: R9, R10.
func follows(a, b string) bool {
	head := strings.TrimRight(a, "0123456789")
	n, m := a[len(head):], strings.TrimPrefix(b, head)
	return n != "" && strings.HasPrefix(b, head) && len(n) < 6 && itoa(atoi(n)+1) == m && itoa(atoi(n)) == n
}

func atoi(s string) (n int) {
	for _, c := range s {
		n = 10*n + int(c-'0')
	}
	return n
}
