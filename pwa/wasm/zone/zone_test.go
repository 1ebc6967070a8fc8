package zone

import (
	"testing"
	"time"
	_ "time/tzdata"
)

// TestAgreesWithTheTimeZoneDatabase holds wall clocks against the IANA database as Go ships it.
func TestAgreesWithTheTimeZoneDatabase(t *testing.T) {
	from, to := time.Date(2009, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2029, 1, 1, 0, 0, 0, 0, time.UTC)
	for name, at := range map[string]string{
		"Europe/Berlin": "UTC+02", "America/St_Johns": "UTC-02:30", "Australia/Lord_Howe": "UTC+10:30",
		"Asia/Kolkata": "UTC+05:30", "Africa/Casablanca": "UTC+01", "America/Caracas": "UTC-04", "UTC": "UTC", "Africa/Abidjan": "UTC",
	} {
		want, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		got := Of(from, to, func(s int64) int {
			_, off := time.Unix(s, 0).In(want).Zone()
			return off
		})
		for x := from; x.Before(to); x = x.Add(37 * time.Minute) {
			if g, w := x.In(got).Format(time.DateTime), x.In(want).Format(time.DateTime); g != w {
				t.Fatalf("%s: %v is %s, not %s", name, x, g, w)
			}
		}
		if got, _ := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC).In(got).Zone(); got != at {
			t.Errorf("%s is called %q in July, not %q", name, got, at)
		}
	}
}

func TestNonsenseIsUTC(t *testing.T) {
	from, to := time.Unix(1_200_000_000, 0), time.Unix(1_800_000_000, 0)
	for name, offset := range map[string]func(int64) int{
		"far off":         func(int64) int { return 1 << 30 },
		"always another":  func(s int64) int { return int(s / 3600 % 40_000) },
		"far off at last": func(s int64) int { return int(max(0, s-1_799_000_000)) },
	} {
		if loc := Of(from, to, offset); loc != time.UTC {
			t.Errorf("%s: %v", name, loc)
		}
	}
}
