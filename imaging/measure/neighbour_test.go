package measure

import (
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// A fastener that is asked about may be the nearest neighbour: the nearest pitch says so, unless it
// stands clearly farther off.
func TestUnmeasuredNeighbourMayBeTheNearest(t *testing.T) {
	pitch := func(mm float64) Reading {
		return Reading{Reading: qc.Reading{Quantity: qc.Pitch, ValueMM: mm, UMM: 0.1}, ToIndex: 1}
	}
	for _, c := range []struct {
		name  string
		asked []float64 // mm away
		want  float64
	}{
		{"none", nil, 0}, {"nearer", []float64{9}, 9}, {"as far", []float64{12.5}, 12.5}, {"within what its centre may be off", []float64{14}, 14},
		{"farther", []float64{14.2}, 0}, {"the nearer of two", []float64{13, 10}, 10},
	} {
		l := Location{Readings: []Reading{pitch(20), pitch(12), {Reading: qc.Reading{Quantity: qc.EdgeDistance, ValueMM: 5}}}}
		all := []Location{l, {Centre: geom.SheetPoint{X: 1}}}
		for _, mm := range c.asked {
			all = append(all, Location{Centre: geom.SheetPoint{Y: mm}, Ask: &qc.Refusal{}})
		}
		l.unmeasuredNeighbour(all, 2)
		if l.Readings[1].LessMM != c.want || l.Readings[0].LessMM != 0 || l.Readings[2].LessMM != 0 {
			t.Errorf("%s: %v, want %v", c.name, l.Readings, c.want)
		}
	}
	m := mapSquare(&photo.Photo{Width: 1000, Height: 1000}, 0.1, 0, 0, "two points")
	res := Result{Locations: []Location{{}, {Centre: geom.SheetPoint{X: 20}}, {Centre: geom.SheetPoint{X: 12}, Ask: &qc.Refusal{}}}}
	m.pitches(&Options{NominalMM: 4}, &res)
	for i, want := range []float64{12, 8} {
		if rs := res.Locations[i].Readings; len(rs) != 1 || rs[0].LessMM != want {
			t.Errorf("%+v, want one pitch, and a neighbour %g mm away", rs, want)
		}
	}
	if rs := res.Locations[2].Readings; len(rs) != 0 {
		t.Errorf("the one that is asked about has %+v", rs)
	}
	l := Location{}
	l.unmeasuredNeighbour([]Location{{Ask: &qc.Refusal{}}}, 2) // without a pitch there is nothing to say it of
}
