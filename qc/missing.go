package qc

import "fmt"

// Missing is something at a location that there are limits for and no reading.
type Missing struct {
	What   string   `json:"what"` // "head height"
	Do     string   `json:"do"`   // what gives the reading
	Limits []Limit  `json:"limits"`
	From   []string `json:"from"` // see [Limit.Provenance], of each limit
}

// MissingOf gathers limits that nothing was read for by what a person would measure: the least
// and the greatest diameter of a head are one thing.
func MissingOf(unread []Limit) []Missing {
	var out []Missing
	for _, l := range unread {
		what, do := toRead(l.Quantity)
		i := 0
		for i < len(out) && out[i].What != what {
			i++
		}
		if i == len(out) {
			out = append(out, Missing{What: what, Do: do})
		}
		out[i].Limits, out[i].From = append(out[i].Limits, l), append(out[i].From, l.Provenance())
	}
	return out
}

func toRead(q Quantity) (what, do string) {
	switch q {
	case HeadDMin, HeadDMax, HeadDMean:
		return "head diameter", "take the photo again, or measure it by hand"
	case HoleDMin, HoleDMax, HoleDMean:
		return "hole diameter", "take the photo again, or measure it by hand"
	case EdgeDistance:
		return q.Words(), "take a photo with the sheet's edge in it, mark the edge on the photo, or measure it by hand"
	case Pitch:
		return q.Words(), "take a photo with the nearest neighbour in it, or measure it by hand"
	case HeadHeight:
		return q.Words(), "measure it by hand: one photo does not show it"
	}
	return q.Words(), "measure it by hand"
}

// Headline is how a location stands, in words: "within", "within, 2 not read", "can't tell",
// "out"; "open" where nothing was judged. whole is its verdict as [Whole] has it.
func Headline(whole Verdict, missing int) string {
	switch whole {
	case "":
		return "open"
	case Unread:
		return fmt.Sprintf("within, %d not read", missing)
	}
	return whole.String()
}
