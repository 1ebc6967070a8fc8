package history

import (
	"strings"
	"testing"
	"time"
)

func TestOddTimes(t *testing.T) {
	at := time.Date(2026, 11, 13, 9, 0, 0, 0, time.UTC)
	began := at.AddDate(0, -1, 0)
	for _, tt := range []struct {
		what string
		when When
		want string // "": nothing is odd
	}{
		{"all as it should be", When{At: at, Came: at.Add(20 * time.Hour), Began: began, Taken: "2026:11:13 08:59:00", Page: "2026-11-13"}, ""},
		{"nothing known", When{At: at}, ""},
		{"a camera that stands in another zone", When{At: at, Began: began, Taken: "2026:11:13 22:30:00"}, ""},
		{"the project's own first minute", When{At: began.Add(-time.Minute), Began: began}, ""},
		{"two days on the way", When{At: at, Came: at.Add(50 * time.Hour)}, "came to the laptop 2 days after it was written"},
		{"a clock ahead", When{At: at, Came: at.Add(-3 * time.Hour)}, "written 3 hours after it came to the laptop"},
		{"a clock years behind", When{At: at.AddDate(-3, 0, 0), Began: began}, "before the project was begun"},
		{"a photo of tomorrow", When{At: at, Taken: "2026:11:14 09:00:00"}, "the photo is dated 2026-11-14, after it was entered"},
		{"a photo of last week", When{At: at, Began: began, Taken: "2026:11:06 09:00:00"}, "7 days before it was entered"},
		{"a photo of last year", When{At: at, Began: began, Taken: "2025-11-06 09:00:00"}, "the photo is dated 2025-11-06, before the project was begun"},
		{"a photo of the rivet before", When{At: at, Taken: "2026:11:12 08:00:00", Replaced: at}, "before the rivet that stood there was drilled out on 2026-11-13"},
		{"a photo of the new rivet, in another zone", When{At: at, Taken: "2026:11:12 20:00:00", Replaced: at}, ""},
		{"a page of next month", When{At: at, Page: "2026-12-13"}, "which is still to come"},
		{"an instrument calibrated today, in a zone ahead", When{At: at.Add(2 * time.Hour), Calibrated: "2026-11-14"}, ""},
		{"an instrument calibrated next month", When{At: at, Calibrated: "2026-12-13"}, "calibration is dated 2026-12-13, which is still to come"},
		{"a page of last year", When{At: at, Began: began, Page: "2025-12-13"}, "the page is dated 2025-12-13, before the project was begun"},
	} {
		got := strings.Join(tt.when.Odd(), "; ")
		if (tt.want == "") != (got == "") || !strings.Contains(got, tt.want) {
			t.Errorf("%s: %q, not %q", tt.what, got, tt.want)
		}
	}
}

func TestOverdue(t *testing.T) {
	id := &Identity{Number: "17", Calibrated: "2025-11-10", Due: "2026-11-10"}
	for at, want := range map[string]bool{"2026-11-10": false, "2026-11-11": false, "2026-11-13": true} {
		when, _ := time.Parse(time.DateOnly, at)
		if id.Overdue(when.Add(12*time.Hour)) != want {
			t.Errorf("on %s overdue is not %v", at, want)
		}
	}
	if (*Identity)(nil).Overdue(time.Now()) || (&Identity{}).Overdue(time.Now()) {
		t.Error("without a date it is overdue")
	}
	for _, bad := range []Identity{{Due: "next year"}, {Calibrated: "2026-11-10", Due: "2026-01-01"}} {
		c := checker{}
		if c.identity(&bad); c.err == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
}
