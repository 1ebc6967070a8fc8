package shape

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bucktail/qc"
)

const mostMM = 10_000 // larger than any part of a light aircraft that stands on a bench

// needs is how many values a kind or method wants, and what they are.
func (in Input) needs() (n int, words string) {
	switch {
	case in.Kind == Twist && in.Method == Heights:
		return 4, "the heights of corners 1 to 4, in order round the frame"
	case in.Kind == Twist && in.Method == Blocks:
		return 1, "the height of the fourth corner over the blocks"
	case in.Kind == Twist && in.Method == Strings:
		return 1, "the gap between the strings"
	case in.Kind == Square:
		return 2, "both diagonals"
	case in.Kind == Flush || in.Kind == Gap:
		return 0, "stations"
	}
	return 1, "one value"
}

func (in Input) valid() error {
	n, words := in.needs()
	switch {
	case strings.TrimSpace(in.Name) == "" || len([]rune(in.Name)) > 200:
		return refuse("name", "a measure needs a name of at most 200 characters", "name it: twist of the hatch frame")
	case !slices.Contains(Kinds, in.Kind):
		return refuse("kind", fmt.Sprintf("a measure of kind %.30q is not known", in.Kind), fmt.Sprintf("choose one of %v", Kinds))
	case !slices.Contains(States, in.State):
		return refuse("state", fmt.Sprintf("state %.30q is not known", in.State), "say whether it was measured before, imposed, riveted or released")
	case in.Kind == Twist && !slices.Contains(Methods, in.Method):
		return refuse("method", fmt.Sprintf("a twist can't be had by %.30q", in.Method), "diagonals show squareness, never twist: give four heights, the fourth corner over equal blocks, or the gap of crossed strings")
	case len(in.ValuesMM) != n:
		return refuse("values", fmt.Sprintf("%d values were given", len(in.ValuesMM)), "give "+words)
	case (in.Kind == Flush || in.Kind == Gap) && (len(in.Stations) == 0 || len(in.Stations) > 200):
		return refuse("stations", fmt.Sprintf("%d stations can't be judged", len(in.Stations)), "give the stations along the seal, numbered")
	case !(in.UMM > 0 && in.UMM <= 100) || !(in.BaseUMM >= 0 && in.BaseUMM <= 100):
		return refuse("uncertainty", fmt.Sprintf("an uncertainty of %.6g mm is none", in.UMM), "say how far one value can be trusted: calipers 0.1 mm, a rule 0.5 mm")
	case !(in.WidthMM >= 0 && in.WidthMM <= mostMM) || !(in.LengthMM >= 0 && in.LengthMM <= mostMM):
		return refuse("frame", "the frame's width or length makes no sense", "give millimetres, or leave them out")
	case in.TargetMM != nil && !(in.ToleranceMM > 0 && in.ToleranceMM <= 1000):
		return refuse("tolerance", "a target needs a tolerance above zero", "give the tolerance that the drawing or the designer names")
	case in.TargetMM != nil && strings.TrimSpace(in.Source) == "":
		return refuse("source", "a target needs its source", "name the drawing and note, or whoever said it")
	case in.Tweaks < 0 || in.Tweaks > 1000:
		return refuse("tweaks", fmt.Sprintf("%d tweaks were counted", in.Tweaks), "count them from 0")
	case !(in.WobbleMM >= 0 && in.WobbleMM <= 100):
		return refuse("wobble", fmt.Sprintf("a wobble of %.6g mm is none", in.WobbleMM), "give the thickest feeler that enters beneath it on a flat plate, or none")
	case in.Cracks != "" && in.Cracks != qc.Yes && in.Cracks != qc.No && in.Cracks != qc.NotLooked:
		return refuse("cracks", fmt.Sprintf("cracks are %.20q", in.Cracks), "answer yes, no or not looked")
	}
	all := slices.Clone(in.ValuesMM)
	for _, s := range in.Stations {
		all = append(all, s.FrameMM)
		if s.OpeningMM != nil {
			all = append(all, *s.OpeningMM)
		}
	}
	if in.TargetMM != nil {
		all = append(all, *in.TargetMM)
	}
	for _, v := range all {
		if math.IsNaN(v) || math.Abs(v) > mostMM {
			return refuse("values", fmt.Sprintf("%v is no measure of a part", v), fmt.Sprintf("give millimetres (degrees of an angle), at most %d", mostMM))
		}
	}
	if in.Kind == Angle && !(in.ValuesMM[0] > 0 && in.ValuesMM[0] < 180) {
		return refuse("values", fmt.Sprintf("an angle of %v degrees is none of a bent sheet", in.ValuesMM[0]), "give the angle between its faces, or the one bent through, as the target has it: above 0 and under 180")
	}
	if in.Kind == Square && (in.ValuesMM[0] <= 0 || in.ValuesMM[1] <= 0) {
		return refuse("values", "a diagonal is longer than nothing", "give both diagonals' lengths")
	}
	return nil
}
