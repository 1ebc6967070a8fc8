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
// and what becomes of the location with the next larger rivet (nil: not known). Lengths are in u.
//
// A distance is not mended by drilling out, for the hole stays where it is. A driven head that is too
// narrow and too high may be driven further; one that is too wide or too low can't be driven back; a
// pulled one is never set again, and none is driven to close a gap.
func Advise(k Kind, checks []Check, answers []Answer, next *NextSize, u Units) Advice {
	seen := AnswersVerdict(answers)
	suggested, head := Suggest(k, checks, seen), drivenOf(checks, seen)
	a := Advice{Source: spec.Cite{Source: spec.CommonPractice, Basis: spec.Memory}.Provenance()}
	outs, planned := outOf(checks, seen)
	switch short := worstOf(outs, distance); {
	case planned:
		a.Text = plannedAdvice(outs)
	case short != nil:
		a.Text, a.Source = distanceAdvice(*short, next, u), spec.ReworkRuleNo("W17").Source
	case suggested == Keep, suggested == "":
		a.Text = "Nothing that was measured or seen is out of its limits."
	case k == ShopHead && head.measureFirst():
		a.Text = head.advice()
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
		a.Text = head.advice()
	default:
		a.Text = "A manufactured head can't be mended where it stands: the rivet is drilled out and replaced."
	}
	first := suggested
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

// plannedAdvice is about what is out as it was laid out, and was measured by nobody.
func plannedAdvice(outs []Check) string {
	worst := outs[max(Governing(outs), 0)]
	return fmt.Sprintf("The %s was planned so, and nobody has measured it: measure it on the part before anything is decided.", worst.Limit.Quantity.Words())
}

// distanceAdvice is about an edge distance or a pitch that is too short.
func distanceAdvice(c Check, next *NextSize, u Units) string {
	s := fmt.Sprintf("A short %s is not mended by drilling out: the hole stays where it is", c.Limit.Quantity.Words())
	if next != nil {
		for _, n := range next.Checks {
			if n.Limit.Quantity == c.Limit.Quantity && n.Limit.MinMM > 0 {
				s += fmt.Sprintf(", and the next size, %s, needs %s where there are %s", next.Name, u.Value(n.Limit.MinMM), u.WithU(n.Reading.ValueMM, n.UMM))
				break
			}
		}
	}
	return s + ". The designer's word decides."
}

// drivenHead is what a driven head that is out is like.
type drivenHead struct {
	narrow, high bool
	// heightKnown says that nothing that is still to be measured would tell whether it is too high.
	heightKnown bool
	otherwise   bool // something else is out too: by what was seen, a crack say, or by what was measured
}

func drivenOf(checks []Check, seen Verdict) drivenHead {
	d := drivenHead{otherwise: seen == Out}
	for _, c := range checks {
		height, low := c.Limit.Quantity == HeadHeight, c.Limit.MinMM > 0
		if height && !low {
			d.heightKnown = c.Verdict != TooClose || c.Reading.How == ByGauge
		}
		switch {
		case c.Verdict != Out, c.Reading.How == ByLayout:
		case height && !low:
			d.high = true
		case !height && c.Limit.Quantity.Diameter() && low:
			d.narrow = true
		default:
			d.otherwise = true
		}
	}
	return d
}

// measureFirst tells that a driven head which is out is not to be drilled yet: too narrow and too high,
// it may be driven further and measured again; too narrow alone, its height decides, and a drilled
// rivet can't be had back. A head that is out in any other way, cracked say, is neither driven nor
// measured again.
func (d drivenHead) measureFirst() bool {
	return d.narrow && !d.otherwise && (d.high || !d.heightKnown)
}

// advice says why.
func (d drivenHead) advice() string {
	switch {
	case d.measureFirst() && d.high:
		return "It is too narrow and too high: it may be driven a little further, then measured again. None is driven further to close a gap."
	case d.measureFirst():
		return "It is too narrow. Measure its height before the drill is taken: where it is too high as well, it may be driven further; else it is replaced."
	case d.otherwise || !d.narrow && !d.high:
		return "A head that was driven too far, or cracked, can't be driven back: the rivet is drilled out and replaced."
	}
	return "Its width and height don't go together, as of a rivet of the wrong length: it is drilled out and replaced."
}
