package qc

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
