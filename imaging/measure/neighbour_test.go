package measure

import (
	"testing"

	"bucktail/imaging/geom"
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
	l := Location{}
	l.unmeasuredNeighbour([]Location{{Ask: &qc.Refusal{}}}, 2) // without a pitch there is nothing to say it of
}
