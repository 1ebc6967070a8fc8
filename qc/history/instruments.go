package history

import (
	"cmp"
)

// Instrument is what was measured with, as it was given last.
type Instrument struct {
	Name string `json:"name"`
	Identity
}

// Instruments lists what a project's hand readings and card sheets were measured with, the latest
// used first.
func (s *State) Instruments(project string) []Instrument {
	last := map[string]Entry{}
	named := map[string]Instrument{}
	for _, e := range s.all {
		if e.Project != project || e.Kind != KindGauge && e.Kind != KindCard {
			continue
		}
		name, id := "", (*Identity)(nil)
		if d, ok := e.data().(*GaugeData); ok {
			name, id = d.Instrument, d.Identity
		}
		if d, ok := e.data().(*CardData); ok {
			name, id = d.MeasuredWith, d.Identity
		}
		if before, known := last[name]; name == "" || known && CompareInTime(before, e) > 0 {
			continue
		}
		last[name], named[name] = e, Instrument{Name: name}
		if id != nil {
			named[name] = Instrument{name, *id}
		}
	}
	out := []Instrument{}
	for _, i := range named {
		out = append(out, i)
	}
	sortBy(out, func(a, b Instrument) int {
		return cmp.Or(CompareInTime(last[b.Name], last[a.Name]), cmp.Compare(a.Name, b.Name))
	})
	return out
}
