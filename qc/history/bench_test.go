package history_test

import (
	"slices"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/shape"
)

// Of the measurements of one name and kind one counts; a crack that was seen counts until somebody has
// looked anew and seen none, whatever was measured since, and waits though it has no target.
func TestWhichMeasurementOfAShapeStands(t *testing.T) {
	angle := func(state shape.State, cracks qc.Seen) shape.Input {
		return shape.Input{Name: "bracket", Kind: shape.Angle, State: state, ValuesMM: []float64{90}, UMM: 0.3, Cracks: cracks}
	}
	twist := shape.Input{Name: "bracket", Kind: shape.Twist, State: shape.Released, Method: shape.Strings, ValuesMM: []float64{1}, UMM: 0.2}
	for _, c := range []struct {
		name   string
		of     []shape.Input
		stands []int
		waits  bool
	}{
		{"the released one", []shape.Input{angle(shape.Released, qc.No), angle(shape.Before, qc.No)}, []int{0}, false},
		{"another kind by the same name", []shape.Input{angle(shape.Released, qc.No), twist}, []int{0, 1}, false},
		{"a crack, not looked at again", []shape.Input{angle(shape.Riveted, qc.Yes), angle(shape.Released, qc.NotLooked)}, []int{0}, true},
		{"a crack after it was released", []shape.Input{angle(shape.Released, qc.No), angle(shape.Before, qc.Yes)}, []int{1}, true},
		{"a crack that was none", []shape.Input{angle(shape.Released, qc.Yes), angle(shape.Released, qc.No)}, []int{1}, false},
	} {
		d := histtest.NewDevice(1, "Ines K.", history.Builder)
		at := histtest.Place{Project: d.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}).ID}
		at.Part = d.Put(at.Draft(history.KindPart, history.PartData{Name: "Bracket"})).ID
		for _, in := range c.of {
			r, err := shape.Judge(in)
			if err != nil {
				t.Fatal(err)
			}
			d.Put(at.Draft(history.KindShape, history.ShapeData{Input: in, Result: r}))
		}
		p, _, _ := history.StateOf(d.Wrote).Part(at.Part)
		waits := false
		var stands []int
		for i, s := range p.Shapes {
			if s.Stands {
				stands = append(stands, i)
			}
			waits = waits || s.Waits()
		}
		if !slices.Equal(stands, c.stands) || waits != c.waits {
			t.Errorf("%s: %v stand, waits %t", c.name, stands, waits)
		}
	}
}
