package report

import (
	"time"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/standing"
)

// What [Record] calls itself, in JSON.
const (
	RecordFormat  = "bucktail-record"
	RecordVersion = 2
)

// Record is what a report tells: the entries of a scope, added up. It is the form of
// record.json; record.schema.json describes it. All lengths are millimetres.
type Record struct {
	Format   string    `json:"format"`  // RecordFormat
	Version  int       `json:"version"` // RecordVersion
	Made     time.Time `json:"made"`    // UTC, to the second
	Whole    bool      `json:"whole"`   // every part of the project is in it
	Chain    Chain     `json:"record"`
	Project  Project   `json:"project"`
	Parts    []Part    `json:"parts"`
	Cautions []string  `json:"cautions"`
}

// Chain tells which entries the record was made from: all that there are, not only those of
// the parts in it.
type Chain struct {
	Entries int    `json:"entries"`
	SHA256  string `json:"sha256"` // over the entries' hashes (32 bytes each) in the fixed order
	Number  string `json:"number"` // of the record: how many entries, and the beginning of SHA256
	// Devices are the chains, by device.
	Devices []Device        `json:"devices"`
	Faults  []history.Fault `json:"faults,omitempty"` // in the chains, as they are
}

// Device is one chain.
type Device struct {
	ID      string `json:"id"`
	Name    string `json:"name,omitempty"`
	Entries int    `json:"entries"`
	LastSeq int64  `json:"last_seq"`
	Last    string `json:"last_sha256"` // of the entry there
	// Fingerprint of the key that signs the chain, and how many of its entries are from before it.
	Fingerprint string `json:"fingerprint,omitempty"`
	Unsigned    int    `json:"unsigned,omitempty"`
}

// Project is the aircraft.
type Project struct {
	ID        string         `json:"id"`
	Name      string         `json:"name"`
	Aircraft  string         `json:"aircraft,omitempty"`
	Mark      string         `json:"mark,omitempty"`
	Builder   string         `json:"builder,omitempty"`
	Authority string         `json:"authority,omitempty"`
	Cards     []history.Card `json:"cards,omitempty"` // calibrations of printed card sheets
	Tools     []history.Tool `json:"tools,omitempty"` // the builder's own
	// Studies are the gauge studies of all phones, for whatever project, oldest first.
	Studies []history.Study `json:"studies,omitempty"`
}

// Part is one part with its locations by tag.
type Part struct {
	ID        string              `json:"id"`
	Name      string              `json:"name"`
	Drawing   string              `json:"drawing,omitempty"`
	Layers    []history.Layer     `json:"layers,omitempty"`
	Spec      *qc.Spec            `json:"spec,omitempty"`
	LimitSet  string              `json:"limit_set"` // in force
	Own       *qc.OwnLimits       `json:"own_limits,omitempty"`
	Laxer     []history.Laxer     `json:"laxer,omitempty"` // limits less strict than published ones, confirmed
	Sources   []string            `json:"sources"`         // of the limits that its checks were held against
	Layout    *history.LayoutData `json:"layout,omitempty"`
	Shapes    []history.Shape     `json:"shapes,omitempty"` // as they were measured; those that stand are marked
	Like      *history.Like       `json:"like,omitempty"`   // the part that it was made from
	Prep      *history.Prep       `json:"prep,omitempty"`   // its preparation list
	Coupons   []history.Coupon    `json:"coupons,omitempty"`
	Order     *history.OrderData  `json:"order,omitempty"` // of riveting, where one was pinned
	Counts    history.Counts      `json:"counts"`
	Covers    Covers              `json:"covers"` // what a sign-off given now would cover
	SignOffs  []SignOff           `json:"sign_offs,omitempty"`
	Notes     []Note              `json:"notes,omitempty"`
	Locations []Location          `json:"locations"`
	// Riveting is the order of riveting, pinned or proposed; record.json has a pinned one alone.
	Riveting standing.Order `json:"-"`
	// Rivets are those that the stacks of its locations want; record.json has the stacks.
	Rivets []standing.Rivets `json:"-"`
	// Open is what is not settled; record.json has it in the locations.
	Open []standing.Open `json:"-"`
	// Phones are the devices that measured it from photos; record.json has who wrote in the entries.
	Phones map[string]bool `json:"-"`
}

// Covers names the entries of a part by their number and digest; see [history.Covers].
type Covers struct {
	Entries int    `json:"entries"`
	Digest  string `json:"digest"`
}

// SignOff is an inspector's signature with how it stands to what is there now.
type SignOff struct {
	history.SignOff
	Current bool                  `json:"current"` // it covers exactly what is there
	Status  history.SignOffStatus `json:"status"`
}

// Note is somebody's words.
type Note struct {
	Entry  string    `json:"entry"`
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Text   string    `json:"text"`
	Photos []string  `json:"photos,omitempty"`
}

