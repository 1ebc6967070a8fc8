// Package shape judges the shape of a part: twist, squareness, flushness and gap along a seal,
// straightness, a formed angle, or a measure of the builder's own. A shape is imposed by spacers,
// riveted, and released; only what stands when it is released counts. Start with [Judge]; [Keep]
// tells from a first frame what to impose on the next.
//
// Twist comes from heights and never from diagonals: these show squareness, and a twist spread over
// four corners leaves them equal. All lengths are millimetres, uncertainties expanded ones (k = 2).
// The sign of a twist is its hand: a mirrored frame's target has the other sign.
package shape

import (
	"fmt"
	"math"

	"bucktail/qc"
)

// Kind is what is measured.
type Kind string

// The kinds.
const (
	Twist      Kind = "twist"
	Square     Kind = "squareness"
	Flush      Kind = "flushness"
	Gap        Kind = "gap"
	Straight   Kind = "straightness"
	Angle      Kind = "formed angle" // degrees
	OfBuilders Kind = "own measure"
)

// Kinds lists them.
var Kinds = []Kind{Twist, Square, Flush, Gap, Straight, Angle, OfBuilders}

// State is what had happened to the part when it was measured.
type State string

// The states in the order of the work.
const (
	Before   State = "before"
	Imposed  State = "imposed"
	Riveted  State = "riveted"
	Released State = "released"
)

// States lists them.
var States = []State{Before, Imposed, Riveted, Released}

// Method is how a twist was measured.
type Method string

// The methods.
const (
	Heights Method = "four heights"    // z1 to z4, in order round the frame
	Blocks  Method = "fourth corner"   // over three equal blocks: the height of the fourth over them
	Strings Method = "crossed strings" // the gap between them, negative where the other one lies on top
)

// Methods lists them.
var Methods = []Method{Heights, Blocks, Strings}

// Input is one measurement as it was taken.
type Input struct {
	Name   string `json:"name"` // "twist of the hatch frame": measures of one name belong together
	Kind   Kind   `json:"kind"`
	State  State  `json:"state"`
	Method Method `json:"method,omitempty"`
	// ValuesMM are what was read: heights 1 to 4, the fourth height, the gap of the strings, the two
	// diagonals, or the one value of straightness, angle (degrees) or the builder's own.
	ValuesMM []float64 `json:"values_mm,omitempty"`
	Stations []Station `json:"stations,omitempty"`
	// UMM is of one value by the gauge, BaseUMM of the table or blocks beneath (degrees for an angle).
	UMM     float64 `json:"U_mm"`
	BaseUMM float64 `json:"base_U_mm,omitempty"`
	// The frame, for angles: corner 1 to 2 and 3 to 4 are WidthMM apart, the ends LengthMM.
	WidthMM  float64 `json:"width_mm,omitempty"`
	LengthMM float64 `json:"length_mm,omitempty"`
	// What it should be, where that is known, and who says so.
	TargetMM    *float64 `json:"target_mm,omitempty"`
	ToleranceMM float64  `json:"tolerance_mm,omitempty"`
	Source      string   `json:"source,omitempty"` // drawing, note; or the opening measured alike
	Instrument  string   `json:"instrument,omitempty"`
	// Of a formed angle: tweaks by hand since it was bent, and what a magnifier showed in the bend.
	Tweaks int     `json:"tweaks,omitempty"`
	Cracks qc.Seen `json:"cracks,omitempty"`
	// WobbleMM is the thickest feeler that enters beneath a formed angle on a flat plate.
	WobbleMM float64 `json:"wobble_mm,omitempty"`
	// Units is how what is said of it shows lengths; no part of what is kept.
	Units qc.Units `json:"-"`
}

// Station is a numbered place along a seal: frame and opening measured alike.
type Station struct {
	Name      string   `json:"name"`
	FrameMM   float64  `json:"frame_mm"`
	OpeningMM *float64 `json:"opening_mm,omitempty"` // nil: the target is the tolerance's middle
}

// Line is one figure of a result with how it was had.
type Line struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	U     float64 `json:"U"`
	Unit  string  `json:"unit"` // "mm", "deg", "deg/m"
	By    string  `json:"by"`
}

// AtStation is one station's difference and verdict.
type AtStation struct {
	Name    string     `json:"name"`
	Value   float64    `json:"value"`
	U       float64    `json:"U"`
	Verdict qc.Verdict `json:"verdict,omitempty"`
}

