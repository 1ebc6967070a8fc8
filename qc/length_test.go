package qc

import (
	"math"
	"testing"
)

func TestParseLength(t *testing.T) {
	for s, want := range map[string]float64{
		"25": 25, "25.4 mm": 25.4, "25,4mm": 25.4, `0.063"`: 1.6002, "0.5 in": 12.7, "1/8": 3.175, "1 1/8 in": 28.575, `3/4"`: 19.05, "0": 0, ".5": 0.5,
	} {
		if got, err := ParseLength(s, Millimetres); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("%q: %v, %v; want %v", s, got, err, want)
		}
	}
	if got, err := ParseLength("2", Inches); err != nil || got != 50.8 {
		t.Errorf("2 where inches are meant: %v, %v", got, err)
	}
	for _, s := range []string{"", " ", "-3", "−3", "1e9", "NaN", "Inf", "3 cm", "1/0", "0x10", "1/8 mm 3", "one", "--", "1//8", "1 2 3/4"} {
		if got, err := ParseLength(s, Millimetres); err == nil {
			t.Errorf("%q was read as %v", s, got)
		}
	}
}
