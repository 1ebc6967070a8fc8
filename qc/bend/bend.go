// Package bend says how a sheet is bent into an angle or channel: setback, bend allowance, flat
// width, where the tangent and sight lines lie, whether the inside radius suits the alloy, and where
// holes must stay clear of the bends.
//
// Angles are those bent THROUGH, in degrees: 90 makes a square angle, 135 leaves 45 between the
// faces. Lengths are millimetres. K = tan(A/2) belongs to the setback alone; where the neutral line
// lies is another number, which stands in the allowance. The published allowances differ, so each
// result says by which one it was had, and a trial strip of the same sheet decides. Start with
// [Flatten] and [Radius].
package bend

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/sketch"
	"bucktail/qc/spec"
)

// Formula is a published bend allowance.
type Formula struct {
	Name  string `json:"name"` // "a", "b", "c"
	Words string `json:"words"`
	spec.Cite
	From string `json:"from"`
	// what is multiplied by radius and thickness for each degree
	r, t float64
}

// Formulas lists them, the first one the default: it is the one that was read beside a worked value.
var Formulas = []Formula{
	{Name: "a", Words: "A (0.01743 R + 0.0078 t)", Cite: spec.Cite{Source: "sheet-metal workbook, 90 degree bends; FAA-H-8083-31", Basis: spec.Read, Note: "in the workbook; the handbook is recalled"}, r: 0.01743, t: 0.0078},
	{Name: "b", Words: "2 pi (R + t/2) A/360", Cite: spec.Cite{Source: "FAA-H-8083-31", Basis: spec.Memory}, r: 2 * math.Pi / 360, t: math.Pi / 360},
	{Name: "c", Words: "A (0.0173 R + 0.0078 t)", Cite: spec.Cite{Source: "NAVEDTRA training manual, Bend Allowance Formula", Basis: spec.Read}, r: 0.0173, t: 0.0078},
}

func formula(name string) (Formula, bool) {
	for _, f := range Formulas {
		if f.Name == name || name == "" {
			f.From = f.Provenance()
			return f, true
		}
	}
	return Formula{}, false
}

// Input is a sheet with one bend (two legs: an angle) or two (three: a channel), all the same way.
type Input struct {
	Name        string    `json:"name,omitempty"`
	Alloy       string    `json:"alloy,omitempty"` // as in [Alloys]; "": not said, and then the radius is not judged
	ThicknessMM float64   `json:"thickness_mm"`
	RadiusMM    float64   `json:"radius_mm"` // inside, of all bends
	AngleDeg    float64   `json:"angle_deg"` // bent through, of all bends
	LegsMM      []float64 `json:"legs_mm"`   // outside: from the free edge, or the other bend's corner, to where the outer faces would meet
	LengthMM    float64   `json:"length_mm"` // along the bend
	Formula     string    `json:"formula,omitempty"`
	Holes       []Hole    `json:"holes,omitempty"`
	// Mirrored draws the pattern of the other hand; its figures are the same.
	Mirrored bool `json:"mirrored,omitempty"`
	// Units is how what is said of it shows lengths.
	Units qc.Units `json:"-"`
}

// Hole is one that must miss the bend.
type Hole struct {
	Tag      string  `json:"tag"`
	Leg      int     `json:"leg"`       // from 1
	AcrossMM float64 `json:"across_mm"` // in the first leg from its free edge, in the others from the corner before it, where the outer faces would meet
	AlongMM  float64 `json:"along_mm"`
	DMM      float64 `json:"d_mm"`
}

// Line is a line on the blank, from its first edge.
type Line struct {
	Name string  `json:"name"`
	AtMM float64 `json:"at_mm"`
}

// Flat is the flat pattern.
type Flat struct {
	K           float64       `json:"k"`
	SetbackMM   float64       `json:"setback_mm"`
	AllowanceMM float64       `json:"allowance_mm"`
	DeductionMM float64       `json:"deduction_mm"`
	FlatsMM     []float64     `json:"flats_mm"`
	WidthMM     float64       `json:"width_mm"` // of the blank
	By          Formula       `json:"by"`
	Others      []Other       `json:"others"`
	SpreadMM    float64       `json:"spread_mm"` // between the greatest and the least flat width
	Lines       []Line        `json:"lines"`
	Radius      *Judged       `json:"radius,omitempty"`
	Holes       []Placed      `json:"holes,omitempty"`
	Sketch      sketch.Sketch `json:"sketch"`
	Notes       []string      `json:"notes"`
}

// Other is what another formula would give.
type Other struct {
	Formula
	AllowanceMM float64 `json:"allowance_mm"`
	WidthMM     float64 `json:"width_mm"`
}

// Placed is a hole on the blank.
type Placed struct {
	Hole
	OnBlankMM float64 `json:"on_blank_mm"` // across, from the blank's first edge
	ClearMM   float64 `json:"clear_mm"`    // from its edge to the nearest bend tangent; negative: in the bend
	Note      string  `json:"note,omitempty"`
}

// K is tan(A/2), for the setback. Two values of the published chart, at 159 and 176 degrees, are
// misprints; this is the exact one.
func K(angleDeg float64) float64 { return math.Tan(angleDeg * math.Pi / 360) }

