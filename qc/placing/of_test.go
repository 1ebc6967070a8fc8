package placing_test

import (
	"fmt"
	"slices"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/placing"
)

type bench struct {
	*histtest.Device
	at   histtest.Place
	tags map[string]string // by id
}

func newBench() *bench {
	s := histtest.ShopHead()
	b := &bench{Device: histtest.NewDevice(1, "Ines K.", history.Builder), tags: map[string]string{}}
	b.at.Project = b.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}).ID
	b.at.Part = b.Put(b.at.Draft(history.KindPart, history.PartData{Name: "Corner gusset, left", Spec: &s})).ID
	return b
}

func (b *bench) location(tag string, pin *history.Pin) string {
	id := b.Put(b.at.Draft(history.KindLocation, history.LocationData{Tag: tag, Pin: pin})).ID
	b.tags[id] = tag
	return id
}

// snap saves a photo of fasteners that lie at these places of its card's frame.
func (b *bench) snap(at map[string][2]float64) {
	photo := histtest.PhotoHash(fmt.Append(nil, at))
	shot := b.Put(b.at.Draft(history.KindShot, history.ShotData{Photo: photo, Bytes: 1, Media: "image/jpeg"})).ID
	for id, mm := range at {
		f := histtest.HeadFinding(shot, photo, 7.4, 12)
		f.Places = &history.Places{WidthPx: 4000, HeightPx: 3000, SheetMM: mm, RadiusMM: 3.7,
			Camera: history.Camera{FocalPx: 3000, R: [3][3]float64{{1}, {0, 1}, {0, 0, 1}}, T: [3]float64{0, 0, 200}}}
		place := b.at
		place.Location = id
		b.Put(place.Draft(history.KindFinding, f))
	}
}

func (b *bench) ask(said map[int]string, wanted []string, at ...[2]float64) placing.Placed {
	q := placing.Question{Part: b.at.Part, Wanted: wanted}
	for i, mm := range at {
		q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: mm, Said: said[i],
			Readings: []qc.Reading{{Quantity: qc.EdgeDistance, ValueMM: 12, UMM: 0.1}}})
	}
	return placing.Of(history.StateOf(b.Wrote), q)
}

func tagsOf(p placing.Placed) (out []string) {
	for _, n := range p.Is {
		out = append(out, n.Tag)
	}
	return out
}

var row = [][2]float64{{0, 0}, {0, 20}, {0, 40}} // from bottom to top

func TestTheFirstPhotoMakesNewLocations(t *testing.T) {
	b := newBench()
	if p := b.ask(nil, nil, row...); p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R1", "R2", "R3"}) {
		t.Errorf("%+v", p)
	}
}

// Three in a row without pins, snapped again: nobody can see which end is R1. The top one was once
// taken for it.
func TestARowIsAskedAbout(t *testing.T) {
	b := newBench()
	at := map[string][2]float64{}
	var ids []string
	for i, tag := range []string{"R1", "R2", "R3"} {
		ids = append(ids, b.location(tag, nil))
		at[ids[i]] = row[i]
	}
	b.snap(at)
	for _, i := range []int{0} { // drilled out
		place := b.at
		place.Location = ids[i]
		b.Put(place.Draft(history.KindDrilledOut, history.DrilledOutData{}))
	}
	p := b.ask(nil, nil, row...)
	if p.Ask < 0 || !slices.Equal(tagsOf(p), []string{"?", "?", "?"}) || !p.New {
		t.Fatalf("proposed: %+v", p)
	}
	// Where these are all, one tap is enough.
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 20, HeightMM: 60, From: history.FromPhotos, All: true}))
	for i, id := range ids {
		place := b.at
		place.Location = id
		b.Put(place.Draft(history.KindLocation, history.LocationData{Pin: &history.Pin{X: 0.5, Y: (50 - row[i][1]) / 60}}))
	}
	if p = b.ask(nil, nil, row...); p.Ask < 0 || p.New || !slices.Equal(tagsOf(p), []string{"?", "?", "?"}) {
		t.Fatalf("proposed, of all: %+v", p)
	}
	if p = b.ask(map[int]string{p.Ask: ids[p.Ask]}, nil, row...); p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R1", "R2", "R3"}) {
		t.Errorf("after one tap: %+v", p)
	}
}

// Four neighbours in a grid of ten by ten once became R1, R19, R34 and R67.
func TestAGridIsAskedAbout(t *testing.T) {
	b := newBench()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 220, HeightMM: 220, StepMM: 10}))
	var ids []string
	for i := range 100 {
		ids = append(ids, b.location(fmt.Sprintf("R%d", i+1), &history.Pin{X: (20 + 20*float64(i%10)) / 220, Y: (20 + 20*float64(i/10)) / 220}))
	}
	seen := [][2]float64{{0, 0}, {20, 0}, {0, -20}, {20, -20}}
	truth := []string{ids[44], ids[45], ids[54], ids[55]}
	said := map[int]string{}
	for taps := 0; ; taps++ {
		p := b.ask(said, nil, seen...)
		for i, n := range p.Is {
			if n.Location != "" && n.Location != truth[i] {
				t.Fatalf("after %d taps %s was taken for %s", taps, b.tags[truth[i]], n.Tag)
			}
		}
		if p.Ask < 0 {
			if taps == 0 || taps > 3 {
				t.Errorf("%d taps", taps)
			}
			break
		}
		if !slices.Contains(p.Of, truth[p.Ask]) {
			t.Fatalf("the right one is not offered: %v", p.Of)
		}
		said[p.Ask] = truth[p.Ask]
	}
}

