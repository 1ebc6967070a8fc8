package placing_test

import (
	"math"
	"math/cmplx"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/placing"
)

// lay writes what is planned and says how many entries that were.
func (b *bench) lay() int {
	drafts := placing.Lay(history.StateOf(b.Wrote), b.at.Part)
	for _, d := range drafts {
		b.Put(d)
	}
	return len(drafts)
}

// mm gives where a location is pinned, in the layout's millimetres with y up; NaN where it is not.
func (b *bench) mm(id string) complex128 {
	st := history.StateOf(b.Wrote)
	p, _, _ := st.Part(b.at.Part)
	l, _ := st.Location(id)
	if l.Pin == nil {
		return cmplx.NaN()
	}
	return complex(l.Pin.X*p.Layout.WidthMM, -l.Pin.Y*p.Layout.HeightMM)
}

func apart(t *testing.T, b *bench, x, y string, want float64) {
	t.Helper()
	if got := cmplx.Abs(b.mm(x) - b.mm(y)); !(math.Abs(got-want) < 0.01) {
		t.Errorf("%s and %s lie %.3f mm apart on the layout, not %.3f", b.tags[x], b.tags[y], got, want)
	}
}

func TestTheFirstPhotoLaysOutThePart(t *testing.T) {
	b := newBench()
	ids := []string{b.location("R1", nil), b.location("R2", nil), b.location("R3", nil), b.location("R4", nil)}
	b.snap(map[string][2]float64{ids[0]: {0, 0}, ids[1]: {0, 20}, ids[2]: {0, 40}})
	if n := b.lay(); n != 4 { // the layout and three pins
		t.Fatalf("%d entries", n)
	}
	apart(t, b, ids[0], ids[2], 40)
	if up := imag(b.mm(ids[2]) - b.mm(ids[0])); up < 39.9 {
		t.Errorf("R3 lies %.1f mm above R1, as photographed 40", up)
	}
	if n := b.lay(); n != 0 {
		t.Errorf("nothing is new, and %d entries were planned", n)
	}
	// Another photo, turned by a quarter, shows R2, R3 and one more 25 mm beside R3.
	b.snap(map[string][2]float64{ids[1]: {100, 100}, ids[2]: {80, 100}, ids[3]: {80, 125}})
	first := b.mm(ids[0]) - b.mm(ids[1])
	if n := b.lay(); n == 0 {
		t.Fatal("R4 is not pinned")
	}
	apart(t, b, ids[2], ids[3], 25)
	apart(t, b, ids[0], ids[3], math.Hypot(40, 25))
	if d := cmplx.Abs(b.mm(ids[0]) - b.mm(ids[1]) - first); d > 0.01 {
		t.Errorf("the pins were turned: %v", d)
	}
}

// A photo that has nothing in common with the others says nothing of where it lies.
func TestAPhotoByItselfStaysOffTheLayout(t *testing.T) {
	b := newBench()
	ids := []string{b.location("R1", nil), b.location("R2", nil), b.location("R3", nil)}
	b.snap(map[string][2]float64{ids[0]: {0, 0}, ids[1]: {20, 0}})
	b.lay()
	b.snap(map[string][2]float64{ids[2]: {0, 0}})
	if n := b.lay(); n != 0 || !cmplx.IsNaN(b.mm(ids[2])) {
		t.Errorf("%d entries, R3 at %v", n, b.mm(ids[2]))
	}
}

func TestPinsOfAPersonStay(t *testing.T) {
	b := newBench()
	ids := []string{b.location("R1", &history.Pin{X: 0.2, Y: 0.5}), b.location("R2", nil)}
	b.snap(map[string][2]float64{ids[0]: {0, 0}, ids[1]: {20, 0}})
	if n := b.lay(); n != 0 {
		t.Errorf("%d entries", n)
	}
}