// Allowance is the length of the bend on the blank by a formula.
func (f Formula) Allowance(angleDeg, radiusMM, thicknessMM float64) float64 {
	return angleDeg * (f.r*radiusMM + f.t*thicknessMM)
}

// Flatten gives the flat pattern, or a refusal of what can't be bent.
//
// Source of setback and flats: AC 43.13-1B 4-56b; FAA-H-8083-31 ch 4, Bending a U-Channel.
func Flatten(in Input) (Flat, error) {
	if err := in.valid(); err != nil {
		return Flat{}, err
	}
	by, _ := formula(in.Formula)
	f := Flat{K: K(in.AngleDeg), By: by}
	f.SetbackMM = f.K * (in.RadiusMM + in.ThicknessMM)
	f.AllowanceMM = by.Allowance(in.AngleDeg, in.RadiusMM, in.ThicknessMM)
	f.DeductionMM = 2*f.SetbackMM - f.AllowanceMM
	n := len(in.LegsMM) - 1
	for i, leg := range in.LegsMM {
		flat := leg - f.SetbackMM
		if i > 0 && i < n { // between two bends
			flat -= f.SetbackMM
		}
		if flat <= 0 {
			return Flat{}, refuse("leg", fmt.Sprintf("leg %d, %s, is shorter than its setback: no flat is left", i+1, in.Units.Value(leg)),
				fmt.Sprintf("make it longer, or the radius smaller; the setback of each bend is %s", in.Units.Value(f.SetbackMM)))
		}
		f.FlatsMM = append(f.FlatsMM, flat)
	}
	f.lines(in)
	least, most := f.WidthMM, f.WidthMM
	for _, o := range Formulas {
		if o.Name == by.Name {
			continue
		}
		o.From = o.Provenance()
		a := o.Allowance(in.AngleDeg, in.RadiusMM, in.ThicknessMM)
		w := f.WidthMM + float64(n)*(a-f.AllowanceMM)
		f.Others = append(f.Others, Other{o, a, w})
		least, most = math.Min(least, w), math.Max(most, w)
	}
	f.SpreadMM = most - least
	if in.Alloy != "" {
		j, err := Radius(in.Alloy, in.ThicknessMM, in.RadiusMM, in.Units)
		if err != nil {
			return Flat{}, err
		}
		f.Radius = &j
	}
	f.holes(in)
	f.notes(in)
	f.draw(in)
	if in.Mirrored {
		f.Sketch.Mirror()
	}
	return f, nil
}

// lines are the tangents, and for a brake whose nose stands over the bend its sight line: one radius
// inside the tangent that lies under the nose.
func (f *Flat) lines(in Input) {
	at := 0.0
	for i, flat := range f.FlatsMM {
		at += flat
		if i == len(f.FlatsMM)-1 {
			break
		}
		f.Lines = append(f.Lines, Line{fmt.Sprintf("bend %d, first tangent", i+1), at},
			Line{fmt.Sprintf("bend %d, sight line", i+1), at + in.RadiusMM},
			Line{fmt.Sprintf("bend %d, middle", i+1), at + f.AllowanceMM/2})
		at += f.AllowanceMM
		f.Lines = append(f.Lines, Line{fmt.Sprintf("bend %d, second tangent", i+1), at})
	}
	f.WidthMM = at
}

// start is where a leg's flat begins on the blank.
func (f *Flat) start(leg int) float64 {
	at := 0.0
	for i := range leg {
		at += f.FlatsMM[i] + f.AllowanceMM
	}
	return at
}

// holes places holes on the blank and says how far they stay from the bends. The general sheet-metal
// rule, 2.5 t from the hole's edge to the tangent, is advice: its page does not say for what.
func (f *Flat) holes(in Input) {
	for _, h := range in.Holes {
		i := h.Leg - 1
		p := Placed{Hole: h}
		onFlat := h.AcrossMM
		if i > 0 {
			onFlat -= f.SetbackMM
		}
		p.OnBlankMM = f.start(i) + onFlat
		p.ClearMM = math.Inf(1)
		if i > 0 {
			p.ClearMM = onFlat - h.DMM/2
		}
		if i < len(f.FlatsMM)-1 {
			p.ClearMM = math.Min(p.ClearMM, f.FlatsMM[i]-onFlat-h.DMM/2)
		}
		switch want := 2.5 * in.ThicknessMM; {
		case p.ClearMM < 0:
			p.Note = "lies in the bend and would be torn or drawn oval: drill it after bending, or move it"
		case p.ClearMM < want:
			p.Note = fmt.Sprintf("nearer to the bend than 2.5 t, %s, which general sheet-metal rules name (read; not an aircraft rule): it may be drawn oval", in.Units.Value(want))
		}
		f.Holes = append(f.Holes, p)
	}
}

