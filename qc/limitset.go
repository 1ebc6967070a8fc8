package qc

import (
	"fmt"
	"strings"

	"bucktail/qc/spec"
)

// LimitSet is a named set of published limits. The sets differ in the shop head alone, on
// which published documents disagree; each limit names its own source.
type LimitSet struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	About  string `json:"about"`
	Source string `json:"source"` // of the shop head limits
}

// DefaultSet is the handbook's: the only one of the three that gives the width of a shop head
// both a least and a greatest value, so that an overdriven head shows too; its least value,
// 1.375 D, lies between the 1.3 D of the military specification and the 1.5 D of the rule of
// thumb, which is an aim without a tolerance.
const DefaultSet = spec.Handbook

// Sets lists the published sets, the default first.
var Sets = []LimitSet{
	{spec.Handbook, "Handbook: 1.375 D to 1.75 D",
		"least and greatest width and height of a shop head; the 1/8 in row was read, other sizes are derived by its ratios",
		"Standard Aircraft Handbook, upset head limits"},
	{spec.Mil, "Military specification: at least 1.3 D",
		"least width and height of a shop head, no greatest width; -5, -6 and -8 are derived by the ratios of the rows read",
		"MIL-R-47196A(MI) Table III"},
	{spec.Rule, "Rule of thumb: 1.5 D",
		"1.5 D wide and 0.5 D high; the rule is an aim without a tolerance and is taken here as the least, the strictest reading of it",
		"FAA-H-8083-31 ch 4 Fig 4-76"},
}

// FindSet finds a published set by its name; "" is the default.
func FindSet(name string) (LimitSet, bool) {
	if name == "" {
		name = DefaultSet
	}
	for _, s := range Sets {
		if s.Name == name {
			return s, true
		}
	}
	return LimitSet{}, false
}

func setNames() []string {
	var names []string
	for _, s := range Sets {
		names = append(names, s.Name)
	}
	return names
}

// Limits gives the published limits for a spec, each with one side only, because the sides
// often have different sources.
//
// The least diameter of a head is held against the least allowed and the greatest against the
// greatest allowed: a head must cover its hole in its narrowest direction, and it is overdriven
// where it is widest. A hole's least diameter must let the shank in, and its greatest must
// still be filled by it, which is where an elongated hole shows; a mean would hide both.
func (set LimitSet) Limits(s Spec) []Limit {
	ls := limitList{set: set.Name}
	ls.diameters(s)
	ls.spacing(s)
	return ls.all
}

// Advice gives the greatest edge distance and pitch that the set's documents name for laying
// out. They are no limits: farther from an edge or a neighbour a rivet is as good, and a drawing
// may want it so.
func (set LimitSet) Advice(s Spec) []Limit {
	ls := limitList{set: set.Name}
	ls.layout(s)
	return ls.all
}

type limitList struct {
	set string
	all []Limit
}

func (ls *limitList) min(q Quantity, mm float64, name string, c spec.Cite) {
	if mm > 0 {
		ls.all = append(ls.all, Limit{Quantity: q, Name: name + ", least", MinMM: mm, Set: ls.set, Source: c.Source, Basis: c.Basis, Note: c.Note})
	}
}

func (ls *limitList) max(q Quantity, mm float64, name string, c spec.Cite) {
	if mm > 0 {
		ls.all = append(ls.all, Limit{Quantity: q, Name: name + ", greatest", MaxMM: mm, Set: ls.set, Source: c.Source, Basis: c.Basis, Note: c.Note})
	}
}

