package spec

// Grip is a length of pulled rivet: the stack that it takes, and its body before it is pulled.
type Grip struct {
	NominalMM float64 `json:"nominal_mm"` // the rivet's diameter
	Number    string  `json:"number"`     // "42": diameter in 1/32 in, grip in 1/16 in
	MinMM     float64 `json:"min_mm"`
	MaxMM     float64 `json:"max_mm"`
	BodyMM    float64 `json:"body_mm"`
	Cite
}

var citeGrip = Cite{Source: "TM 10-5410-221-14 Table 4-3", Basis: Read}

// Grips lists what was read: 1/8 in alone. Other sizes stay out; the maker's table has them.
var Grips = []Grip{
	grip("41", 0.020, 0.062, 0.170), grip("42", 0.063, 0.125, 0.232), grip("43", 0.126, 0.187, 0.294), grip("44", 0.188, 0.250, 0.357),
	grip("45", 0.251, 0.312, 0.419), grip("46", 0.313, 0.375, 0.481), grip("48", 0.376, 0.500, 0.628),
}

func grip(number string, least, most, body float64) Grip {
	return Grip{4 * inch / 32, number, least * inch, most * inch, body * inch, citeGrip}
}
