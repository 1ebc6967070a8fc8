package qc

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseLength reads a length as a builder writes it: "25", "25.4 mm", "25,4mm", `0.063"`,
// "0.063 in", "1/8", "1 1/8 in". A number alone is in the given units; a fraction is of an inch.
// Zero is a length; a sign, an exponent or words are not.
func ParseLength(s string, bare Units) (float64, error) {
	fail := func(why string) (float64, error) {
		return 0, fmt.Errorf("length %.20q %s: write millimetres (25.4 mm), inches (1.5 in) or a fraction of an inch (1 1/8)", s, why)
	}
	t := strings.ToLower(strings.TrimSpace(s))
	units := bare
	for _, u := range []struct {
		suffix string
		is     Units
	}{{"mm", Millimetres}, {"inches", Inches}, {"inch", Inches}, {"in", Inches}, {`"`, Inches}} {
		if cut, ok := strings.CutSuffix(t, u.suffix); ok {
			t, units = strings.TrimSpace(cut), u.is
			break
		}
	}
	switch {
	case t == "":
		return fail("is empty")
	case t[0] == '-' || strings.HasPrefix(t, "\u2212"):
		return fail("is negative")
	case strings.Contains(t, "/"):
		if units == Millimetres && bare != units {
			return fail("is a fraction in millimetres")
		}
		whole, frac := 0, t
		if a, b, two := strings.Cut(t, " "); two {
			n, err := strconv.Atoi(a)
			if err != nil || n < 0 || n > 10_000 {
				return fail("is no fraction of an inch")
			}
			whole, frac = n, strings.TrimSpace(b)
		}
		v, ok := inchFraction(frac)
		if !ok {
			return fail("is no fraction of an inch")
		}
		return (float64(whole) + v) * MMPerInch, nil
	}
	v, ok := plainNumber(strings.Replace(t, ",", ".", 1))
	if !ok {
		return fail("is no length")
	}
	if units == Inches {
		v *= MMPerInch
	}
	return v, nil
}
