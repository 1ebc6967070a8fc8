package qc_test

import (
	"reflect"
	"testing"

	"bucktail/qc"
)

// A table's first line is the check that governs; checks of one reading share a line.
func TestRowsBeginWithWhatGoverns(t *testing.T) {
	check := func(q qc.Quantity, mm, min, max float64) qc.Check {
		return qc.Judge(qc.Reading{Quantity: q, ValueMM: mm, UMM: 0.1}, qc.Limit{Quantity: q, MinMM: min, MaxMM: max})
	}
	within := check(qc.HeadDMin, 7, 5, 0)
	edge := check(qc.EdgeDistance, 9.55, 9.5, 0)  // half its U inside
	nearer := check(qc.EdgeDistance, 9.5, 9.5, 0) // on its limit
	low, high := check(qc.HoleDMax, 5, 4, 0), check(qc.HoleDMax, 5, 0, 4.5)
	for _, c := range []struct {
		name   string
		checks []qc.Check
		rows   [][]int
	}{
		{"nothing", nil, nil},
		{"as they come", []qc.Check{within, check(qc.Pitch, 30, 10, 0)}, [][]int{{0}, {1}}},
		{"the worst first", []qc.Check{within, edge}, [][]int{{1}, {0}}},
		{"of two that are too close the one that governs", []qc.Check{edge, within, nearer}, [][]int{{2}, {0}, {1}}},
		{"of one reading's checks the one that is out", []qc.Check{within, low, high}, [][]int{{2, 1}, {0}}},
	} {
		got := qc.Rows(c.checks)
		if !reflect.DeepEqual(got, c.rows) {
			t.Errorf("%s: %v, want %v", c.name, got, c.rows)
		}
		if g := qc.Governing(c.checks); g >= 0 && got[0][0] != g {
			t.Errorf("%s: check %d governs and line %v comes first", c.name, g, got[0])
		}
	}
}

// The one value that is shown says where nothing was measured: an edge as it was laid out is no reading.
func TestAValueThatWasLaidOutSaysSo(t *testing.T) {
	laid := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 6.65, UMM: 1, How: qc.ByLayout, Layer: "tube"}
	read := qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 8.97, UMM: 0.15, How: qc.ByPhotoHand}
	for _, c := range []struct {
		r    qc.Reading
		laid bool
	}{{laid, true}, {read, false}} {
		check := qc.Judge(c.r, qc.Limit{Quantity: qc.EdgeDistance, MinMM: 6.35})
		if judged, alone := qc.OneOf([]qc.Check{check}, nil), qc.OneOf(nil, []qc.Reading{c.r}); judged.LaidOut != c.laid || alone.LaidOut != c.laid {
			t.Errorf("%s: %+v, %+v", c.r.How, judged, alone)
		}
	}
}
