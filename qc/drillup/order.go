package drillup

import (
	"cmp"
	"math"
	"slices"
)

// Spot is a location to be riveted: where it lies on its part, mm.
type Spot struct {
	ID   string
	X, Y float64
}

// Order proposes in which order rivets are set: from the middle outwards, so that the sheets spread
// toward their edges and none is trapped between two rivets. Of two as far out the left one goes first.
//
// Source: practice.
func Order(spots []Spot) []string {
	var mx, my float64
	for _, s := range spots {
		mx, my = mx+s.X/float64(len(spots)), my+s.Y/float64(len(spots))
	}
	from := func(s Spot) float64 { return math.Round(1e3 * math.Hypot(s.X-mx, s.Y-my)) }
	order := slices.Clone(spots)
	slices.SortStableFunc(order, func(a, b Spot) int { return cmp.Or(cmp.Compare(from(a), from(b)), cmp.Compare(a.X, b.X)) })
	out := make([]string, len(order))
	for i, s := range order {
		out[i] = s.ID
	}
	return out
}

// PartKinds are the kinds of part that a preparation list is proposed for.
var PartKinds = []string{"gusset", "angle", "tube frame", "sheet"}

// Preparation proposes the preparation list of a kind of part; the builder changes it.
//
// Source: practice; the film, burrs and edges AC 43.13-1B 4-58, recalled.
func Preparation(kind string) []string {
	list := []string{"corners rounded", "edges smoothed", "film off", "sits without force", "clamped", "what was filed is entered"}
	switch kind {
	case "gusset":
		return append([]string{"centre lines of the tubes drawn", "bend line where it belongs"}, list...)
	case "angle":
		return append([]string{"centre line of the row drawn", "angle of the bend checked", "bend looked at through a magnifier"}, list...)
	case "tube frame":
		return append([]string{"tubes' ends deburred inside", "spacers in", "twist imposed and measured"}, list...)
	}
	return append([]string{"row's line drawn", "lies flat on what is under it"}, list...)
}
