package main

import (
	"encoding/json"
	"fmt"

	"bucktail/imaging/answer"
	"bucktail/imaging/dimension"
	"bucktail/imaging/measure"
	"bucktail/pwa/wasm/bridge"
	"bucktail/qc"
	"bucktail/qc/drawing"
)

// sceneIn is what is drawn on one photo, and how this phone shows it: a measured document, with
// what was judged since, or findings of the record, the first of them with its dimensions.
type sceneIn struct {
	Document  *answer.Document `json:"document"`
	Looks     []answer.Look    `json:"looks"`
	Tags      []string         `json:"tags"`
	Units     qc.Units         `json:"units"`
	Fractions bool             `json:"fractions"`
	TextSize  float64          `json:"text_size"` // CSS px
	Heavier   float64          `json:"heavier"`
	// Widths are those of characters in the face that values stand in, in units of its size.
	Widths map[string]float64 `json:"widths"`
}

// scene is kept from one frame of a moving finger to the next.
type scene struct {
	of    string
	doc   *answer.Document
	what  dimension.What
	look  dimension.Look
	plans map[int]*dimension.Plan // by which location is chosen
}

// inScene names a scene; where it is not the one that was drawn last it must come along.
type inScene struct {
	Of     string          `json:"of"`
	Scene  json.RawMessage `json:"scene,omitempty"`
	Chosen int             `json:"chosen,omitempty"` // number of a location, from 1
	Size   [2]float64      `json:"size"`             // of the frame, CSS px
}

type drawingIn struct {
	inScene
	View struct {
		Scale float64 `json:"s"`
		X     float64 `json:"x"`
		Y     float64 `json:"y"`
	} `json:"view"`
	Covered [][4]float64 `json:"covered,omitempty"` // what lies over the frame: x0, y0, x1, y1
}

type ringIn struct {
	Camera    answer.Camera `json:"camera"`
	What      qc.Kind       `json:"what"`
	NominalMM float64       `json:"nominal_mm"`
	outlineIn
}

// widthElse is that of a character which the page has not measured, about a figure's.
const widthElse = 0.6

func (in sceneIn) scene(of string) (*scene, error) {
	s := &scene{of: of, doc: in.Document, plans: map[int]*dimension.Plan{},
		what: dimension.What{Tags: in.Tags, Units: in.Units, Fractions: in.Fractions},
		look: dimension.Look{TextSize: in.TextSize, Heavier: in.Heavier, Choosing: true, TextWidth: func(text string) (w float64) {
			for _, r := range text {
				if c, ok := in.Widths[string(r)]; ok {
					w += c
				} else {
					w += widthElse
				}
			}
			return w
		}}}
	if s.doc != nil {
		return s, nil
	}
	var drawn []answer.Look
	for i, l := range in.Looks {
		if l.Places == nil || l.Places.Valid(len(l.Readings)) != nil {
			if i == 0 {
				return nil, &qc.Refusal{Code: "no-places", Text: "the record does not say where this was measured", Do: "look at the photo alone"}
			}
			continue
		}
		drawn = append(drawn, l)
	}
	if len(drawn) == 0 {
		return nil, fmt.Errorf("a scene of neither a document nor findings")
	}
	s.doc = answer.Drawn(drawn[0], drawn[1:])
	return s, nil
}

// plan gives what is drawn with a location chosen.
func (s *scene) plan(chosen int) (*dimension.Plan, error) {
	if p := s.plans[chosen]; p != nil {
		return p, nil
	}
	w := s.what
	w.Chosen = chosen
	p, err := dimension.Of(s.doc, w)
	if err != nil {
		return nil, &qc.Refusal{Code: "no-scale", Text: err.Error(), Do: "give the photo a scale first"}
	}
	s.plans[chosen] = p
	return p, nil
}

func init() {
	var last *scene
	plan := func(in inScene) (*dimension.Plan, error) {
		if in.Scene != nil {
			var told sceneIn
			// Entries of later versions may say more than this one knows.
			if err := json.Unmarshal(in.Scene, &told); err != nil {
				return nil, fmt.Errorf("the scene can't be read: %w", err)
			}
			s, err := told.scene(in.Of)
			if err != nil {
				return nil, err
			}
			last = s
		}
		if last == nil || last.of != in.Of {
			return nil, &qc.Refusal{Code: "not-at-hand", Text: "something else was drawn since", Do: "give the scene again"}
		}
		return last.plan(in.Chosen)
	}
	// drawing plans what is drawn over a part of a photo.
	bridge.On("drawing", func(in drawingIn, _ []byte) (any, error) {
		p, err := plan(in.inScene)
		if err != nil {
			return nil, err
		}
		look := last.look
		for _, b := range in.Covered {
			look.Covered = append(look.Covered, drawing.Box{X0: b[0], Y0: b[1], X1: b[2], Y1: b[3]})
		}
		return p.Draw(dimension.View{Scale: in.View.Scale, X: in.View.X, Y: in.View.Y, Width: in.Size[0], Height: in.Size[1]}, look), nil
	})
	// drawing.frame chooses the part of the photo to begin with, in its pixels from its corner.
	bridge.On("drawing.frame", func(in inScene, _ []byte) (any, error) {
		p, err := plan(in)
		if err != nil {
			return nil, err
		}
		v := p.Fit(dimension.Frame{Width: in.Size[0], Least: in.Size[1], Most: in.Size[1]}, last.look)
		return map[string]float64{"x": -v.X / v.Scale, "y": -v.Y / v.Scale, "w": v.Width / v.Scale, "h": v.Height / v.Scale}, nil
	})
	// drawing.ring gives the outline that a hand places by its sides as the photo shows it; none where
	// they say nothing.
	bridge.On("drawing.ring", func(in ringIn, _ []byte) (any, error) {
		out := []answer.Point{}
		for _, q := range measure.Ring(in.Camera.Geom(), in.What, in.NominalMM, in.px()) {
			if q.U-q.U != 0 || q.V-q.V != 0 {
				return []answer.Point{}, nil // behind the camera
			}
			out = append(out, answer.Point{q.U, q.V})
		}
		return out, nil
	})
}
