package annotate

import (
	"math"
	"slices"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

// Deciding gives the index of the check that makes a location's verdict: of the worst ones that
// which lies farthest beyond its limit, or nearest to it, measured in its own uncertainty. ok is
// false and the index -1 where there is none.
func Deciding(checks []qc.Check) (i int, ok bool) {
	best, least := -1, math.Inf(1)
	for i, c := range checks {
		m := inside(c)
		switch {
		case best < 0, c.Verdict != checks[best].Verdict && qc.Worst(c.Verdict, checks[best].Verdict) == c.Verdict,
			c.Verdict == checks[best].Verdict && m < least:
			best, least = i, m
		}
	}
	return best, best >= 0
}

// inside is how far inside its limits a value lies, in U.
func inside(c qc.Check) float64 {
	m := math.Inf(1)
	if c.Limit.MinMM > 0 {
		m = c.Reading.ValueMM - c.Limit.MinMM
	}
	if c.Limit.MaxMM > 0 {
		m = min(m, c.Limit.MaxMM-c.Reading.ValueMM)
	}
	return m / max(c.UMM, 1e-6)
}

// Note is what a person should know of some locations beside their values.
type Note struct {
	Tags []string // of the locations that it is true of
	Text string
}

// String is one line for people: "1, 3: a nearer edge may be unseen".
func (n Note) String() string { return strings.Join(n.Tags, ", ") + ": " + n.Text }

// Notes gathers the notes of all checks, and the warnings of each location's diameters, nearest
// edge and nearest pitch, each once with its locations' tags.
func Notes(doc *answer.Document, tags []string) []Note {
	opt := Options{Tags: tags}
	var out []Note
	for i := range doc.Locations {
		for _, text := range notesOf(&doc.Locations[i]) {
			k := slices.IndexFunc(out, func(n Note) bool { return n.Text == text })
			if k < 0 {
				k, out = len(out), append(out, Note{Text: text})
			}
			out[k].Tags = append(out[k].Tags, opt.tag(i))
		}
	}
	return out
}

func notesOf(l *answer.Location) []string {
	out := slices.Clone(l.Notes)
	nearest := map[qc.Quantity]float64{}
	for _, r := range l.Readings {
		if v, ok := nearest[r.Quantity]; !ok || r.ValueMM < v {
			nearest[r.Quantity] = r.ValueMM
		}
	}
	for _, r := range l.Readings {
		if r.ValueMM != nearest[r.Quantity] {
			continue
		}
		for _, w := range r.Warnings {
			if !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return out
}
