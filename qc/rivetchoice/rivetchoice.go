// Package rivetchoice finds the length of a rivet for a stack of sheets, with all that belongs to it
// on one card: drill, hole, head, least edge distance and pitch. Grip belongs to the location, not to
// the part: where an angle lies on top the rivet is another one. Start with [Choose].
package rivetchoice

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/spec"
)

// Stack is what is riveted in one place, from the manufactured head's side.
type Stack struct {
	Layers []Layer `json:"layers"`
	UMM    float64 `json:"U_mm,omitempty"` // expanded uncertainty of the whole stack, where it was measured
	// Closed tells that nobody reaches the far side: the last layer is the wall of a tube.
	Closed bool `json:"closed,omitempty"`
	// TubeMM is that tube's inside-to-outside depth behind the wall, its outer width; 0: not said.
	TubeMM float64 `json:"tube_mm,omitempty"`
}

// Input is a stack to be riveted, with the rivet that is meant to go there.
type Input struct {
	Spec qc.Spec `json:"spec"`
	Stack
	// Instead tells that the drawing asks for a solid rivet here and a pulled one is thought of;
	// Mixed that solid and pulled ones would stand in one pattern.
	Instead bool `json:"instead,omitempty"`
	Mixed   bool `json:"mixed,omitempty"`
	// Units is how what is said of it shows lengths; grips stay as their table has them, in inches.
	Units qc.Units `json:"-"`
}

// Layer is one sheet of the stack.
type Layer struct {
	Name        string  `json:"name,omitempty"`
	ThicknessMM float64 `json:"thickness_mm"`
}

// Candidate is a rivet that may suit.
type Candidate struct {
	Name   string  `json:"name"`    // "number 42", "length -4.5"
	Text   string  `json:"text"`    // what it takes or leaves
	BodyMM float64 `json:"body_mm"` // its length
	First  bool    `json:"first,omitempty"`
	spec.Cite
	From string `json:"from"`
}

// Card is the answer.
type Card struct {
	GripMM     float64     `json:"grip_mm"`
	Candidates []Candidate `json:"candidates"`
	// Ask says what must be settled before one is taken; "" where the first stands.
	Ask      string     `json:"ask,omitempty"`
	Drill    string     `json:"drill,omitempty"`
	Pilot    string     `json:"pilot,omitempty"`
	Limits   []Limit    `json:"limits"`
	Inside   []string   `json:"inside,omitempty"` // what stands inside a tube
	Warnings []string   `json:"warnings,omitempty"`
	Verdict  qc.Verdict `json:"verdict,omitempty"` // of the room inside a tube
}

// Limit is a limit of the location with how it was had.
type Limit struct {
	qc.Limit
	From string `json:"from"`
}

// Caution stands with every card.
const Caution = "The drawing names the rivet. Try one on scrap of the same stack; the aircraft's drawings, local rules and licensed practice decide, an inspector confirms."

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }

// Choose finds the rivets for a stack. A stack that no table row takes is an answer that says so.
func Choose(in Input) (Card, error) {
	if err := in.valid(); err != nil {
		return Card{}, err
	}
	var c Card
	for _, l := range in.Layers {
		c.GripMM += l.ThicknessMM
	}
	if in.Spec.ForRivet() == qc.Pulled {
		in.pulled(&c)
	} else {
		in.solid(&c)
	}
	in.warn(&c)
	return c, in.limits(&c)
}

func (in Input) valid() error {
	if err := in.Spec.Valid(); err != nil {
		return refuse("bad-spec", err.Error(), "correct the rivet")
	}
	return in.Stack.Valid()
}

// Valid says, as a *qc.Refusal, what is wrong with a stack, or nil.
func (s Stack) Valid() error {
	if len(s.Layers) == 0 || len(s.Layers) > 20 {
		return refuse("layers", fmt.Sprintf("a stack of %d layers is none", len(s.Layers)), "give each sheet's thickness, from the head's side")
	}
	for _, l := range s.Layers {
		if !(l.ThicknessMM > 0 && l.ThicknessMM <= 50) {
			return refuse("layers", fmt.Sprintf("a layer %.6g mm thick is none", l.ThicknessMM), "give its thickness, above 0 and at most 50 mm")
		}
	}
	if !(s.UMM >= 0 && s.UMM <= 5) || !(s.TubeMM >= 0 && s.TubeMM <= 500) {
		return refuse("layers", "the stack's uncertainty or the tube's width makes no sense", "give millimetres, or leave them out")
	}
	return nil
}

