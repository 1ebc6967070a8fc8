package qc

// LookedAt is what is meant to be on a photo of kind k of a place where s is meant to stand in the
// end: another head, or the hole for the rivet, which may be a pilot hole still, or only marked; at is
// of no account for a head.
func (s Spec) LookedAt(k Kind, at Stage) Spec {
	if k == Hole {
		s.Rivet, s.Flush = s.rivet(), s.flush()
	} else if k == PulledHead {
		s.Rivet = Pulled
	}
	s.Kind, s.Pilot, s.Mark = k, k == Hole && at == PilotHole, k == Hole && at == Marked
	return s
}

// HoleStage is how far the hole of a spec has got.
func (s Spec) HoleStage() Stage {
	switch {
	case s.Mark:
		return Marked
	case s.Pilot:
		return PilotHole
	}
	return FinalHole
}
