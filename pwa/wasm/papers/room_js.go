package main

import (
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/layout"
	"bucktail/qc/sketch"
	"bucktail/qc/toolroom"
)

// under is what stands beside a hole and over it.
type under struct {
	Tools    []toolroom.Tool `json:"tools"`
	Bend     toolroom.Bend   `json:"bend"`
	Spec     *qc.Spec        `json:"spec,omitempty"` // of the rivet under the tool; none: a drill or a mark
	Head     toolroom.Head   `json:"head"`           // taken instead, where it is given
	MarginMM float64         `json:"margin_mm"`
	Units    qc.Units        `json:"units"` // of what is said of it
}

// roomOut says of each tool whether it has room.
type roomOut struct {
	Fits []toolroom.Fit   `json:"fits"`
	Head toolroom.Head    `json:"head"`
	Axis qc.Reading       `json:"axis"`
	At   int              `json:"at"` // of the readings of a photo; -1: none of them
	Line toolroom.LegLine `json:"line,omitempty"`
}

// judge holds an axis against all tools; line says to what it was read, "" to the outer face.
func (in under) judge(seen toolroom.Seen, line toolroom.LegLine) (roomOut, error) {
	var err error
	axis := seen.Reading
	if line != "" {
		if axis, err = in.Bend.FromLine(seen, line); err != nil {
			return roomOut{}, err
		}
	}
	if in.Spec != nil && in.Head == (toolroom.Head{}) {
		in.Head.DiameterMM, in.Head.HeightMM, _ = in.Spec.HeadRoom()
	}
	axis.Quantity = qc.LegDistance
	fits, err := toolroom.Best(axis, in.Tools, in.Bend, in.Head, in.MarginMM, in.Units)
	return roomOut{Fits: append([]toolroom.Fit{}, fits...), Head: in.Head, Axis: axis, Line: line}, err
}

func init() {
	bridge.On("room", func(in struct {
		Axis qc.Reading       `json:"axis"`
		Line toolroom.LegLine `json:"line,omitempty"` // that the axis was read to, where a photo shows it
		under
	}, _ []byte) (any, error) {
		return asRefusal(in.judge(toolroom.Seen{Reading: in.Axis}, in.Line))
	})
	// room.photo judges a hole of a photo by one of the lines near it. Which one, and what line of the
	// leg that is, was said, or is proposed by where the layout has the hole.
	bridge.On("room.photo", func(in struct {
		Readings []toolroom.Seen  `json:"readings"` // to the lines of the photo
		At       int              `json:"at"`       // -1: not said
		Line     toolroom.LegLine `json:"line,omitempty"`
		Plan     *layout.Input    `json:"plan,omitempty"`
		PlaceMM  *sketch.XY       `json:"place_mm,omitempty"` // of the hole, from the drawing's corner
		under
	}, _ []byte) (any, error) {
		none := roomOut{Fits: []toolroom.Fit{}, At: -1}
		if in.At < 0 {
			if in.Plan == nil || len(in.Plan.Legs) == 0 || in.PlaceMM == nil {
				return none, nil
			}
			corner := in.Plan.Outline().Min
			leg, _, across := in.Plan.Place(sketch.XY{corner[0] + in.PlaceMM[0], corner[1] + in.PlaceMM[1]})
			if in.Plan.Legs[leg].Bend == nil {
				return none, nil
			}
			var ok bool
			if in.At, in.Line, ok = in.Bend.Propose(in.Readings, across); !ok {
				return none, nil
			}
		}
		if in.At >= len(in.Readings) {
			return none, nil
		}
		out, err := in.judge(in.Readings[in.At], in.Line)
		out.At = in.At
		return asRefusal(out, err)
	})
}
