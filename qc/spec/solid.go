package spec

// SolidRivet is a size of solid rivet.
type SolidRivet struct {
	Dash         int     `json:"dash"`     // diameter in 1/32 in
	Fraction     string  `json:"fraction"` // diameter in inches as a fraction
	NominalMM    float64 `json:"nominal_mm"`
	LengthStepMM float64 `json:"length_step_mm"` // one length dash, 1/16 in
	Cite
}

var citeSizes = Cite{Source: "AC 43.13-1B Figure 4-4 (FAA-CT-8080-8D Exhibit 1)", Basis: Read}

// SolidRivets lists the sizes by diameter.
var SolidRivets = []SolidRivet{
	{2, "1/16", 2 * inch / 32, inch / 16, citeSizes},
	{3, "3/32", 3 * inch / 32, inch / 16, citeSizes},
	{4, "1/8", 4 * inch / 32, inch / 16, citeSizes},
	{5, "5/32", 5 * inch / 32, inch / 16, citeSizes},
	{6, "3/16", 6 * inch / 32, inch / 16, citeSizes},
	{8, "1/4", 8 * inch / 32, inch / 16, citeSizes},
	{10, "5/16", 10 * inch / 32, inch / 16, citeSizes},
	{12, "3/8", 12 * inch / 32, inch / 16, citeSizes},
}

// SolidHead is a manufactured head of a solid rivet.
type SolidHead struct {
	Dash        int     `json:"dash"`
	DiameterMM  float64 `json:"diameter_mm"`
	ToleranceMM float64 `json:"tolerance_mm"` // plus or minus
	HeightMM    float64 `json:"height_mm"`
	Cite
}

var (
	citeUniversal = Cite{Source: "NASM20470 (was MS20470, AN470) dimension table", Basis: Memory}
	citeFlush     = Cite{Source: "NASM20426 (was MS20426, AN426) dimension table", Basis: Memory,
		Note: "the tolerance is less certain than the nominal value"}
)

// UniversalHeads are domed manufactured heads.
var UniversalHeads = []SolidHead{
	{2, 0.125 * inch, 0.006 * inch, 0.027 * inch, citeUniversal},
	{3, 0.187 * inch, 0.009 * inch, 0.040 * inch, citeUniversal},
	{4, 0.250 * inch, 0.012 * inch, 0.054 * inch, citeUniversal},
	{5, 0.312 * inch, 0.016 * inch, 0.067 * inch, citeUniversal},
	{6, 0.375 * inch, 0.019 * inch, 0.080 * inch, citeUniversal},
	{8, 0.500 * inch, 0.025 * inch, 0.107 * inch, citeUniversal},
}

// FlushHeads are 100° countersunk manufactured heads.
var FlushHeads = []SolidHead{
	{2, 0.114 * inch, 0.004 * inch, 0.022 * inch, citeFlush},
	{3, 0.179 * inch, 0.004 * inch, 0.036 * inch, citeFlush},
	{4, 0.225 * inch, 0.004 * inch, 0.042 * inch, citeFlush},
	{5, 0.286 * inch, 0.004 * inch, 0.055 * inch, citeFlush},
	{6, 0.353 * inch, 0.004 * inch, 0.070 * inch, citeFlush},
	{8, 0.476 * inch, 0.004 * inch, 0.095 * inch, citeFlush},
}

// Solid returns the solid rivet of a nominal diameter.
func Solid(nominalMM float64) (SolidRivet, bool) {
	for _, r := range SolidRivets {
		if SameSize(r.NominalMM, nominalMM) {
			return r, true
		}
	}
	return SolidRivet{}, false
}

// Head returns the row of heads for a dash number.
func Head(heads []SolidHead, dash int) (SolidHead, bool) {
	for _, h := range heads {
		if h.Dash == dash {
			return h, true
		}
	}
	return SolidHead{}, false
}
