package spec

// PulledRivet is a size and head of pulled (blind) rivet. Zero means no figure.
type PulledRivet struct {
	Size         string  `json:"size"` // "1/8 in", "3.2 mm"
	NominalMM    float64 `json:"nominal_mm"`
	Head         string  `json:"head"` // DomeHead or LargeHead
	BodyMinMM    float64 `json:"body_min_mm"`
	BodyMaxMM    float64 `json:"body_max_mm"`
	HeadMinMM    float64 `json:"head_min_mm"`
	HeadMaxMM    float64 `json:"head_max_mm"`
	HeightMaxMM  float64 `json:"height_max_mm"`
	MandrelMaxMM float64 `json:"mandrel_max_mm,omitempty"`
	Cite
}

// Heads of pulled rivets.
const (
	DomeHead  = "dome"       // protruding (ISO), regular dome (IFI)
	LargeHead = "large dome" // IFI large dome, for soft or thin sheet
)

var (
	citeISO = Cite{Source: "ISO 15977:2002 Table 1 (AlA/St, break-pull mandrel, protruding head)", Basis: Memory}
	citeIFI = Cite{Source: "IFI-114 (2003, R2008) Table 1", Basis: Memory}
)

// PulledRivets lists metric sizes (ISO 15977), then inch sizes (IFI-114).
var PulledRivets = []PulledRivet{
	{"2.4 mm", 2.4, DomeHead, 2.25, 2.48, 4.2, 5.0, 1.0, 1.55, citeISO},
	{"3.0 mm", 3.0, DomeHead, 2.85, 3.08, 5.4, 6.3, 1.3, 2.0, citeISO},
	{"3.2 mm", 3.2, DomeHead, 3.05, 3.28, 5.8, 6.7, 1.3, 2.0, citeISO},
	{"4.0 mm", 4.0, DomeHead, 3.85, 4.08, 6.9, 8.4, 1.7, 2.45, citeISO},
	{"4.8 mm", 4.8, DomeHead, 4.65, 4.88, 8.3, 10.1, 2.0, 2.95, citeISO},
	{"5.0 mm", 5.0, DomeHead, 4.85, 5.08, 8.7, 10.5, 2.1, 2.95, citeISO},
	{"6.0 mm", 6.0, DomeHead, 5.85, 6.08, 10.8, 12.6, 2.5, 3.4, citeISO},
	{"6.4 mm", 6.4, DomeHead, 6.25, 6.48, 11.6, 13.4, 2.7, 3.9, citeISO},

	ifi("3/32 in", 3, DomeHead, 0.090, 0.096, 0.178, 0.198, 0.032),
	ifi("1/8 in", 4, DomeHead, 0.122, 0.128, 0.238, 0.262, 0.040),
	ifi("5/32 in", 5, DomeHead, 0.153, 0.159, 0.296, 0.328, 0.050),
	ifi("3/16 in", 6, DomeHead, 0.183, 0.191, 0.356, 0.394, 0.060),
	ifi("1/4 in", 8, DomeHead, 0.246, 0.255, 0.475, 0.525, 0.080),
	ifi("1/8 in", 4, LargeHead, 0.122, 0.128, 0.360, 0.390, 0.065),
	ifi("3/16 in", 6, LargeHead, 0.183, 0.191, 0.600, 0.650, 0.092),
}

// ifi writes a row in the inches of IFI-114, which gives no mandrel diameter here.
func ifi(size string, dash int, head string, bodyMin, bodyMax, headMin, headMax, heightMax float64) PulledRivet {
	return PulledRivet{size, float64(dash) * inch / 32, head, bodyMin * inch, bodyMax * inch,
		headMin * inch, headMax * inch, heightMax * inch, 0, citeIFI}
}

// Pulled returns the pulled rivet of a nominal diameter; head "" means [DomeHead].
func Pulled(nominalMM float64, head string) (PulledRivet, bool) {
	if head == "" {
		head = DomeHead
	}
	for _, r := range PulledRivets {
		if r.Head == head && SameSize(r.NominalMM, nominalMM) {
			return r, true
		}
	}
	return PulledRivet{}, false
}
