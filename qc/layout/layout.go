// Package layout lays rivets out on a flange, an angle's leg or a gusset corner, before anything is
// drilled: the band in which hole centres may lie and what binds it on either side, what really cures
// a leg without a band, number and pitch, positions, and a drawing.
//
// Across a leg, places are measured from its datum: the outer face of its standing leg, or, where it
// has none, the edge that is named first; along it from its beginning, for a corner the point where
// the outer sides of both legs meet. All lengths are millimetres. Every bound carries its source and
// how it was had. What it proposes passes the same limits by which a photo is judged ([qc.Spec.Limits],
// the builder's own among them); drawings and designer go before all of it. Start with [Lay].
package layout

import (
	"fmt"
	"math"

	"bucktail/qc"
	"bucktail/qc/sketch"
	"bucktail/qc/spec"
	"bucktail/qc/toolroom"
)

// Input is what is to be laid out.
type Input struct {
	Name     string         `json:"name,omitempty"` // stands on the drawing
	Spec     qc.Spec        `json:"spec"`           // the rivet, with its limits
	Legs     []Leg          `json:"legs"`           // one, or the two of a gusset corner
	AngleDeg float64        `json:"angle_deg,omitempty"`
	Tool     *toolroom.Tool `json:"tool,omitempty"`
	MarginMM float64        `json:"margin_mm,omitempty"` // about the tool, the builder's own
	Rows     int            `json:"rows,omitempty"`      // 1 or 2, staggered; 0 means 1
	// Mirrored lays out the other hand: the drawing is turned over, places from the datum are the same.
	Mirrored bool `json:"mirrored,omitempty"`
	// Units is how what is said of it shows lengths; no part of a plan that is kept.
	Units qc.Units `json:"-"`
}

// Leg is one straight strip to be riveted.
type Leg struct {
	Name        string         `json:"name,omitempty"`
	WidthMM     float64        `json:"width_mm"`
	LengthMM    float64        `json:"length_mm"`
	ThicknessMM float64        `json:"thickness_mm"`
	Bend        *toolroom.Bend `json:"bend,omitempty"` // the standing leg at the datum; nil: an edge
	Layers      []Layer        `json:"layers,omitempty"`

	RowMM   float64 `json:"row_mm,omitempty"`   // of the row nearest to the datum; 0: where it has most room
	GapMM   float64 `json:"gap_mm,omitempty"`   // between two rows; 0: the least
	Count   int     `json:"count,omitempty"`    // rivets in the row; 0: by the pitch
	PitchMM float64 `json:"pitch_mm,omitempty"` // wanted; 0: about 6 D
	EndMM   float64 `json:"end_mm,omitempty"`   // from each end of the leg; 0: 2.5 D
}

// Layer is another sheet or a tube that the rivets go through. An edge that is not given (nil) is
// none, or so far off that it doesn't count.
type Layer struct {
	Name        string   `json:"name"`
	ThicknessMM float64  `json:"thickness_mm,omitempty"`
	FromMM      *float64 `json:"from_mm,omitempty"` // its edges across the leg, from the datum
	ToMM        *float64 `json:"to_mm,omitempty"`
	// CornerMM is the outer corner radius of a tube: From and To are then its sides and no edges,
	// and the blind head must lie on the flat between.
	CornerMM float64  `json:"corner_mm,omitempty"`
	Tube     bool     `json:"tube,omitempty"`
	StartMM  *float64 `json:"start_mm,omitempty"` // its ends along the leg; of a corner, square from the other leg's outer side
	EndMM    *float64 `json:"end_mm,omitempty"`
}

// Bound is a limit on where centres may lie.
type Bound struct {
	High    bool    `json:"high"`            // centres lie at most there; else at least
	AtMM    float64 `json:"at_mm"`           // from the datum, or along the leg
	Name    string  `json:"name"`            // "free edge, 2 D"
	Formula string  `json:"formula"`         // "W - 2 D"
	Layer   string  `json:"layer,omitempty"` // whose edge it is, where it is another layer's
	// Advice marks what documents name for laying out and what is no limit of a rivet.
	Advice bool `json:"advice,omitempty"`
	spec.Cite
	From string `json:"from"` // how the figure was had, in words
}

// Band is where the centres may lie across a leg.
type Band struct {
	Bounds  []Bound `json:"bounds"`
	LowMM   float64 `json:"low_mm"`
	HighMM  float64 `json:"high_mm"`
	Low     string  `json:"low"` // name of the bound that binds on each side
	High    string  `json:"high"`
	Open    bool    `json:"open"`               // there is a band
	ShortMM float64 `json:"short_mm,omitempty"` // by how much there is none
	// FreeLowMM and FreeHighMM are the band without what is only advice.
	FreeLowMM  float64 `json:"free_low_mm"`
	FreeHighMM float64 `json:"free_high_mm"`
	Cures      []Cure  `json:"cures,omitempty"`
}

// Hole is one position.
type Hole struct {
	Tag      string    `json:"tag"`
	Leg      int       `json:"leg"`
	AlongMM  float64   `json:"along_mm"`
	AcrossMM float64   `json:"across_mm"`
	At       sketch.XY `json:"at"` // in the drawing
}

// LegAnswer is what one leg came to.
type LegAnswer struct {
	Band       Band      `json:"band"`
	Row        []float64 `json:"rows_mm,omitempty"` // places of the rows across
	Options    []Option  `json:"options,omitempty"`
	Count      int       `json:"count"`
	PitchMM    float64   `json:"pitch_mm,omitempty"`
	DiagonalMM float64   `json:"diagonal_mm,omitempty"`
	FirstMM    float64   `json:"first_mm"` // along the leg
	LastMM     float64   `json:"last_mm"`
	Along      []Bound   `json:"along"`
	Problem    string    `json:"problem,omitempty"` // why there are no holes
	Notes      []string  `json:"notes,omitempty"`
}

