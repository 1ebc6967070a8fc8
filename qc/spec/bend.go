package spec

// BendRadius is the recommended inside radius of a bend of 90 degrees, in thicknesses of the sheet:
// a row of one alloy and temper.
type BendRadius struct {
	Alloy       string  `json:"alloy"`
	ThicknessMM float64 `json:"thickness_mm"`
	LowT        float64 `json:"low_t"`
	HighT       float64 `json:"high_t"`
	Cite
}

var (
	citeBend  = Cite{Source: "AC 43.13-1B Table 4-6 page 4-14", Basis: Read, Note: "recommended radii for bends of 90 degrees"}
	citeBendO = Cite{Source: "AC 43.13-1B Table 4-6 page 4-14", Basis: Read, Note: "recommended radii for bends of 90 degrees; the copy read shows one value too many in the row of 2024-O, of which the first 0 and then 0 to 1 t were kept"}
	citeBend6 = Cite{Source: "AC 43.13-1B Table 4-6 page 4-14", Basis: Read, Note: "recommended radii for bends of 90 degrees; the row is printed 2024-T6, with T61 by a footnote"}
)

// bendIn are the thicknesses of the table's columns, inches.
var bendIn = [...]float64{0.016, 0.032, 0.064, 0.128, 0.182, 0.258}

// BendRadii lists the table by alloy, the thinnest sheet first.
var BendRadii = bendRadii()

func bendRadii() []BendRadius {
	var all []BendRadius
	row := func(alloy string, c Cite, t [len(bendIn)][2]float64) {
		for i, in := range bendIn {
			all = append(all, BendRadius{alloy, in * inch, t[i][0], t[i][1], c})
		}
	}
	row("2024-O", citeBendO, [...][2]float64{{0, 0}, {0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}})
	row("2024-T3", citeBend, [...][2]float64{{1.5, 3}, {2, 4}, {3, 5}, {4, 6}, {4, 6}, {5, 7}})
	row("2024-T6", citeBend6, [...][2]float64{{2, 4}, {3, 5}, {3, 5}, {4, 6}, {5, 7}, {6, 10}})
	row("5052-O", citeBend, [...][2]float64{{0, 0}, {0, 0}, {0, 1}, {0, 1}, {0, 1}, {0, 1}})
	row("5052-H32", citeBend, [...][2]float64{{0, 0}, {0, 0}, {0.5, 1}, {0.5, 1.5}, {0.5, 1.5}, {0.5, 1.5}})
	row("5052-H34", citeBend, [...][2]float64{{0, 0}, {0, 0}, {0.5, 1.5}, {1.5, 2.5}, {1.5, 2.5}, {2, 3}})
	row("5052-H36", citeBend, [...][2]float64{{0, 1}, {0.5, 1.5}, {1, 2}, {1.5, 3}, {2, 4}, {2, 4}})
	row("5052-H38", citeBend, [...][2]float64{{0.5, 1.5}, {1, 2}, {1.5, 3}, {2, 4}, {3, 5}, {4, 6}})
	row("6061-O", citeBend, [...][2]float64{{0, 0}, {0, 1}, {0, 1}, {0, 1}, {0, 1}, {0, 1}})
	row("6061-T4", citeBend, [...][2]float64{{0, 1}, {0, 1}, {0.5, 1.5}, {1, 2}, {1.5, 3}, {2.5, 4}})
	row("6061-T6", citeBend, [...][2]float64{{0, 1}, {0.5, 1.5}, {1, 2}, {1.5, 3}, {2, 4}, {3, 4}})
	row("7075-O", citeBend, [...][2]float64{{0, 0}, {0, 1}, {0, 1}, {0.5, 1.5}, {1, 2}, {1.5, 3}})
	row("7075-T6", citeBend, [...][2]float64{{2, 4}, {3, 5}, {4, 6}, {5, 7}, {5, 7}, {6, 10}})
	return all
}

// BendRadiusFor returns the row of an alloy for a thickness: the thicker one counts, nothing is
// interpolated. ok is false for an alloy or a thickness that the table does not have.
func BendRadiusFor(alloy string, thicknessMM float64) (BendRadius, bool) {
	const tolMM = 0.0005 * inch // a row named 0.064 is for sheet of 0.064
	for _, r := range BendRadii {
		if r.Alloy == alloy && thicknessMM <= r.ThicknessMM+tolMM {
			return r, true
		}
	}
	return BendRadius{}, false
}