// Location is one fastener position.
type Location struct {
	ID    string       `json:"id"`
	Tag   string       `json:"tag"`
	Out   bool         `json:"taken_out,omitempty"` // no such location after all
	Pin   *history.Pin `json:"pin,omitempty"`
	Spec  *qc.Spec     `json:"spec,omitempty"` // where it differs from the part's
	Stage qc.Stage     `json:"stage"`
	// Step is how far its hole is prepared; Unreached says that its blind side can't be reached.
	Step      qc.Prep          `json:"step,omitempty"`
	Unreached bool             `json:"unreached,omitempty"`
	Stray     bool             `json:"stray,omitempty"` // a hole that should not be there
	Stack     *history.Stack   `json:"stack,omitempty"` // that is riveted here, where it differs from the part's
	Filed     []history.Filed  `json:"filed,omitempty"` // edges near it that were filed
	Attempt   int              `json:"attempt"`
	Verdict   qc.Verdict       `json:"verdict,omitempty"`  // of what was read and seen at the current finding; empty: not measured
	Whole     qc.Verdict       `json:"whole,omitempty"`    // of the location: "unread" where a limit had no reading
	NotRead   []string         `json:"not_read,omitempty"` // what there are limits for and no reading
	Headline  string           `json:"headline"`           // how it stands, in words
	Finding   string           `json:"finding,omitempty"`  // the current one
	Decision  qc.Disposition   `json:"decision,omitempty"`
	Work      []history.Work   `json:"work,omitempty"`
	Awaits    bool             `json:"awaits,omitempty"` // an inspector
	Attempts  []Attempt        `json:"attempts"`
	Notes     []Note           `json:"notes,omitempty"`
	Remarks   []history.Remark `json:"remarks,omitempty"` // entries without effect, and why
	// Governing is the check that governs, nil where nothing that stands there was judged; Limits
	// are those in force, nil where nothing says what is meant to stand there.
	Governing *qc.Check `json:"governing,omitempty"`
	Limits    *InForce  `json:"limits,omitempty"`
	// Replaced stays out of record.json, which has it under remarks, by ids.
	Replaced []Replaced `json:"-"`
	// View says how it stands; record.json has it in readings and checks.
	View standing.View `json:"-"`
}

// InForce names the limits in force.
type InForce struct {
	Set    string          `json:"set"`
	Own    string          `json:"own,omitempty"` // name of the builder's own, which go before
	Chosen standing.Origin `json:"chosen"`        // where they were chosen
}

// Replaced is an entry that a later one took back or took the place of.
type Replaced struct {
	Event
	Kind      history.Kind
	By        Event // the later one
	Withdrawn bool  // nothing took its place
}

// Attempt is one rivet at a location.
type Attempt struct {
	N        int        `json:"n"`
	Set      *Event     `json:"set,omitempty"`
	Ended    *Event     `json:"ended,omitempty"`
	DrillMM  float64    `json:"drill_mm,omitempty"` // that it was drilled out with
	Verdict  qc.Verdict `json:"verdict,omitempty"`
	Findings []Finding  `json:"findings"`
}

// Event is what happened when.
type Event struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`            // written, by the device's clock
	Came  time.Time `json:"came,omitzero"` // to the laptop, by its clock; not known to a phone
	By    string    `json:"by"`
	Why   string    `json:"why,omitempty"`
}

// Finding is a look at one location, by photo or by hand gauge, and what became of it.
type Finding struct {
	Event
	Gauge      bool              `json:"gauge,omitempty"`      // by hand gauge alone
	Settles    string            `json:"settles,omitempty"`    // id of the finding that a gauge reading settles
	Instrument string            `json:"instrument,omitempty"` // the gauge
	Identity   *history.Identity `json:"identity,omitempty"`
	Photo      string            `json:"photo,omitempty"`     // SHA-256 of the shot
	Taken      string            `json:"taken,omitempty"`     // the photo, as the camera wrote it: local time without a zone
	Odd        []string          `json:"odd_dates,omitempty"` // what is strange about these times, see [history.When]
	Card       *CardFacts        `json:"card,omitempty"`
	Method     string            `json:"method,omitempty"`
	Verdict    qc.Verdict        `json:"verdict,omitempty"` // of its own checks and answers
	Spec       qc.Spec           `json:"spec"`
	Readings   []qc.Reading      `json:"readings,omitempty"`
	// Superseded are the numbers, from 1, of those readings that later hand readings took the
	// place of.
	Superseded []int       `json:"superseded,omitempty"`
	Result     qc.Result   `json:"result"`
	Answers    []qc.Answer `json:"answers,omitempty"`

	Crop  *history.Crop  `json:"crop,omitempty"` // where it is in the photo
	Marks []history.Mark `json:"marks,omitempty"`
	// Views are the photos that were measured together, Photo among them; none where it was alone.
	Views []View `json:"views,omitempty"`
	// Places are for drawing. They stay out of record.json: they are in the entries, and say
	// nothing that the readings don't.
	Places *history.Places `json:"-"`

	Dispositions []Disposition `json:"dispositions,omitempty"` // the builder's
	Decisions    []Decision    `json:"decisions,omitempty"`    // the inspector's

	decision qc.Disposition // what they come to: the strictest of those that no later one had seen
}

// View is one of several photos that were measured together.
type View struct {
	Photo string `json:"photo"` // SHA-256
	Taken string `json:"taken,omitempty"`
	Used  bool   `json:"used"` // it has a part in the readings here
	Why   string `json:"why,omitempty"`
}

// CardFacts name the calibration that a photo was measured with.
type CardFacts struct {
	Layout      string    `json:"layout,omitempty"`
	Calibration string    `json:"calibration,omitempty"` // id of its entry
	Sheet       string    `json:"sheet,omitempty"`
	At          time.Time `json:"at,omitzero"` // of the calibration
}

// Disposition is what the builder decided.
type Disposition struct {
	Event
	history.DispositionData
}

// Decision is what an inspector decided.
type Decision struct {
	Event
	history.DecisionData
}
