package qc

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// shankOffMM bounds how far the shank of a driven rivet may stand off the centre of its driven
// head, along one direction.
//
// Source: heads rendered with known shanks, sizes -3 to -6: the offset's median was 0.04, nine
// in ten lay under 0.27, the largest of 39 was 0.52 mm. Small offsets being likelier than great
// ones, the distribution is taken as triangular between the bounds (JCGM 100:2008 4.3.9):
// u = 0.5/√6 = 0.20 mm, twice the root mean square along one direction of that sample, because
// a sample of 39 is small and a builder's hand is not in it.
const shankOffMM = 0.5

// ShankOff is what the check of a shop head's edge distance or pitch adds for a shank that no
// photo of the driven head shows.
func ShankOff(label string) Contribution {
	return Contribution{Label: label, UMM: shankOffMM / Triangular,
		Source: "triangular, ±0.5 mm: the shank may stand off the driven head's centre"}
}

// Result is what one look at a location came to.
type Result struct {
	Verdict Verdict `json:"verdict"` // the worst of the checks; "" where nothing was judged
	Checks  []Check `json:"checks"`
	// Unread are limits that no reading was there for: `within` says nothing about them.
	Unread []Limit  `json:"unread,omitempty"`
	Notes  []string `json:"notes,omitempty"`
}

// JudgeLocation holds the readings of one location against every limit of its spec.
//
// readings are of what stands there now. hole are readings of the same location's hole from
// before its rivet was set, nil if there are none: for a shop head its edge distance and
// pitches count instead of the head's, for the hole's axis is where the shank is. Without them
// the check of a shop head's edge distance and pitch carries [ShankOff], unless the reading was
// taken from the shank. For other heads they count where the head's own were not read.
//
// The least and greatest diameters are judged, the mean only where they were not read. Of
// several edge distances the smallest is judged, and any other that is not clearly allowed. The
// greatest edge distance and pitch of the published sets are layout advice: a note.
//
// The error is about the spec or its own limits; a poor reading is not an error, its checks
// are too close.
func JudgeLocation(s Spec, readings, hole []Reading) (Result, error) {
	limits, err := s.Limits()
	if err != nil {
		return Result{}, err
	}
	res := judgeAgainst(limits, s, readings, hole)
	if w, ok := WhichDrill(readings, limits); ok && s.Kind == Hole {
		res.Notes = append(res.Notes, w.Text)
	}
	if n := standsOn(readings); n != "" {
		res.Notes = append(res.Notes, n)
	}
	if !hasDiameter(limits) && !s.Mark {
		res.Notes = append(res.Notes, "no table here has a diameter limit for this kind and size: take it from the drawings")
	}
	return res, nil
}

// standsOn says on how many photos of several that were measured together the readings stand; "" where
// each photo was measured alone.
func standsOn(rs []Reading) string {
	least, most := 0, 0
	for _, r := range rs {
		if r.Views > 0 && (least == 0 || r.Views < least) {
			least = r.Views
		}
		most = max(most, r.Views)
	}
	switch {
	case most == 0:
		return ""
	case most == 1:
		return "stands on 1 view"
	case least < most:
		return fmt.Sprintf("stands on %d to %d views", least, most)
	}
	return fmt.Sprintf("stands on %d views", most)
}

// JudgeHand is [JudgeLocation] for what a hand gauge read, which is never all that there is to
// read: what it did not measure is not unread by that. Where the hole was read before its rivet
// was set, a distance from the driven head decides nothing.
func JudgeHand(s Spec, readings, hole []Reading) (Result, error) {
	limits, err := s.Limits()
	if err != nil {
		return Result{}, err
	}
	var kept []Reading
	var notes []string
	for _, r := range readings {
		if s.offShank(r) && has(hole, r) {
			notes = append(notes, "the hole was read before the rivet was set, which takes precedence over the "+r.What()+" from the driven head")
			continue
		}
		kept = append(kept, r)
	}
	res := judgeAgainst(limits, s, kept, nil)
	res.Unread, res.Notes = nil, append(notes, res.Notes...)
	return res, nil
}

// offShank tells of a distance that does not go from the shank's own axis.
func (s Spec) offShank(r Reading) bool {
	return s.Kind == ShopHead && !r.FromShank && distance(r.Quantity)
}

