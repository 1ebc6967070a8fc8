// Package drillup says how a rivet's hole is drilled up, from mark through pilot hole to its final
// size: which drills, how far the pilot may have wandered and still clean up, what calipers must read
// from a hole's rim to the edge at each stage, and what may come next at a location. Lengths are
// millimetres. Start with [Plan].
package drillup

import (
	"fmt"
	"slices"

	"bucktail/qc"
	"bucktail/qc/spec"
)

// Step is one drilling.
type Step struct {
	Stage   qc.Stage `json:"stage"` // that it leads to
	Drill   string   `json:"drill"` // "#40"; "" where no table names one
	DrillMM float64  `json:"drill_mm"`
	// What the hole may measure then: a pilot hole against its own drill, the final one against its
	// band. 0: no bound.
	MinMM float64 `json:"min_mm"`
	MaxMM float64 `json:"max_mm"`
	spec.Cite
	From string `json:"from"`
	// RimMM is what calipers read at least from the hole's rim to the nearest edge when its axis keeps
	// the rivet's edge distance.
	RimMM float64 `json:"rim_mm"`
}

// Drilling is the way of one rivet's hole.
type Drilling struct {
	Steps []Step `json:"steps"`
	// CleanMM is the metal that the final drill takes all round: a pilot hole in a second sheet may
	// stand off by so much and still clean up.
	CleanMM  float64 `json:"clean_mm,omitempty"`
	EdgeMM   float64 `json:"edge_mm"` // least distance of the axis to an edge
	EdgeFrom string  `json:"edge_from"`
	// Temporary names the temporary fastener that holds the sheets at each stage.
	Temporary string   `json:"temporary,omitempty"`
	Notes     []string `json:"notes"`
}

// Plan gives the drilling of a rivet's hole; u is how its notes show lengths. A size that the tables lack has no drills: a refusal.
func Plan(s qc.Spec, u qc.Units) (Drilling, error) {
	if err := s.Valid(); err != nil {
		return Drilling{}, refuse("bad-spec", err.Error(), "correct the rivet")
	}
	final, pilot := s.Drills()
	hole := s
	hole.Kind, hole.Rivet, hole.Pilot = qc.Hole, s.ForRivet(), false
	ls, err := hole.Limits()
	if err != nil {
		return Drilling{}, refuse("bad-limits", err.Error(), "correct the limits")
	}
	var d Drilling
	last := Step{Stage: qc.FinalHole, Drill: final}
	for _, l := range ls {
		switch l.Quantity {
		case qc.HoleDMin:
			last.MinMM, last.Cite = l.MinMM, spec.Cite{Source: l.Source, Basis: l.Basis, Note: l.Note}
		case qc.HoleDMax:
			last.MaxMM, last.Cite = l.MaxMM, spec.Cite{Source: l.Source, Basis: l.Basis, Note: l.Note}
		case qc.EdgeDistance:
			if l.MinMM > d.EdgeMM {
				d.EdgeMM, d.EdgeFrom = l.MinMM, l.Source+"; "+l.Provenance()
			}
		}
	}
	if last.MaxMM == 0 {
		return Drilling{}, refuse("no-hole", "no table here has the hole of this rivet", "take drill and hole from the maker or the drawings")
	}
	if t, ok := spec.DrillNamed(final); ok {
		last.DrillMM = t.DiameterMM
	} else {
		last.DrillMM = (last.MinMM + last.MaxMM) / 2
	}
	if t, ok := spec.DrillNamed(pilot); ok {
		p := Step{Stage: qc.PilotHole, Drill: pilot, DrillMM: t.DiameterMM, Cite: spec.CiteDrilled}
		p.MinMM, p.MaxMM = spec.Drilled(t.DiameterMM)
		d.Steps = append(d.Steps, p)
		d.CleanMM = (last.DrillMM - t.DiameterMM) / 2
		d.Temporary = fmt.Sprintf("temporary fasteners of the %s hole until it is drilled up, then of the %s hole", pilot, named(final, u.Value(last.DrillMM)))
	}
	d.Steps = append(d.Steps, last)
	for i := range d.Steps {
		d.Steps[i].From = d.Steps[i].Provenance()
		d.Steps[i].RimMM = d.EdgeMM - d.Steps[i].DrillMM/2
	}
	if under := last.MinMM - last.DrillMM; under > 1e-3 {
		d.Notes = append(d.Notes, fmt.Sprintf("%s is %s under the least hole that the same row names: a drill usually cuts larger than itself; drill scrap and try a go pin of %s before the part.", final, u.Value(under), u.Value(last.MinMM)))
	}
	d.Notes = append(d.Notes,
		"Judge edge distance, pitch and room for the tool on the mark and the pilot hole, for the final rivet: a mark moves for nothing, a hole does not.",
		"Drill up through the sheets together, a fastener in every second or third hole (practice); then take apart, deburr, clean, prime where wanted, refit.",
		"A hole stands square to the surface (MIL-R-47196A, read there), round and straight, without cracks (AC 43.13-1B 4-58, read there).",
		"Deburr no deeper than a tenth of the sheet, and 0.8 mm (0.032 in) at the most (MIL-R-47196A, read there).",
		"The blind-side edge of a pulled rivet's hole inside a closed tube can't be reached and is not broken (TM 9-2320-363-34-2, read there).")
	return d, nil
}

