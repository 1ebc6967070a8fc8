package placing_test

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/qc/placing"
)

// strip are fasteners of equal pitch in one row, all that the part has, with edges on both sides of the
// row and at its ends, 0 for none that is known.
func strip(n int, left, right, below, above float64) placing.Map {
	m := placing.Map{Scaled: true, Whole: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for i := range n {
		l := placing.Place{ID: string(rune('A' + i)), At: complex(0, 20*float64(i))}
		add := func(to complex128) {
			if to != 0 {
				l.Edges = append(l.Edges, placing.Edge{To: to, UMM: 0.1})
			}
		}
		add(complex(-left, 0))
		add(complex(right, 0))
		if i == 0 {
			add(complex(0, -below))
		}
		if i == n-1 {
			add(complex(0, above))
		}
		m.Places = append(m.Places, l)
	}
	return m
}

// photoOf is a photo of some places of a map, turned by 100 degrees, with the edges as they are known.
func photoOf(m placing.Map, ids string) placing.Photo {
	var p placing.Photo
	turn := cmplx.Rect(1, 1.75)
	for _, id := range ids {
		l := m.Places[id-'A']
		p.Seen, p.Said = append(p.Seen, turn*l.At+7), append(p.Said, "")
		var es []placing.Edge
		for _, e := range l.Edges {
			es = append(es, placing.Edge{To: turn * e.To, UMM: e.UMM})
		}
		p.Edges = append(p.Edges, es)
	}
	return p
}

func TestTheSheetsEdgesTellARow(t *testing.T) {
	uneven, even := strip(3, 8, 12, 0, 0), strip(3, 8, 8, 0, 0)
	oneKnown := strip(3, 8, 0, 0, 0)
	ends := strip(5, 8, 12, 10, 15)
	turnedOver := uneven
	turnedOver.OneSide = false
	misread := photoOf(uneven, "ABC")
	for i := range misread.Edges {
		misread.Edges[i][0].To *= 1.5 // 12 mm on the side where it is 8
		misread.Edges[i] = misread.Edges[i][:1]
	}
	noEdges := photoOf(uneven, "ABC")
	noEdges.Edges = nil
	for _, c := range []struct {
		name  string
		m     placing.Map
		photo placing.Photo
		is    []string // nil: it is asked
	}{
		{"nearer to one side", uneven, photoOf(uneven, "ABC"), []string{"A", "B", "C"}},
		{"the other way round", uneven, photoOf(uneven, "CBA"), []string{"C", "B", "A"}},
		{"without edges", uneven, noEdges, nil},
		{"in the middle", even, photoOf(even, "ABC"), nil},
		{"one edge was hidden before", oneKnown, photoOf(oneKnown, "ABC"), nil},
		{"the sheet may lie turned over", turnedOver, photoOf(uneven, "ABC"), nil},
		{"one edge alone, as wide as the other side", uneven, misread, nil},
		{"the end of a row, told by one line that may be no edge", ends, photoOf(ends, "CDE"), nil},
		{"the middle of a row", ends, photoOf(ends, "BCD"), nil},
	} {
		a := placing.Match(c.photo, placing.Known{Maps: []placing.Map{c.m}})
		if c.is == nil && a.Ask < 0 || c.is != nil && !slices.Equal(a.Is, c.is) {
			t.Errorf("%s: %q, asks about %d", c.name, a.Is, a.Ask)
		}
	}
}

// The same three once more, far off, and one line there misread before: that alone does not say that the
// photo shows the first three.
func TestOneLineMisreadTellsNothing(t *testing.T) {
	m := placing.Map{Scaled: true, Whole: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for i, y := range []float64{0, 20, 60, 300, 320, 360} {
		left := 8.0
		if i > 2 {
			left = 12
		}
		m.Places = append(m.Places, placing.Place{ID: string(rune('A' + i)), At: complex(0, y), Edges: []placing.Edge{{To: complex(-left, 0), UMM: 0.1}}})
	}
	photo := photoOf(m, "DEF")
	for i := range photo.Edges {
		photo.Edges[i][0].To *= 8.0 / 12
	}
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Ask < 0 {
		t.Errorf("%q", a.Is)
	}
}

// What the card hid is not gone: edges that were known at the other three and are not seen now say nothing.
func TestHiddenEdgesTellNothing(t *testing.T) {
	m := placing.Map{Scaled: true, Whole: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for i, y := range []float64{0, 20, 60, 300, 320, 360} {
		es := []placing.Edge{{To: -8, UMM: 0.1}}
		if i > 2 {
			es = append(es, placing.Edge{To: 12, UMM: 0.1}, placing.Edge{To: 14i, UMM: 0.1})
		}
		m.Places = append(m.Places, placing.Place{ID: string(rune('A' + i)), At: complex(0, y), Edges: es})
	}
	photo := photoOf(m, "DEF")
	for i := range photo.Edges {
		photo.Edges[i] = photo.Edges[i][:1]
	}
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Ask < 0 {
		t.Errorf("%q", a.Is)
	}
}

// gusset is mirrored about its corner.
func gusset() placing.Map {
	m := placing.Map{Scaled: true, Whole: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for i, at := range []complex128{0, 20, 20i, 46, 46i} {
		m.Places = append(m.Places, placing.Place{ID: string(rune('A' + i)), At: at})
	}
	return m
}

// Heads of one kind are seen from one side: two legs that mirror each other are told apart then.
func TestHeadsAreSeenFromOneSide(t *testing.T) {
	m := gusset()
	photo := photoOf(m, "ABCDE")
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Ask < 0 {
		t.Errorf("either side up: %q", a.Is)
	}
	m.OneSide = true
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); !slices.Equal(a.Is, []string{"A", "B", "C", "D", "E"}) {
		t.Errorf("one side up: %q, asks about %d", a.Is, a.Ask)
	}
}

// Taken for one location, a photo shows it: the corner's rivet is itself whichever way the legs are read.
func TestAPhotoForOneLocationShowsIt(t *testing.T) {
	m := gusset()
	photo := photoOf(m, "BADC")
	photo.Wanted = []string{"A"}
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Ask >= 0 || a.Is[1] != "A" || a.Is[0] != placing.None {
		t.Errorf("%q, asks about %d", a.Is, a.Ask)
	}
	photo.Wanted = []string{"B"}
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Which != "B" {
		t.Errorf("either of two: %q", a.Is)
	}
}

// Where one answer about one fastener would leave two ways, the ways are offered: one tap settles all.
func TestOneTapSettlesAll(t *testing.T) {
	m := strip(12, 0, 0, 0, 0)
	photo := photoOf(m, "EDF")
	photo.Wanted = []string{"D", "E", "F"}
	a := placing.Match(photo, placing.Known{Maps: []placing.Map{m}})
	if a.Ask < 0 || len(a.Ways) != 2 || !slices.ContainsFunc(a.Ways, func(w []string) bool { return slices.Equal(w, []string{"E", "D", "F"}) }) {
		t.Fatalf("%q, asks about %d, offers %q", a.Is, a.Ask, a.Ways)
	}
	photo.Said = a.Ways[0]
	if a = placing.Match(photo, placing.Known{Maps: []placing.Map{m}}); a.Ask >= 0 {
		t.Errorf("asks again: %+v", a)
	}
}

// seenAt is where a camera sees a place of the sheet.
func seenAt(c history.Camera, p complex128) history.PxPair {
	at := func(row int) float64 { return c.R[row][0]*real(p) + c.R[row][1]*imag(p) + c.T[row] }
	x, y := at(0)/at(2), at(1)/at(2)
	k := 1 + c.K1*(x*x+y*y)
	return history.PxPair{c.CxPx + c.FocalPx*k*x, c.CyPx + c.FocalPx*k*y}
}

// The record's findings say where the edges were, and how the camera saw them: from one tilted photo to
// the next a row is known by them.
func TestEdgesOfEarlierPhotos(t *testing.T) {
	b := newBench()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 40, HeightMM: 60, From: history.FromPhotos, All: true}))
	camera := history.Camera{FocalPx: 3000, CxPx: 2000, CyPx: 1500, K1: 0.05,
		R: [3][3]float64{{1, 0, 0}, {0, -math.Cos(0.3), -math.Sin(0.3)}, {0, math.Sin(0.3), -math.Cos(0.3)}}, T: [3]float64{5, 20, 200}}
	lines := [][2]complex128{{-8, -8 + 40i}, {12, 12 + 40i}}
	photo := histtest.PhotoHash([]byte("edges"))
	shot := b.Put(b.at.Draft(history.KindShot, history.ShotData{Photo: photo, Bytes: 1, Media: "image/jpeg"})).ID
	q := placing.Question{Part: b.at.Part, Camera: &camera}
	for i, mm := range row {
		id := b.location([]string{"R1", "R2", "R3"}[i], &history.Pin{X: 0.5, Y: (50 - mm[1]) / 60})
		f := histtest.HeadFinding(shot, photo, 7.4, 12)
		f.Places = &history.Places{WidthPx: 4000, HeightPx: 3000, SheetMM: mm, RadiusMM: 3.7, Camera: camera}
		var edges []placing.SeenEdge
		for k, l := range lines {
			px := [2]history.PxPair{seenAt(camera, l[0]), seenAt(camera, l[1])}
			f.Places.Spans = append(f.Places.Spans, history.ReadingPlace{Reading: k, EdgePx: &px})
			edges = append(edges, placing.SeenEdge{Px: px, UMM: 0.1})
		}
		place := b.at
		place.Location = id
		b.Put(place.Draft(history.KindFinding, f))
		q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: mm, What: f.Spec.Kind, Edges: edges})
	}
	p := placing.Of(history.StateOf(b.Wrote), q)
	if p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R1", "R2", "R3"}) {
		t.Errorf("%+v", p)
	}
	q.Camera = nil
	if p = placing.Of(history.StateOf(b.Wrote), q); p.Ask < 0 {
		t.Errorf("without the camera: %+v", p)
	}
	// A hole is none of them as long as rivets stand there, and other heads look from the other side.
	q.Camera = &camera
	for i := range q.Fasteners {
		q.Fasteners[i].What = qc.UniversalHead
	}
	if p = placing.Of(history.StateOf(b.Wrote), q); p.Ask < 0 {
		t.Errorf("from the other side: %+v", p)
	}
}

