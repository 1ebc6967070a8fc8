package spec

// HoleLimit is what a hole may measure for one rivet.
type HoleLimit struct {
	NominalMM float64 `json:"nominal_mm"` // the rivet's
	MinMM     float64 `json:"min_mm"`
	MaxMM     float64 `json:"max_mm"`
	Drill     string  `json:"drill,omitempty"`
	Cite
}

// FinalDrill is the drill that finishes a solid rivet's hole, and the smaller pilot that
// builders open up from.
type FinalDrill struct {
	Dash  int    `json:"dash"`
	Drill string `json:"drill"`
	Pilot string `json:"pilot,omitempty"`
	Cite
	PilotCite Cite `json:"pilot_cite"`
}

var (
	citeFinal = Cite{Source: "FAA-H-8083-31 ch 4, drill sizes for solid rivets", Basis: Memory}
	citePilot = Cite{Source: CommonPractice, Basis: Memory,
		Note: "the drill of the next smaller rivet as the pilot, opened up once the parts are fitted together"}
)

// FinalDrills lists final and pilot drills of solid rivets: a #40 pilot is opened to #30 for
// a 1/8 in rivet.
var FinalDrills = []FinalDrill{
	{3, "#40", "", citeFinal, Cite{}},
	{4, "#30", "#40", citeFinal, citePilot},
	{5, "#21", "#30", citeFinal, citePilot},
	{6, "#11", "#21", citeFinal, citePilot},
	{8, "F", "#11", citeFinal, citePilot},
}

// Final returns the drills for a dash number.
func Final(dash int) (FinalDrill, bool) {
	for _, f := range FinalDrills {
		if f.Dash == dash {
			return f, true
		}
	}
	return FinalDrill{}, false
}

// What a hole exceeds the shank by according to FAA-H-8083-31; a target when choosing the
// drill rather than a limit, for two of the final drills that the same book lists lie outside.
const (
	ClearanceMinMM = 0.002 * inch
	ClearanceMaxMM = 0.004 * inch
)

// ClearanceCite is the source of the clearance.
var ClearanceCite = Cite{Source: "FAA-H-8083-31 ch 4, hole 0.002 to 0.004 in over the shank", Basis: Memory}

var (
	citeSolidHole = Cite{Source: "MIL-R-47196A(MI) 3.2.1.3 Table I", Basis: Read}
	citeSolidLike = Cite{Source: "MIL-R-47196A(MI) 3.2.1.3 Table I", Basis: Derived,
		Note: "from the -3 row, the only one read: D to D + 0.009 in; every final drill lies inside"}
)

// SolidHoles lists hole limits for solid rivets.
var SolidHoles = []HoleLimit{
	{3 * inch / 32, 0.093 * inch, 0.103 * inch, "#40", citeSolidHole},
	solidHole(4, "#30"), solidHole(5, "#21"), solidHole(6, "#11"), solidHole(8, "F"),
}

// solidHole carries the -3 row, -0.0008 to +0.0093 in about the nominal diameter, to another
// size. Both ends are rounded to the safe side: the shank must enter, and must fill the hole.
func solidHole(dash int, drill string) HoleLimit {
	d := float64(dash) * inch / 32
	return HoleLimit{d, d, d + 0.009*inch, drill, citeSolidLike}
}

var (
	citeTM      = Cite{Source: "TM 10-5410-221-14 Table 4-3", Basis: Read}
	citeIFIHole = Cite{Source: "IFI-114 Table 2 application data", Basis: Memory}
	citeISOHole = Cite{Source: "ISO 15977:2002 rivet hole diameter", Basis: Memory, Note: "d + 0.1 mm to d + 0.2 mm"}
)

// PulledHoles lists hole limits for pulled rivets, the row to prefer first: where an Army
// manual and IFI-114 differ (by 0.001 in), the one that was read goes before the one from memory.
var PulledHoles = []HoleLimit{
	{3 * inch / 32, 0.096 * inch, 0.100 * inch, "#41", citeTM},
	{4 * inch / 32, 0.128 * inch, 0.132 * inch, "#30", citeTM},
	{5 * inch / 32, 0.160 * inch, 0.164 * inch, "#20", citeTM},
	{8 * inch / 32, 0.257 * inch, 0.261 * inch, "F", citeTM},
	{3 * inch / 32, 0.097 * inch, 0.100 * inch, "#41", citeIFIHole},
	{4 * inch / 32, 0.129 * inch, 0.133 * inch, "#30", citeIFIHole},
	{5 * inch / 32, 0.160 * inch, 0.164 * inch, "#20", citeIFIHole},
	{6 * inch / 32, 0.192 * inch, 0.196 * inch, "#11", citeIFIHole},
	{8 * inch / 32, 0.257 * inch, 0.261 * inch, "F", citeIFIHole},
	isoHole(2.4), isoHole(3.0), isoHole(3.2), isoHole(4.0), isoHole(4.8), isoHole(5.0), isoHole(6.0), isoHole(6.4),
}

func isoHole(d float64) HoleLimit { return HoleLimit{d, d + 0.1, d + 0.2, "", citeISOHole} }

// HoleFor returns the first row of a table for a rivet's nominal diameter.
func HoleFor(rows []HoleLimit, nominalMM float64) (HoleLimit, bool) {
	for _, h := range rows {
		if SameSize(h.NominalMM, nominalMM) {
			return h, true
		}
	}
	return HoleLimit{}, false
}
