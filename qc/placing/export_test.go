package placing

// What the simulation says of its maps, as [knownOf] does.
const (
	SameNearMM, SameFarMM         = sameNearMM, sameFarMM
	MeasuredNearMM, MeasuredFarMM = measuredNearMM, measuredFarMM
	MovedMM                       = movedMM
	LaidOutUMM                    = laidOutUMM
)
