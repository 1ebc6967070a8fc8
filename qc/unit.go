package qc

import (
	"fmt"
	"math"
	"strconv"
	"strings"
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
	return u.Number(valueMM) + " ± " + number(u.showU(uMM, u.decimals()), u.decimals()) + " " + u.symbol()
}

// AsTyped shows a length that a person gave, with its unit: as Value does, with one decimal more where
// it has one: 0.255 mm is not 0.26.
func (u Units) AsTyped(mm float64) string {
	return number(u.of(mm), u.typedDecimals(mm)) + " " + u.symbol()
}

// AsTypedWithU shows a length that a person gave and its expanded uncertainty, with the value's
// decimals as AsTyped gives them: "0.255 ± 0.040 mm".
func (u Units) AsTypedWithU(valueMM, uMM float64) string {
	d := u.typedDecimals(valueMM)
	return number(u.of(valueMM), d) + " ± " + number(u.showU(uMM, d), d) + " " + u.symbol()
}

func (u Units) typedDecimals(mm float64) int {
	if d := u.decimals() + 1; !strings.HasSuffix(number(u.of(mm), d), "0") {
		return d
	}
	return u.decimals()
}

// showU lifts a small uncertainty to the last of the decimals shown: "± 0.00" would claim that
// there is none.
func (u Units) showU(uMM float64, decimals int) float64 {
	least := math.Pow(10, -float64(decimals))
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