// A sheet's holes may be looked at from either side, its heads of one kind from one alone.
func TestHolesMayBeSeenFromEitherSide(t *testing.T) {
	b := newBench()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 60, HeightMM: 60, From: history.FromPhotos, All: true}))
	photo := histtest.PhotoHash([]byte("holes"))
	shot := b.Put(b.at.Draft(history.KindShot, history.ShotData{Photo: photo, Bytes: 1, Media: "image/jpeg"})).ID
	q := placing.Question{Part: b.at.Part}
	for i, l := range gusset().Places {
		mm := [2]float64{real(l.At), imag(l.At)}
		id := b.location([]string{"R1", "R2", "R3", "R4", "R5"}[i], &history.Pin{X: (mm[0] + 5) / 60, Y: (55 - mm[1]) / 60})
		f := histtest.HoleFinding(shot, photo, 4.86)
		f.Places = &history.Places{WidthPx: 4000, HeightPx: 3000, SheetMM: mm, RadiusMM: 2.4,
			Camera: history.Camera{FocalPx: 3000, R: [3][3]float64{{1}, {0, 1}, {0, 0, 1}}, T: [3]float64{0, 0, 200}}}
		place := b.at
		place.Location = id
		b.Put(place.Draft(history.KindFinding, f))
		q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: mm, What: qc.Hole})
	}
	if p := placing.Of(history.StateOf(b.Wrote), q); p.Ask < 0 {
		t.Errorf("%+v", p)
	}
}

