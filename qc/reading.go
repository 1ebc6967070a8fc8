package qc

// Quantity names what a reading measures.
type Quantity string

// The measured quantities.
const (
	HeadDMean    Quantity = "head_d_mean" // mean head diameter
	HeadDMax     Quantity = "head_d_max"  // greatest
	HeadDMin     Quantity = "head_d_min"  // least
	HoleDMean    Quantity = "hole_d_mean"
	HoleDMax     Quantity = "hole_d_max"
	HoleDMin     Quantity = "hole_d_min"
	OutOfRound   Quantity = "out_of_round"  // greatest less least diameter
	MandrelOff   Quantity = "mandrel_off"   // mandrel's centre against the pulled head's
	EdgeDistance Quantity = "edge_distance" // from the head's centre or the hole's axis
	Pitch        Quantity = "pitch"         // centre to centre
)

// Contribution is one labelled part of a reading's uncertainty.
type Contribution struct {
	Label  string  `json:"label"`         // "outline: noise", "camera fit"
	UMM    float64 `json:"u_mm"`          // standard uncertainty in the reading, mm
	DoF    float64 `json:"dof,omitempty"` // degrees of freedom; 0 means infinitely many
	Source string  `json:"source,omitempty"`
}

// How a reading was obtained.
type How string

const (
	ByPhoto     How = "photo"                       // found by the program alone
	ByPhotoHand How = "photo with hand-placed mark" // a person placed an outline, centre, edge or scale
	ByGauge     How = "hand gauge"                  // calipers, hole gauge, rule
	ByLayout    How = "layout"                      // as laid out, not measured: a layer that no photo shows
)

// Reading is one measured quantity. A value never travels without its uncertainty.
type Reading struct {
	Quantity      Quantity       `json:"quantity"`
	ValueMM       float64        `json:"value_mm"`
	UMM           float64        `json:"U_mm"` // expanded uncertainty, k = 2 (or k for the effective degrees of freedom)
	Contributions []Contribution `json:"contributions,omitempty"`
	How           How            `json:"how"`
	Warnings      []string       `json:"warnings,omitempty"`
	Method        string         `json:"method"`          // version of the method, so that anyone can get it again
	Photo         string         `json:"photo,omitempty"` // SHA-256 of the shot, hex
	// LessMM is a smaller value that the photo can't rule out: a line too faint to be taken
	// for an edge runs that far away, or a neighbour that was seen but not measured stands
	// there. 0: there is none.
	LessMM float64 `json:"less_mm,omitempty"`

	// Of names the edge or the neighbour that a distance goes to, where a person said it or
	// the layout knows it. A hand reading of a distance without it is of the nearest one.
	Of *Target `json:"of,omitempty"`
	// FromShank tells that a distance was taken from the shank's own axis (at the empty hole,
	// or from the manufactured head), not from the middle of a driven head.
	FromShank bool `json:"from_shank,omitempty"`
	// Layer names the sheet or tube whose edge an edge distance goes to; "" is the one that the
	// photo shows, or that was not said.
	Layer string `json:"layer,omitempty"`
	// Views is the number of photos that the reading stands on, where several were measured together.
	Views int `json:"views,omitempty"`
	// Grown is what a gauge study changed of U, nil where it changed nothing.
	Grown *Grown `json:"grown,omitempty"`
}

// What names what was read for people, with the layer where it is not the one that is seen: "edge
// distance in the tube".
func (r Reading) What() string { return r.Quantity.Words() + inLayer(r.Layer) }

// inLayer is " in the tube", "" for the layer that is seen.
func inLayer(layer string) string {
	if layer == "" {
		return ""
	}
	return " in the " + layer
}

// Target is an edge or a neighbour.
type Target struct {
	// Nearest means whichever is the nearest.
	Nearest bool `json:"nearest,omitempty"`
	// Reading is the number, from 1, of the reading of the same edge or neighbour among those
	// of the finding that a hand reading is about; 0 where there is none.
	Reading  int    `json:"reading,omitempty"`
	Location string `json:"location,omitempty"` // id of the neighbour
	Name     string `json:"name,omitempty"`     // for people: "R4", "edge at the hinge"
}

// Same tells whether two readings are one: an entry's reading and the copy in its check.
func (r Reading) Same(o Reading) bool {
	return r.Quantity == o.Quantity && r.ValueMM == o.ValueMM && r.UMM == o.UMM && r.How == o.How && r.Photo == o.Photo && r.Layer == o.Layer
}
