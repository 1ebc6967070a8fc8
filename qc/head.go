package qc

import "bucktail/qc/spec"

// ForRivet is which rivet stands or will stand there, with the default of [Spec.Rivet].
func (s Spec) ForRivet() Rivet { return s.rivet() }

// HeadRoom is the widest and highest head that may stand where a tool works, millimetres, for
// laying out: of a pulled rivet its dome, of a solid one the wider of its manufactured head and its
// driven head at the set's greatest width. A size that the tables lack takes 2.1 D by 0.45 D, more
// than the ratios of every row there.
func (s Spec) HeadRoom() (diameterMM, heightMM float64, c spec.Cite) {
	d := s.NominalMM
	diameterMM, heightMM = 2.1*d, 0.45*d
	c = spec.Cite{Source: "no table row for this size", Basis: spec.Derived, Note: "2.1 D wide and 0.45 D high, the largest ratios of the sizes in the tables"}
	if s.rivet() == Pulled {
		if p, ok := spec.Pulled(d, s.Head); ok {
			return p.HeadMaxMM, p.HeightMaxMM, p.Cite
		}
		return diameterMM, heightMM, c
	}
	row, ok := spec.Solid(d)
	if !ok {
		return diameterMM, heightMM, c
	}
	heads := spec.UniversalHeads
	if s.flush() {
		heads = spec.FlushHeads
	}
	if h, found := spec.Head(heads, row.Dash); found {
		diameterMM, heightMM, c = h.DiameterMM+h.ToleranceMM, h.HeightMM, h.Cite
	}
	if h, found := spec.Shop(spec.Handbook, row.Dash); found && h.WidthMaxMM > diameterMM {
		diameterMM, heightMM, c = h.WidthMaxMM, h.HeightMaxMM, h.Cite
	}
	return diameterMM, heightMM, c
}
