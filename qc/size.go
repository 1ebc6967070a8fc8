package qc

import (
	"fmt"
	"strconv"
	"strings"

	"bucktail/qc/spec"
)

// Size is a nominal diameter as the builder named it.
type Size struct {
	Text      string  `json:"text"`       // "4", "3.2 mm", "1/8", "#30", "F"
	NominalMM float64 `json:"nominal_mm"` // the rivet's diameter D
	Dash      int     `json:"dash,omitempty"`

	// Where a drill was named: its name, and the hole that it makes.
	Drill string `json:"drill,omitempty"` // "#30"
	Rivet Rivet  `json:"rivet,omitempty"` // that the hole is for
	Hole  Stage  `json:"hole,omitempty"`  // PilotHole or FinalHole
}

// Least and greatest nominal diameter that is taken: below and above are no rivets of light
// aircraft, and most likely a slip of the unit.
const (
	minNominalMM = 0.5
	maxNominalMM = 20
)

// ParseSize reads a nominal diameter:
//
//	4, -4        dash number, 4/32 in
//	3.2mm        millimetres (3,2 mm is taken too)
//	1/8, 5/32"   fraction of an inch
//	0.125in      decimal inches
//	#30, F       number or letter drill: the diameter of the rivet whose hole it makes
//
// A bare decimal such as 3.2 is refused, for it could be either unit. A drill makes several
// rivets' holes; said narrows them down, and [ErrWhichHole] asks where it does not.
func ParseSize(s string, said Use) (Size, error) {
	text := strings.TrimSpace(s)
	t := strings.Replace(strings.ReplaceAll(strings.ToLower(text), " ", ""), ",", ".", 1) // a decimal comma
	size := Size{Text: text}
	fail := func(why string) (Size, error) {
		return Size{}, fmt.Errorf("size %q %s: write a dash number (4), millimetres (3.2mm), a fraction of an inch (1/8) or a drill (#30, F)", s, why)
	}
	switch {
	case t == "":
		return fail("is empty")
	case len(t) > 16:
		return Size{}, fmt.Errorf("size of %d characters is too long: write a dash number (4), millimetres (3.2mm), a fraction of an inch (1/8) or a drill (#30, F)", len(t))
	case t[0] == '#' || len(t) == 1 && t[0] >= 'a' && t[0] <= 'z':
		d, ok := drillIn(t)
		if !ok {
			return fail("is no drill from #1 to #60 or A to Z")
		}
		h, err := theHole(d.Name, said)
		if err != nil {
			return Size{}, err
		}
		size.NominalMM, size.Drill, size.Rivet, size.Hole = h.nominalMM, d.Name, h.rivet, h.stage
	case strings.HasSuffix(t, "mm"):
		v, ok := plainNumber(strings.TrimSuffix(t, "mm"))
		if !ok {
			return fail("is no length")
		}
		size.NominalMM = v
	case strings.Contains(t, "/"):
		v, ok := inchFraction(strings.TrimSuffix(strings.TrimSuffix(t, "in"), `"`))
		if !ok {
			return fail("is no fraction of an inch")
		}
		size.NominalMM = v * MMPerInch
	case strings.HasSuffix(t, "in") || strings.HasSuffix(t, `"`):
		v, ok := plainNumber(strings.TrimSuffix(strings.TrimSuffix(t, "in"), `"`))
		if !ok {
			return fail("is no length")
		}
		size.NominalMM = v * MMPerInch
	default:
		n, err := strconv.Atoi(strings.TrimPrefix(t, "-"))
		if err != nil {
			if _, ok := plainNumber(t); ok {
				return fail("has no unit")
			}
			return fail("is not known")
		}
		if n < 1 || n > 16 {
			return fail("is no dash number from 1 to 16")
		}
		size.Dash, size.NominalMM = n, float64(n)*MMPerInch/32
	}
	if size.NominalMM < minNominalMM || size.NominalMM > maxNominalMM {
		return fail(fmt.Sprintf("is %.4g mm, outside %v to %d mm", size.NominalMM, minNominalMM, maxNominalMM))
	}
	if r, ok := spec.Solid(size.NominalMM); ok {
		size.Dash = r.Dash
	}
	return size, nil
}

// drillIn finds the number or letter drill that a size names.
func drillIn(s string) (spec.Drill, bool) {
	d, ok := spec.DrillNamed(strings.ToUpper(strings.ReplaceAll(s, " ", "")))
	return d, ok && d.Series != "fraction"
}

// plainNumber reads digits with one point; no exponent, sign, hex, infinity.
func plainNumber(s string) (float64, bool) {
	if s == "" || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

func inchFraction(s string) (float64, bool) {
	a, b, ok := strings.Cut(s, "/")
	num, errA := strconv.Atoi(a)
	den, errB := strconv.Atoi(b)
	if !ok || errA != nil || errB != nil || num <= 0 || den <= 0 || den > 128 || strings.Trim(a+b, "0123456789") != "" {
		return 0, false
	}
	return float64(num) / float64(den), true
}
