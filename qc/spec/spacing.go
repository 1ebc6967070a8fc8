package spec

// Spacing is a rule in multiples of the shank diameter D. Zero means no figure.
type Spacing struct {
	ID       string  `json:"id"`
	Quantity string  `json:"quantity"` // "edge distance", "pitch", "row spacing", "edge margin"
	Head     string  `json:"head"`     // "any", "protruding", "flush", "universal"
	Rows     string  `json:"rows"`     // rows of rivets that the rule is for: "any", "1", "2"
	MinD     float64 `json:"min_d,omitempty"`
	LowD     float64 `json:"usual_low_d,omitempty"`
	HighD    float64 `json:"usual_high_d,omitempty"`
	MaxD     float64 `json:"max_d,omitempty"`
	ValueMM  float64 `json:"value_mm,omitempty"` // where the source gives a length for one size
	Cite
}

// Spacings lists edge distance and pitch rules; which of them become limits is qc's choice.
var Spacings = []Spacing{
	{"E01", "edge distance", "any", "1", 2, 0, 0, 0, 0, Cite{"AC 43.13-1B 4-57c", Read, "hole centre to the nearest edge"}},
	{"E02", "pitch", "any", "1", 3, 0, 0, 0, 0, Cite{"AC 43.13-1B 4-57c", Read, ""}},
	{"E03", "pitch", "any", "2", 4, 0, 0, 0, 0, Cite{"AC 43.13-1B 4-58g(2)(c) with Figure 4-5(A)", Derived, "from the worked example: 20 rivets of 1/8 in per row in 10 in"}},
	{"E04", "row spacing", "any", "2", 2.5, 0, 0, 0, 0, Cite{"AC 43.13-1B Figure 4-5", Memory, ""}},
	{"E05", "edge distance", "protruding", "any", 2, 0, 0, 4, 0, Cite{"US Army AL0992 (1994) Rivet Spacing and Edge Distance", Read, ""}},
	{"E06", "edge distance", "flush", "any", 2.5, 0, 0, 4, 0, Cite{"US Army AL0992 (1994) Rivet Spacing and Edge Distance", Read, ""}},
	{"E07", "pitch", "any", "any", 3, 6, 8, 10, 0, Cite{"US Army AL0992 (1994) Rivet Spacing and Edge Distance", Read, ""}},
	{"E08", "pitch", "any", "any", 3, 4, 8, 0, 0, Cite{"NAVEDTRA 14018 ch 13", Read, "seldom under 4 D or over 8 D"}},
	{"E14", "edge distance", "any", "any", 2, 2.5, 2.5, 4, 0, Cite{"FAA-H-8083-31 ch 4 Edge Distance", Memory, ""}},
	{"E22", "pitch", "protruding", "1 and 3", 3, 0, 0, 0, 0, Cite{"FAA-H-8083-31 ch 4 Fig 4-79", Memory, ""}},
	{"E23", "pitch", "protruding", "2", 4, 0, 0, 0, 0, Cite{"FAA-H-8083-31 ch 4 Fig 4-79", Memory, ""}},
	{"E24", "pitch", "flush", "1 and 3", 3.5, 0, 0, 0, 0, Cite{"FAA-H-8083-31 ch 4 Fig 4-79", Memory, ""}},
	{"E25", "pitch", "flush", "2", 4.5, 0, 0, 0, 0, Cite{"FAA-H-8083-31 ch 4 Fig 4-79", Memory, ""}},
	{"E27", "edge distance", "any", "any", 2, 0, 0, 0, 0, Cite{"TM 10-5410-229-13&P 5-6(3)(b)", Read, ""}},
	{"E28", "pitch", "any", "any", 3, 0, 0, 0, 0, Cite{"TM 10-5410-229-13&P 5-6(3)(b)", Read, ""}},
	{"E29", "row spacing", "any", "2+", 2.5, 0, 0, 0, 0, Cite{"TM 10-5410-229-13&P 5-6(3)(b)", Read, ""}},
	{"E31", "edge margin", "universal", "-3", 0, 0, 0, 0, 0.156 * inch, Cite{"MIL-R-47196A edge margin table", Read, "1.66 D for a 3/32 in rivet, under the 2 D of AC 43.13-1B; not used as a limit"}},
	{"E32", "edge distance", "any", "any", 1.5, 2, 0, 0, 0, Cite{"TM 1-1520-240-BD 2-5 (battle damage repair)", Read, "no limit for building"}},
}

// RuleByID returns the spacing rule with an id, and the zero rule for an unknown one.
func RuleByID(id string) Spacing {
	for _, s := range Spacings {
		if s.ID == id {
			return s
		}
	}
	return Spacing{}
}