// A pin that a finger set on a layout from photos gives way to the place that is measured then.
func TestAMeasuredPlaceGoesBeforeAFinger(t *testing.T) {
	b := newBench()
	ids := []string{b.location("R1", nil), b.location("R2", nil), b.location("R3", nil)}
	b.snap(map[string][2]float64{ids[0]: {0, 0}, ids[1]: {40, 0}})
	b.lay()
	place := b.at
	place.Location = ids[2]
	b.Put(place.Draft(history.KindLocation, history.LocationData{Pin: &history.Pin{X: 0.9, Y: 0.9}}))
	b.snap(map[string][2]float64{ids[0]: {0, 0}, ids[1]: {40, 0}, ids[2]: {20, 0}})
	b.lay()
	apart(t, b, ids[0], ids[2], 20)
	apart(t, b, ids[0], ids[1], 40)
}

// The photo behind the pins: each pin lies over the place where the photo shows its rivet.
func TestThePhotoLiesBehindItsPins(t *testing.T) {
	b := newBench()
	ids := []string{b.location("R1", nil), b.location("R2", nil)}
	at := map[string][2]float64{ids[0]: {10, 5}, ids[1]: {40, 25}}
	b.snap(at)
	b.lay()
	st := history.StateOf(b.Wrote)
	part, _, _ := st.Part(b.at.Part)
	behind := placing.BehindOf(part, st.Locations(b.at.Part), st)
	if behind == nil {
		t.Fatal("no photo")
	}
	for id, mm := range at {
		// As the camera of snap sees it: 3000 px, 200 mm away, its middle at (0, 0) px.
		u, v := (3000*mm[0]/200+0.5)/4000, (3000*mm[1]/200+0.5)/3000
		m := behind.Map
		w := m[6]*u + m[7]*v + m[8]
		x, y := (m[0]*u+m[1]*v+m[2])/w, (m[3]*u+m[4]*v+m[5])/w
		l, _ := st.Location(id)
		if math.Hypot(x-l.Pin.X, y-l.Pin.Y) > 1e-4 {
			t.Errorf("%s: the photo has it at (%.4f, %.4f), its pin is at (%.4f, %.4f)", l.Tag, x, y, l.Pin.X, l.Pin.Y)
		}
	}
}

func TestPinsThatAreTooNear(t *testing.T) {
	b := newBench() // shop heads of 4.76 mm: pitch at least 3 D = 14.29, edge at least 2 D = 9.53
	s := histtest.ShopHead()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 100, HeightMM: 50}))
	st := history.StateOf(b.Wrote)
	near := func(mm ...[2]float64) (out []placing.Tight) {
		var pins []history.Pin
		for _, q := range mm {
			pins = append(pins, history.Pin{X: q[0] / 100, Y: q[1] / 50})
		}
		out, scaled := placing.Tights(st, b.at.Part, pins)
		if !scaled {
			t.Error("a grid of known size has no scale")
		}
		return out
	}
	d := s.NominalMM
	if got := near([2]float64{30, 25}, [2]float64{30 + 3*d, 25}); len(got) != 0 {
		t.Errorf("3 D apart: %+v", got)
	}
	got := near([2]float64{30, 25}, [2]float64{30 + 2.9*d, 25})
	if len(got) != 1 || got[0].B != 0 || math.Abs(got[0].D-2.9) > 1e-6 || math.Abs(got[0].Limit.MinMM-3*d) > 0.01 || got[0].Limit.Source == "" {
		t.Errorf("2.9 D apart: %+v", got)
	}
	if got = near([2]float64{50, 1.9 * d}); len(got) != 1 || got[0].B != -1 || math.Abs(got[0].D-1.9) > 1e-6 {
		t.Errorf("1.9 D from the edge: %+v", got)
	}
	if got = near([2]float64{50, 2 * d}); len(got) != 0 {
		t.Errorf("2 D from the edge: %+v", got)
	}
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{Photo: histtest.PhotoHash([]byte("x")), WidthPx: 4, HeightPx: 3}))
	if _, scaled := placing.Tights(history.StateOf(b.Wrote), b.at.Part, nil); scaled {
		t.Error("a photo without a scale can't tell")
	}
}
