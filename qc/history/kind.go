package history

import "reflect"

// Kind says what happened.
type Kind string

// The kinds of entry. Beside each: what its data is and what it is about.
const (
	KindDevice      Kind = "device"      // DeviceData: a device's name; the first entry of a chain, or a new name
	KindMember      Kind = "member"      // MemberData: the laptop lets a device in, knows its key, takes it off the list; in the laptop's own chain
	KindAccepted    Kind = "accepted"    // AcceptedData: faults of chains that somebody looked at; in the laptop's own chain
	KindProject     Kind = "project"     // ProjectData: made (no project named: its id is the new project's) or renamed
	KindSettings    Kind = "settings"    // SettingsData: units and the like, of a project
	KindCard        Kind = "card"        // CardData: a printed sheet calibrated; its id names the calibration
	KindStudy       Kind = "study"       // StudyData: the writer's phone proven on objects of known size
	KindTool        Kind = "tool"        // ToolData: one of the builder's own tools
	KindPart        Kind = "part"        // PartData: made (no part named) or changed
	KindLayout      Kind = "layout"      // LayoutData: the part's layout picture, photo or drawn grid
	KindPrep        Kind = "preparation" // PrepData: a part's preparation list, as far as it is ticked off
	KindCoupon      Kind = "coupon"      // CouponData: a test coupon of the session
	KindOrder       Kind = "order"       // OrderData: the order of riveting
	KindShape       Kind = "shape"       // ShapeData: twist, squareness and the like of a part, measured
	KindLimits      Kind = "limits"      // LimitsData: limits chosen for a part, or for one location
	KindLaxer       Kind = "laxer-limit" // LaxerData: a limit less strict than the published one, confirmed once
	KindLocation    Kind = "location"    // LocationData: made (no location named), renamed, moved, taken out
	KindStage       Kind = "stage"       // StageData: what stands at a location now, as the builder says
	KindFiled       Kind = "filed"       // FiledData: an edge near a location was filed
	KindShot        Kind = "shot"        // ShotData: a photo taken
	KindFinding     Kind = "finding"     // FindingData: readings, checks, answers at one location
	KindGauge       Kind = "gauge"       // GaugeData: readings by hand gauge and their checks
	KindDisposition Kind = "disposition" // DispositionData: what is to be done about a finding
	KindDrilledOut  Kind = "drilled-out" // DrilledOutData: the rivet was drilled out; the attempt ends
	KindAttempt     Kind = "attempt"     // AttemptData: a new rivet was set
	KindNote        Kind = "note"        // NoteData: words and photos, about a project, part or location
	KindDecision    Kind = "decision"    // DecisionData: an inspector's, about a finding
	KindSignOff     Kind = "sign-off"    // SignOffData: an inspector's, about a part
	KindWithdrawal  Kind = "withdrawal"  // WithdrawalData: takes back the entries it supersedes, puts nothing in their place
)

// scope says what an entry of a kind must be about.
type scope int

const (
	ofDevice   scope = iota
	ofProject        // project named
	ofPart           // project and part named
	ofLocation       // project, part and location named
	ofAny            // any of the last three
	makesProject
	makesPart     // part named or made by this entry
	makesLocation // location named or made by this entry
	partOrLocation
)

type kindRule struct {
	data      reflect.Type
	scope     scope
	inspector bool // an inspector's device may write it
	builder   bool // a builder's device may write it
}

func rule[T any](s scope, inspector, builder bool) kindRule {
	return kindRule{reflect.TypeFor[T](), s, inspector, builder}
}

// kindRules: an inspector reads everything, decides, signs and writes notes, nothing else. A
// builder may enter decisions that were given on paper (see [DecisionData.OnPaper]).
var kindRules = map[Kind]kindRule{
	KindDevice:      rule[DeviceData](ofDevice, true, true),
	KindMember:      rule[MemberData](ofDevice, false, true),
	KindAccepted:    rule[AcceptedData](ofDevice, false, true),
	KindProject:     rule[ProjectData](makesProject, false, true),
	KindSettings:    rule[SettingsData](ofProject, false, true),
	KindCard:        rule[CardData](ofProject, false, true),
	KindStudy:       rule[StudyData](ofProject, false, true),
	KindTool:        rule[ToolData](ofProject, false, true),
	KindPart:        rule[PartData](makesPart, false, true),
	KindLayout:      rule[LayoutData](ofPart, false, true),
	KindPrep:        rule[PrepData](ofPart, false, true),
	KindCoupon:      rule[CouponData](ofPart, false, true),
	KindOrder:       rule[OrderData](ofPart, false, true),
	KindShape:       rule[ShapeData](ofPart, false, true),
	KindLimits:      rule[LimitsData](partOrLocation, false, true),
	KindLaxer:       rule[LaxerData](partOrLocation, false, true),
	KindLocation:    rule[LocationData](makesLocation, false, true),
	KindStage:       rule[StageData](ofLocation, false, true),
	KindFiled:       rule[FiledData](ofLocation, false, true),
	KindShot:        rule[ShotData](partOrLocation, false, true),
	KindFinding:     rule[FindingData](ofLocation, false, true),
	KindGauge:       rule[GaugeData](ofLocation, false, true),
	KindDisposition: rule[DispositionData](ofLocation, false, true),
	KindDrilledOut:  rule[DrilledOutData](ofLocation, false, true),
	KindAttempt:     rule[AttemptData](ofLocation, false, true),
	KindNote:        rule[NoteData](ofAny, true, true),
	KindDecision:    rule[DecisionData](ofLocation, true, true),
	KindSignOff:     rule[SignOffData](ofPart, true, true),
	KindWithdrawal:  rule[WithdrawalData](ofAny, true, true),
}

// Kinds lists all kinds that this version knows, in the order in which a record usually
// comes to be.
var Kinds = []Kind{
	KindDevice, KindMember, KindAccepted, KindProject, KindSettings, KindCard, KindStudy, KindTool, KindPart, KindLayout, KindShape, KindLimits, KindLaxer,
	KindPrep, KindCoupon, KindOrder, KindLocation, KindStage, KindFiled, KindShot, KindFinding, KindGauge, KindDisposition, KindDrilledOut,
	KindAttempt, KindNote, KindDecision, KindSignOff, KindWithdrawal,
}

// Known says whether this version understands the entry: its format and its kind. What is
// not understood is kept and shown, and has no effect.
func (e Entry) Known() bool {
	_, ok := kindRules[e.Kind]
	return ok && e.Format <= Format
}

// MayWrite says whether somebody in this role may write entries of this kind. A kind that
// this version does not know is left to builders.
func MayWrite(r Role, k Kind) bool {
	rule, ok := kindRules[k]
	switch r {
	case Builder:
		return !ok || rule.builder
	case Inspector:
		return ok && rule.inspector
	}
	return false
}
