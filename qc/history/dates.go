package history

import (
	"fmt"
	"time"
)

// When are the times that can be told of an entry.
type When struct {
	At    time.Time // written, by its device's clock
	Came  time.Time // to the laptop, by the laptop's clock; zero: not known
	Began time.Time // its project; zero: not known
	Taken string    // its photo, as the camera wrote it, without a time zone; "": not known
	// Replaced is when the rivet before the one that is said to be on the photo was drilled out; zero:
	// there was none.
	Replaced time.Time
	Page     string // the date on a page that an inspector wrote, YYYY-MM-DD; "": none
	// What it was measured with: the day of its calibration, and until when that holds, YYYY-MM-DD; "": not known
	Calibrated, Due string
}

const (
	day = 24 * time.Hour
	// clocksDiffer is how far two clocks that are set may be apart.
	clocksDiffer = 5 * time.Minute
	// anyZone is how far a time without its zone may be from the same time in UTC.
	anyZone = 14 * time.Hour
)

// Odd says what is strange about these times: what is to be asked before it is written, and to be
// marked where it is told. Each is half a sentence.
func (w When) Odd() []string {
	var out []string
	put := func(odd bool, format string, args ...any) {
		if odd {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	if !w.Came.IsZero() {
		put(w.At.After(w.Came.Add(clocksDiffer)), "written %s after it came to the laptop: the device's clock was ahead", span(w.At.Sub(w.Came)))
		put(w.Came.Sub(w.At) > day, "came to the laptop %s after it was written", span(w.Came.Sub(w.At)))
	}
	before := func(t time.Time) bool { return !w.Began.IsZero() && t.Before(w.Began) }
	put(before(w.At.Add(clocksDiffer)), "written on %s, before the project was begun", w.At.UTC().Format(time.DateOnly))
	if taken, ok := TakenAt(w.Taken); ok {
		put(taken.After(w.At.Add(anyZone)), "the photo is dated %s, after it was entered", taken.Format(time.DateOnly))
		put(w.At.Sub(taken) > day+anyZone, "the photo is dated %s, %s before it was entered", taken.Format(time.DateOnly), span(w.At.Sub(taken)))
		put(before(taken.Add(anyZone)), "the photo is dated %s, before the project was begun", taken.Format(time.DateOnly))
		put(!w.Replaced.IsZero() && taken.Add(anyZone).Before(w.Replaced), "the photo is dated %s, before the rivet that stood there was drilled out on %s",
			taken.Format(time.DateOnly), w.Replaced.UTC().Format(time.DateOnly))
	}
	if page, err := time.Parse(time.DateOnly, w.Page); err == nil {
		put(page.After(w.At.Add(anyZone)), "the page is dated %s, which is still to come", w.Page)
		put(before(page.Add(day+anyZone)), "the page is dated %s, before the project was begun", w.Page)
	}
	put((&Identity{Calibrated: w.Calibrated}).Ahead(w.At), "the instrument's calibration is dated %s, which is still to come", w.Calibrated)
	put((&Identity{Due: w.Due}).Overdue(w.At), "the instrument's calibration was due on %s", w.Due)
	return out
}

// TakenAt reads the time that a camera wrote, after Exif 2.32 ("2026:11:13 09:41:07") or as dates
// are written elsewhere; it has no time zone and is given as if it were UTC.
func TakenAt(s string) (time.Time, bool) {
	for _, form := range []string{"2006:01:02 15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04:05", time.RFC3339} {
		if t, err := time.Parse(form, s); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// span says how long something took, in the largest unit that fits.
func span(d time.Duration) string {
	switch n := int(d / day); {
	case n >= 2:
		return fmt.Sprintf("%d days", n)
	case n == 1:
		return "a day"
	}
	if n := int(d.Hours()); n >= 2 {
		return fmt.Sprintf("%d hours", n)
	}
	return fmt.Sprintf("%d minutes", int(d.Minutes()))
}

// CameIn notes when an entry came to the laptop, which its bytes can't say.
func (s *State) CameIn(id string, at time.Time) {
	if s.came == nil {
		s.came = map[string]time.Time{}
	}
	s.came[id] = at.UTC().Truncate(time.Second)
}

// Came tells when an entry came to the laptop; zero where that is not known.
func (s *State) Came(id string) time.Time { return s.came[id] }

// Began tells when a project was begun: the time in the entry that made it.
func (s *State) Began(project string) time.Time {
	for _, e := range s.about[Subject{OfProject, project}] {
		if e.ID == project {
			return e.At
		}
	}
	return time.Time{}
}