// A photo of an uneven pattern needs no question; one whose edge lies elsewhere does.
func TestAnUnevenPatternIsKnown(t *testing.T) {
	b := newBench()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 100, HeightMM: 100, StepMM: 10}))
	places := [][2]float64{{10, -10}, {30, -10}, {57, -10}, {10, -44}}
	at := map[string][2]float64{}
	for i, p := range places {
		at[b.location(fmt.Sprintf("R%d", i+1), &history.Pin{X: p[0] / 100, Y: -p[1] / 100})] = p
	}
	turned := make([][2]float64, len(places))
	for i, p := range places {
		turned[i] = [2]float64{-p[1] + 7, p[0] - 90}
	}
	if p := b.ask(nil, nil, turned...); p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R1", "R2", "R3", "R4"}) {
		t.Errorf("not known: %+v", p)
	}
	b.snap(at) // all 12 mm from the edge
	if p := b.ask(nil, nil, turned...); p.Ask >= 0 {
		t.Errorf("not known again: %+v", p)
	}
	q := placing.Question{Part: b.at.Part}
	for _, mm := range turned {
		q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: mm, Readings: []qc.Reading{{Quantity: qc.EdgeDistance, ValueMM: 7, UMM: 0.1}}})
	}
	if p := placing.Of(history.StateOf(b.Wrote), q); p.Ask < 0 {
		t.Errorf("five millimetres nearer to the edge: %+v", p)
	}
}

// A photo that was taken for one location asks which of several it is.
func TestAPhotoForOneLocation(t *testing.T) {
	b := newBench()
	r1 := b.location("R1", nil)
	b.location("R2", nil)
	if p := b.ask(nil, []string{r1}, row[0]); p.Ask >= 0 || p.Is[0].Location != r1 {
		t.Errorf("one alone: %+v", p)
	}
	p := b.ask(nil, []string{r1}, row...)
	if p.Which != r1 || p.Ask < 0 || !slices.Equal(tagsOf(p), []string{"?", "?", "?"}) {
		t.Fatalf("one of three: %+v", p)
	}
	p = b.ask(map[int]string{2: r1}, []string{r1}, row...)
	if p.Ask >= 0 || p.Is[2].Location != r1 || p.Is[0].Location != placing.None || p.Is[1].Location != placing.None {
		t.Errorf("tapped: %+v", p)
	}
}

// Names that were entered without pins follow a row from the one that was tapped, once both ends
// are known.
func TestNamesFollowARow(t *testing.T) {
	b := newBench()
	var ids []string
	for i := range 6 {
		ids = append(ids, b.location(fmt.Sprintf("R%d", i+1), nil))
	}
	next := ids[3:]
	p := b.ask(nil, next, row...)
	if p.Ask < 0 || slices.Contains(p.Of, ids[0]) {
		t.Fatalf("which of the three that come next: %+v", p)
	}
	truth := []string{ids[5], ids[4], ids[3]}
	if p = b.ask(map[int]string{p.Ask: truth[p.Ask]}, next, row...); p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R6", "R5", "R4"}) {
		t.Errorf("after one tap: %+v", p)
	}
}

// After a photo of three of a row, the next three are expected that nothing is known of yet; what was
// measured already, or taken out, is passed over, and what was passed over comes last.
func TestTheNextOfARowAreExpected(t *testing.T) {
	b := newBench()
	ids := map[string]string{}
	for i := 1; i <= 11; i++ {
		tag := fmt.Sprintf("R%d", i)
		ids[tag] = b.location(tag, nil)
	}
	next := func(saved ...string) (tags []string) {
		var of []string
		for _, tag := range saved {
			of = append(of, ids[tag])
		}
		for _, id := range placing.Next(history.StateOf(b.Wrote), b.at.Part, of) {
			tags = append(tags, b.tags[id])
		}
		return tags
	}
	if got := next("R1", "R2", "R3"); !slices.Equal(got, []string{"R4", "R5", "R6"}) {
		t.Errorf("after R1 to R3: %v", got)
	}
	b.snap(map[string][2]float64{ids["R5"]: {0, 0}, ids["R9"]: {0, 20}, ids["R10"]: {0, 40}})
	if got := next("R3", "R4"); !slices.Equal(got, []string{"R6", "R7"}) {
		t.Errorf("after R3, R4: %v", got)
	}
	if got := next("R9", "R10"); !slices.Equal(got, []string{"R11", "R1"}) {
		t.Errorf("after R9, R10: %v", got)
	}
	for _, tag := range []string{"R1", "R2", "R3", "R4", "R6", "R7", "R8"} {
		b.snap(map[string][2]float64{ids[tag]: {0, 0}})
	}
	if got := next("R11"); len(got) > 0 {
		t.Errorf("with all measured: %v", got)
	}
}
