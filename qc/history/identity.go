package history

import "time"

// Identity tells one measuring instrument from others of its kind, and until when its calibration
// holds, as its label says. Dates are YYYY-MM-DD.
type Identity struct {
	Number     string `json:"number,omitempty"` // serial or inventory number
	Calibrated string `json:"calibrated,omitempty"`
	Due        string `json:"due,omitempty"` // last day on which the calibration holds
}

// Overdue tells whether the calibration no longer held at a time; a day is left for time zones.
func (i *Identity) Overdue(at time.Time) bool {
	if i == nil {
		return false
	}
	due, err := time.Parse(time.DateOnly, i.Due)
	return err == nil && at.UTC().After(due.AddDate(0, 0, 2))
}

// Ahead tells whether the calibration is dated after a time at which it was used, in whatever time
// zone: one of the two is wrong.
func (i *Identity) Ahead(at time.Time) bool {
	if i == nil {
		return false
	}
	done, err := time.Parse(time.DateOnly, i.Calibrated)
	return err == nil && done.After(at.UTC().Add(anyZone))
}

// identity holds what is said of an instrument against what it must say.
func (c *checker) identity(i *Identity) {
	if i == nil {
		return
	}
	c.text("number of the instrument", i.Number, 0, maxName)
	for _, d := range []string{i.Calibrated, i.Due} {
		_, err := time.Parse(time.DateOnly, d)
		c.need(d == "" || err == nil, "date of calibration %.20q is not written as 2026-11-30", d)
	}
	c.need(i.Due == "" || i.Calibrated == "" || i.Due >= i.Calibrated, "the calibration of %s is due before, on %s", i.Calibrated, i.Due)
}
