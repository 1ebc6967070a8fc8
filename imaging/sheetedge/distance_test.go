package sheetedge

import (
	"testing"

	"bucktail/imaging/geom"
)

// Feet and edges on paper: edges along y = -d from x = a to b unless said otherwise.
func TestEdgesForChoosesByTheFoot(t *testing.T) {
	level := func(d, a, b float64) Edge {
		return Edge{P0: geom.SheetPoint{X: a, Y: -d}, P1: geom.SheetPoint{X: b, Y: -d}}
	}
	upright := func(x, a, b float64) Edge {
		return Edge{P0: geom.SheetPoint{X: x, Y: a}, P1: geom.SheetPoint{X: x, Y: b}}
	}
	hidden := level(8, 6, 20)
	hidden.ext0MM = 5
	tapped := level(9, -10, 10)
	tapped.Tapped = true
	for _, c := range []struct {
		name  string
		edges []Edge
		want  []float64
	}{
		{"one below", []Edge{level(8, -10, 10)}, []float64{8}},
		{"two one way: the nearer", []Edge{level(9, -10, 10), level(7.5, -10, 10)}, []float64{7.5}},
		{"below and beside, nearest first", []Edge{level(9, -10, 10), upright(8, -10, 10)}, []float64{8, 9}},
		{"both sides", []Edge{upright(-6, -10, 10), upright(8, -10, 10)}, []float64{6, 8}},
		{"foot beyond the support", []Edge{level(8, 3, 20)}, nil},
		{"foot just beyond it", []Edge{level(8, 1.5, 20)}, []float64{8}},
		{"foot under the card", []Edge{hidden}, []float64{8}},
		{"beyond 5 D", []Edge{level(20.1, -10, 10)}, nil},
		{"through the head", []Edge{level(1.5, -10, 10)}, nil},
		{"a tap goes before a nearer line", []Edge{level(7, -10, 10), tapped}, []float64{9}},
	} {
		got := Distances(geom.SheetCircle{RadiusMM: 3}, 4, c.edges)
		ok := len(got) == len(c.want)
		for i := 0; ok && i < len(got); i++ {
			ok = got[i].DistanceMM == c.want[i]
		}
		if !ok {
			t.Errorf("%s: got %d edges %v, want %v", c.name, len(got), got, c.want)
		}
	}
}
