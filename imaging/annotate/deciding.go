package annotate

import (
	"slices"
	"strings"

	"bucktail/imaging/answer"
	"bucktail/qc"
)

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
