package qc

import "fmt"

// Project is one aircraft being built.
type Project struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// Part is one assembly on the bench.
type Part struct {
	ID          string  `json:"id"`
	Project     string  `json:"project,omitempty"`
	Name        string  `json:"name"`
	Drawing     string  `json:"drawing,omitempty"` // drawing reference
	Material    string  `json:"material,omitempty"`
	ThicknessMM float64 `json:"thickness_mm,omitempty"` // of the sheet that the heads lie on
	Spec        Spec    `json:"spec"`                   // fastener and limit set of its locations
}

// Location is one fastener position on a part.
type Location struct {
	ID   string  `json:"id"`
	Part string  `json:"part"`
	Tag  string  `json:"tag"` // "R1"
	PinX float64 `json:"pin_x"`
	PinY float64 `json:"pin_y"` // the pin, in fractions of the part's layout picture, from its top left
	// Spec where it differs from the part's, nil where not.
	Spec  *Spec `json:"spec,omitempty"`
	Stage Stage `json:"stage"`
}

// SpecOn is the spec of a location on its part.
func (l Location) SpecOn(p Part) Spec {
	if l.Spec != nil {
		return *l.Spec
	}
	return p.Spec
}

// Stage is what stands at a location now.
type Stage string

// The stages.
const (
	Marked     Stage = "marked"
	PilotHole  Stage = "pilot hole"
	FinalHole  Stage = "final hole"
	SetRivet   Stage = "set rivet"
	DrilledOut Stage = "drilled out"
)

// Stages lists all stages in the order of the work.
var Stages = []Stage{Marked, PilotHole, FinalHole, SetRivet, DrilledOut}

// Next lists the stages that may follow. A drilled-out rivet leaves a hole, which is
// measured (and opened, where the next size is needed) before a new rivet fills it.
func (s Stage) Next() []Stage {
	switch s {
	case "":
		return []Stage{Marked, PilotHole, FinalHole, SetRivet}
	case Marked:
		return []Stage{PilotHole, FinalHole}
	case PilotHole:
		return []Stage{FinalHole}
	case FinalHole:
		return []Stage{SetRivet}
	case SetRivet:
		return []Stage{DrilledOut}
	case DrilledOut:
		return []Stage{FinalHole}
	}
	return nil
}

// CanBecome says why a stage can't follow, nil if it can.
func (s Stage) CanBecome(next Stage) error {
	for _, n := range s.Next() {
		if n == next {
			return nil
		}
	}
	return fmt.Errorf("a location that is %q can't become %q: next is one of %q", s, next, s.Next())
}

// Attempt is one rivet set at a location; drilling it out ends the attempt, a new rivet
// begins the next.
type Attempt struct {
	Location string `json:"location"`
	No       int    `json:"no"` // from 1
	Spec     Spec   `json:"spec"`
	Ended    bool   `json:"ended,omitempty"` // drilled out
}
