package qc

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bucktail/qc/spec"
)

// MMPerInch is exact.
const MMPerInch = 25.4

// Units says how lengths are shown. Inside, every length is in millimetres.
type Units string

const (
	Millimetres Units = "mm"
	Inches      Units = "in"
)

// ParseUnits reads "mm" or "in".
func ParseUnits(s string) (Units, error) {
	switch u := Units(strings.ToLower(strings.TrimSpace(s))); u {
	case Millimetres, Inches:
		return u, nil
	}
	return "", fmt.Errorf("units %q are not known: write mm or in", s)
}

// decimals of a shown length: a hundredth of a millimetre and a thousandth of an inch are
// of one order, and neither is finer than a photo reads.
func (u Units) decimals() int {
	if u == Inches {
		return 3
	}
	return 2
}

func (u Units) of(mm float64) float64 {
	if u == Inches {
		return mm / MMPerInch
	}
	return mm
}

func (u Units) symbol() string {
	if u == Inches {
		return "in"
	}
	return "mm"
}

// Number shows a length without its unit: "4.76", "0.187", with U+2212 for a minus.
func (u Units) Number(mm float64) string { return number(u.of(mm), u.decimals()) }

// Value shows a length with its unit: "4.76 mm".
func (u Units) Value(mm float64) string { return u.Number(mm) + " " + u.symbol() }

// WithU shows a value and its expanded uncertainty with the same decimals:
// "4.76 ± 0.12 mm". An uncertainty above zero is never shown as zero.
func (u Units) WithU(valueMM, uMM float64) string {
	return u.Number(valueMM) + " ± " + number(u.showU(uMM), u.decimals()) + " " + u.symbol()
}

// showU lifts a small uncertainty to the last shown decimal: "± 0.00" would claim that
// there is none.
func (u Units) showU(uMM float64) float64 {
	least := math.Pow(10, -float64(u.decimals()))
	if v := u.of(uMM); !(v > 0) || v >= least {
		return v
	}
	return least
}

// number rounds halves away from zero: 3.175, 1/8 in, is shown as 3.18 although its binary
// form lies a hair under, and 5/16 in as 0.313.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v*(1+1e-12), 'f', decimals, 64)
	if rest, neg := strings.CutPrefix(s, "-"); neg {
		if strings.Trim(rest, "0.") == "" {
			return rest // no minus before a zero
		}
		return "\u2212" + rest
	}
	return s
}

// Fraction is the 64th of an inch nearest to a length, and what is left over.
type Fraction struct {
	Sixtyfourths int     `json:"sixtyfourths"`
	RemainderMM  float64 `json:"remainder_mm"` // length less fraction: positive when the length is greater
}

// NearestFraction finds it; halves go away from zero.
func NearestFraction(mm float64) Fraction {
	n := int(math.Round(mm / MMPerInch * 64))
	return Fraction{n, mm - float64(n)*MMPerInch/64}
}

// String shows the fraction alone, in lowest terms: "11/64", "1 1/8", "0".
func (f Fraction) String() string {
	n, sign := f.Sixtyfourths, ""
	if n < 0 {
		n, sign = -n, "\u2212"
	}
	whole, num, den := n/64, n%64, 64
	for num > 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	switch {
	case num == 0:
		return sign + strconv.Itoa(whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d", sign, num, den)
	}
	return fmt.Sprintf("%s%d %d/%d", sign, whole, num, den)
}

// Exact shows the fraction with its remainder in thousandths of an inch: "11/64 + 0.003 in",
// "11/64 − 0.002 in", and "11/64 in" where the remainder is under half a thousandth.
func (f Fraction) Exact() string {
	rem := number(math.Abs(f.RemainderMM)/MMPerInch, 3)
	switch {
	case rem == "0.000":
		return f.String() + " in"
	case f.RemainderMM < 0:
		return f.String() + " \u2212 " + rem + " in"
	}
	return f.String() + " + " + rem + " in"
}

// Size is a nominal diameter as the builder named it.
type Size struct {
	Text      string  `json:"text"`       // "4", "3.2 mm", "1/8", "#30", "F"
	NominalMM float64 `json:"nominal_mm"` // diameter
	Dash      int     `json:"dash,omitempty"`
	Drill     string  `json:"drill,omitempty"` // where a drill was named
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
//	#30, F       number or letter drill
//
// A bare decimal such as 3.2 is refused, for it could be either unit.
func ParseSize(s string) (Size, error) {
	text := strings.TrimSpace(s)
	t := strings.ReplaceAll(strings.ToLower(text), " ", "")
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
		d, ok := spec.DrillNamed(strings.ToUpper(t))
		if !ok {
			return fail("is no drill from #1 to #60 or A to Z")
		}
		size.NominalMM, size.Drill = d.DiameterMM, d.Name
	case strings.HasSuffix(t, "mm"):
		v, ok := plainNumber(strings.Replace(strings.TrimSuffix(t, "mm"), ",", ".", 1))
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
		return fail(fmt.Sprintf("is %.4g mm, outside %v to %v mm", size.NominalMM, minNominalMM, maxNominalMM))
	}
	if r, ok := spec.Solid(size.NominalMM); ok {
		size.Dash = r.Dash
	}
	return size, nil
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