// has tells whether the same thing was read, in the same layer.
func has(rs []Reading, of Reading) bool {
	return slices.ContainsFunc(rs, func(r Reading) bool { return r.Quantity == of.Quantity && r.Layer == of.Layer })
}

func judgeAgainst(limits []Limit, s Spec, readings, hole []Reading) Result {
	j := judging{spec: s, here: byQuantity(readings), hole: byQuantity(hole)}
	for _, l := range limits {
		var checks []Check
		switch l.Quantity {
		case EdgeDistance, Pitch:
			checks = j.spacing(l)
		default:
			checks = j.single(l)
		}
		if len(checks) == 0 {
			j.res.Unread = append(j.res.Unread, l)
		}
		j.res.Checks = append(j.res.Checks, checks...)
		if l.Quantity == EdgeDistance {
			j.res.Checks = append(j.res.Checks, j.layers(l)...)
		}
	}
	for _, c := range j.res.Checks {
		j.res.Verdict = Worst(j.res.Verdict, c.Verdict)
	}
	j.advice(limits)
	return j.res
}

func hasDiameter(ls []Limit) bool {
	return slices.ContainsFunc(ls, func(l Limit) bool { return l.Quantity.Diameter() })
}

type judging struct {
	spec       Spec
	here, hole map[Quantity][]Reading
	res        Result
}

// byQuantity sorts readings, within one quantity by value; one without a usable value comes first.
func byQuantity(rs []Reading) map[Quantity][]Reading {
	m := map[Quantity][]Reading{}
	for _, r := range rs {
		m[r.Quantity] = append(m[r.Quantity], r)
	}
	for _, list := range m {
		sort.SliceStable(list, func(a, b int) bool {
			if bad(list[a].ValueMM) || bad(list[b].ValueMM) {
				return bad(list[a].ValueMM) && !bad(list[b].ValueMM)
			}
			return list[a].ValueMM < list[b].ValueMM
		})
	}
	return m
}

// meanOf tells which mean stands in for a least or greatest diameter.
var meanOf = map[Quantity]Quantity{HeadDMin: HeadDMean, HeadDMax: HeadDMean, HoleDMin: HoleDMean, HoleDMax: HoleDMean}

// single judges a quantity that a location has one of; of several readings each is judged, and
// the worst counts. Which of a photo's and a gauge's readings stands was decided before: see
// [Stand].
func (j *judging) single(l Limit) []Check {
	var out []Check
	for _, r := range j.here[l.Quantity] {
		out = append(out, Judge(r, l))
	}
	if mean, ok := meanOf[l.Quantity]; ok && len(out) == 0 {
		for _, r := range j.here[mean] {
			c := Judge(r, l)
			c.Notes = append(c.Notes, "the "+l.Quantity.Words()+" was not read; the mean stands in for it, which hides a head or hole out of round")
			out = append(out, c)
		}
	}
	return out
}

// spacing judges edge distances and pitches.
func (j *judging) spacing(l Limit) []Check {
	here, hole := seen(j.here[l.Quantity]), seen(j.hole[l.Quantity])
	if j.spec.Kind != ShopHead && (len(here) > 0 || len(hole) == 0) {
		return j.nearest(l, here) // a manufactured head is made in one with its shank
	}
	added := []Contribution{ShankOff("shank off the head's centre")}
	if l.Quantity == Pitch {
		added = append(added, ShankOff("neighbour's shank off its head's centre"))
	}
	if len(hole) == 0 {
		return j.nearest(l, here, added...)
	}
	out := j.nearest(l, hole)
	for i := range out {
		out[i].Notes = append(out[i].Notes, "read from the hole before the rivet was set, which takes precedence over the head")
	}
	if len(here) > 0 && l.MinMM > 0 {
		j.contradiction(out, here[0], hole[0], added)
	}
	return out
}

