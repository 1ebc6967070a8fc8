package qc

// LookedAt is what is meant to be on a photo of kind k of a place where s is meant to stand in the
// end: another head, or the hole for the rivet, which may be a pilot hole still.
func (s Spec) LookedAt(k Kind, pilot bool) Spec {
	if k == Hole {
		s.Rivet, s.Flush = s.rivet(), s.flush()
	} else if k == PulledHead {
		s.Rivet = Pulled
	}
	s.Kind, s.Pilot = k, k == Hole && pilot
	return s
}
