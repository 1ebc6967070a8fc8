package measure

import (
	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/imaging/sheetedge"
	"bucktail/qc"
)

// seen is what a photo showed, behind its readings: several photos of one place are measured
// together by it (package together).
type seen struct {
	m             *sheetMap
	kind          qc.Kind
	fasteners     []fastener.Fastener // of each of Result.Locations
	edges, unsure []sheetedge.Edge
}

// Fasteners gives what was found at each of r.Locations, in sheet millimetres of this photo.
func (r *Result) Fasteners() []fastener.Fastener { return r.seen.fasteners }

// Edges gives the sheet's edges as found, and lines that may be edges.
func (r *Result) Edges() (edges, unsure []sheetedge.Edge) { return r.seen.edges, r.seen.unsure }

// ByCard tells whether a card gave this photo's scale, so that its uncertainty is known point by point.
func (r *Result) ByCard() bool {
	return r.seen.m != nil && r.seen.m.cov != nil && r.Scale.From == "card"
}

// Lengths gives what this photo's scale contributes to the distance from p to q, both at height zMM.
func (r *Result) Lengths(p, q geom.SheetPoint, zMM float64) []qc.Contribution {
	return r.seen.m.lengths(p, q, zMM)
}

// CameraCov gives the covariance, mm², of the sheet point seen near p, by the camera's fit alone. Only
// for a photo whose scale is by a card.
func (r *Result) CameraCov(p geom.SheetPoint) [2][2]float64 { return r.seen.m.cov(p, 0) }

// OnCard tells whether p lies on this photo's card or within marginMM of it.
func (r *Result) OnCard(p geom.SheetPoint, marginMM float64) bool {
	return r.seen.m != nil && r.seen.m.onCard(p, marginMM)
}

// Diameters gives the readings that an outline on this photo's sheet has: mean, greatest and least
// diameter, out of round.
func (r *Result) Diameters(f *fastener.Fastener) []qc.Reading {
	return r.seen.m.diameterReadings(f, r.seen.kind, r.seen.m.how, nil)
}

// CentreTerms gives the uncertainty of a fastener's centre on the sheet, but for the plane's.
func (r *Result) CentreTerms(f *fastener.Fastener) []CentreTerm {
	return position(f, r.seen.kind, nil)
}

// Join makes a reading of a value and its budget.
func Join(q qc.Quantity, valueMM float64, cs []qc.Contribution, how qc.How) qc.Reading {
	return reading(q, valueMM, cs, how)
}
