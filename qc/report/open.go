package report

import (
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/standing"
)

// holeMeasured tells whether the hole was measured in an attempt.
func holeMeasured(a *Attempt) bool {
	return slices.ContainsFunc(a.Findings, func(f Finding) bool {
		return f.Spec.Kind == qc.Hole && !f.Spec.Mark || slices.ContainsFunc(f.Readings, func(r qc.Reading) bool {
			return r.Quantity.OfHole()
		})
	})
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
		if len(p.Open) == 0 {
			continue
		}
		if none = false; len(parts) > 1 {
			var words []string
			for _, o := range p.Open {
				if words = append(words, lower(o.What)); len(o.Tags) > 0 {
					words[len(words)-1] += " " + itoa(len(o.Tags))
				}
			}
			s.para(p.Name+": "+strings.Join(words, ", ")+".", text)
			continue
		}
		for _, o := range p.Open {
			if len(o.Tags) == 0 {
				s.para(o.What+opt(": ", o.Do)+".", text)
				continue
			}
			s.para(o.What+", "+itoa(len(o.Tags))+": "+tagList(o.Tags), text)
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