// A photo of holes shows none of those where a rivet stands.
func TestAHoleIsNoneWhereARivetStands(t *testing.T) {
	b := newBench()
	b.Put(b.at.Draft(history.KindLayout, history.LayoutData{WidthMM: 200, HeightMM: 60, StepMM: 10}))
	at := map[string][2]float64{}
	var ids []string
	for i := range 6 { // R1 to R3, then the same once more
		x := []float64{20, 40, 80, 120, 140, 180}[i]
		ids = append(ids, b.location([]string{"R1", "R2", "R3", "R4", "R5", "R6"}[i], &history.Pin{X: x / 200, Y: 0.5}))
		if i < 3 {
			at[ids[i]] = [2]float64{x, 0}
		}
	}
	b.snap(at)
	q := placing.Question{Part: b.at.Part}
	for _, x := range []float64{0, 20, 60} {
		q.Fasteners = append(q.Fasteners, placing.Fastener{SheetMM: [2]float64{x, 0}, What: qc.Hole})
	}
	if p := placing.Of(history.StateOf(b.Wrote), q); p.Ask >= 0 || !slices.Equal(tagsOf(p), []string{"R4", "R5", "R6"}) {
		t.Errorf("%+v", p)
	}
	for i := range q.Fasteners {
		q.Fasteners[i].What = qc.ShopHead
	}
	if p := placing.Of(history.StateOf(b.Wrote), q); p.Ask < 0 {
		t.Errorf("heads: %+v", p)
	}
}
