// Package measure is the one door from a photo to readings: bytes and what the builder
// said in, readings with their uncertainty out. It knows sizes and places, no limits.
// Start with [Photo] and [Options].
package measure

import (
	"fmt"

	"bucktail/imaging/fastener"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// Method names the version of everything that turns pixels into readings. A change that
// can move a reading raises it, so that an old reading tells how it was made.
const Method = "bucktail-11"

// Options say what the builder said.
type Options struct {
	Kind      qc.Kind
	NominalMM float64 // shank diameter; for a hole, of the rivet to come or of the drill

	// Card is the scale card's layout ("corner", "strip", "window"), "auto" (or "") for
	// whichever is found, "none" for no card.
	Card string
	// True size of the print over its nominal size along the card's x and y (0: 1), and
	// the standard uncertainty that both share, relative, for one instrument measured both
	// (0: what a good measurement of the check lines gives, or what an uncalibrated printer
	// does).
	ScaleX, ScaleY, ScaleU float64
	// Thickness of the card and its standard uncertainty (0: 0.02 mm), mm.
	ThicknessMM, ThicknessU float64
	// Thickness of the work's sheet, mm; 0 unknown.
	SheetMM float64

	// Mark says that marks are looked at, of holes that are not drilled yet: they are read where Taps
	// and Outlines are.
	Mark     bool
	Taps     []geom.PxPoint // a fastener stands there
	EdgeTaps []geom.PxPoint // a sheet edge runs there
	Only     bool           // measure at the taps and hand-placed outlines alone

	Outlines []HandOutline // placed by hand
	Edges    []HandEdge

	TwoPoints *TwoPoints // a scale, where there is no card
	Round     *RoundRef

	// Progress is told what is begun, in the order of the steps; nil tells nobody.
	Progress func(Step)
}

// Step is a part of the work, for people who wait.
type Step string

// The steps, in their order.
const (
	StepDecode   Step = "decode"
	StepCard     Step = "card"
	StepOutlines Step = "outlines"
	StepEdges    Step = "edges"
)

// Valid says, as a *qc.Refusal, what is wrong with the options, or nil.
func (o *Options) Valid() error {
	if !o.Kind.Valid() {
		return &qc.Refusal{Code: "bad-kind", Text: fmt.Sprintf("%q is not a kind of fastener", o.Kind), Do: "choose one of shop-head, universal-head, pulled-head, flush-head, hole"}
	}
	if !(o.NominalMM >= 1 && o.NominalMM <= 13) {
		return &qc.Refusal{Code: "bad-size", Text: fmt.Sprintf("a nominal diameter of %.3g mm is out of range", o.NominalMM), Do: "give the rivet's dash number, or its diameter from 1 to 13 mm"}
	}
	return nil
}

func (o *Options) begin(s Step) {
	if o.Progress != nil {
		o.Progress(s)
	}
}

// HandOutline is an outline that a person placed by its sides. Where the picture shows an edge near
// them, that is the outline.
type HandOutline struct{ SidesPx fastener.Sides }

// Hand says what an outline that a person placed was taken from.
type Hand string

// Where the picture shows an edge near the hand's marks they choose it; where it shows none, or one a
// little farther off, they are the outline.
const (
	FromEdge  Hand = "edge"
	FromMarks Hand = "marks"
)

// HandEdge is a sheet edge that a person placed, by two points (px).
type HandEdge struct{ P0Px, P1Px geom.PxPoint }

// TwoPoints is a scale by two points on the sheet's face a known distance apart.
type TwoPoints struct {
	P0Px, P1Px geom.PxPoint
	MM         float64
}

// RoundRef is a round thing of known diameter that lies flat on the sheet, tapped at AtPx.
type RoundRef struct {
	AtPx       geom.PxPoint
	DiameterMM float64
}

// Scale is the map between the photo and the sheet, as told to people.
type Scale struct {
	From       string      `json:"from"`             // "card", "two points", "round reference"
	Layout     string      `json:"layout,omitempty"` // of the card
	Targets    int         `json:"targets,omitempty"`
	ResidualPx float64     `json:"residual_px"` // RMS of the rings' edge points; 0 without a card
	TiltDeg    float64     `json:"tilt_deg"`
	DistanceMM float64     `json:"distance_mm"` // camera to the middle of the card; 0 unknown
	MMPerPx    float64     `json:"mm_per_px"`
	Camera     geom.Camera `json:"camera"` // for drawing in the sheet's perspective

	CardPx   []geom.PxPoint `json:"card_px,omitempty"`   // the card's outline in the photo
	WindowPx []geom.PxPoint `json:"window_px,omitempty"` // and its window
}

// Reading is a reading with the places in the photo that it was taken between.
type Reading struct {
	qc.Reading
	EdgePx  *[2]geom.PxPoint // edge distance: two points of the edge
	EdgeMM  *[2]geom.SheetPoint
	ToPx    *geom.PxPoint // pitch: the other centre
	ToIndex int           // pitch: the other location's index in Result.Locations; -1 else
}

// Location is one fastener in the photo. One with Ask set has no readings: the program saw
// it but would rather ask than guess.
type Location struct {
	Kind      qc.Kind
	CentrePx  geom.PxPoint
	Centre    geom.SheetPoint // of the widest outline, on the sheet
	RadiusMM  float64
	OutlinePx []geom.PxPoint // the silhouette as it is seen
	// By these a hand moves the outline: its centre, at the height where it is widest, and its sides,
	// which given back as a [HandOutline] are the outline as measured.
	MiddlePx geom.PxPoint
	SidesPx  fastener.Sides
	Readings []Reading
	Ask      *qc.Refusal
	ByHand   bool // placed or tapped by a person
	Hand     Hand // of one that was placed
	// Probability that such a fastener stands there, and how clearly its outline stands out
	// all round (0 to 1), as the program sees it.
	Probability, Clear float64

	centreU []CentreTerm // of Centre on the sheet, but for the plane's
}

// Result is what one photo gave.
type Result struct {
	SHA256        string
	Width, Height int // px, upright
	Taken, Camera string
	Scale         *Scale
	Locations     []Location
	EdgesPx       [][2]geom.PxPoint // every sheet edge found, for drawing
	Warnings      []Note
	Problems      []qc.Refusal // why something could not be measured

	seen seen // see view.go
}

// Note is something about a usable photo that its user should know.
type Note struct {
	Code string `json:"code"`
	Text string `json:"text"`
}