func (f *Flat) notes(in Input) {
	f.Notes = append(f.Notes,
		fmt.Sprintf("Bend allowance by formula %s, %s. The published formulas differ here by %s in the flat width: bend a trial strip of the same sheet and measure it before the part is cut.", f.By.Name, f.By.Words, in.Units.Value(f.SpreadMM)),
		"Lay the bend across the grain of the sheet where the drawing does not say otherwise; a bend along the grain wants a larger radius (practice; no figure was found).",
		"The sight line is for a brake whose nose has the inside radius and stands over the first tangent's side (practice).",
		"Smooth the edges and mark with a soft pencil only: a scratch across a bend begins a crack (practice).")
	if len(in.LegsMM) > 2 {
		f.Notes = append(f.Notes, "Where two bends meet at a corner, drill a relief hole that takes in the point where the tangents cross, before bending (practice).")
	}
	f.Notes = append(f.Notes, Caution)
}

// Caution stands with every flat pattern.
const Caution = "Published figures are recommendations. The aircraft's drawings and manual come first, then the local authority's rules; a designer decides what departs from them, an inspector confirms."

func (f *Flat) draw(in Input) {
	s := &f.Sketch
	l, w := in.LengthMM, f.WidthMM
	s.Add(sketch.Outline, true, sketch.XY{}, sketch.XY{l, 0}, sketch.XY{l, w}, sketch.XY{0, w})
	at := 0.0
	for i, flat := range f.FlatsMM {
		s.Dim(sketch.Right, 0, sketch.XY{l, at}, sketch.XY{l, at + flat})
		at += flat
		if i == len(f.FlatsMM)-1 {
			break
		}
		s.Add(sketch.Bend, false, sketch.XY{0, at}, sketch.XY{l, at})
		s.Add(sketch.Sight, false, sketch.XY{0, at + in.RadiusMM}, sketch.XY{l, at + in.RadiusMM})
		s.Dim(sketch.Right, 0, sketch.XY{l, at}, sketch.XY{l, at + f.AllowanceMM})
		at += f.AllowanceMM
		s.Add(sketch.Bend, false, sketch.XY{0, at}, sketch.XY{l, at})
	}
	s.Dim(sketch.Right, 1, sketch.XY{l, 0}, sketch.XY{l, w})
	s.Dim(sketch.Above, 0, sketch.XY{}, sketch.XY{l, 0})
	for _, h := range f.Holes {
		s.Hole(sketch.XY{h.AlongMM, h.OnBlankMM}, h.DMM, h.Tag)
	}
}

func refuse(code, text, do string) error { return &qc.Refusal{Code: code, Text: text, Do: do} }

func (in Input) valid() error {
	mm := in.Units.Value
	switch {
	case !(in.ThicknessMM > 0 && in.ThicknessMM <= 25):
		return refuse("thickness", fmt.Sprintf("a sheet %s thick can't be bent here", mm(in.ThicknessMM)), "give its thickness, above 0 and at most "+mm(25))
	case !(in.RadiusMM >= 0 && in.RadiusMM <= 200):
		return refuse("radius", fmt.Sprintf("an inside radius of %s is none", mm(in.RadiusMM)), "give the inside radius, 0 to "+mm(200))
	case !(in.AngleDeg > 0 && in.AngleDeg < 180):
		return refuse("angle", fmt.Sprintf("a sheet can't be bent through %v degrees here", in.AngleDeg), "give the angle that it is bent through, above 0 and under 180: 90 for a square angle")
	case len(in.LegsMM) < 2 || len(in.LegsMM) > 3:
		return refuse("legs", fmt.Sprintf("%d legs can't be laid flat", len(in.LegsMM)), "give two legs of an angle, or three of a channel")
	case !(in.LengthMM > 0 && in.LengthMM <= 5000):
		return refuse("length", fmt.Sprintf("a length of %s along the bend is none", mm(in.LengthMM)), "give the length, above 0 and at most "+mm(5000))
	case len(in.Holes) > 200:
		return refuse("holes", fmt.Sprintf("%d holes are more than 200", len(in.Holes)), "leave out those far from the bend")
	}
	if _, ok := formula(in.Formula); !ok {
		return refuse("formula", fmt.Sprintf("formula %.20q is not known", in.Formula), "choose a, b or c")
	}
	for i, leg := range in.LegsMM {
		if !(leg > 0 && leg <= 5000) {
			return refuse("leg", fmt.Sprintf("leg %d of %s is none", i+1, mm(leg)), "give its outside length, above 0 and at most "+mm(5000))
		}
	}
	for _, h := range in.Holes {
		switch {
		case h.Leg < 1 || h.Leg > len(in.LegsMM):
			return refuse("holes", fmt.Sprintf("hole %.20q is in leg %d of %d", h.Tag, h.Leg, len(in.LegsMM)), "give the number of its leg, from 1")
		case !(h.DMM > 0 && h.DMM <= 100) || !(h.AcrossMM >= 0 && h.AcrossMM <= in.LegsMM[h.Leg-1]) || !(h.AlongMM >= 0 && h.AlongMM <= in.LengthMM):
			return refuse("holes", fmt.Sprintf("hole %.20q, %s wide at %s and %s, lies off its leg", h.Tag, mm(h.DMM), mm(h.AlongMM), mm(h.AcrossMM)), "measure along from the blank's left end, across from the leg's edge or corner")
		}
	}
	return nil
}