// pulled finds the grip rows that a stack may belong to: in the gap between two rows, or where its
// uncertainty reaches into a second one, both are named and nothing is chosen silently.
func (in Input) pulled(c *Card) {
	var rows []spec.Grip
	for _, g := range spec.Grips {
		if spec.SameSize(g.NominalMM, in.Spec.NominalMM) {
			rows = append(rows, g)
		}
	}
	mm := in.Units.Value
	if len(rows) == 0 {
		c.Ask = "no table of grips was read for this size: take the length from the maker's table, for a grip of " + mm(c.GripMM)
		return
	}
	add := func(g spec.Grip) {
		c.Candidates = append(c.Candidates, Candidate{Name: "number " + g.Number, BodyMM: g.BodyMM, Cite: g.Cite, From: g.Provenance(),
			Text: fmt.Sprintf("grip %s to %s, body %s long", qc.Inches.Number(g.MinMM), qc.Inches.Value(g.MaxMM), qc.Inches.Value(g.BodyMM))})
	}
	const tiny = 1e-9
	lo, hi := c.GripMM-in.UMM, c.GripMM+in.UMM
	for i, g := range rows {
		if lo <= g.MaxMM+tiny && hi >= g.MinMM-tiny {
			add(g)
		}
		if next := i + 1; len(c.Candidates) == 0 && next < len(rows) && lo > g.MaxMM+tiny && hi < rows[next].MinMM-tiny {
			add(g)
			add(rows[next])
			c.Ask = fmt.Sprintf("the stack, %s, lies in the gap between two rows: measure it, or try both on scrap", inches5(c.GripMM))
			break
		}
	}
	switch n := len(c.Candidates); {
	case n == 0:
		c.Ask = fmt.Sprintf("no row takes a stack of %s: the table goes from %s to %s", inches5(c.GripMM), qc.Inches.Number(rows[0].MinMM), qc.Inches.Value(rows[len(rows)-1].MaxMM))
	case n == 1 && covers(rows, lo, hi):
		c.Candidates[0].First = true
	case c.Ask == "":
		c.Ask = "the stack's uncertainty reaches beyond one row: measure it better, or try on scrap"
	}
	if in.Closed {
		in.inside(c)
	}
}

// covers tells whether one row takes the whole of an interval.
func covers(rows []spec.Grip, lo, hi float64) bool {
	const tiny = 1e-9
	for _, g := range rows {
		if lo >= g.MinMM-tiny && hi <= g.MaxMM+tiny {
			return true
		}
	}
	return false
}

// inches5 shows a grip as finely as the gap between rows asks.
func inches5(mm float64) string {
	return fmt.Sprintf("%.5f in (%s)", mm/qc.MMPerInch, qc.Millimetres.Value(mm))
}

// inside says what stands inside the tube, and whether it meets a rivet in the middle of the next
// face. The blind head is about 1.5 D wide by practice.
func (in Input) inside(c *Card) {
	mm := in.Units.Value
	outer := c.GripMM - in.Layers[len(in.Layers)-1].ThicknessMM // what lies on the tube
	for _, x := range c.Candidates {
		past, below := x.BodyMM-c.GripMM, x.BodyMM-outer
		c.Inside = append(c.Inside, fmt.Sprintf("%s: body %s past the stack before it is pulled, without the stem's head; its end %s below the tube's outer face", x.Name, mm(past), mm(below)))
		if in.TubeMM == 0 {
			continue
		}
		room := in.TubeMM/2 - 0.75*in.Spec.NominalMM
		v, words := qc.Within, "passes a rivet in the middle of the next face"
		if below > room {
			v, words = qc.Out, "meets a rivet in the middle of the next face: stagger them along the tube"
		}
		c.Verdict = qc.Worst(c.Verdict, v)
		c.Inside = append(c.Inside, fmt.Sprintf("%s: %s; tube %s wide, its axis %s down less a blind head's radius of about 0.75 D leaves %s", x.Name, words, mm(in.TubeMM), mm(in.TubeMM/2), mm(room)))
	}
}

