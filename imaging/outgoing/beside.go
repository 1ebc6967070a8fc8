package outgoing

import (
	"slices"
	"sync"

	"bucktail/imaging/answer"
	"bucktail/qc"
	"bucktail/qc/report"
)

// lookOf gives what is to be drawn of a finding: where a hand reading took the place of the photo's,
// that one, at the place that the photo shows.
func lookOf(l *report.Location, f *report.Finding) (answer.Look, bool) {
	if f.Places == nil || f.Places.Valid(len(f.Readings)) != nil {
		return answer.Look{}, false
	}
	look := answer.Look{Places: f.Places, Spec: f.Spec, Readings: f.Readings, Checks: f.Result.Checks, Judged: f.Result.Checks, Whole: qc.Whole(f.Verdict, f.Result.Unread)}
	k := l.View.LookOf(f.Entry)
	if k == nil || k.Entries[0] != f.Entry {
		return look, true
	}
	look.Readings, look.Checks, look.Judged, look.Whole = slices.Clone(f.Readings), k.Checks, k.Checks, k.Whole
	for _, s := range k.Readings {
		if s.Look != f.Entry || s.Number < 1 || s.Number > len(look.Readings) || s.Stands() {
			continue
		}
		for _, by := range k.Readings {
			if by.Look == s.By && by.Quantity == s.Quantity && (by.Of == nil || by.Of.Reading == 0 || by.Of.Reading == s.Number) {
				look.Readings[s.Number-1] = by.Reading
			}
		}
	}
	return look, true
}

// beside finds the findings on one photo of a part. Its zero value is ready; it may be used by
// several goroutines.
type beside struct {
	mu    sync.Mutex
	parts map[*report.Part]map[string][]besideLook // by the photo's hash
}

type besideLook struct {
	answer.Look
	location *report.Location
}

// on gives the other locations' findings on the same photo, of each its last.
func (b *beside) on(r report.PictureRequest) (around []answer.Look) {
	all := b.of(r.Part)[r.Finding.Photo]
	for i, o := range all {
		if o.location != r.Location && (i+1 == len(all) || all[i+1].location != o.location) {
			around = append(around, o.Look)
		}
	}
	return around
}

func (b *beside) of(p *report.Part) map[string][]besideLook {
	b.mu.Lock()
	defer b.mu.Unlock()
	if m, ok := b.parts[p]; ok {
		return m
	}
	m := map[string][]besideLook{}
	for i := range p.Locations {
		l := &p.Locations[i]
		for _, a := range l.Attempts {
			for j := range a.Findings {
				f := &a.Findings[j]
				if own, ok := lookOf(l, f); ok {
					m[f.Photo] = append(m[f.Photo], besideLook{own, l})
				}
			}
		}
	}
	if b.parts == nil {
		b.parts = map[*report.Part]map[string][]besideLook{}
	}
	b.parts[p] = m
	return m
}
