package layout

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/spec"
	"bucktail/qc/toolroom"
)

// limits are the spacing limits of a rivet, those by which photos are judged first.
type limits struct {
	d                 float64
	units             qc.Units
	edge, edgeMost    Bound // AtMM is the distance
	pitch, pitchMost  Bound
	between, diagonal Bound
}

// limits takes them from the rivet's own limits, and for what these do not have from the rules that
// were read or recalled for rows and flush heads.
func (in Input) limits() (limits, error) {
	s, rows := in.Spec, in.rows()
	all, err := s.Limits()
	if err != nil {
		return limits{}, err
	}
	set, _ := qc.FindSet(s.LimitSet)
	d := s.NominalMM
	l := limits{d: d, units: in.Units}
	take := func(ls []qc.Limit, advice bool) {
		for _, x := range ls {
			least, most := &l.edge, &l.edgeMost
			switch x.Quantity {
			case qc.EdgeDistance:
			case qc.Pitch:
				least, most = &l.pitch, &l.pitchMost
			default:
				continue
			}
			b := Bound{AtMM: x.MinMM, Name: x.Name, Advice: advice, Cite: spec.Cite{Source: x.Source, Basis: x.Basis, Note: x.Note}}
			if x.MinMM > least.AtMM {
				*least = b
			}
			b.AtMM = x.MaxMM
			if x.MaxMM > 0 && (most.AtMM == 0 || !advice && x.MaxMM < most.AtMM) {
				*most = b
			}
		}
	}
	take(all, false)
	take(set.Advice(s), true)
	l.diagonal = l.pitch // between any two rivets
	flush := s.Flush || s.Kind == qc.FlushHead
	for _, id := range rowRules(rows, flush) {
		r := spec.RuleByID(id)
		if v := r.MinD * d; v > l.pitch.AtMM {
			l.pitch = Bound{AtMM: v, Name: fmt.Sprintf("pitch %g D, %s", r.MinD, rowWords(rows, flush)), Cite: r.Cite}
		}
	}
	r := spec.RuleByID("E29")
	l.between = Bound{AtMM: r.MinD * d, Name: fmt.Sprintf("between rows %g D", r.MinD), Cite: r.Cite}
	return l, nil
}

// rowRules are the rules on pitch beyond the limit of a single row: a double row, flush heads.
func rowRules(rows int, flush bool) []string {
	switch {
	case rows == 2 && flush:
		return []string{"E25", "E03"}
	case rows == 2:
		return []string{"E03"}
	case flush:
		return []string{"E24"}
	}
	return nil
}

func rowWords(rows int, flush bool) string {
	words := "one row"
	if rows == 2 {
		words = "double row"
	}
	if flush {
		words += ", flush heads"
	}
	return words
}

func (l limits) bounds(rows int) []Bound {
	out := []Bound{l.pitch}
	if m := l.pitchMost; m.AtMM > 0 {
		m.High = true
		out = append(out, m)
	}
	if rows == 2 {
		diagonal := l.diagonal
		diagonal.Name = "diagonal pitch, as between any two rivets"
		out = append(out, l.between, diagonal)
	}
	return out
}

// inD writes a distance as a multiple of D where it is one of quarters.
func (l limits) inD(mm float64) string {
	if k := mm / l.d; math.Abs(4*k-math.Round(4*k)) < 1e-6 {
		return fmt.Sprintf("%g D", math.Round(4*k)/4)
	}
	return l.units.Value(mm)
}

// bounds gives every limit across a leg.
func (in Input) bounds(leg Leg, l limits) []Bound {
	var out []Bound
	add := func(high bool, at float64, name, formula string, layer string, b Bound) {
		b.High, b.AtMM, b.Name, b.Formula, b.Layer = high, at, name, formula, layer
		out = append(out, b)
	}
	e, w := l.edge.AtMM, leg.WidthMM
	add(true, w-e, "free edge, "+l.inD(e), "W - "+l.inD(e), "", l.edge)
	if m := l.edgeMost; m.AtMM > 0 && in.rows() == 1 {
		add(false, w-m.AtMM, "free edge, not over "+l.inD(m.AtMM), "W - "+l.inD(m.AtMM), "", m)
	}
	if leg.Bend == nil {
		add(false, e, "edge at the datum, "+l.inD(e), l.inD(e), "", l.edge)
	} else {
		wide, high, cite := in.Spec.HeadRoom()
		for _, line := range toolroom.Lines(in.Tool, *leg.Bend, toolroom.Head{DiameterMM: wide, HeightMM: high}, in.MarginMM, true) {
			c := line.Cite
			if line.Obstacle == toolroom.HeadOnFlat {
				c.Note += fmt.Sprintf("; head %s wide by %s (%s)", in.Units.Value(wide), cite.Source, cite.Basis.Word())
			}
			add(false, line.XMM, string(line.Obstacle), line.Formula, "", Bound{Cite: c})
		}
	}
	for _, y := range leg.Layers {
		if y.Tube {
			// The blind head of a pulled rivet is about 1.5 D wide.
			flat := y.CornerMM + 0.75*l.d
			c := spec.Cite{Source: "geometry", Basis: spec.Derived, Note: "the blind head, about 1.5 D wide by practice, lies on the flat between the tube's corners"}
			add(false, *y.FromMM+flat, "flat of "+y.Name, "side + corner radius + 0.75 D", y.Name, Bound{Cite: c})
			add(true, *y.ToMM-flat, "flat of "+y.Name, "side - corner radius - 0.75 D", y.Name, Bound{Cite: c})
			continue
		}
		if y.FromMM != nil {
			add(false, *y.FromMM+e, "edge of "+y.Name+", "+l.inD(e), "edge + "+l.inD(e), y.Name, l.edge)
		}
		if y.ToMM != nil {
			add(true, *y.ToMM-e, "edge of "+y.Name+", "+l.inD(e), "edge - "+l.inD(e), y.Name, l.edge)
		}
	}
	return out
}

// band takes the tightest of the bounds.
func (in Input) band(leg Leg, l limits) Band {
	b := Band{Bounds: in.bounds(leg, l), LowMM: math.Inf(-1), HighMM: math.Inf(1), FreeLowMM: math.Inf(-1), FreeHighMM: math.Inf(1)}
	for _, x := range b.Bounds {
		if x.High {
			if x.AtMM < b.HighMM {
				b.HighMM, b.High = x.AtMM, x.Name
			}
			if !x.Advice {
				b.FreeHighMM = math.Min(b.FreeHighMM, x.AtMM)
			}
			continue
		}
		if x.AtMM > b.LowMM {
			b.LowMM, b.Low = x.AtMM, x.Name
		}
		if !x.Advice {
			b.FreeLowMM = math.Max(b.FreeLowMM, x.AtMM)
		}
	}
	if need := in.deep(leg, l); b.HighMM-b.LowMM >= need {
		b.Open = true
	} else {
		b.ShortMM = need - (b.HighMM - b.LowMM)
	}
	return b
}

// deep is how wide the band must be: two rows need their spacing. 1e-9 mm is rounding.
func (in Input) deep(leg Leg, l limits) float64 {
	if in.rows() == 2 {
		return math.Max(l.between.AtMM, leg.GapMM) - 1e-9
	}
	return -1e-9
}
