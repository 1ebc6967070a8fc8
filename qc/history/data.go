package history

import (
	"bucktail/qc"
	"bucktail/qc/layout"
	"bucktail/qc/rivetchoice"
)

// DeviceData names a device.
type DeviceData struct {
	Name string `json:"name"` // "Ines's phone"
	App  string `json:"app,omitempty"`
	Key  string `json:"key,omitempty"` // with which all of the chain is signed from here on, see sign.go
}

// MemberData is what the laptop says of a device: it joined, joined again, told its key, was taken
// off the list.
type MemberData struct {
	Device string `json:"device"`
	What   string `json:"what"` // "joined", "rejoined", "key", "revoked"
	Name   string `json:"name"`
	Role   Role   `json:"role"`
	Key    string `json:"key,omitempty"`    // as the device told it
	Before string `json:"before,omitempty"` // the chain that it wrote before it lost its key
}

// AcceptedData names faults, and photos whose files are gone or changed, that somebody looked at:
// they stay named and alarm no more.
type AcceptedData struct {
	Faults []Fault  `json:"faults"`
	Lost   []string `json:"lost,omitempty"` // the photos, by SHA-256
	Why    string   `json:"why"`
}

// ProjectData makes or renames a project: one aircraft being built. A member left out of a
// later entry stays as it was.
type ProjectData struct {
	Name     string `json:"name,omitempty"`     // needed when it is made
	Aircraft string `json:"aircraft,omitempty"` // what it is: "two-seat amphibian"
	Mark     string `json:"mark,omitempty"`     // serial number or registration
	Builder  string `json:"builder,omitempty"`
}

// SettingsData holds a project's settings. A member left out stays as it was.
type SettingsData struct {
	Units     qc.Units `json:"units,omitempty"`
	Fractions *bool    `json:"fractions,omitempty"` // inches as fractions
	Paper     string   `json:"paper,omitempty"`     // "a4" or "letter"
	LimitSet  string   `json:"limit_set,omitempty"` // limit set of new parts
	Authority string   `json:"authority,omitempty"` // whose rules apply, as the builder names it
}

// CardData is the calibration of one printed sheet of scale cards. A new calibration never
// changes what was measured with an earlier one: shots name theirs by this entry's id.
type CardData struct {
	Sheet           string    `json:"sheet"`                      // the number written on that printed sheet
	Paper           string    `json:"paper,omitempty"`            // "a4" or "letter"
	CheckNominalMM  float64   `json:"check_nominal_mm"`           // both check lines as drawn: 150
	CheckAcrossMM   float64   `json:"check_across_mm"`            // as measured, x of the card
	CheckAlongMM    float64   `json:"check_along_mm"`             // as measured, y of the card
	CheckUMM        float64   `json:"check_U_mm"`                 // expanded uncertainty (k = 2) of these two
	ThicknessMM     float64   `json:"thickness_mm"`               // of the card as it lies on the work
	ThicknessUMM    float64   `json:"thickness_U_mm"`             // expanded uncertainty (k = 2)
	MeasuredWith    string    `json:"measured_with,omitempty"`    // "calipers", "steel rule"
	Identity        *Identity `json:"identity,omitempty"`         // of that instrument
	PrintedAt       string    `json:"printed_at,omitempty"`       // as typed
	LayoutsRevision string    `json:"layouts_revision,omitempty"` // of the printed drawing
}

// Scale gives the print scale across (x) and along (y): measured over drawn.
func (c CardData) Scale() (x, y float64) {
	return c.CheckAcrossMM / c.CheckNominalMM, c.CheckAlongMM / c.CheckNominalMM
}

// PartData makes a part or changes it. A member left out of a later entry stays as it was.
type PartData struct {
	Name    string   `json:"name,omitempty"`    // needed when it is made
	Drawing string   `json:"drawing,omitempty"` // drawing reference with sheet and revision
	Layers  []Layer  `json:"layers,omitempty"`  // of the stack that is riveted
	Spec    *qc.Spec `json:"spec,omitempty"`
	Closed  *bool    `json:"closed,omitempty"` // put away: no more work is expected on it
	// Like says which part this one was made from; only where it is made.
	Like *Like `json:"like,omitempty"`
	// Was holds what the members above said on the writer's device before, of those that had a
	// value: where another device had changed one meanwhile, the two clash.
	Was *PartData `json:"was,omitempty"`
}

// Layer is one sheet or angle of the riveted stack.
type Layer struct {
	Name        string  `json:"name,omitempty"` // "gusset"
	Material    string  `json:"material"`       // "2024-T3"
	ThicknessMM float64 `json:"thickness_mm"`
}

// LayoutData is the picture of a part on which its locations are pinned: a photo, or a
// drawn grid.
type LayoutData struct {
	Photo    string  `json:"photo,omitempty"`     // SHA-256 of the picture
	WidthPx  int     `json:"width_px,omitempty"`  // of that picture, upright
	HeightPx int     `json:"height_px,omitempty"` // likewise
	WidthMM  float64 `json:"width_mm,omitempty"`  // of a drawn grid, or of what the picture shows where known
	HeightMM float64 `json:"height_mm,omitempty"`
	StepMM   float64 `json:"step_mm,omitempty"` // spacing of the grid lines
	// From is [FromPhotos] where places and size were measured in photos, "" where a person set them.
	// All says that the part has no other locations than those that are pinned: a person's word.
	From string `json:"from,omitempty"`
	All  bool   `json:"all,omitempty"`
	// Plan is the layout that the grid was made from: width and height are those of its drawing.
	Plan   *layout.Input `json:"plan,omitempty"`
	Copies Copies        `json:"copies,omitempty"`
}

// FromPhotos marks a layout whose pins were measured.
const FromPhotos = "photos"

