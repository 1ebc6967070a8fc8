package spec

// ShopHead is a driven head as one document wants it. Zero means that the document gives
// no such figure.
type ShopHead struct {
	Set           string  `json:"set"` // one of the names below
	Dash          int     `json:"dash"`
	WidthMinMM    float64 `json:"width_min_mm,omitempty"`
	WidthNominal  float64 `json:"width_nominal_mm,omitempty"`
	WidthMaxMM    float64 `json:"width_max_mm,omitempty"`
	HeightMinMM   float64 `json:"height_min_mm,omitempty"`
	HeightNominal float64 `json:"height_nominal_mm,omitempty"`
	HeightMaxMM   float64 `json:"height_max_mm,omitempty"`
	Cite
}

// Names of the sets of shop head figures. They are ours; the documents disagree.
const (
	Handbook = "handbook" // 1.375 D to 1.75 D wide, 0.375 D to 0.625 D high
	Mil      = "mil"      // at least 1.3 D wide and 0.4 D high
	Rule     = "rule"     // 1.5 D wide and 0.5 D high
)

var (
	citeHandbook = Cite{Source: "Standard Aircraft Handbook, upset head limits (1/8 in rivets)", Basis: Read}
	citeHandRow  = Cite{Source: "Standard Aircraft Handbook, upset head limits for 1/8 in, scaled by D", Basis: Derived,
		Note: "ratios of the 1/8 in row, 1.375 D to 1.75 D wide and 0.375 D to 0.625 D high, applied to this size"}
	citeMil    = Cite{Source: "MIL-R-47196A(MI) Table III", Basis: Read}
	citeMilRow = Cite{Source: "MIL-R-47196A(MI) Table III", Basis: Derived,
		Note: "1.3 D and 0.4 D, the ratios that fit every row read, applied to this size"}
	citeRule = Cite{Source: "FAA-H-8083-31 ch 4 Fig 4-76 (1.5 D wide by 0.5 D high)", Basis: Read}
)

// ShopHeads lists driven heads by set and size.
var ShopHeads = []ShopHead{
	handbookRow(3),
	{Handbook, 4, 11 * inch / 64, 0, 7 * inch / 32, 3 * inch / 64, 0, 5 * inch / 64, citeHandbook},
	handbookRow(5),
	handbookRow(6),
	handbookRow(8),

	{Mil, 2, 0.081 * inch, 0, 0, 0.025 * inch, 0, 0, citeMil},
	{Mil, 3, 0.122 * inch, 0, 0, 0.038 * inch, 0, 0.050 * inch, citeMil},
	{Mil, 4, 0.163 * inch, 0, 0, 0.050 * inch, 0, 0.070 * inch, citeMil},
	{Mil, 5, 0.203 * inch, 0, 0, 0.0625 * inch, 0, 0, citeMilRow},
	{Mil, 6, 0.244 * inch, 0, 0, 0.075 * inch, 0, 0, citeMilRow},
	{Mil, 8, 0.325 * inch, 0, 0, 0.100 * inch, 0, 0, citeMilRow},

	ruleRow(2), ruleRow(3), ruleRow(4), ruleRow(5), ruleRow(6), ruleRow(8),
}

// handbookRow applies the ratios of the 1/8 in row, the only one that was read, to another
// size: 11/64, 7/32, 3/64 and 5/64 in over 1/8 in.
func handbookRow(dash int) ShopHead {
	d := float64(dash) * inch / 32
	return ShopHead{Handbook, dash, 1.375 * d, 0, 1.75 * d, 0.375 * d, 0, 0.625 * d, citeHandRow}
}

func ruleRow(dash int) ShopHead {
	d := float64(dash) * inch / 32
	return ShopHead{Rule, dash, 0, 1.5 * d, 0, 0, 0.5 * d, 0, citeRule}
}

// Shop returns the driven head of a set and size.
func Shop(set string, dash int) (ShopHead, bool) {
	for _, h := range ShopHeads {
		if h.Set == set && h.Dash == dash {
			return h, true
		}
	}
	return ShopHead{}, false
}
