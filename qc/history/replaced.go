package history

import (
	"slices"
	"time"
)

// Replaced gives when the rivet before attempt n of a location was drilled out; zero where there was
// none, or it is not known.
func (s *State) Replaced(location string, n int) time.Time {
	l, _ := s.Location(location)
	if n < 2 || n > len(l.Attempts) {
		return time.Time{}
	}
	return s.entry(location, l.Attempts[n-2].Ended).At
}

// ShowedBefore tells whether a photo, by its SHA-256, was kept of a rivet at a location that has been
// drilled out since: it shows none that was set later.
func (s *State) ShowedBefore(location, photo string) bool {
	l, _ := s.Location(location)
	for _, a := range l.Attempts {
		if a.Ended == "" {
			continue
		}
		for _, id := range a.Findings {
			if slices.Contains(s.entry(location, id).Photos(), photo) {
				return true
			}
		}
	}
	return false
}
