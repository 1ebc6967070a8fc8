// Package card knows the printed scale cards and finds them in a picture.
//
// A card carries ring targets, each open or with a dot in the middle; their pattern names
// the card and its direction. [Find] gives a [Match]: which card, and where each target is.
// [Finder] does the same over the frames of a video without giving up its memory.
// Exact geometry (lens, tilt, millimetres) is the work of package plane.
package card

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"

	"bucktail/imaging/geom"
)

//go:embed layouts.json
var layoutsJSON []byte

// Target is one printed ring of a layout.
type Target struct {
	At   geom.CardPoint
	Full bool // has a centre dot
}

// Layout is one printed card in printed millimetres.
type Layout struct {
	Name    string
	Use     string // what it is laid down for, in words
	Outline []geom.CardPoint
	Window  []geom.CardPoint // cut out of the outline; nil where the card has none
	Targets []Target
	Rulers  []Ruler
}

// Ruler is a printed millimetre scale along a card's edge.
type Ruler struct {
	From, To geom.CardPoint
	Side     string // "up" or "left": where the marks point
}

// The ring's printed sizes in millimetres, the same in all layouts.
var (
	RingOuterRadiusMM float64
	RingInnerRadiusMM float64
	DotRadiusMM       float64
)

// Layouts are the printed cards, in the order of the layout file.
var Layouts = loadLayouts()

// ByName gives the layout of that name, or nil.
func ByName(name string) *Layout {
	for _, l := range Layouts {
		if l.Name == name {
			return l
		}
	}
	return nil
}

func loadLayouts() []*Layout {
	type pair [2]float64
	var file struct {
		Target struct {
			OuterD float64 `json:"outer_d"`
			InnerD float64 `json:"inner_d"`
			DotD   float64 `json:"dot_d"`
		} `json:"target"`
		Layouts []struct {
			Name    string              `json:"name"`
			Use     string              `json:"use"`
			Outline []pair              `json:"outline"`
			Window  []pair              `json:"window"`
			Targets [][]json.RawMessage `json:"targets"`
			Ruler   []struct {
				From, To pair
				Side     string
			} `json:"ruler"`
		} `json:"layouts"`
	}
	// The file is compiled in, so a fault in it is a fault of this program.
	if err := json.Unmarshal(layoutsJSON, &file); err != nil {
		panic("card: layouts.json: " + err.Error())
	}
	RingOuterRadiusMM, RingInnerRadiusMM, DotRadiusMM = file.Target.OuterD/2, file.Target.InnerD/2, file.Target.DotD/2
	points := func(in []pair) (out []geom.CardPoint) {
		for _, p := range in {
			out = append(out, geom.CardPoint{X: p[0], Y: p[1]})
		}
		return out
	}
	var all []*Layout
	for _, f := range file.Layouts {
		l := &Layout{Name: f.Name, Use: f.Use, Outline: points(f.Outline), Window: points(f.Window)}
		for _, t := range f.Targets {
			var x, y float64
			var kind string
			if len(t) != 3 || json.Unmarshal(t[0], &x) != nil || json.Unmarshal(t[1], &y) != nil || json.Unmarshal(t[2], &kind) != nil {
				panic(fmt.Sprintf("card: layouts.json: target of %q is not [x, y, kind]", f.Name))
			}
			l.Targets = append(l.Targets, Target{geom.CardPoint{X: x, Y: y}, kind == "F"})
		}
		for _, r := range f.Ruler {
			l.Rulers = append(l.Rulers, Ruler{
				geom.CardPoint{X: r.From[0], Y: r.From[1]}, geom.CardPoint{X: r.To[0], Y: r.To[1]}, r.Side,
			})
		}
		all = append(all, l)
	}
	return all
}

// DepthMM tells how far p (printed millimetres) lies inside the card's paper: positive on
// it, negative beside it and in the window; its size is the distance to the nearest cut edge.
func (l *Layout) DepthMM(p geom.CardPoint) float64 {
	d := polygonDepth(l.Outline, p)
	if l.Window != nil {
		d = math.Min(d, -polygonDepth(l.Window, p))
	}
	return d
}

// polygonDepth is the distance from p to the border of poly, positive inside.
func polygonDepth(poly []geom.CardPoint, p geom.CardPoint) float64 {
	inside, best := false, math.Inf(1)
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			inside = !inside
		}
		dx, dy := b.X-a.X, b.Y-a.Y
		t := ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / (dx*dx + dy*dy)
		t = math.Min(1, math.Max(0, t))
		best = math.Min(best, math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy))
	}
	if inside {
		return best
	}
	return -best
}
