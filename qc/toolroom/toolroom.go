// Package toolroom says whether a tool has room at a rivet beside a standing leg: three obstacles
// apart, since each is cured differently. The rivet's head must lie on the flat, outside the bend's
// tangent; the tool's nose must pass the fillet and the leg; and the tool's body, which is wider and
// begins behind the nose, must pass the leg wherever the leg is taller than the nose is long.
//
// Places across the flat are x, millimetres from the outer face of the standing leg to the axis of
// the hole (calipers measure it so); heights are above the face of the sheet that the tool stands
// on, inside the angle. The tool stands square to the sheet: a tilt is no cure. Start with
// [Lines] and [Judge].
//
// All of it is geometry: no published margin for a tool and no aircraft rule for a rivet beside a
// bend were found, so the margin is the builder's own and the drawings go before the result.
package toolroom

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/spec"
)

// Tool is one of the builder's own tools, as they measured it. Lengths in mm.
type Tool struct {
	Name string `json:"name"` // "hand puller"
	Kind Kind   `json:"kind,omitempty"`
	// NoseMM is the width of the nose, or the diameter of a round one, where it stands on the work.
	NoseMM float64 `json:"nose_mm"`
	// LengthMM is how far the nose reaches before the body begins; 0: not known.
	LengthMM float64 `json:"length_mm,omitempty"`
	// BodyMM is how far the body reaches from the nose's axis on the side of the leg; 0: no wider
	// than the nose. NarrowMM is the same with the tool turned to its narrow side; 0: round.
	BodyMM   float64 `json:"body_mm,omitempty"`
	NarrowMM float64 `json:"narrow_mm,omitempty"`
	// ReachMM is the throat of a squeezer: from the nose's axis back to the frame; 0: none.
	ReachMM float64 `json:"reach_mm,omitempty"`
}

// Kind says what a tool is for.
type Kind string

// The kinds of tool.
const (
	Puller     Kind = "puller"
	Squeezer   Kind = "squeezer"
	Bar        Kind = "bucking bar"
	Set        Kind = "rivet set"
	Chuck      Kind = "drill chuck"
	RightAngle Kind = "right-angle drill"
	Temporary  Kind = "temporary fastener with its pliers"
)

// Kinds lists them.
var Kinds = []Kind{Puller, Squeezer, Bar, Set, Chuck, RightAngle, Temporary}

const mostMM = 1000 // no hand tool is larger: a slip of the unit

// Valid says what is wrong with a tool, nil if nothing.
func (t Tool) Valid() error {
	known := t.Kind == ""
	for _, k := range Kinds {
		known = known || k == t.Kind
	}
	switch {
	case t.Name == "" || len([]rune(t.Name)) > 80:
		return refuse("tool-name", "a tool needs a name of at most 80 characters", "name it as you call it at the bench")
	case !known:
		return refuse("tool-kind", fmt.Sprintf("kind of tool %.30q is not known", t.Kind), fmt.Sprintf("choose one of %v", Kinds))
	case !(t.NoseMM > 0 && t.NoseMM <= mostMM):
		return refuse("tool-nose", fmt.Sprintf("a nose %s wide is none", qc.Millimetres.Value(t.NoseMM)), "measure across the nose where it stands on the work")
	}
	for _, l := range []struct {
		what string
		mm   float64
	}{{"length of the nose", t.LengthMM}, {"reach of the body", t.BodyMM}, {"reach of its narrow side", t.NarrowMM}, {"reach of the throat", t.ReachMM}} {
		if !(l.mm >= 0 && l.mm <= mostMM) {
			return refuse("tool-size", fmt.Sprintf("the %s is %.6g mm", l.what, l.mm), fmt.Sprintf("give millimetres from 0 to %d", mostMM))
		}
	}
	switch {
	case t.BodyMM > 0 && t.BodyMM < t.NoseMM/2:
		return refuse("tool-body", "the body reaches less far from the axis than the nose does", "give the distance from the nose's axis to the body's side, not the body's width; 0 where it is no wider than the nose")
	case t.NarrowMM > t.BodyMM:
		return refuse("tool-body", "the narrow side reaches farther than the wide one", "change the two about")
	case t.BodyMM > t.NoseMM/2 && t.LengthMM == 0:
		return refuse("tool-length", "the body is wider than the nose, but it is not said where it begins", "measure from the end of the nose to where the body begins")
	}
	return nil
}

// Bend is the standing leg that a rivet stands beside.
type Bend struct {
	ThicknessMM float64 `json:"thickness_mm"`
	RadiusMM    float64 `json:"radius_mm"` // inside
	// LegMM is how tall the leg stands, from the outer face of the flat to the leg's edge.
	LegMM float64 `json:"leg_mm"`
	// AngleDeg is bent through: 90 for an angle, little for a gusset with a bend line; 0 means 90.
	AngleDeg float64 `json:"angle_deg,omitempty"`
}

func (b Bend) rad() float64 {
	if b.AngleDeg == 0 {
		return math.Pi / 2
	}
	return b.AngleDeg * math.Pi / 180
}

