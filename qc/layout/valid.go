package layout

import (
	"fmt"
	"math"

	"bucktail/qc"
)

// The largest strip that is laid out: longer than any sheet of a light aircraft.
const mostMM = 5000

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }

func (in Input) valid() error {
	if err := in.Spec.Valid(); err != nil {
		return refuse("bad-spec", err.Error(), "correct the rivet")
	}
	switch n := len(in.Legs); {
	case n == 0 || n > 2:
		return refuse("legs", fmt.Sprintf("%d legs can't be laid out", n), "give one leg, or the two of a gusset corner")
	case n == 2 && !(in.AngleDeg == 0 || in.AngleDeg >= 30 && in.AngleDeg <= 150):
		return refuse("angle", fmt.Sprintf("legs at %v degrees are no gusset corner", in.AngleDeg), "give the angle between the legs, 30 to 150 degrees")
	case in.Rows < 0 || in.Rows > 2:
		return refuse("rows", fmt.Sprintf("%d rows can't be laid out", in.Rows), "choose one row or two staggered ones")
	case len([]rune(in.Name)) > 200:
		return refuse("name", "the name is longer than 200 characters", "shorten it")
	case !(in.MarginMM >= 0 && in.MarginMM <= 50):
		return refuse("margin", fmt.Sprintf("a margin of %s is none", in.Units.Value(in.MarginMM)), "give the room that you want to keep about the tool, 0 to "+in.Units.Value(50))
	}
	if in.Tool != nil {
		if err := in.Tool.Valid(); err != nil {
			return err
		}
	}
	for _, l := range in.Legs {
		if err := l.valid(in.Spec.NominalMM, in.Units.Value); err != nil {
			return err
		}
	}
	if len(in.Legs) == 2 {
		for i, l := range in.Legs {
			if at := math.Max(in.inner(i), in.Legs[1-i].WidthMM); l.LengthMM <= at {
				return refuse("length", fmt.Sprintf("leg %d, %s long, ends inside the other one, which reaches %s along it", i+1, in.Units.Value(l.LengthMM), in.Units.Value(at)),
					"measure each leg from the corner where the outer sides meet")
			}
		}
	}
	return nil
}

// inner is how far along a leg of a corner the inner edges of both meet.
func (in Input) inner(i int) float64 {
	sin, cos := math.Sincos(in.angle())
	return (in.Legs[1-i].WidthMM + in.Legs[i].WidthMM*cos) / sin
}

func (l Leg) valid(d float64, mm func(float64) string) error {
	within := func(v, least, most float64) bool { return v >= least && v <= most } // false for NaN
	switch {
	case !(l.WidthMM > 0 && l.WidthMM <= mostMM):
		return refuse("width", fmt.Sprintf("a leg %s wide can't be laid out", mm(l.WidthMM)), "give its width, above 0 and at most "+mm(mostMM))
	case l.WidthMM <= d:
		return refuse("width", fmt.Sprintf("a leg %s wide is no wider than the rivet (%s)", mm(l.WidthMM), mm(d)), "check the leg's width and the rivet's size: one of them may be in the other unit")
	case !(l.LengthMM > 0 && l.LengthMM <= mostMM):
		return refuse("length", fmt.Sprintf("a leg %s long can't be laid out", mm(l.LengthMM)), "give its length, above 0 and at most "+mm(mostMM))
	case l.LengthMM <= d:
		return refuse("length", fmt.Sprintf("a leg %s long is no longer than the rivet is thick (%s)", mm(l.LengthMM), mm(d)), "check the leg's length and the rivet's size")
	case !(l.ThicknessMM > 0 && l.ThicknessMM <= 25):
		return refuse("thickness", fmt.Sprintf("a sheet %s thick can't be laid out", mm(l.ThicknessMM)), "give its thickness, above 0 and at most "+mm(25))
	case !within(l.RowMM, 0, l.WidthMM), !within(l.GapMM, 0, l.WidthMM):
		return refuse("row", fmt.Sprintf("a row %s from the datum, or %s from the other row, lies off a leg %s wide", mm(l.RowMM), mm(l.GapMM), mm(l.WidthMM)), "give a place on the leg, or none")
	case l.Count < 0 || l.Count > 500:
		return refuse("count", fmt.Sprintf("%d rivets in a row can't be laid out", l.Count), "give a number up to 500, or none")
	case !within(l.PitchMM, 0, mostMM), !within(l.EndMM, 0, l.LengthMM):
		return refuse("pitch", fmt.Sprintf("a pitch of %s, or an end of %s, can't be laid out on %s", mm(l.PitchMM), mm(l.EndMM), mm(l.LengthMM)), "give what fits the leg, or none")
	case len(l.Layers) > 10:
		return refuse("layers", fmt.Sprintf("%d layers are more than 10", len(l.Layers)), "leave out those whose edges are far")
	}
	if l.Bend != nil {
		if err := l.Bend.Valid(); err != nil {
			return err
		}
		if l.Bend.Setback() >= l.WidthMM {
			return refuse("width", fmt.Sprintf("a leg %s wide is all bend: its tangent lies %s from the outer face", mm(l.WidthMM), mm(l.Bend.Setback())), "check width, radius and thickness")
		}
	}
	for _, y := range l.Layers {
		if err := y.valid(); err != nil {
			return err
		}
	}
	return nil
}

func (y Layer) valid() error {
	bad := func(p *float64) bool { return p != nil && !(math.Abs(*p) <= mostMM) }
	switch {
	case y.Name == "" || len([]rune(y.Name)) > 80:
		return refuse("layer", "a layer needs a name of at most 80 characters", "name it: tube, angle, skin")
	case bad(y.FromMM), bad(y.ToMM), bad(y.StartMM), bad(y.EndMM), !(y.ThicknessMM >= 0 && y.ThicknessMM <= 25), !(y.CornerMM >= 0 && y.CornerMM <= 100):
		return refuse("layer", "an edge, the thickness or the corner of "+y.Name+" makes no sense", "give millimetres from the datum")
	case y.FromMM != nil && y.ToMM != nil && *y.FromMM >= *y.ToMM, y.StartMM != nil && y.EndMM != nil && *y.StartMM >= *y.EndMM:
		return refuse("layer", y.Name+" ends before it begins", "change its edges about")
	case y.Tube && (y.FromMM == nil || y.ToMM == nil):
		return refuse("layer", "a tube needs both its sides", "give where its sides lie, from the datum")
	case y.Tube && *y.ToMM-*y.FromMM <= 2*y.CornerMM:
		return refuse("layer", y.Name+" has no flat between its corners", "check its width and corner radius")
	}
	return nil
}
