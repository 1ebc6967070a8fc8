package qc

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestShowLengths(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Millimetres.Value(4.7625), "4.76 mm"},
		{Millimetres.Value(4), "4.00 mm"},
		{Millimetres.Value(3.175), "3.18 mm"}, // 1/8 in: halves go away from zero
		{Millimetres.Number(-3.175), "\u22123.18"},
		{Inches.Value(7.9375), "0.313 in"}, // 5/16 in
		{Inches.Value(4.7625), "0.188 in"},
		{Inches.Value(25.4), "1.000 in"},
		{Millimetres.Number(-0.126), "\u22120.13"},
		{Millimetres.Number(-0.001), "0.00"},
		{Millimetres.WithU(4.761, 0.12), "4.76 ± 0.12 mm"},
		{Millimetres.WithU(4.761, 0.1), "4.76 ± 0.10 mm"},
		{Millimetres.WithU(4.761, 0.002), "4.76 ± 0.01 mm"}, // never ± 0.00
		{Inches.WithU(4.7625, 0.12), "0.188 ± 0.005 in"},
		{Inches.WithU(4.7625, 0.002), "0.188 ± 0.001 in"},
		{Millimetres.AsTyped(0.508), "0.508 mm"}, // 0.020 in
		{Millimetres.AsTyped(0.81), "0.81 mm"},
		{Inches.AsTyped(0.8128), "0.032 in"},
		{Millimetres.AsTypedWithU(0.255, 0.04), "0.255 ± 0.040 mm"},
		{Millimetres.AsTypedWithU(0.31, 0.02), "0.31 ± 0.02 mm"},
		{Inches.AsTypedWithU(0.315, 0.02), "0.0124 ± 0.0008 in"},
	} {
		if c.got != c.want {
			t.Errorf("shown %q, want %q", c.got, c.want)
		}
	}
}

func TestNearestFraction(t *testing.T) {
	for _, c := range []struct {
		mm          float64
		text, exact string
	}{
		{0, "0", "0 in"},
		{25.4, "1", "1 in"},
		{3.175, "1/8", "1/8 in"},
		{28.575, "1 1/8", "1 1/8 in"},
		{0.171875 * 25.4, "11/64", "11/64 in"},
		{0.175 * 25.4, "11/64", "11/64 + 0.003 in"},
		{0.170 * 25.4, "11/64", "11/64 \u2212 0.002 in"},
		{-3.175, "\u22121/8", "\u22121/8 in"},
	} {
		f := NearestFraction(c.mm)
		if f.String() != c.text || f.Exact() != c.exact {
			t.Errorf("%v mm is %q, %q; want %q, %q", c.mm, f.String(), f.Exact(), c.text, c.exact)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(-500, 500).Draw(t, "mm")
		f := NearestFraction(mm)
		if math.Abs(float64(f.Sixtyfourths)*25.4/64+f.RemainderMM-mm) > 1e-9 || math.Abs(f.RemainderMM) > 25.4/128+1e-9 {
			t.Fatalf("%v mm: %+v", mm, f)
		}
	})
}

func TestParseUnits(t *testing.T) {
	if u, err := ParseUnits(" IN "); err != nil || u != Inches {
		t.Errorf("%q, %v", u, err)
	}
	if _, err := ParseUnits("furlong"); err == nil || !strings.Contains(err.Error(), "mm or in") {
		t.Errorf("error %v", err)
	}
}