// Result is what a measurement came to.
type Result struct {
	Value    float64     `json:"value"`
	U        float64     `json:"U"`
	Unit     string      `json:"unit"`
	Lines    []Line      `json:"lines"` // the first is the value itself
	Stations []AtStation `json:"stations,omitempty"`
	Verdict  qc.Verdict  `json:"verdict,omitempty"` // "": no target, or not released
	Notes    []string    `json:"notes,omitempty"`
}

// Caution stands with every shape.
const Caution = "The aircraft's drawings name the shape and how far it may depart; local rules and licensed practice decide, an inspector confirms."

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }

// Judge works a measurement out and holds it against its target by the rule of [qc.Judge].
func Judge(in Input) (Result, error) {
	if err := in.valid(); err != nil {
		return Result{}, err
	}
	r := Result{Unit: "mm"}
	switch in.Kind {
	case Twist:
		in.twist(&r)
	case Square:
		in.square(&r)
	case Flush, Gap:
		in.stations(&r)
	case Angle:
		r.Unit = "deg"
		r.Value, r.U = in.ValuesMM[0], in.UMM
		r.Lines = append(r.Lines, Line{"angle", r.Value, r.U, "deg", "as measured"})
	default:
		r.Value, r.U = in.ValuesMM[0], in.UMM
		r.Lines = append(r.Lines, Line{string(in.Kind), r.Value, r.U, "mm", "as measured"})
	}
	in.verdict(&r)
	return r, nil
}

// twist: w = z1 - z2 + z3 - z4; neither tilt nor shift changes it.
//
// Source: worked example "Twist from heights"; JCGM 100:2008 5.1.2 for the uncertainty.
func (in Input) twist(r *Result) {
	one := math.Hypot(in.UMM, in.BaseUMM)
	by := ""
	switch v := in.ValuesMM; in.Method {
	case Heights:
		r.Value, r.U, by = v[0]-v[1]+v[2]-v[3], 2*one, "w = z1 - z2 + z3 - z4; U of four independent heights is twice that of one"
	case Blocks:
		r.Value, r.U, by = -v[0], 2*one, "w = -z4 over three equal blocks; U as of four heights"
	case Strings:
		r.Value, r.U, by = 2*v[0], 2*one, "w is twice the gap of the crossed strings"
	}
	r.Lines = append(r.Lines, Line{"twist height", r.Value, r.U, "mm", by})
	if in.WidthMM == 0 {
		return
	}
	k := r.Value / in.WidthMM
	deg := math.Atan(k) * 180 / math.Pi
	u := r.U / in.WidthMM / (1 + k*k) * 180 / math.Pi
	r.Lines = append(r.Lines, Line{"angle between the ends", deg, u, "deg", "atan(w/width)"})
	if in.LengthMM > 0 {
		m := in.LengthMM / 1000
		r.Lines = append(r.Lines, Line{"twist rate", deg / m, u / m, "deg/m", "angle over the length"})
	}
}

// square: the diagonals' difference, and by the law of cosines how far from a right angle.
func (in Input) square(r *Result) {
	a, b := in.ValuesMM[0], in.ValuesMM[1]
	r.Value, r.U = a-b, math.Sqrt2*in.UMM
	r.Lines = append(r.Lines, Line{"difference of the diagonals", r.Value, r.U, "mm", "d1 - d2: shows squareness, not twist"})
	if in.WidthMM > 0 && in.LengthMM > 0 {
		k := 4 * in.WidthMM * in.LengthMM
		deg := (a*a - b*b) / k * 180 / math.Pi
		r.Lines = append(r.Lines, Line{"out of square", deg, 2 * math.Hypot(a, b) * in.UMM / k * 180 / math.Pi, "deg", "(d1^2 - d2^2) / (4 width length), for small angles"})
	}
}

// stations: frame less opening at each; the one farthest from the target stands for all.
func (in Input) stations(r *Result) {
	target := 0.0
	if in.TargetMM != nil {
		target = *in.TargetMM
	}
	far := -1.0
	for _, s := range in.Stations {
		v, u := s.FrameMM, in.UMM
		if s.OpeningMM != nil {
			v, u = s.FrameMM-*s.OpeningMM, math.Sqrt2*in.UMM
		}
		at := AtStation{Name: s.Name, Value: v, U: u}
		if in.TargetMM != nil && in.State == Released {
			at.Verdict = held(v, u, target, in.ToleranceMM)
		}
		r.Stations = append(r.Stations, at)
		if d := math.Abs(v - target); d > far {
			far, r.Value, r.U = d, v, u
		}
	}
	r.Lines = append(r.Lines, Line{string(in.Kind) + ", farthest from its target", r.Value, r.U, "mm", "frame less opening, where both were measured"})
}

