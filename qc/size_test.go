package qc

import (
	"math"
	"strings"
	"testing"

	"bucktail/qc/spec"
)

func TestParseSize(t *testing.T) {
	for _, c := range []struct {
		in    string
		mm    float64
		dash  int
		drill string
	}{
		{"4", 3.175, 4, ""}, {"-4", 3.175, 4, ""}, {" 3 ", 2.38125, 3, ""}, {"7", 7 * 25.4 / 32, 7, ""},
		{"3.2mm", 3.2, 0, ""}, {"3.2 mm", 3.2, 0, ""}, {"3,2 MM", 3.2, 0, ""},
		{"1/8", 3.175, 4, ""}, {"5/32 in", 3.96875, 5, ""}, {`1/8"`, 3.175, 4, ""},
		{"0.125in", 3.175, 4, ""}, {`.125"`, 3.175, 4, ""}, {"0,125 in", 3.175, 4, ""},
		{"#20", 3.96875, 5, "#20"}, {"# 41", 2.38125, 3, "#41"},
	} {
		s, err := ParseSize(c.in, Use{})
		if err != nil || math.Abs(s.NominalMM-c.mm) > 1e-9 || s.Dash != c.dash || s.Drill != c.drill {
			t.Errorf("%q: %+v, %v; want %v mm, dash %d, drill %q", c.in, s, err, c.mm, c.dash, c.drill)
		}
	}
	for in, why := range map[string]string{
		"": "empty", "3.2": "no unit", "3,2": "no unit", "0": "dash number", "17": "dash number", "#61": "no drill", "#": "no drill",
		"1/0": "no fraction", "1/-8": "no fraction", "x/y": "no fraction", "1e9mm": "no length", "NaNmm": "no length",
		"infmm": "no length", "mm": "no length", "200mm": "outside", "0.1mm": "outside", "4 in": "outside", "four": "not known",
		"ß": "not known", "0x4": "not known", strings.Repeat("1", 100): "too long",
	} {
		if s, err := ParseSize(in, Use{}); err == nil || !strings.Contains(err.Error(), why) || !strings.Contains(err.Error(), "write a dash number") {
			t.Errorf("%q: %+v, error %v; want one with %q that says what to write", in, s, err, why)
		}
	}
}

// Every solid rivet is read back by its own name.
func TestParseSizeKnowsTheTables(t *testing.T) {
	for _, r := range spec.SolidRivets {
		s, err := ParseSize(r.Fraction, Use{})
		if err != nil || s.Dash != r.Dash {
			t.Errorf("%s: %+v, %v", r.Fraction, s, err)
		}
	}
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"4", "3.2mm", "1/8", "#30", "F", "-4", "", "1e9mm", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		size, err := ParseSize(s, Use{})
		if err == nil && !(size.NominalMM >= minNominalMM && size.NominalMM <= maxNominalMM) {
			t.Errorf("%q is %v mm", s, size.NominalMM)
		}
	})
}
