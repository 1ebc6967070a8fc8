// Package synth renders photos of riveted sheet with a printed scale card, and tells the
// exact truth about them: sizes, places and where each outline falls in the picture.
//
// Start with [Draw], which makes up a [Scene] from a seed, and [Scene.Render]. The light is
// traced by chance paths over surfaces that are given in closed form (solids of revolution,
// plates with rounded rims, a card of paper), so that outlines are true to far less than a
// pixel; then a lens, a colour filter mosaic, noise and a JPEG encoder degrade the picture as
// a phone would. It serves tests and the demonstration; nothing that measures needs it.
//
// [DrawWorkshop] makes up scenes of another kind, as photographs from workshops are: worn and
// shiny metal, things of all sorts behind and beside it, round things that are no fastener.
// [Scene.Rounds] lists all that is round in them, [Scene.Window] and [Scene.Scaled] give
// parts and small copies of a picture.
package synth

import (
	"bucktail/imaging/geom"
)

// Finish names a surface.
type Finish string

// The finishes that are modelled.
const (
	Bare    Finish = "bare"    // brushed aluminium
	Alclad  Finish = "alclad"  // nearly a mirror
	Green   Finish = "green"   // green primer
	Grey    Finish = "grey"    // grey primer
	Alodine Finish = "alodine" // conversion coat, gold
)

// Kind is what stands at a location, in the words of the truth files.
type Kind string

// The kinds of fastener.
const (
	ShopHead  Kind = "solid-shop"
	Universal Kind = "solid-universal"
	Pulled    Kind = "blind-dome"
	Flush     Kind = "flush"
	Hole      Kind = "hole"
)

// Fastener is one location: a head, or a hole when Kind is Hole.
type Fastener struct {
	ID        string
	Kind      Kind
	Dash      string
	NominalMM float64
	AxisMM    geom.SheetPoint // shank or hole axis at z = 0
	Finish    Finish

	// Heads. The greatest and least caliper diameters, the first at AngleDeg from sheet x.
	MaxDMM, MinDMM, AngleDeg float64
	HeightMM, WidestMM       float64 // height of the top and of the widest ring
	RimRatio                 float64 // shop heads: radius of the flat over the widest
	FootMM                   geom.SheetPoint
	TiltDeg, TiltAzimuthDeg  float64
	MandrelHoleMM, StemTopMM float64 // pulled heads
	GapMM                    float64 // flush heads: clearance round the head

	// Holes.
	Drill             string
	BoreMM, ChamferMM float64
	LongMM            float64 // how much longer than wide; 0 for a round hole
	LongDeg           float64
	Burred            bool

	lobes []lobe // workshop scenes: how a head's rim waves
	round int    // and which of the round things this is
}

// StandingLeg is an angle's upright flange along x at y, joined by a fillet.
type StandingLeg struct {
	Y  float64 `json:"y"`
	X0 float64 `json:"x0"`
	X1 float64 `json:"x1"`
	R  float64 `json:"r"`
	H  float64 `json:"h"`
}

// Sheet is the sheet that the fasteners go through: a convex polygon, counterclockwise,
// with a corner radius for each vertex.
type Sheet struct {
	Finish        Finish
	PolygonMM     [][2]float64
	RadiiMM       []float64
	ThicknessMM   float64
	BevelMM       float64
	BrushDeg      float64
	Grain, Streak float64 // bare metal: slopes of its pits and of its brushing
	Rough, Cloud  float64 // bare metal: GGX alpha along the brushing; how uneven it is
	Tone, Pits    float64 // bare metal: reflectance over aluminium's; how it varies in spots
	Leg           *StandingLeg
	Under         string // "sheet", "tube" or "none"
	UnderMM       [][2]float64
	Tube          Tube
	BenchMM       float64 // how far the bench lies below z = 0
	Bench         string  // "wood", "board" or "dark"
	BenchGrainDeg float64
}

// Tube is a square tube below the sheet, its axis through (X, Y) along AngleDeg.
type Tube struct{ X, Y, AngleDeg, WidthMM, RoundMM float64 }

// ClutterHole is a hole that is no fastener location.
type ClutterHole struct {
	AtMM geom.SheetPoint
	DMM  float64
}

// Stroke is one line of marker, pencil or scratch on the sheet.
type Stroke struct {
	From, To          geom.SheetPoint
	WidthMM, Strength float64
	Fade, Ragged      float64
	Text              string // when set, written from From at size SizeMM along AngleDeg
	SizeMM, AngleDeg  float64
	Scratch           bool // light instead of the ink's colour
}

// Chip is a piece of swarf: a thin bright triangle.
type Chip struct{ A, B, C [3]float64 }

// Light is a flat rectangle that shines on both sides: centre, two half sides, and the
// irradiance it gives at the origin to a surface that faces it.
type Light struct {
	AtMM, UMM, VMM [3]float64
	Irradiance     [3]float64
}

// Lens is what the pinhole of geom.Camera lacks.
type Lens struct {
	K2         float64 // second radial term
	ApertureMM float64 // radius of the entrance pupil; 0 gives a sharp picture everywhere
	FocusMM    float64 // distance in focus, along the camera's axis
}

// Sensor is all that happens to the light behind the lens.
type Sensor struct {
	SoftPx      float64 // sigma of the softness
	MotionPx    float64 // length of the motion blur
	MotionDeg   float64
	Exposure    float64 // how bright white paper comes out, of 1 at clipping
	WhiteGain   [3]float64
	NoiseShot   float64 // variance per unit of light
	NoiseRead   float64 // standard deviation at black
	Vignette    float64
	Sharpen     float64
	JPEGQuality int
}

// Effort is how many paths a pixel gets: far from anything of interest, near the
// fasteners, and where two things meet.
type Effort struct{ Base, Near, Edge int }

// Scene is everything that decides a picture, except the chance of the light paths.
type Scene struct {
	Seed          uint64
	Width, Height int // upright
	Orientation   int // EXIF: 1, 6 or 8
	Focal35MM     int
	FocalMM       float64
	Taken         string
	Zoom          int
	DigitalZoom   float64 // EXIF DigitalZoomRatio; 0 leaves it out
	Stripped      bool    // the file has lost its EXIF facts

	Camera     geom.Camera
	Lens       Lens
	Sensor     Sensor
	Processing Processing // workshop scenes only
	Effort     Effort

	Card      *CardPlacement // nil for a scene without a card
	Sheet     Sheet
	Fasteners []Fastener
	Clutter   []ClutterHole
	Strokes   []Stroke
	InkColour [3]float64
	Chips     []Chip

	Lights       []Light
	Ambient      [3]float64 // irradiance from all round
	PhoneShadow  bool       // the phone is seen, dark, in bright metal
	CeilingBands float64    // how uneven the surroundings are, 0 to 1
	Conditions   []string

	workshop *workshop // what only scenes of DrawWorkshop have
}