// Clamps are the temporary fasteners of one row at one stage.
type Clamps struct {
	Stage  qc.Stage `json:"stage"`
	Drill  string   `json:"drill"` // "#40": the hole that they are for; "" where no table names it
	HoleMM float64  `json:"hole_mm"`
	Tags   []string `json:"tags"` // of the holes that they stand in, the first one to be put in first
}

// Clamp says which holes of a row get a temporary fastener while it is drilled up: both ends, then
// the middle, then every third one.
//
// Source: practice: a fastener in every second or third hole, the ends first.
func (d Drilling) Clamp(row []string) []Clamps {
	n := len(row)
	if n == 0 {
		return nil
	}
	var tags []string
	for _, k := range []int{0, n - 1, n / 2} {
		if !slices.Contains(tags, row[k]) {
			tags = append(tags, row[k])
		}
	}
	for k := 3; k < n-2; k += 3 {
		if !slices.Contains(tags, row[k]) {
			tags = append(tags, row[k])
		}
	}
	var out []Clamps
	for _, s := range d.Steps {
		out = append(out, Clamps{s.Stage, s.Drill, s.DrillMM, tags})
	}
	return out
}

// NextPrep lists how a location's hole may be prepared next: only a drilled one, in the order of the
// work. A part that can't be taken apart is deburred as it stands; primed is only where that is wanted.
func NextPrep(now qc.Stage, prep qc.Prep) []qc.Prep {
	if now != qc.FinalHole {
		return nil
	}
	switch prep {
	case "":
		return []qc.Prep{qc.TakenApart, qc.Deburred}
	case qc.TakenApart:
		return []qc.Prep{qc.Deburred}
	case qc.Deburred:
		return []qc.Prep{qc.Cleaned}
	case qc.Cleaned:
		return []qc.Prep{qc.Primed, qc.Refitted}
	case qc.Primed:
		return []qc.Prep{qc.Refitted}
	}
	return nil
}

// MaySet tells whether a rivet may be set in a hole without more said of it: in a final one of which no
// preparation was said, and in one that was refitted where some was.
func MaySet(now qc.Stage, prep qc.Prep) bool {
	return now == qc.FinalHole && (prep == "" || prep == qc.Refitted)
}

func named(drill, width string) string {
	if drill == "" {
		return width
	}
	return drill
}

// Next lists what the builder may say of a location without measuring it: forward to any hole, and
// back where a slip is corrected; nothing while a rivet stands there.
func Next(now qc.Stage) []qc.Stage {
	switch now {
	case qc.Marked:
		return []qc.Stage{qc.PilotHole, qc.FinalHole}
	case qc.PilotHole:
		return []qc.Stage{qc.FinalHole}
	case qc.DrilledOut:
		return []qc.Stage{qc.FinalHole}
	}
	return nil
}

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }
