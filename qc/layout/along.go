package layout

import (
	"fmt"
	"math"

	"bucktail/qc/sketch"
	"bucktail/qc/spec"
)

// usualEnd and usualPitch are taken where nothing was said, in D: AC 43.13-1B's least edge distance
// with half a diameter to spare (FAA-H-8083-31 names 2.5 D as usual, recalled), and the pitch where
// the usual ranges of AL0992 (6 to 8 D) and NAVEDTRA 14018 (4 to 8 D) meet (read).
const (
	usualEnd   = 2.5
	usualPitch = 6
)

// lay finds rows, number and pitch of one leg; placed are the holes of the legs before it.
func (in Input) lay(i int, l limits, placed []Hole) LegAnswer {
	leg := in.Legs[i]
	a := LegAnswer{Band: in.band(leg, l)}
	if !a.Band.Open {
		a.Band.Cures = in.cures(i, a.Band)
		a.Problem = fmt.Sprintf("no band: %s wants at least %s, %s at most %s", a.Band.Low, in.Units.Value(a.Band.LowMM), a.Band.High, in.Units.Value(a.Band.HighMM))
		if in.rows() == 2 {
			a.Problem += fmt.Sprintf("; two rows need %s between", in.Units.Value(in.deep(leg, l)))
		}
		return a
	}
	var ok bool
	if a.Row, ok = in.rowPlaces(leg, l, a.Band); !ok {
		a.Problem = fmt.Sprintf("a row at %s lies outside the band, %s to %s", in.Units.Value(leg.RowMM), in.Units.Number(a.Band.LowMM), in.Units.Value(a.Band.HighMM))
		a.Row = nil
		return a
	}
	in.spread(i, l, placed, &a)
	a.Notes = append(a.Notes, in.throat(leg, a.Row)...)
	if room := math.Min(a.Row[0]-a.Band.FreeLowMM, a.Band.FreeHighMM-a.Row[len(a.Row)-1]); a.Problem == "" && room < 0.25 {
		a.Notes = append(a.Notes, fmt.Sprintf("only %s to spare on one side: a mark that wanders so far is out, and a photo can hardly tell", in.Units.Value(math.Max(0, room))))
	}
	return a
}

// throat says where a squeezer doesn't reach a row from an edge of its leg, and from where it does.
func (in Input) throat(leg Leg, rows []float64) []string {
	t := in.Tool
	if t == nil || t.ReachMM == 0 {
		return nil
	}
	far := 0.0
	for _, across := range rows {
		from := leg.WidthMM - across
		if leg.Bend == nil {
			from = math.Min(from, across)
		}
		far = math.Max(far, from)
	}
	if far <= t.ReachMM {
		return nil
	}
	mm := in.Units.Value
	return []string{fmt.Sprintf("%s: its throat, %s, does not reach from the free edge to a row %s in; only a hole at most %s from an end of the leg is reached, from there", t.Name, mm(t.ReachMM), mm(far), mm(t.ReachMM))}
}

// rowPlaces gives the rows across the leg: where the builder wants them, else in the middle of the
// band, on half a millimetre where that loses little of the room on either side.
func (in Input) rowPlaces(leg Leg, l limits, b Band) ([]float64, bool) {
	gap := 0.0
	if in.rows() == 2 {
		gap = math.Max(l.between.AtMM, leg.GapMM)
		if up := math.Ceil(2*gap-1e-9) / 2; leg.GapMM == 0 && up <= b.HighMM-b.LowMM {
			gap = up
		}
	}
	x := leg.RowMM
	if x == 0 {
		x = (b.LowMM + b.HighMM - gap) / 2
		if r := math.Round(2*x) / 2; math.Abs(r-x) < 0.2*(b.HighMM-b.LowMM-gap) {
			x = r
		}
	}
	const tiny = 1e-9
	if x < b.FreeLowMM-tiny || x+gap > b.FreeHighMM+tiny {
		return nil, false
	}
	if in.rows() == 2 {
		return []float64{x, x + gap}, true
	}
	return []float64{x}, true
}

// ends gives the limits along the leg for rows at some places across it.
func (in Input) ends(i int, rows []float64, l limits) []Bound {
	leg, e := in.Legs[i], l.edge.AtMM
	end, said := leg.EndMM, true
	short := false
	if end == 0 {
		end, said = math.Max(usualEnd*l.d, e), false
		// A bracket too short for two rivets with usual ends has them nearer to its ends.
		if two := (leg.LengthMM - l.pitch.AtMM) / 2; len(in.Legs) == 1 && leg.Count != 1 && two < end {
			short, end = true, math.Max(two, e)
		}
	}
	sin, cos := math.Sincos(in.angle())
	// oblique is where a row reaches a line at a distance from the other leg's outer side.
	oblique := func(from float64) float64 {
		at := math.Inf(-1)
		for _, across := range rows {
			at = math.Max(at, (from+across*cos)/sin)
		}
		return at
	}
	c, words := spec.Cite{Source: "FAA-H-8083-31 ch 4 Edge Distance", Basis: spec.Memory, Note: "2.5 D is usual; the least is the edge distance"}, "usual end, "+l.inD(end)
	switch {
	case short:
		words = fmt.Sprintf("end, under the usual %g D", usualEnd)
	case said:
		c, words = spec.Cite{Source: "the builder's choice", Basis: spec.Own}, "end as chosen"
	}
	out := []Bound{
		{AtMM: oblique(e), Name: "end of the leg, " + l.inD(e), Formula: l.inD(e), Cite: l.edge.Cite},
		{AtMM: oblique(end), Name: words, Formula: "end", Advice: true, Cite: c},
		{High: true, AtMM: leg.LengthMM - e, Name: "end of the leg, " + l.inD(e), Formula: "length - " + l.inD(e), Cite: l.edge.Cite},
		{High: true, AtMM: leg.LengthMM - end, Name: words, Formula: "length - end", Advice: true, Cite: c},
	}
	for _, y := range leg.Layers {
		if y.StartMM != nil {
			out = append(out, Bound{AtMM: oblique(*y.StartMM + e), Name: "end of " + y.Name + ", " + l.inD(e), Formula: "its end + " + l.inD(e), Layer: y.Name, Cite: l.edge.Cite})
		}
		if y.EndMM != nil {
			out = append(out, Bound{High: true, AtMM: *y.EndMM - e, Name: "end of " + y.Name + ", " + l.inD(e), Formula: "its end - " + l.inD(e), Layer: y.Name, Cite: l.edge.Cite})
		}
	}
	return out
}

// spread fills the rows.
func (in Input) spread(i int, l limits, placed []Hole, a *LegAnswer) {
	leg := in.Legs[i]
	a.Along = in.ends(i, a.Row, l)
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, b := range a.Along {
		if b.High {
			hi = math.Min(hi, b.AtMM)
		} else {
			lo = math.Max(lo, b.AtMM)
		}
	}
	// The second leg's row begins where it keeps its pitch from the first leg's holes.
	const step = 0.5
	for start := lo; ; start += step {
		*a = LegAnswer{Band: a.Band, Row: a.Row, Along: a.Along, Notes: a.Notes}
		in.number(leg, l, start, hi, a)
		if a.Problem != "" || in.apart(i, a, l, placed) {
			if start > lo {
				a.Notes = append(a.Notes, fmt.Sprintf("the row begins %s farther on, to keep %s from the other leg's rivets and %s from its end", in.Units.Value(start-lo), in.Units.Value(l.diagonal.AtMM), in.Units.Value(l.edge.AtMM)))
			}
			return
		}
	}
}

// apart tells whether a leg's holes keep their pitch from those placed before, and their edge distance
// from the other leg's end, which a row reaches where the legs open wide.
func (in Input) apart(i int, a *LegAnswer, l limits, placed []Hole) bool {
	for _, h := range in.holes(i, a, 0) {
		for j, o := range in.Legs {
			if j != i && toSegment(h.At, in.at(j, o.LengthMM, 0), in.at(j, o.LengthMM, o.WidthMM)) < l.edge.AtMM-1e-9 {
				return false
			}
		}
		for _, p := range placed {
			if math.Hypot(h.At[0]-p.At[0], h.At[1]-p.At[1]) < l.diagonal.AtMM-1e-9 {
				return false
			}
		}
	}
	return true
}

// toSegment is how far a place is from a line between two others.
func toSegment(p, a, b sketch.XY) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	k := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	k = math.Max(0, math.Min(1, k))
	return math.Hypot(p[0]-a[0]-k*dx, p[1]-a[1]-k*dy)
}

// number chooses how many rivets stand between two places along the leg.
func (in Input) number(leg Leg, l limits, lo, hi float64, a *LegAnswer) {
	d, mm := l.d, in.Units.Value
	room := hi - lo
	if room < 0 {
		a.Problem = fmt.Sprintf("no room along the leg: the first rivet could stand at %s and the last at %s; it must be %s longer", mm(lo), mm(hi), mm(-room))
		return
	}
	fits := func(p float64) string {
		switch m := l.pitchMost; {
		case p < l.pitch.AtMM-1e-9:
			return fmt.Sprintf("under %s by %s (%s)", l.inD(l.pitch.AtMM), mm(l.pitch.AtMM-p), l.pitch.Source)
		case m.AtMM > 0 && p > m.AtMM+1e-9:
			return fmt.Sprintf("over %s by %s (%s)", l.inD(m.AtMM), mm(p-m.AtMM), m.Source)
		}
		return ""
	}
	wanted := leg.PitchMM
	if wanted == 0 {
		wanted = math.Max(usualPitch*d, l.pitch.AtMM)
	}
	best := -1
	most := min(500, int(room/l.pitch.AtMM)+2)
	for n := 2; n <= most; n++ {
		p := room / float64(n-1)
		o := Option{Count: n, PitchMM: p, InD: p / d, Why: fits(p)}
		o.Fits = o.Why == ""
		a.Options = append(a.Options, o)
		k := len(a.Options) - 1
		switch {
		case leg.Count > 0:
			if n == leg.Count {
				best = k
			}
		case o.Fits && (best < 0 || math.Abs(p-wanted) < math.Abs(a.Options[best].PitchMM-wanted)):
			best = k
		}
	}
	switch {
	case leg.Count == 1 || leg.Count == 0 && best < 0 && room < l.pitch.AtMM:
		a.Count, a.FirstMM, a.LastMM = 1, lo+room/2, lo+room/2
		a.Row = a.Row[:1]
		a.Notes = append(a.Notes, fmt.Sprintf("one rivet alone: two in line need %s more, a leg of at least %s", mm(math.Max(0, l.pitch.AtMM-room)), mm(leg.LengthMM+math.Max(0, l.pitch.AtMM-room))))
	case best < 0:
		a.Problem = fmt.Sprintf("no number of rivets from %s to %s has a pitch that fits", mm(lo), mm(hi))
		if leg.Count > 0 {
			a.Problem = fmt.Sprintf("%d rivets do not fit in %s: at most %d keep %s", leg.Count, mm(room), int(room/l.pitch.AtMM+1e-9)+1, l.inD(l.pitch.AtMM))
		}
	case !a.Options[best].Fits && a.Options[best].PitchMM < l.pitch.AtMM:
		a.Problem = fmt.Sprintf("%d rivets have a pitch of %s: %s", leg.Count, mm(a.Options[best].PitchMM), a.Options[best].Why)
	default:
		o := &a.Options[best]
		o.Chosen = true
		a.Count, a.PitchMM, a.FirstMM, a.LastMM = o.Count, o.PitchMM, lo, hi
		if !o.Fits {
			a.Notes = append(a.Notes, fmt.Sprintf("pitch %s: %s", mm(o.PitchMM), o.Why))
		}
		if len(a.Row) == 2 {
			a.DiagonalMM = math.Hypot(o.PitchMM/2, a.Row[1]-a.Row[0])
		}
	}
	a.Options = nearest(a.Options, best)
}

// nearest keeps the options that a person chooses among: at most 13 about the chosen one.
func nearest(all []Option, best int) []Option {
	const around = 6
	lo := max(0, best-around)
	return all[lo:min(len(all), lo+2*around+1)]
}
