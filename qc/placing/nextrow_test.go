package placing_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"bucktail/qc/placing"
)

// A row is snapped photo by photo over pins that were set at a guess: what the first photo measured and
// what its names leave over tell most of the second. None is ever taken for another.
func TestNextInARow(t *testing.T) {
	rows := *parts / 5
	if testing.Short() {
		rows /= 10
	}
	var photos, taps [2]int
	for _, seed := range []uint64{17, 1166, 1277} {
		r := rand.New(rand.NewPCG(seed, 2))
		for range rows / 3 {
			p := guessed(r)
			first := 3 + r.IntN(6)
			from := 0
			for shot := range 2 {
				n := 3 + r.IntN(6)
				if shot == 0 {
					n = first
				} else if from = max(0, first-r.IntN(4)); r.IntN(8) == 0 { // the row from its other end
					from = max(0, len(p.tags)-n)
				}
				shown := slices.Clone(p.tags[min(from, len(p.tags)-1):min(from+n, len(p.tags))])
				if r.IntN(6) == 0 && len(shown) > 3 { // drilled out, or not read
					i := r.IntN(len(shown))
					shown = slices.Delete(shown, i, i+1)
				}
				if shot == 1 && r.IntN(20) == 0 {
					tag := shown[r.IntN(len(shown))]
					p.at[tag] += cmplx.Rect(min(float64(1+r.IntN(6)), p.apart(tag)*0.45), 2*math.Pi*r.Float64())
				}
				r.Shuffle(len(shown), func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
				turn := cmplx.Rect(1, 2*math.Pi*r.Float64())
				photo := placing.Photo{Said: make([]string, len(shown))}
				for _, tag := range shown {
					photo.Seen = append(photo.Seen, turn*p.at[tag]+complex(r.NormFloat64(), r.NormFloat64())*0.08)
				}
				if shot == 1 { // what is expected next, seldom what was snapped
					photo.Wanted = p.tags[min(first, len(p.tags)-1):min(first+first, len(p.tags))]
					if len(photo.Wanted) < 2 {
						photo.Wanted = nil
					}
				}
				asked, _ := asked(t, &p, photo, shown, func(tag string) string { return tag })
				photos[shot]++
				taps[shot] += asked
				if shot == 0 {
					m := placing.Map{Scaled: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM, Places: p.places(shown, 0.1, nil, false, r)}
					m.Whole = len(shown) == len(p.tags)
					p.known.Maps = append([]placing.Map{m}, p.known.Maps...)
				}
			}
		}
	}
	for shot := range photos {
		t.Logf("photo %d: %.2f taps", shot+1, float64(taps[shot])/float64(photos[shot]))
	}
}

// tenGuessed are the pins of a row of ten on a picture of no size.
func tenGuessed() placing.Map {
	m := placing.Map{Whole: true, NearMM: 0.02, FarMM: 0.05, MovedMM: placing.MovedMM}
	for i := range 10 {
		m.Places = append(m.Places, placing.Place{ID: fmt.Sprintf("R%d", i+1), At: complex(0.1+0.8*float64(i)/9, 0)})
	}
	return m
}

// A photo that goes on where the first one ended, and shows some of it again, is asked about with all
// that it may be, and one answer is enough.
func TestMoreThanExpected(t *testing.T) {
	measured := placing.Map{Scaled: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for _, n := range []int{1, 2, 4, 5, 6, 7} {
		measured.Places = append(measured.Places, placing.Place{ID: fmt.Sprintf("R%d", n), At: complex(13*float64(n), 0.2)})
	}
	photo := placing.Photo{Said: make([]string, 8), Wanted: []string{"R8", "R9", "R10", "R3"}}
	for n := 3; n <= 10; n++ {
		photo.Seen = append(photo.Seen, complex(0.1, 13*float64(n)))
	}
	known := placing.Known{Maps: []placing.Map{measured, tenGuessed()}}
	a := placing.Match(photo, known)
	truth := fmt.Sprintf("R%d", a.Ask+3)
	if a.Ask < 0 || !slices.Contains(a.Of, truth) {
		t.Fatalf("%+v; it is %s", a, truth)
	}
	photo.Said[a.Ask] = truth
	if a := placing.Match(photo, known); a.Ask >= 0 || a.Is[0] != "R3" || a.Is[7] != "R10" {
		t.Errorf("%+v", a)
	}
}

// Pins at a guess tell no uneven row: one after the other or with gaps between, either may be.
func TestUnevenOnASketch(t *testing.T) {
	photo := placing.Photo{Said: []string{"R1", "", "", ""}, Seen: []placing.Point{0, 20, 35, 48}}
	if a := placing.Match(photo, placing.Known{Maps: []placing.Map{tenGuessed()}}); a.Ask < 0 {
		t.Errorf("taken for %v", a.Is)
	}
}

// Three measured heads whose middle one stands elsewhere now look like the same three from the other
// end, which nobody is told; a fourth tells the ends apart.
func TestThreeWithOneMoved(t *testing.T) {
	m := placing.Map{Scaled: true, Whole: true, OneSide: true, NearMM: placing.SameNearMM, FarMM: placing.SameFarMM}
	for i, x := range []float64{0, 20, 45, 59} {
		m.Places = append(m.Places, placing.Place{ID: fmt.Sprintf("R%d", i+1), At: complex(x, 0)})
	}
	known := placing.Known{Maps: []placing.Map{m}}
	if a := placing.Match(placing.Photo{Said: make([]string, 3), Seen: []placing.Point{0, 25, 45}}, known); a.Ask < 0 {
		t.Errorf("taken for %v", a.Is)
	}
	four := placing.Photo{Said: make([]string, 4), Seen: []placing.Point{0, 20, 45, 59}}
	if a := placing.Match(four, known); a.Ask >= 0 || a.Is[0] != "R1" {
		t.Errorf("%+v", a)
	}
}

// Pins may be off by what a hole is laid out anew, and by no more: a like pattern that would need more
// is no way to read the photo.
func TestALikePatternFartherOffIsNone(t *testing.T) {
	m := placing.Map{Scaled: true, Whole: true, OneSide: true, NearMM: placing.MeasuredNearMM, FarMM: placing.MeasuredFarMM, MovedMM: placing.MovedMM}
	for i, x := range []float64{0, 20, 45, 59, 100, 120, 145, 170} { // R8 lies 11 mm farther off than R4
		m.Places = append(m.Places, placing.Place{ID: fmt.Sprintf("R%d", i+1), At: complex(x, 0)})
	}
	a := placing.Match(placing.Photo{Said: make([]string, 4), Seen: []placing.Point{0, 20, 45, 59}}, placing.Known{Maps: []placing.Map{m}})
	if a.Ask >= 0 || a.Is[0] != "R1" {
		t.Errorf("%+v", a)
	}
}

// guessed is a row whose pins were set as one, or by a finger, on a picture of no size.
func guessed(r *rand.Rand) part {
	p := part{form: "row", how: "pins, no scale, then a photo", at: map[string]complex128{}}
	pattern := []float64{pitches[r.IntN(len(pitches))]}
	if r.IntN(3) == 0 {
		pattern = append(pattern, pitches[r.IntN(len(pitches))])
	}
	n, x := 6+r.IntN(15), 0.0
	finger := 0.0
	if r.IntN(2) == 0 {
		finger = 0.005
	}
	m := placing.Map{Whole: true, NearMM: 0.02, FarMM: 0.05, MovedMM: placing.MovedMM}
	for i := range n {
		tag := fmt.Sprintf("R%d", i+1)
		p.tags = append(p.tags, tag)
		p.at[tag] = complex(x+0.2*r.NormFloat64(), 0.2*r.NormFloat64())
		x += pattern[i%len(pattern)]
		m.Places = append(m.Places, placing.Place{ID: tag, At: complex(0.1+0.8*float64(i)/float64(n-1)+finger*r.NormFloat64(), 0.3+finger*r.NormFloat64())})
	}
	p.known.Maps = []placing.Map{m}
	return p
}