// Option is a number of rivets in a row, and what its pitch comes to.
type Option struct {
	Count   int     `json:"count"`
	PitchMM float64 `json:"pitch_mm"`
	InD     float64 `json:"in_d"`
	Fits    bool    `json:"fits"`
	Why     string  `json:"why,omitempty"`
	Chosen  bool    `json:"chosen,omitempty"`
}

// Answer is the layout.
type Answer struct {
	Legs    []LegAnswer   `json:"legs"`
	Holes   []Hole        `json:"holes"`
	Pitches []Bound       `json:"pitches"` // limits on pitch and between rows
	Sketch  sketch.Sketch `json:"sketch"`
	Notes   []string      `json:"notes,omitempty"`
}

// Caution stands with every layout.
const Caution = "General published figures, for laying out. The aircraft's drawings and manual come first, then the local authority's rules; " +
	"a designer decides what departs from them, an inspector confirms."

// Lay lays out. A refusal says what in the input can't be laid out; a leg that leaves no band, or no
// room along it, is an answer that says why and what cures it.
func Lay(in Input) (Answer, error) {
	if err := in.valid(); err != nil {
		return Answer{}, err
	}
	lim, err := in.limits()
	if err != nil {
		return Answer{}, &qc.Refusal{Code: "bad-limits", Text: err.Error(), Do: "correct the limits"}
	}
	a := Answer{Pitches: worded(lim.bounds(in.rows()))}
	for i := range in.Legs {
		a.Legs = append(a.Legs, in.lay(i, lim, a.Holes))
		la := &a.Legs[i]
		worded(la.Band.Bounds)
		worded(la.Along)
		a.Holes = append(a.Holes, in.holes(i, la, len(a.Holes))...)
	}
	a.Notes = append(in.notes(), in.reliefNote()...)
	a.Sketch = in.draw(a)
	if in.Mirrored {
		a.Sketch.Mirror()
		for i := range a.Holes {
			a.Holes[i].At[0] *= -1
		}
	}
	return a, nil
}

// worded says of each bound in words how it was had.
func worded(bs []Bound) []Bound {
	for i := range bs {
		bs[i].From = bs[i].Provenance()
	}
	return bs
}

func (in Input) rows() int { return max(1, in.Rows) }

func (in Input) angle() float64 {
	if len(in.Legs) < 2 || in.AngleDeg == 0 {
		return math.Pi / 2
	}
	return in.AngleDeg * math.Pi / 180
}

// at turns a place on a leg into one of the drawing.
func (in Input) at(leg int, along, across float64) sketch.XY {
	p := sketch.XY{along, across}
	if leg == 1 {
		s, c := math.Sincos(in.angle())
		p = sketch.XY{along*c + across*s, along*s - across*c}
	}
	return p
}

func (in Input) holes(leg int, la *LegAnswer, before int) []Hole {
	var out []Hole
	for i, across := range la.Row {
		n, first := la.Count, la.FirstMM
		if i == 1 { // staggered: in the gaps
			n, first = la.Count-1, la.FirstMM+la.PitchMM/2
		}
		for k := range n {
			along := first + float64(k)*la.PitchMM
			out = append(out, Hole{fmt.Sprintf("R%d", before+len(out)+1), leg, along, across, in.at(leg, along, across)})
		}
	}
	return out
}

// notes are advice about the rivet's size for the sheets.
func (in Input) notes() []string {
	var out []string
	d := in.Spec.NominalMM
	mm := in.Units.Value
	for i, l := range in.Legs {
		who := l.name(i, len(in.Legs))
		if l.Bend != nil && d > l.WidthMM/4 {
			out = append(out, fmt.Sprintf("%sD %s is more than a quarter of the leg's width (%s): AC 43.13-1B 4-58l wants at most that for a rivet through a stringer's leg (read there)", who, mm(d), mm(l.WidthMM/4)))
		}
		if t := l.thickest(); d < t {
			out = append(out, fmt.Sprintf("%sD %s is less than the thickest sheet, %s: NAVEDTRA 14018 ch 13 wants at least that (read there)", who, mm(d), mm(t)))
		} else if d > 3*t {
			out = append(out, fmt.Sprintf("%sD %s is more than 3 times the thickest sheet, %s: NAVEDTRA 14018 ch 13 names that as the most (read there); sources disagree", who, mm(d), mm(t)))
		}
		out = append(out, l.unjudged(i, len(in.Legs))...)
	}
	return out
}

// unjudged names the layers of which no edge was given.
func (l Leg) unjudged(i, of int) []string {
	var out []string
	for _, y := range l.Layers {
		if y.FromMM == nil && y.ToMM == nil && y.StartMM == nil && y.EndMM == nil {
			out = append(out, l.name(i, of)+"edges of "+y.Name+" are not judged: none was given")
		}
	}
	return out
}

func (l Leg) name(i, of int) string {
	if of == 1 {
		return ""
	}
	if l.Name != "" {
		return l.Name + ": "
	}
	return fmt.Sprintf("leg %d: ", i+1)
}

func (l Leg) thickest() float64 {
	t := l.ThicknessMM
	for _, y := range l.Layers {
		t = math.Max(t, y.ThicknessMM)
	}
	return t
}
