package layout

import (
	"math"

	"bucktail/qc/sketch"
)

// LayerEdge is how far a place lies from the nearest edge of another layer.
type LayerEdge struct {
	Layer string  `json:"layer"`
	MM    float64 `json:"mm"`
	Known bool    `json:"known"` // false: none of its edges was given
}

// LayerEdges says how far a place of the drawing lies from the edges of the layers under it, by the
// plan: of those of the leg that it lies on. The sides of a tube are no edges, its ends are.
func (in Input) LayerEdges(p sketch.XY) []LayerEdge {
	var out []LayerEdge
	leg, along, across := in.Place(p)
	s, c := math.Sincos(in.angle())
	for _, y := range in.Legs[leg].Layers {
		e := LayerEdge{Layer: y.Name, MM: math.Inf(1)}
		near := func(mm float64) { e.MM, e.Known = math.Min(e.MM, math.Abs(mm)), true }
		if y.FromMM != nil && !y.Tube {
			near(across - *y.FromMM)
		}
		if y.ToMM != nil && !y.Tube {
			near(*y.ToMM - across)
		}
		if y.StartMM != nil { // of a corner, square from the other leg's outer side
			from := along
			if len(in.Legs) == 2 {
				from = along*s - across*c
			}
			near(from - *y.StartMM)
		}
		if y.EndMM != nil {
			near(*y.EndMM - along)
		}
		if !e.Known {
			e.MM = 0
		}
		out = append(out, e)
	}
	return out
}

// Place says on which leg a place of the drawing lies, and where: the leg whose band it is nearest to.
func (in Input) Place(p sketch.XY) (leg int, along, across float64) {
	if in.Mirrored {
		p[0] = -p[0]
	}
	along, across = p[0], p[1]
	if len(in.Legs) == 2 {
		s, c := math.Sincos(in.angle())
		along2, across2 := p[0]*c+p[1]*s, p[0]*s-p[1]*c
		outside := func(leg Leg, v float64) float64 { return math.Max(v-leg.WidthMM, -v) }
		a, b := outside(in.Legs[0], across), outside(in.Legs[1], across2)
		if b < a {
			return 1, along2, across2
		}
	}
	return 0, along, across
}