func (in Input) verdict(r *Result) {
	switch {
	case in.TargetMM == nil:
		r.Notes = append(r.Notes, "no target was given: not judged")
	case in.State != Released:
		r.Notes = append(r.Notes, "measured "+string(in.State)+": only what stands when it is released counts")
	default:
		r.Verdict = held(r.Value, r.U, *in.TargetMM, in.ToleranceMM)
		for _, s := range r.Stations {
			r.Verdict = qc.Worst(r.Verdict, s.Verdict)
		}
	}
	if in.Cracks == qc.Yes {
		r.Verdict = qc.Out
		r.Notes = append(r.Notes, "a crack was seen in the bend: the part is not used (AC 43.13-1B 4-58 wants none)")
	}
	if in.Kind == Angle && (in.Cracks == "" || in.Cracks == qc.NotLooked) {
		r.Notes = append(r.Notes, "nobody has looked at the bend through a magnifier yet: a crack there is no matter of its angle")
	}
	if in.Kind == Angle && in.WobbleMM > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("it wobbles on a flat plate: a feeler of %s enters; no published limit was found, the drawing's counts", in.Units.Value(in.WobbleMM)))
	}
	if in.Kind == Angle && in.Tweaks > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("tweaked by hand %d times since it was bent: each works the metal; look at the bend through a magnifier (practice)", in.Tweaks))
	}
}

// held holds a value against target and tolerance. The rule knows limits above zero alone, so all of
// it is shifted; nothing of it hangs on where zero lies.
func held(v, u, target, tol float64) qc.Verdict {
	const shift = 1e6
	r := qc.Reading{ValueMM: v + shift, UMM: u, How: qc.ByGauge}
	return qc.Judge(r, qc.Limit{MinMM: target - tol + shift, MaxMM: target + tol + shift}).Verdict
}

// Kept is what a first frame kept of what was imposed on it, and what to impose on the next.
type Kept struct {
	ImposedMM float64 `json:"imposed_mm"`
	Share     float64 `json:"share"`
	ShareU    float64 `json:"share_U"`
	NextMM    float64 `json:"next_mm"`
	NextUMM   float64 `json:"next_U_mm"`
	Note      string  `json:"note"`
}

// Spacers is the twist that four spacers impose: s1 - s2 + s3 - s4.
func Spacers(s [4]float64) float64 { return s[0] - s[1] + s[2] - s[3] }

// Keep tells which share of an imposed twist was kept after release, and what to impose for a target,
// all signed; U of both twists is expanded. It is linear: hold it against the first frame's release
// before the second one is drilled.
func Keep(imposedMM, releasedMM, uMM, targetMM float64) (Kept, error) {
	for _, v := range []float64{imposedMM, releasedMM, uMM, targetMM} {
		if math.IsNaN(v) || math.Abs(v) > 1000 {
			return Kept{}, refuse("spacers", fmt.Sprintf("%.6g mm is no twist", v), "give the twists in millimetres, with their signs")
		}
	}
	switch {
	case !(uMM > 0):
		return Kept{}, refuse("spacers", "no uncertainty was given", "give U of the two twists")
	case math.Abs(imposedMM) <= uMM || math.Abs(releasedMM) <= uMM:
		return Kept{}, refuse("spacers", "one of the twists is no larger than its uncertainty", "impose more, or measure better: nothing can be learnt from it")
	case imposedMM*releasedMM < 0:
		return Kept{}, refuse("spacers", "what was kept has the other hand than what was imposed", "check the order of the corners in both measurements")
	}
	k := Kept{ImposedMM: imposedMM, Share: releasedMM / imposedMM}
	rel := math.Hypot(uMM/releasedMM, uMM/imposedMM)
	k.ShareU, k.NextMM = math.Abs(k.Share)*rel, targetMM/k.Share
	k.NextUMM = math.Abs(k.NextMM) * rel
	k.Note = "linear, from one frame: hold it against that frame's release before the next one is drilled"
	return k, nil
}
