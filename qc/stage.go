package qc

import "slices"

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

// Prep is how far a drilled hole has been prepared for its rivet.
type Prep string

// The steps, in the order of the work.
const (
	TakenApart Prep = "taken apart"
	Deburred   Prep = "deburred"
	Cleaned    Prep = "cleaned"
	Primed     Prep = "primed"
	Refitted   Prep = "refitted"
)

// Preps lists all steps in the order of the work; a hole is primed only where that is wanted.
var Preps = []Prep{TakenApart, Deburred, Cleaned, Primed, Refitted}

// Valid tells whether s is one of [Preps].
func (s Prep) Valid() bool { return slices.Contains(Preps, s) }
