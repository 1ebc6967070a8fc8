package qc

import (
	"fmt"
	"slices"

	"bucktail/qc/spec"
)

// Advice is what is said to somebody who decides about a finding; the decision is theirs.
type Advice struct {
	// Choices are what can be decided, the fitting one first.
	Choices []Disposition `json:"choices"`
	Text    string        `json:"text"`
	Source  string        `json:"source"`
}

// Advise says what fits a finding: its checks, what the answers to the visual questions amounted to,
// and what becomes of the location with the next larger rivet (nil: not known).
//
// A distance is not mended by drilling out, for the hole stays where it is. A driven head that is too
// narrow and too high may be driven further; one that is too wide or too low can't be driven back; a
// pulled one is never set again, and none is driven to close a gap.
func Advise(k Kind, checks []Check, answers []Answer, next *NextSize) Advice {
	suggested := Suggest(k, checks, AnswersVerdict(answers))
	a := Advice{Source: spec.Cite{Source: spec.CommonPractice, Basis: spec.Memory}.Provenance()}
	first := suggested
	switch short := worstOf(checks, distance); {
	case short != nil:
		first = Refer
		a.Text, a.Source = distanceAdvice(*short, next), spec.ReworkRuleNo("W17").Source
	case suggested == Keep, suggested == "":
		a.Text = "Nothing that was measured or seen is out of its limits."
	case suggested == ReMeasure, suggested == Refer && k != Hole:
		a.Text = "A limit lies inside the uncertainty of what was measured: "
		settle := "keep it with a reason, or ask the designer"
		for _, c := range checks {
			if s := c.Settle(); s != "" {
				settle = s
				break
			}
		}
		a.Text += settle + "."
	case k == Hole:
		a.Text, a.Source = "A hole that is too large takes the next size, where edge distance and pitch allow it: the designer's word decides.", spec.ReworkRuleNo("W16").Source
	case slices.ContainsFunc(answers, isGap):
		a.Text = "A gap is not closed by driving the rivet further: it is drilled out and replaced."
	case k == PulledHead:
		a.Text = "A pulled rivet is never set again: it is drilled out and replaced."
	case k == ShopHead:
		first, a.Text = drivenAdvice(checks, AnswersVerdict(answers), first)
	default:
		a.Text = "A manufactured head can't be mended where it stands: the rivet is drilled out and replaced."
	}
	if first == "" {
		first = Keep
	}
	a.Choices = []Disposition{first}
	for _, d := range []Disposition{DrillOut, ReMeasure, Keep, Refer} {
		if d != first && (d != DrillOut || k != Hole) {
			a.Choices = append(a.Choices, d)
		}
	}
	return a
}

func isGap(a Answer) bool {
	return a.Seen == Yes && slices.Contains([]string{"gap-shop", "gap-made", "gap-pulled"}, a.Question)
}

// worstOf is the check that is out by the most, in its own U, of those on certain quantities; nil
// where none is out.
func worstOf(checks []Check, of func(Quantity) bool) *Check {
	out := slices.DeleteFunc(slices.Clone(checks), func(c Check) bool { return c.Verdict != Out || !of(c.Limit.Quantity) })
	if len(out) == 0 {
		return nil
	}
	return &out[max(Governing(out), 0)]
}

// distanceAdvice is about an edge distance or a pitch that is too short.
func distanceAdvice(c Check, next *NextSize) string {
	s := fmt.Sprintf("A short %s is not mended by drilling out: the hole stays where it is", c.Limit.Quantity.Words())
	if next != nil {
		for _, n := range next.Checks {
			if n.Limit.Quantity == c.Limit.Quantity && n.Limit.MinMM > 0 {
				s += fmt.Sprintf(", and the next size, %s, needs %s where there are %s", next.Name, Millimetres.Value(n.Limit.MinMM), Millimetres.WithU(n.Reading.ValueMM, n.UMM))
				break
			}
		}
	}
	return s + ". The designer's word decides."
}

// drivenAdvice is about a driven head that is out, by what was measured or by what was seen.
func drivenAdvice(checks []Check, seen Verdict, suggested Disposition) (Disposition, string) {
	var narrow, high, heightRead bool
	otherwise := seen == Out // a crack, say
	for _, c := range checks {
		height := c.Limit.Quantity == HeadHeight
		heightRead = heightRead || height
		switch low := c.Limit.MinMM > 0; {
		case c.Verdict != Out:
		case height && !low:
			high = true
		case !height && c.Limit.Quantity.Diameter() && low:
			narrow = true
		default:
			otherwise = true
		}
	}
	switch {
	case otherwise || !narrow && !high:
		return suggested, "A head that was driven too far, or cracked, can't be driven back: the rivet is drilled out and replaced."
	case narrow && high:
		return ReMeasure, "It is too narrow and too high: it may be driven a little further, then measured again. None is driven further to close a gap."
	case narrow && !heightRead:
		// A drilled rivet can't be had back, and the height decides whether it has to be drilled.
		return ReMeasure, "It is too narrow. Measure its height before the drill is taken: where it is too high as well, it may be driven further; else it is replaced."
	}
	return suggested, "Its width and height don't go together, as of a rivet of the wrong length: it is drilled out and replaced."
}