// Setback is how far the bend's tangent lies from where the outer faces would meet: tan(A/2) (R + t).
//
// Source: AC 43.13-1B 4-56b.
func (b Bend) Setback() float64 { return math.Tan(b.rad()/2) * (b.RadiusMM + b.ThicknessMM) }

// Valid says what is wrong with a bend, nil if nothing.
func (b Bend) Valid() error {
	switch {
	case !(b.ThicknessMM > 0 && b.ThicknessMM <= 25):
		return refuse("bend-thickness", fmt.Sprintf("a sheet %.6g mm thick can't be laid out", b.ThicknessMM), "give its thickness, from above 0 to 25 mm")
	case !(b.RadiusMM >= 0 && b.RadiusMM <= 100):
		return refuse("bend-radius", fmt.Sprintf("an inside radius of %.6g mm is none", b.RadiusMM), "give the inside radius of the bend, 0 to 100 mm")
	case !(b.AngleDeg >= 0 && b.AngleDeg <= 90):
		return refuse("bend-angle", fmt.Sprintf("a leg bent through %v degrees leans over the rivets or is none", b.AngleDeg), "give the angle that the sheet is bent through, up to 90; what leans farther over must be tried with the tool itself")
	case !(b.LegMM > 0 && b.LegMM <= 2000):
		return refuse("bend-leg", fmt.Sprintf("a leg that stands %.6g mm tall is none", b.LegMM), "measure the standing leg from the outer face of the flat to the leg's edge")
	case b.rad() == math.Pi/2 && b.LegMM < b.RadiusMM+b.ThicknessMM:
		return refuse("bend-leg", fmt.Sprintf("a leg %s tall ends before its bend does (%s)", qc.Millimetres.Value(b.LegMM), qc.Millimetres.Value(b.RadiusMM+b.ThicknessMM)), "check leg, radius and thickness")
	}
	return nil
}

// Head is the rivet's head under the tool; zero for a mark, a drill or a temporary fastener.
type Head struct {
	DiameterMM float64 `json:"diameter_mm"`
	HeightMM   float64 `json:"height_mm"`
}

// Obstacle names what is in the way.
type Obstacle string

// The obstacles.
const (
	HeadOnFlat Obstacle = "head on the flat"
	NoseFillet Obstacle = "nose past fillet and leg"
	NoseStrict Obstacle = "nose clear of the bend's tangent"
	BodyLeg    Obstacle = "body past the leg"
)

// Line is where the hole's axis must stand for one obstacle.
type Line struct {
	Obstacle Obstacle `json:"obstacle"`
	XMM      float64  `json:"x_mm"` // at least this far from the leg's outer face
	Formula  string   `json:"formula"`
	spec.Cite
}

// derived is the source of every line: geometry.
func derived(note string) spec.Cite {
	return spec.Cite{Source: "geometry", Basis: spec.Derived, Note: note}
}

// Lines gives the least x for each obstacle that is there. margin is the builder's own, mm; with
// strict the nose must stand wholly outside the bend's tangent, as for laying out, and not only pass
// the fillet at the height of the head.
func Lines(t *Tool, b Bend, h Head, margin float64, strict bool) []Line {
	var out []Line
	set := b.Setback()
	if h.DiameterMM > 0 {
		out = append(out, Line{HeadOnFlat, set + h.DiameterMM/2, "setback + head/2",
			derived("the head lies wholly outside the bend's tangent; no published aircraft rule was found")})
	}
	if t == nil {
		return out
	}
	r := t.NoseMM / 2
	if strict {
		out = append(out, Line{NoseStrict, set + r + margin, "setback + nose/2 + margin",
			derived("the nose stands wholly on the flat; the margin is the builder's own")})
	} else {
		out = append(out, Line{NoseFillet, b.inner(h.HeightMM) + r + margin, "face of fillet and leg at the head's height + nose/2 + margin",
			derived("the nose stands on the head and passes the fillet at its height; the margin is the builder's own")})
	}
	if begins := h.HeightMM + t.LengthMM; t.BodyMM > r && b.tall() > begins-margin {
		out = append(out, Line{BodyLeg, b.inner(begins) + t.BodyMM + margin, "face of the leg where the body begins + body + margin",
			derived("the leg is taller than the nose is long, so that the body counts; the margin is the builder's own")})
	}
	return out
}

// tall is how far the leg rises above the inner face of the flat.
func (b Bend) tall() float64 { return b.LegMM*math.Sin(b.rad()) - b.ThicknessMM }

// inner is x of the inner face of fillet or leg at a height above the flat, where it comes nearest
// to a tool that begins there: the leg leans away or stands upright.
func (b Bend) inner(height float64) float64 {
	a := b.rad()
	set := b.Setback()
	// The fillet is an arc of R about a centre above the tangent; it ends at height R(1 - cos A).
	if ends := b.RadiusMM * (1 - math.Cos(a)); height < ends {
		return set - math.Sqrt(b.RadiusMM*b.RadiusMM-(b.RadiusMM-height)*(b.RadiusMM-height))
	}
	end := set - b.RadiusMM*math.Sin(a)
	return end - (height-b.RadiusMM*(1-math.Cos(a)))/math.Tan(a)
}

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }
