package layout

import (
	"fmt"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/spec"
)

// Cure is something that might give a leg a band. Each was tried: those that do not help are named
// too, where a builder is likely to try them first.
type Cure struct {
	What  string  `json:"what"` // "nose", "tool", "rivet", "leg", "radius"
	Works bool    `json:"works"`
	MM    float64 `json:"mm,omitempty"` // nose or radius at most, leg at least
	Text  string  `json:"text"`
}

// cures tries what may open a band on a leg that has none.
func (in Input) cures(i int, b Band) []Cure {
	var out []Cure
	mm := in.Units.Value
	open := func(change func(in *Input, leg *Leg)) bool {
		c, legs := in, slices.Clone(in.Legs)
		c.Legs = legs
		change(&c, &legs[i])
		if c.valid() != nil {
			return false
		}
		l, err := c.limits()
		return err == nil && c.band(legs[i], l).Open
	}
	leg := in.Legs[i]
	if t := in.Tool; t != nil && leg.Bend != nil {
		nose := func(v float64) func(*Input, *Leg) {
			return func(c *Input, _ *Leg) {
				n := *t
				n.NoseMM = v
				c.Tool = &n
			}
		}
		if v, ok := edgeOf(0.01, t.NoseMM, func(v float64) bool { return open(nose(v)) }); ok {
			out = append(out, Cure{"nose", true, v, fmt.Sprintf("a tool with a nose at most %s wide", mm(v))})
		} else if t.BodyMM > 0 && open(func(c *Input, _ *Leg) { n := *t; n.BodyMM, n.NarrowMM = 0, 0; c.Tool = &n }) {
			long := func(v float64) func(*Input, *Leg) {
				return func(c *Input, _ *Leg) { n := *t; n.LengthMM = v; c.Tool = &n }
			}
			v, ok := edgeOf(leg.Bend.LegMM+60, t.LengthMM, func(v float64) bool { return open(long(v)) })
			if ok {
				out = append(out, Cure{"tool", true, v, fmt.Sprintf("a nose at least %s long: the body binds, a narrower nose does not help", mm(v))})
			}
		} else if !open(func(c *Input, _ *Leg) { c.Tool = nil }) {
			out = append(out, Cure{"tool", false, 0, "no other tool cures it: without one there is no band either"})
		}
	}
	if v, ok := edgeOf(mostMM, leg.WidthMM, func(v float64) bool { return open(func(_ *Input, l *Leg) { l.WidthMM = v }) }); ok {
		out = append(out, Cure{"leg", true, v, fmt.Sprintf("a leg at least %s wide", mm(v))})
	} else {
		out = append(out, Cure{"leg", false, 0, "a wider leg does not: " + binding(b)})
	}
	out = append(out, in.rivetCures(i, b, open)...)
	if leg.Bend != nil && leg.Bend.RadiusMM > 0 {
		v, ok := edgeOf(0, leg.Bend.RadiusMM, func(v float64) bool {
			return open(func(_ *Input, l *Leg) { n := *l.Bend; n.RadiusMM = v; l.Bend = &n })
		})
		if ok && v >= leg.ThicknessMM/2 { // no brake bends sharper
			out = append(out, Cure{"radius", true, v, fmt.Sprintf("an inside radius of at most %s, if the alloy takes it: see the table of bend radii", mm(v))})
		}
	}
	return out
}

func binding(b Band) string { return b.Low + " and " + b.High + " bind" }

// rivetCures tries each smaller rivet of the same kind.
func (in Input) rivetCures(i int, b Band, open func(func(*Input, *Leg)) bool) []Cure {
	type size struct {
		name string
		mm   float64
	}
	var sizes []size
	if in.Spec.ForRivet() == qc.Pulled {
		now, _ := spec.Pulled(in.Spec.NominalMM, "")
		inch := strings.HasSuffix(now.Size, "in")
		for _, p := range spec.PulledRivets {
			if p.Head == spec.DomeHead && strings.HasSuffix(p.Size, "in") == inch && p.NominalMM < in.Spec.NominalMM-0.05 {
				sizes = append(sizes, size{p.Size, p.NominalMM})
			}
		}
	} else {
		for _, s := range spec.SolidRivets {
			if s.NominalMM < in.Spec.NominalMM-0.05 && s.Dash >= 3 { // under 3/32 in not for structure
				sizes = append(sizes, size{s.Fraction + " in", s.NominalMM})
			}
		}
	}
	slices.SortFunc(sizes, func(a, b size) int { return int((b.mm - a.mm) * 1000) })
	var no string
	for _, s := range sizes {
		if open(func(c *Input, _ *Leg) { c.Spec.NominalMM = s.mm }) {
			return []Cure{{"rivet", true, s.mm, fmt.Sprintf("a %s rivet, if the designer allows the weaker one", s.name)}}
		}
		no = s.name
	}
	if no == "" {
		return nil
	}
	c := in
	c.Spec.NominalMM = sizes[0].mm
	l, err := c.limits()
	if err != nil {
		return nil
	}
	n := c.band(in.Legs[i], l)
	return []Cure{{"rivet", false, 0, fmt.Sprintf("a smaller rivet does not, down to %s: of a %s one %s still wants at least %s and %s at most %s",
		no, sizes[0].name, n.Low, in.Units.Value(n.LowMM), n.High, in.Units.Value(n.HighMM))}}
}

// edgeOf finds, between a value that may help and the one that does not, the one nearest to the
// latter that still does, to the safe side by 0.005 mm at most. ok is false where the first does not
// help either.
func edgeOf(good, bad float64, works func(float64) bool) (v float64, ok bool) {
	if !works(good) {
		return 0, false
	}
	for range 60 {
		if mid := (good + bad) / 2; works(mid) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good, true
}