// Pin is a place on the layout picture: fractions of its width and height, x right, y down,
// from 0 to 1, the picture upright.
type Pin struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Crop is a rectangle of a photo in its upright pixels: (0,0) is the middle of the first
// pixel, x right, y down.
type Crop struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

// LocationData makes a location, renames it, moves its pin or takes it out. A member left out
// of a later entry stays as it was.
type LocationData struct {
	Tag  string   `json:"tag,omitempty"`  // "R7"; needed when it is made
	Pin  *Pin     `json:"pin,omitempty"`  // on the part's layout picture
	Spec *qc.Spec `json:"spec,omitempty"` // where it differs from the part's
	Out  *bool    `json:"out,omitempty"`  // true: no such location after all; false: it is one again
	// Stray says that it is a hole that should not be there: nothing is riveted in it, and it is a
	// neighbour of the others.
	Stray *bool `json:"stray,omitempty"`
	// Stack is what is riveted here; one without layers says that it is the part's again.
	Stack *Stack `json:"stack,omitempty"`
}

// Stack is what is riveted at a location, where that differs from the part's layers, and the rivet
// that was taken for it.
type Stack struct {
	rivetchoice.Stack
	Rivet string `json:"rivet,omitempty"` // its designation: "number 43"
}

// StageData says what stands at a location, without measuring it. A set rivet is an
// [AttemptData], a drilled-out one a [DrilledOutData].
type StageData struct {
	Stage qc.Stage `json:"stage"` // marked, pilot hole or final hole
	// Step is how far a drilled hole has been prepared; "" not at all, or by the builder's word again
	// as it was drilled. Unreached says that nobody reaches its blind side, whose edge is not broken.
	Step      qc.Prep `json:"step,omitempty"`
	Unreached bool    `json:"unreached,omitempty"`
}

// ShotData is one photo as taken. The entry may come before the photo itself.
type ShotData struct {
	Photo       string   `json:"photo"` // SHA-256 of the file's bytes
	Bytes       int64    `json:"bytes"` // its length
	Media       string   `json:"media"` // "image/jpeg" or "image/png"
	WidthPx     int      `json:"width_px,omitempty"`
	HeightPx    int      `json:"height_px,omitempty"`
	Calibration string   `json:"calibration,omitempty"` // id of the card entry; none: no card was used
	Layout      string   `json:"layout,omitempty"`      // of the card: "corner", "strip", "window"
	Locations   []string `json:"locations,omitempty"`   // ids of the locations that it shows
	Camera      string   `json:"camera,omitempty"`      // maker and model, from EXIF
	TakenAt     string   `json:"taken_at,omitempty"`    // from EXIF, as written there
	Refused     string   `json:"refused,omitempty"`     // code of the reason why nothing was measured
	Copies      Copies   `json:"copies,omitempty"`
}

// DrilledOutData says that the rivet was drilled out; its attempt ends.
type DrilledOutData struct {
	Finding string   `json:"finding,omitempty"` // id of the finding that led to it
	Reason  string   `json:"reason,omitempty"`
	DrillMM float64  `json:"drill_mm,omitempty"` // drill used
	Steps   []string `json:"steps,omitempty"`    // steps ticked off
}

// AttemptData says that a new rivet was set.
type AttemptData struct {
	Spec *qc.Spec `json:"spec,omitempty"` // where it differs: the next size up
	Tool string   `json:"tool,omitempty"` // squeezer, gun and set, puller
}

// NoteData is words and photos.
type NoteData struct {
	Text    string   `json:"text"`
	Photos  []string `json:"photos,omitempty"`  // SHA-256 each
	Finding string   `json:"finding,omitempty"` // id, when it answers one
	Copies  Copies   `json:"copies,omitempty"`
}

// WithdrawalData takes back the entries named in "supersedes"; "why" must say the reason.
type WithdrawalData struct{}

// DecisionData is an inspector's decision about a finding.
type DecisionData struct {
	Finding string         `json:"finding"`          // id of the finding (or of the gauge reading) decided on
	Answer  qc.Disposition `json:"answer"`           // confirmed, rejected, or re-measure
	Reason  string         `json:"reason,omitempty"` // needed unless confirmed
	Name    string         `json:"name"`             // as the inspector typed it
	Number  string         `json:"number,omitempty"` // authorisation number, as typed
	OnPaper *OnPaper       `json:"on_paper,omitempty"`
	// Seen names the decisions about this finding that stood on the writer's device. Null: it was
	// written before decisions named them, and counts as having seen all that sort before it.
	Seen   []string `json:"seen,omitzero"`
	Copies Copies   `json:"copies,omitempty"` // of the page's picture
}

// OnPaper marks a decision that an inspector wrote on the printed form and the builder
// entered.
type OnPaper struct {
	Photo string `json:"photo"`          // SHA-256 of the picture of the page
	Date  string `json:"date,omitempty"` // that stands on the page: YYYY-MM-DD from the app, else as written
	Page  string `json:"page,omitempty"` // number of the printed record
}

// SignOffData is an inspector's signature under a part as it stood: it names every entry it
// covers. See [Covers].
type SignOffData struct {
	Covers []string `json:"covers"` // ids, in the fixed order
	Digest string   `json:"digest"` // SHA-256 over their hashes in that order, see [Covers]
	// Seen names the part's decisions other than confirmations that the writer's device held.
	// Null: as in [DecisionData].
	Seen    []string `json:"seen,omitzero"`
	Name    string   `json:"name"`
	Number  string   `json:"number,omitempty"`
	Remark  string   `json:"remark,omitempty"`
	OnPaper *OnPaper `json:"on_paper,omitempty"`
	Copies  Copies   `json:"copies,omitempty"` // of the page's picture
}
