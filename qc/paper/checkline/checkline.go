// Package checkline judges what a builder measured on a printed card sheet: the two check
// lines and the thickness. It is apart from the drawing of the sheet so that a small program
// can use it without fonts. Start with [Judge].
package checkline

import (
	"fmt"
	"math"

	"bucktail/qc"
)

// NominalMM is how long both check lines are drawn.
const NominalMM = 150.0

// What is believed of a print.
const (
	// MaxOff is how far a line may be off, relative. Printers that print at true size stay
	// within a few thousandths (common practice); the least a "fit to page" takes is about
	// 3 per cent. A line between the two is more likely misread than misprinted.
	MaxOff = 0.01
	// MaxSkew is how much the two lines' scales may differ from each other, relative.
	MaxSkew = 0.01
	// MaxUMM bounds the uncertainty of a measured line: a rule read to half a millimetre.
	MaxUMM = 0.6
)

// Scale is true size over drawn size.
type Scale struct {
	Across, Along float64 // along the card's x and y
	U             float64 // expanded uncertainty (k = 2) of each, relative
}

// Judge turns the measured check lines into scale factors. uMM is the expanded uncertainty
// (k = 2) of the measuring. The error is a *qc.Refusal with code check-line or
// check-line-uncertainty that says what most likely went wrong and what to do.
func Judge(acrossMM, alongMM, uMM float64) (Scale, error) {
	if !(uMM > 0 && uMM <= MaxUMM) {
		return Scale{}, refuse("check-line-uncertainty",
			fmt.Sprintf("an uncertainty of %.2f mm for a check line is not between 0 and %.1f mm", uMM, MaxUMM),
			"measure with calipers or a steel rule read to half a millimetre")
	}
	if err := one("across", acrossMM); err != nil {
		return Scale{}, err
	}
	if err := one("along", alongMM); err != nil {
		return Scale{}, err
	}
	s := Scale{Across: acrossMM / NominalMM, Along: alongMM / NominalMM, U: uMM / NominalMM}
	if math.Abs(s.Across-s.Along) > MaxSkew+2*s.U {
		return Scale{}, refuse("check-line",
			fmt.Sprintf("the lines differ: %.1f mm across, %.1f mm along", acrossMM, alongMM),
			"measure both once more, then print again if they stay different")
	}
	return s, nil
}

// one judges one line by itself.
func one(which string, mm float64) error {
	off := mm/NominalMM - 1
	near := func(unit float64) bool { return math.Abs(mm*unit/NominalMM-1) <= 0.2 }
	switch {
	case math.IsNaN(mm) || mm <= 0:
		return refuse("check-line", fmt.Sprintf("the line %s has no length", which), "measure it from end mark to end mark, in millimetres")
	case math.Abs(off) <= MaxOff+1e-9: // 151.5 counts as within
		return nil
	case near(25.4):
		return refuse("check-line", fmt.Sprintf("%.3f for the line %s looks like inches", mm, which), fmt.Sprintf("type it in millimetres: %.1f", mm*25.4))
	case near(10):
		return refuse("check-line", fmt.Sprintf("%.2f for the line %s looks like centimetres", mm, which), fmt.Sprintf("type it in millimetres: %.1f", mm*10))
	case math.Abs(off) <= 0.03:
		return refuse("check-line",
			fmt.Sprintf("the line %s is %.1f mm long instead of 150: %.1f %% off, more than a printer at true size", which, mm, 100*math.Abs(off)),
			"measure it again from end mark to end mark; if it stays so, print again at 100 % with no fitting to the page")
	case math.Abs(off) <= 0.5:
		return refuse("check-line",
			fmt.Sprintf("the printer scaled the page: the line %s is %.1f mm long instead of 150, a scale of %.0f %%", which, mm, 100+100*off),
			"print again at 100 % (\"actual size\"), with \"fit to page\" off, on the paper that the page was made for")
	}
	return refuse("check-line", fmt.Sprintf("%.1f mm can't be the check line %s, which is 150 mm long", mm, which), "measure it from end mark to end mark, in millimetres")
}

// JudgeThickness says whether a thickness of the card as it lies on the work, with what it is
// glued on, can be true; uMM is its expanded uncertainty (k = 2). The error is a *qc.Refusal.
func JudgeThickness(mm, uMM float64) error {
	switch {
	case mm >= 0.002 && mm < 0.05 && uMM > 0: // thinner than any paper
		return refuse("card-thickness", fmt.Sprintf("%.3f for the thickness looks like inches", mm), fmt.Sprintf("type it in millimetres: %.2f", mm*25.4))
	case !(mm >= 0.05 && mm <= 5):
		return refuse("card-thickness", fmt.Sprintf("a card %.3f mm thick is outside 0.05 to 5 mm", mm),
			"measure card and backing together with calipers, in millimetres; a sheet of office paper is 0.1, card stock 0.2 to 0.4")
	case !(uMM > 0 && uMM <= 0.5):
		return refuse("card-thickness", fmt.Sprintf("an uncertainty of %.3f mm for the thickness is not between 0 and 0.5 mm", uMM),
			"measure with calipers or a micrometer")
	}
	return nil
}

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }
