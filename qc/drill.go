package qc

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"bucktail/qc/spec"
)

// Use is what was said of a hole beside the drill that makes it. Empty members are not said.
type Use struct {
	Kind  Kind  // a head knows its rivet and stands in a final hole
	Rivet Rivet // that the hole is for
	Hole  Stage // PilotHole or FinalHole
}

// ErrWhichHole asks which of several holes that a drill makes is meant.
var ErrWhichHole = errors.New("say which (solid or pulled, pilot or final), or write the rivet's size")

// drilled is a hole that a drill makes.
type drilled struct {
	nominalMM float64 // of the rivet to come
	rivet     Rivet
	stage     Stage
}

// String names it: "the pilot hole of a solid -5 (5/32 in)".
func (h drilled) String() string {
	name := Millimetres.Value(h.nominalMM)
	if p, ok := spec.Pulled(h.nominalMM, ""); ok && h.rivet == Pulled {
		name = p.Size
	}
	if r, ok := spec.Solid(h.nominalMM); ok && h.rivet == Solid {
		name = fmt.Sprintf("-%d (%s in)", r.Dash, r.Fraction)
	}
	return fmt.Sprintf("the %s of a %s %s", h.stage, h.rivet, name)
}

// drilledBy lists the holes that a drill makes, by the tables: final and pilot holes of solid
// rivets, final holes of pulled ones.
func drilledBy(drill string) []drilled {
	var out []drilled
	for _, f := range spec.FinalDrills {
		d := float64(f.Dash) * MMPerInch / 32
		if f.Drill == drill {
			out = append(out, drilled{d, Solid, FinalHole})
		}
		if f.Pilot == drill {
			out = append(out, drilled{d, Solid, PilotHole})
		}
	}
	for _, row := range spec.PulledHoles { // a size stands there once for each document
		if h := (drilled{row.NominalMM, Pulled, FinalHole}); row.Drill == drill && !slices.Contains(out, h) {
			out = append(out, h)
		}
	}
	return out
}

// theHole finds the hole that a drill makes and that is meant.
func theHole(drill string, said Use) (drilled, error) {
	if said.Kind != "" && said.Kind != Hole {
		said.Rivet, said.Hole = Spec{Kind: said.Kind}.rivet(), FinalHole
	}
	all := drilledBy(drill)
	var left []drilled
	for _, h := range all {
		if (said.Rivet == "" || said.Rivet == h.rivet) && (said.Hole == "" || said.Hole == h.stage) {
			left = append(left, h)
		}
	}
	switch {
	case len(left) == 1:
		return left[0], nil
	case len(left) > 1:
		return drilled{}, fmt.Errorf("drill %s makes %s: %w", drill, listed(left), ErrWhichHole)
	case len(all) > 0:
		return drilled{}, fmt.Errorf("drill %s makes %s, which is not what was said: write the rivet's size", drill, listed(all))
	}
	return drilled{}, fmt.Errorf("drill %s makes no rivet's hole in the tables: write the rivet's dash number (4), millimetres (3.2mm) or a fraction of an inch (1/8)", drill)
}

// listed writes "a, b and c".
func listed(hs []drilled) string {
	var words []string
	for _, h := range hs {
		words = append(words, h.String())
	}
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return words[0]
}

// Drills names the final drill of a rivet's hole and the pilot that it is opened from; "" where no
// table has them. The pilot is the final drill of the next smaller rivet, by practice.
func (s Spec) Drills() (final, pilot string) {
	if s.rivet() == Pulled {
		row, ok := spec.HoleFor(spec.PulledHoles, s.NominalMM)
		if !ok || row.Drill == "" {
			return "", ""
		}
		below := 0.0
		for _, r := range spec.PulledHoles {
			if r.Drill != "" && r.NominalMM < s.NominalMM-0.1 && r.NominalMM > below {
				below, pilot = r.NominalMM, r.Drill
			}
		}
		if d, ok := spec.Final(3); ok && spec.SameSize(s.NominalMM, MMPerInch/8) {
			pilot = d.Drill // #40: what hangs beside the #30 in every shop
		}
		return row.Drill, pilot
	}
	if r, ok := spec.Solid(s.NominalMM); ok {
		if f, ok := spec.Final(r.Dash); ok {
			return f.Drill, f.Pilot
		}
	}
	return "", ""
}