// solid finds lengths in half sixteenths of an inch: the nearest to grip and allowance, else the next
// longer whole one.
func (in Input) solid(c *Card) {
	d := in.Spec.NominalMM
	if in.Closed {
		c.Ask = "no bar can reach the far side of a closed tube: a solid rivet can't be driven there. Ask the designer"
		return
	}
	allow := allowance(d, c.GripMM)
	need := (c.GripMM + allow) / (qc.MMPerInch / 16)
	cite := spec.Cite{Source: "NAVEDTRA 14018 ch 13 (L = grip + 1.5 D); half sizes AC 43.13-1B 4-57a(4)", Basis: spec.Read}
	half := math.Round(2*need) / 2
	add := func(n float64, first bool, why string) {
		l := n * qc.MMPerInch / 16
		c.Candidates = append(c.Candidates, Candidate{Name: fmt.Sprintf("length -%g", n), BodyMM: l, First: first, Cite: cite, From: cite.Provenance(),
			Text: fmt.Sprintf("%s long, leaves %.2f D%s", qc.Inches.Value(l), (l-c.GripMM)/d, why)})
	}
	add(half, true, "")
	if next := math.Ceil(need); next != half {
		add(next, false, ", the next longer whole size")
	}
	c.Ask = ""
}

// allowance is what the shank needs beyond the grip to form its head.
//
// Source: TM 9-2320-302-34 Table 5.
func allowance(d, grip float64) float64 {
	a := 1.5 * d
	per := 2 * qc.MMPerInch
	if d > qc.MMPerInch/4+0.01 {
		per = qc.MMPerInch
	}
	if grip > per {
		a += math.Floor(grip/per) * qc.MMPerInch / 16
	}
	return a
}

// warn gives the published words on pulled rivets.
func (in Input) warn(c *Card) {
	add := func(s string) { c.Warnings = append(c.Warnings, s) }
	pulled := in.Spec.ForRivet() == qc.Pulled
	if in.Spec.NominalMM < 3*qc.MMPerInch/32-0.005 {
		add("a rivet under 3/32 in is not for structure (NAVEDTRA 14018 ch 13, read there)")
	}
	if in.Closed && in.TubeMM > 0 && in.Spec.NominalMM < in.TubeMM/8 {
		add("D is less than an eighth of the tube, " + in.Units.Value(in.TubeMM/8) + ": AC 43.13-1B 4-58a wants at least that of a rivet through a hollow tube (read there; written for round and streamline tubes)")
	}
	if in.Mixed {
		add("solid and pulled rivets in one pattern share the load unevenly: refer it to the designer (practice)")
	}
	if pulled && in.Instead {
		add("common pull-type rivets are not approved in certificated structure (AC 43.13-1B 4-57f(9), read there); it does not bind an amateur-built design whose designer specifies them: refer it to the designer")
		add("a blind rivet is not usual where a driven one can be installed (FAA-H-8083-31 ch 4, read there)")
	}
	if pulled {
		add("not in a fluid-tight area (FAA-H-8083-31 ch 4, read there)")
		add("after pulling, a 0.05 mm (0.002 in) feeler round the head and a push of 45 N (10 lbf) on the stem decide; head height is no limit of pulled rivets (TM 10-5410-221-14, read there)")
	}
	if pulled && in.Closed {
		add("the blind-side edge of the hole can't be reached and is not broken (TM 9-2320-363-34-2, read there)")
	}
}

// limits puts hole, head and spacing on the card.
func (in Input) limits(c *Card) error {
	add := func(s qc.Spec, keep func(qc.Limit) bool) error {
		ls, err := s.Limits()
		if err != nil {
			return refuse("bad-limits", err.Error(), "correct the limits")
		}
		for _, l := range ls {
			if keep(l) {
				c.Limits = append(c.Limits, Limit{l, l.Provenance()})
			}
		}
		return nil
	}
	hole := in.Spec
	hole.Kind, hole.Rivet, hole.Pilot = qc.Hole, in.Spec.ForRivet(), false
	if err := add(hole, func(l qc.Limit) bool { return l.Quantity.Diameter() }); err != nil {
		return err
	}
	c.Drill, c.Pilot = in.Spec.Drills()
	return add(in.Spec, func(l qc.Limit) bool { return in.Spec.Kind != qc.Hole || !l.Quantity.Diameter() })
}