func (ls *limitList) diameters(s Spec) {
	row, solid := spec.Solid(s.NominalMM)
	switch s.Kind {
	case ShopHead:
		if h, ok := spec.Shop(ls.set, row.Dash); solid && ok {
			ls.shopHead(h)
		}
	case UniversalHead:
		if h, ok := spec.Head(spec.UniversalHeads, row.Dash); solid && ok {
			ls.min(HeadDMin, h.DiameterMM-h.ToleranceMM, "universal head width", h.Cite)
			ls.max(HeadDMax, h.DiameterMM+h.ToleranceMM, "universal head width", h.Cite)
		}
	case FlushHead:
		if h, ok := spec.Head(spec.FlushHeads, row.Dash); solid && ok {
			ls.min(HeadDMin, h.DiameterMM-h.ToleranceMM, "flush head width", h.Cite)
			ls.max(HeadDMax, h.DiameterMM+h.ToleranceMM, "flush head width", h.Cite)
		}
	case PulledHead:
		if p, ok := spec.Pulled(s.NominalMM, s.Head); ok {
			ls.min(HeadDMin, p.HeadMinMM, "pulled head width", p.Cite)
			ls.max(HeadDMax, p.HeadMaxMM, "pulled head width", p.Cite)
		}
	case Hole:
		h, ok := s.holeRow()
		switch {
		case s.Mark: // there is no hole yet
		case ok && s.Pilot && s.pilotDrill() > 0:
			_, greatest := spec.Drilled(s.pilotDrill())
			c := spec.CiteDrilled
			c.Basis = spec.Derived
			_, pilot := s.Drills()
			c.Note = "a hole by " + pilot + ", its own drill; a smaller one is opened up all the same"
			ls.max(HoleDMax, greatest, "pilot hole width", c)
		case ok && s.Pilot:
			c := h.Cite
			c.Basis = spec.Derived
			c.Note = "a pilot hole wider than the final hole's limit can't be opened to it"
			ls.max(HoleDMax, h.MaxMM, "pilot hole width", c)
		case ok:
			c := h.Cite
			if s.rivet() == Solid {
				c.Note = strings.TrimPrefix(c.Note+"; ", "; ") + fmt.Sprintf("aim at %s to %s (%s)", inBoth(s.NominalMM+spec.ClearanceMinMM),
					inBoth(s.NominalMM+spec.ClearanceMaxMM), spec.ClearanceCite.Source)
			}
			ls.min(HoleDMin, h.MinMM, "hole width", c)
			ls.max(HoleDMax, h.MaxMM, "hole width", c)
		}
	}
}

// inBoth writes a length for builders of either unit: "3.23 mm (0.127 in)".
func inBoth(mm float64) string { return Millimetres.Value(mm) + " (" + Inches.AsTyped(mm) + ")" }

func (ls *limitList) shopHead(h spec.ShopHead) {
	wide, high := h.WidthMinMM, h.HeightMinMM
	cite := h.Cite
	if h.Set == spec.Rule {
		wide, high = h.WidthNominal, h.HeightNominal
		cite.Basis = spec.Derived
		cite.Note = "the rule gives an aim without a tolerance; taken here as the least"
	}
	ls.min(HeadDMin, wide, "shop head width", cite)
	ls.max(HeadDMax, h.WidthMaxMM, "shop head width", cite)
	ls.min(HeadHeight, high, "shop head height", cite)
	ls.max(HeadHeight, h.HeightMaxMM, "shop head height", cite)
}

// spacing turns the rules in D into limits: AC 43.13-1B for edge distance and pitch, and the
// Army's AL0992 for flush heads, of which the former says nothing. Two less strict figures, 1.66 D
// of MIL-R-47196A for one size and 1.5 D for battle damage, stand in the table of rules and are no
// limits.
func (ls *limitList) spacing(s Spec) {
	edge, pitch := spec.RuleByID("E01"), spec.RuleByID("E02")
	if s.flush() {
		edge = spec.RuleByID("E06")
	}
	d := s.NominalMM
	ls.min(EdgeDistance, edge.MinD*d, fmt.Sprintf("edge distance %g D", edge.MinD), edge.Cite)
	ls.min(Pitch, pitch.MinD*d, fmt.Sprintf("pitch %g D", pitch.MinD), pitch.Cite)
}

// layout takes the greatest distances from AL0992, the one document read that gives both.
func (ls *limitList) layout(s Spec) {
	edge, pitch := spec.RuleByID("E05"), spec.RuleByID("E07")
	if s.flush() {
		edge = spec.RuleByID("E06")
	}
	ls.max(EdgeDistance, edge.MaxD*s.NominalMM, fmt.Sprintf("edge distance %g D", edge.MaxD), edge.Cite)
	ls.max(Pitch, pitch.MaxD*s.NominalMM, fmt.Sprintf("pitch %g D", pitch.MaxD), pitch.Cite)
}