// layers judges edge distances in the layers that no photo shows, each by its nearest edge. They go
// from the axis, unless they were measured from a driven head. What was read at the hole before the
// rivet was set counts where nothing was since.
func (j *judging) layers(l Limit) []Check {
	var out []Check
	done := map[string]bool{"": true}
	for _, rs := range [][]Reading{j.here[l.Quantity], j.hole[l.Quantity]} {
		var names []string
		of := map[string][]Reading{}
		for _, r := range rs {
			if !done[r.Layer] && of[r.Layer] == nil {
				names = append(names, r.Layer)
			}
			of[r.Layer] = append(of[r.Layer], r)
		}
		for _, n := range names {
			done[n] = true
			for i, r := range of[n] {
				var added []Contribution
				if j.spec.offShank(r) && r.How == ByGauge {
					added = append(added, ShankOff("shank off the head's centre"))
				}
				if c := Judge(r, l, added...); i == 0 || c.Verdict != Within {
					out = append(out, c)
				}
			}
		}
	}
	return out
}

// seen are the readings in the layer that the photo shows.
func seen(rs []Reading) []Reading {
	return slices.DeleteFunc(slices.Clone(rs), func(r Reading) bool { return r.Layer != "" })
}

// contradiction turns `within` from a hole's reading into `too close` where the head's own
// reading of the same quantity lies lower than both uncertainties explain: one of the two
// photos has missed something, most likely the nearer edge.
func (j *judging) contradiction(checks []Check, head, hole Reading, added []Contribution) {
	sum := head.UMM*head.UMM + hole.UMM*hole.UMM
	for _, a := range added {
		sum += 4 * a.UMM * a.UMM // U = 2 u
	}
	if !(hole.ValueMM-head.ValueMM > math.Sqrt(sum)) {
		return
	}
	for i := range checks {
		if checks[i].Verdict == Within {
			checks[i].Verdict = TooClose
			checks[i].Notes = append(checks[i].Notes, "the head's photo shows a smaller "+head.Quantity.Words()+
				" ("+Millimetres.WithU(head.ValueMM, head.UMM)+") than the hole's allows for: measure by hand")
		}
	}
}

// nearest judges readings of one quantity, smallest first: the smallest, for a least limit
// each pitch too and every edge that is not clearly allowed. What is added is for readings that
// were not taken from the shank.
func (j *judging) nearest(l Limit, rs []Reading, added ...Contribution) []Check {
	var out []Check
	for i, r := range rs {
		more := added
		if r.FromShank {
			more = nil
		}
		c := Judge(r, l, more...)
		switch {
		case i == 0:
		case l.MaxMM > 0 && l.MinMM == 0: // farther ones are no fault
			continue
		case l.Quantity == EdgeDistance && c.Verdict == Within:
			continue
		}
		if l.Quantity == Pitch && l.MaxMM > 0 && c.Verdict != Within {
			c.Notes = append(c.Notes, "a nearer neighbour may lie outside the photo")
		}
		if c.byShank() {
			c.Notes = append(c.Notes, fmt.Sprintf("± %s of it is for a shank that may stand off its driven head's centre, which measuring the head again does not settle: "+
				"measure from the manufactured head or the empty hole, or keep it with a reason, or ask the designer", Millimetres.Value(math.Sqrt(c.UMM*c.UMM-r.UMM*r.UMM))))
		}
		out = append(out, c)
	}
	return out
}

// advice notes where the nearest edge or neighbour is farther than the published layout advice,
// for quantities that have no greatest limit of the builder's own.
func (j *judging) advice(limits []Limit) {
	set, ok := FindSet(j.spec.LimitSet)
	if !ok {
		return
	}
	for _, a := range set.Advice(j.spec) {
		if slices.ContainsFunc(limits, func(l Limit) bool { return l.Quantity == a.Quantity && l.MaxMM > 0 }) {
			continue
		}
		rs := seen(j.here[a.Quantity])
		if len(rs) == 0 {
			rs = seen(j.hole[a.Quantity])
		}
		if len(rs) == 0 || bad(rs[0].ValueMM) || !(rs[0].ValueMM-rs[0].UMM > a.MaxMM) {
			continue
		}
		note := fmt.Sprintf("%s %s is more than the %s that %s advises for a layout; no fault of the rivet", a.Quantity.Words(),
			Millimetres.WithU(rs[0].ValueMM, rs[0].UMM), Millimetres.Value(a.MaxMM), a.Source)
		if a.Quantity == Pitch {
			note += ", and a nearer neighbour may lie outside the photo"
		}
		j.res.Notes = append(j.res.Notes, note)
	}
}
