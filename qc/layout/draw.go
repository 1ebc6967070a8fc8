package layout

import (
	"math"

	"bucktail/qc"
	"bucktail/qc/sketch"
)

// draw makes the drawing: outline, what lies behind, bend tangents, bands, rows, holes, dimensions.
func (in Input) draw(a Answer) sketch.Sketch {
	s := in.part()
	for i, leg := range in.Legs {
		la := a.Legs[i]
		if la.Band.Open && la.Count > 0 {
			lo, hi := la.Band.LowMM, la.Band.HighMM
			f, l := la.FirstMM, la.LastMM
			s.Within(sketch.Band, true, in.at(i, f, lo), in.at(i, l, lo), in.at(i, l, hi), in.at(i, f, hi))
		}
		for _, x := range la.Row {
			// From where the row enters the part, past the other leg's outer side.
			from := math.Max(0, x/math.Tan(in.angle()))
			s.Within(sketch.Centre, false, in.at(i, from, x), in.at(i, leg.LengthMM, x))
		}
	}
	pilot := in.pilotMM()
	for _, h := range a.Holes {
		s.Hole(h.At, pilot, h.Tag)
	}
	in.dims(&s, a)
	return s
}

// Outline draws the part alone as it lies in the drawing of its layout: its edges and bends, and what
// lies behind. It is as wide and as high as the whole drawing, for everything else lies within.
func (in Input) Outline() sketch.Sketch {
	s := in.part()
	if in.Mirrored {
		s.Mirror()
	}
	return s
}

func (in Input) part() sketch.Sketch {
	var s sketch.Sketch
	in.outline(&s)
	for i, leg := range in.Legs {
		in.behind(&s, i)
		if leg.Bend != nil {
			t := leg.Bend.Setback()
			s.Add(sketch.Bend, false, in.at(i, 0, t), in.at(i, leg.LengthMM, t))
		}
	}
	if at, d, ok := in.Relief(); ok {
		s.Hole(at, d, "relief")
	}
	return s
}

// pilotMM is the drill that the template shows: the pilot's, else the rivet's own diameter.
func (in Input) pilotMM() float64 {
	p := in.Spec
	p.Kind, p.Rivet, p.Pilot = qc.Hole, in.Spec.ForRivet(), true
	d, _, _ := p.Expected()
	return d
}

func (in Input) outline(s *sketch.Sketch) {
	l1 := in.Legs[0]
	if len(in.Legs) == 1 {
		s.Add(sketch.Outline, true, sketch.XY{}, sketch.XY{l1.LengthMM, 0}, sketch.XY{l1.LengthMM, l1.WidthMM}, sketch.XY{0, l1.WidthMM})
		return
	}
	l2 := in.Legs[1]
	s.Add(sketch.Outline, true, sketch.XY{}, in.at(0, l1.LengthMM, 0), in.at(0, l1.LengthMM, l1.WidthMM), in.at(0, in.inner(0), l1.WidthMM),
		in.at(1, l2.LengthMM, l2.WidthMM), in.at(1, l2.LengthMM, 0))
}

// behind draws the sides and ends of other layers, as far as the leg goes.
func (in Input) behind(s *sketch.Sketch, i int) {
	leg := in.Legs[i]
	cut := func(v, most float64) float64 { return math.Max(0, math.Min(v, most)) }
	for _, y := range leg.Layers {
		from, to, lo, hi := 0.0, leg.LengthMM, 0.0, leg.WidthMM
		if y.StartMM != nil {
			from = cut(*y.StartMM, leg.LengthMM)
		}
		if y.EndMM != nil {
			to = cut(*y.EndMM, leg.LengthMM)
		}
		if y.FromMM != nil {
			lo = cut(*y.FromMM, leg.WidthMM)
		}
		if y.ToMM != nil {
			hi = cut(*y.ToMM, leg.WidthMM)
		}
		for _, side := range []*float64{y.FromMM, y.ToMM} {
			if side != nil && *side > 0 && *side < leg.WidthMM {
				s.Add(sketch.Behind, false, in.at(i, from, *side), in.at(i, to, *side))
			}
		}
		for _, end := range []*float64{y.StartMM, y.EndMM} {
			if end != nil && *end > 0 && *end < leg.LengthMM {
				s.Add(sketch.Behind, false, in.at(i, *end, lo), in.at(i, *end, hi))
			}
		}
	}
}

// dims puts dimension lines: along the first leg above, across it left and right, along an upright
// second leg at its left.
func (in Input) dims(s *sketch.Sketch, a Answer) {
	leg, la := in.Legs[0], a.Legs[0]
	l, w := leg.LengthMM, leg.WidthMM
	whole := 0 // the rank of the whole length and width: behind those of the holes
	if len(a.Holes) > 0 {
		whole = 1
	}
	s.Dim(sketch.Above, whole, sketch.XY{0, 0}, sketch.XY{l, 0})
	s.Dim(sketch.Right, whole, sketch.XY{l, 0}, sketch.XY{l, w})
	var first []Hole
	for _, h := range a.Holes {
		if h.Leg == 0 && h.AcrossMM == la.Row[0] {
			first = append(first, h)
		}
	}
	if len(first) > 0 {
		n := len(first) - 1
		s.Dim(sketch.Above, 0, sketch.XY{0, 0}, first[0].At)
		if n > 0 {
			s.Dim(sketch.Above, 0, first[0].At, first[1].At)
		}
		s.Dim(sketch.Above, 0, first[n].At, sketch.XY{l, 0})
		at := 0.0
		for _, x := range la.Row {
			s.Dim(sketch.Right, 0, sketch.XY{l, at}, sketch.XY{l, x})
			at = x
		}
		s.Dim(sketch.Right, 0, sketch.XY{l, at}, sketch.XY{l, w})
	}
	if len(in.Legs) < 2 || math.Abs(in.angle()-math.Pi/2) > 1e-9 {
		return
	}
	l2 := in.Legs[1]
	s.Dim(sketch.Left, 1, sketch.XY{}, in.at(1, l2.LengthMM, 0))
	s.Dim(sketch.Below, 1, in.at(1, l2.LengthMM, 0), in.at(1, l2.LengthMM, l2.WidthMM))
	before := sketch.XY{}
	k := 0
	for _, h := range a.Holes {
		if h.Leg == 1 && h.AcrossMM == a.Legs[1].Row[0] {
			if k < 2 {
				s.Dim(sketch.Left, 0, before, h.At)
			}
			if k == 0 {
				s.Dim(sketch.Below, 0, in.at(1, l2.LengthMM, 0), sketch.XY{h.At[0], in.at(1, l2.LengthMM, 0)[1]})
			}
			before = h.At
			k++
		}
	}
	if k > 0 {
		s.Dim(sketch.Left, 0, before, in.at(1, l2.LengthMM, 0))
	}
}
