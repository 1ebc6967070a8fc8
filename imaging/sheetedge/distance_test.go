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

// Lines that are no edge for sure may be the nearest; an edge that is read, and what lies behind
// one, may not.
func TestNearerLines(t *testing.T) {
	level := func(d float64) Edge {
		return Edge{P0: geom.SheetPoint{X: -10, Y: -d}, P1: geom.SheetPoint{X: 10, Y: -d}}
	}
	upright := func(x float64) Edge {
		return Edge{P0: geom.SheetPoint{X: x, Y: -10}, P1: geom.SheetPoint{X: x, Y: 10}}
	}
	beyond := func(d, byMM float64) Edge {
		return Edge{P0: geom.SheetPoint{X: byMM, Y: -d}, P1: geom.SheetPoint{X: byMM + 10, Y: -d}}
	}
	tapped := level(9)
	tapped.Tapped = true
	r := geom.SheetCircle{RadiusMM: 3}
	for _, c := range []struct {
		name          string
		edges, unsure []Edge
		first, second float64 // nearer lines than the first and the second edge read
	}{
		{"none", []Edge{level(8)}, nil, 0, 0},
		{"one before the edge", []Edge{level(8)}, []Edge{level(6)}, 6, 0},
		{"the nearer of two", []Edge{level(8)}, []Edge{level(7), upright(5)}, 5, 0},
		{"one behind it", []Edge{level(8)}, []Edge{level(9)}, 0, 0},
		{"the edge once more", []Edge{level(8)}, []Edge{level(7.7)}, 0, 0},
		{"through the head", []Edge{level(8)}, []Edge{level(2)}, 0, 0},
		{"one that may run on", []Edge{level(8)}, []Edge{beyond(6, 7)}, 6, 0},
		{"one that ends too far off", []Edge{level(8)}, []Edge{beyond(6, 9)}, 0, 0},
		{"two edges, each read", []Edge{level(6), upright(8)}, nil, 0, 0},
		{"behind the first edge, nearer than the second", []Edge{level(6), upright(9)}, []Edge{level(7)}, 0, 0},
		{"before the second edge, behind the distance of the first", []Edge{level(6), upright(9)}, []Edge{upright(7)}, 0, 7},
		{"before both", []Edge{level(6), upright(9)}, []Edge{upright(5)}, 5, 5},
		{"before a tapped edge", []Edge{tapped, upright(9.5)}, []Edge{level(5)}, 0, 0},
	} {
		read := Distances(r, 4, c.edges)
		lines := append(c.unsure, c.edges...)
		for i, want := range []float64{c.first, c.second} {
			if i < len(read) {
				if got := Nearer(r, 4, read[i].DistanceMM, lines, read); got != want {
					t.Errorf("%s: edge %d, %.1f mm away: a nearer line at %.1f mm, want %.1f", c.name, i+1, read[i].DistanceMM, got, want)
				}
			}
		}
	}
}
