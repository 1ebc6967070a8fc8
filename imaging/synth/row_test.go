//go:build training

package synth

// This file photographs a row of ten rivets along the edge of a sheet, as the app's benchmark of taps
// snaps it: from one end and from the other, then its second rivet drilled out and set anew. The heads
// are the same on all photos; each is taken over some of them, and shows others besides.
//
//	BUCKTAIL_PHOTOS=$PWD/testdata/row go test -tags training -run WriteRow -timeout 1h ./imaging/synth

import (
	"os"
	"slices"
	"testing"

	"bucktail/imaging/geom"
)

// tenInRow stand 13 mm apart as a hand drills them, nearer to one end of the sheet than to the other.
func tenInRow() []Planted {
	off := []float64{0, 0.21, -0.14, 0.3, -0.25, 0.08, -0.31, 0.17, 0.12, -0.2}
	widths := []float64{4.86, 4.81, 4.79, 4.9, 4.84, 4.88, 4.78, 4.92, 4.85, 4.83}
	var out []Planted
	for i, d := range widths {
		out = append(out, Planted{AtMM: geom.SheetPoint{X: 10 + 13*float64(i) + off[i], Y: 9 + off[(i+4)%10]/2}, Dash: "4", Kind: ShopHead, DMM: d, Oval: 0.012, OffMM: 0.05})
	}
	return out
}

func TestWriteRow(t *testing.T) {
	sheet := Sheet{Finish: Green, ThicknessMM: 0.813, BevelMM: 0.1, Grain: 0.03, Streak: 0.01, Tone: 0.6, Pits: 0.1, Rough: 0.15, Cloud: 0.2,
		PolygonMM: [][2]float64{{0, 0}, {143, 0}, {143, 60}, {0, 60}}, RadiiMM: []float64{3, 3, 3, 3}, Under: "none", Bench: "wood", BenchMM: 9}
	hole := tenInRow()
	hole[1].Kind, hole[1].DMM, hole[1].Oval, hole[1].OffMM = Hole, 3.27, 0, 0
	set := tenInRow()
	set[1].DMM = 4.88
	for _, p := range []struct {
		name     string
		seed     uint64
		from, to int
		all      []Planted
	}{
		{"row-1", 71, 0, 4, tenInRow()},
		{"row-3", 73, 6, 10, tenInRow()},
		{"row-2-hole", 74, 0, 3, hole},
		{"row-2-again", 75, 0, 3, set},
	} {
		if only := os.Getenv("BUCKTAIL_ONLY"); only != "" && only != p.name {
			continue
		}
		plan := Planned{Layout: "strip", Card: CardPlacement{PrintScale: [2]float64{1.002, 0.999}, ThicknessMM: 0.25, InkGainMM: 0.005}, Sheet: sheet}
		plan.Fasteners = p.all
		whole := DrawPlanned(70, plan).Fasteners
		var s *Scene
		for seed := p.seed; ; seed += 100 {
			plan.Fasteners = p.all[p.from:p.to]
			s = DrawPlanned(seed, plan)
			s.Fasteners = whole
			if !slices.ContainsFunc(whole, func(f Fastener) bool {
				return slices.ContainsFunc([]geom.SheetPoint{{}, {X: 3}, {X: -3}, {Y: 3}, {Y: -3}}, func(d geom.SheetPoint) bool { return s.Card.Covers(f.AxisMM.Add(d)) })
			}) {
				break
			}
		}
		s = s.Scaled(1600)
		s.Sensor.JPEGQuality = 78
		writePhoto(t, s, p.name)
	}
}
