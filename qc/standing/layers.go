package standing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/layout"
	"bucktail/qc/sketch"
)

// laidOutUMM is how far a hole may be off where it was laid out, along one direction.
//
// Source: practice: a mark through a 1:1 template to 0.5 mm, its punch and the drill's wander as much
// again. Nothing published was found, and what decides is a measurement.
const laidOutUMM = 1.0

// Layered is how far a location is from an edge of one layer, and how that is known.
type Layered struct {
	Layer   string      `json:"layer"`   // "" of the sheet that photos show
	Reading *qc.Reading `json:"reading"` // nil: not judged, for nothing says how far the edge is
	Verdict qc.Verdict  `json:"verdict,omitempty"`
	LimitMM float64     `json:"limit_mm,omitempty"` // at least
}

// Planned gives what the part's layout says of a location that no photo of it shows: how far its axis
// is from the edges of other layers, and from stray holes. Other names the layers of which nothing is
// said, or no more: an edge that was filed near it is not where it was laid out. have are readings that
// go before.
func Planned(st *history.State, location string, have []qc.Reading) (readings []qc.Reading, other []string) {
	l, ok := st.Location(location)
	if !ok {
		return nil, nil
	}
	part, _, _ := st.Part(l.Part)
	read := func(layer string) bool {
		return slices.ContainsFunc(have, func(r qc.Reading) bool { return r.Quantity == qc.EdgeDistance && r.Layer == layer })
	}
	names := layerNames(part)
	if at, plan, ok := placeOf(part, l); ok && plan != nil {
		for _, e := range plan.LayerEdges(at) {
			if !e.Known || filed(l, e.Layer) {
				continue
			}
			if !read(e.Layer) {
				readings = append(readings, laidOut(qc.EdgeDistance, e.MM, e.Layer, nil))
			}
			names = slices.DeleteFunc(names, func(n string) bool { return n == e.Layer })
		}
	}
	readings = append(readings, strays(st, part, l, have)...)
	return readings, slices.DeleteFunc(names, read)
}

func filed(l history.Location, layer string) bool {
	return slices.ContainsFunc(l.Filed, func(f history.Filed) bool { return f.Layer == layer })
}

// strays gives the distances to stray holes, where the layout is drawn in true millimetres.
func strays(st *history.State, part history.Part, l history.Location, have []qc.Reading) (out []qc.Reading) {
	at, _, ok := placeOf(part, l)
	for _, o := range st.Locations(part.ID) {
		to, _, there := placeOf(part, o)
		named := slices.ContainsFunc(have, func(r qc.Reading) bool { return r.Of != nil && r.Of.Location == o.ID })
		if ok && there && o.Stray && !o.Out && o.ID != l.ID && !named {
			out = append(out, laidOut(qc.Pitch, math.Hypot(to[0]-at[0], to[1]-at[1]), "", &qc.Target{Location: o.ID, Name: o.Tag}))
		}
	}
	return out
}

func laidOut(q qc.Quantity, mm float64, layer string, of *qc.Target) qc.Reading {
	return qc.Reading{Quantity: q, ValueMM: mm, UMM: laidOutUMM, How: qc.ByLayout, Method: "layout", Layer: layer, Of: of, FromShank: true,
		Contributions: []qc.Contribution{{Label: "laid out by hand", UMM: laidOutUMM / 2, Source: "practice"}}}
}

// placeOf turns a pin into a place of the drawing, mm; ok is false where the drawing's size is not
// known. plan is nil where there is none.
func placeOf(p history.Part, l history.Location) (at sketch.XY, plan *layout.Input, ok bool) {
	d := p.Layout
	if d == nil || l.Pin == nil || d.WidthMM <= 0 || d.HeightMM <= 0 {
		return at, nil, false
	}
	at = sketch.XY{l.Pin.X * d.WidthMM, l.Pin.Y * d.HeightMM}
	if d.Plan == nil {
		return at, nil, true
	}
	s := d.Plan.Outline()
	return sketch.XY{at[0] + s.Min[0], at[1] + s.Min[1]}, d.Plan, true
}

// layerNames names a part's layers but for the first, which photos show, those of its plan too.
func layerNames(p history.Part) []string {
	var out []string
	add := func(n string) {
		if n != "" && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	for i, y := range p.Layers {
		if i > 0 {
			add(y.Name)
		}
	}
	if p.Layout != nil && p.Layout.Plan != nil {
		for _, leg := range p.Layout.Plan.Legs {
			for _, y := range leg.Layers {
				add(y.Name)
			}
		}
	}
	return out
}

// NotJudged words which layers' edges nothing is known of; "" where there are none.
func NotJudged(layers []string) string {
	if len(layers) == 0 {
		return ""
	}
	return fmt.Sprintf("edge distance not judged in: %s, which the photo does not show; measure it by hand, or lay it out", strings.Join(layers, ", "))
}

// LayersOf says for one location how far it is from the edges of each of its layers: as measured, as
// laid out, or not known.
func LayersOf(st *history.State, location string) []Layered {
	v, ok := Of(st, location)
	if !ok {
		return nil
	}
	var have []qc.Reading
	if now := v.Current(); now != nil {
		have = now.Current()
		for _, c := range now.Checks { // what was read at its hole
			have = append(have, c.Reading)
		}
	}
	if len(have) == 0 {
		have = v.Hole
	}
	planned, other := Planned(st, location, have)
	least := map[string]qc.Reading{}
	order := []string{""}
	for _, r := range append(slices.Clone(have), planned...) {
		if r.Quantity != qc.EdgeDistance {
			continue
		}
		if !slices.Contains(order, r.Layer) {
			order = append(order, r.Layer)
		}
		if x, ok := least[r.Layer]; !ok || r.ValueMM < x.ValueMM {
			least[r.Layer] = r
		}
	}
	limit := qc.Limit{}
	if v.Spec != nil {
		ls, _ := v.Spec.Limits()
		for _, l := range ls {
			if l.Quantity == qc.EdgeDistance && l.MinMM > 0 {
				limit = l
			}
		}
	}
	var out []Layered
	for _, n := range append(order, other...) {
		y := Layered{Layer: n}
		if r, ok := least[n]; ok {
			y.Reading = &r
			if limit.MinMM > 0 {
				y.Verdict, y.LimitMM = qc.Judge(r, limit).Verdict, limit.MinMM
			}
		}
		out = append(out, y)
	}
	return out
}
