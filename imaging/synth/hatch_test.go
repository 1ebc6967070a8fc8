//go:build training

package synth

// This file photographs the parts of the demonstration: gussets and corner angles of the
// baggage-hatch frame of an invented two-seat amphibian. What is read off these photos comes
// from the pipeline each time; here stands only what was built.
//
// BUCKTAIL_ONLY names one photo, BUCKTAIL_SEED photographs it anew.
//
//	BUCKTAIL_PHOTOS=$PWD/server/demo/photos go test -tags training -run WriteHatch -timeout 2h ./imaging/synth

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"bucktail/imaging/geom"
)

// corner is a gusset with a cut corner on the frame's wide sheet.
func corner(finish Finish) Sheet {
	return Sheet{Finish: finish, ThicknessMM: 0.813, BevelMM: 0.1, Grain: 0.03, Streak: 0.01, Tone: 0.6, Pits: 0.1, Rough: 0.15, Cloud: 0.2,
		PolygonMM: [][2]float64{{0, 0}, {92, 0}, {92, 40}, {40, 92}, {0, 92}}, RadiiMM: []float64{3, 3, 3, 3, 3},
		Under: "sheet", UnderMM: [][2]float64{{-40, -30}, {160, -30}, {160, 160}, {-40, 160}}, Bench: "wood", BenchMM: 6}
}

// overBench is the same gusset before it is fitted: its edges stand against the bench.
func overBench(finish Finish) Sheet {
	s := corner(finish)
	s.Under, s.UnderMM, s.BenchMM = "none", nil, 9
	return s
}

// angle is a corner angle that lies on the bench, its other flange upright.
func angle(finish Finish) Sheet {
	return Sheet{Finish: finish, ThicknessMM: 1.016, BevelMM: 0.1, Grain: 0.03, Streak: 0.01, Tone: 0.6, Pits: 0.1, Rough: 0.15, Cloud: 0.2,
		PolygonMM: [][2]float64{{0, 0}, {130, 0}, {130, 59.016}, {0, 59.016}}, RadiiMM: []float64{3, 3, 0.6, 0.6},
		Leg: &StandingLeg{Y: 58, X0: 0, X1: 130, R: 3, H: 20}, Under: "none", Bench: "board", BenchMM: 1.3}
}

// six stand four along the lower edge and two up the side.
func six(kind Kind, dash string, widths ...float64) []Planted {
	var out []Planted
	for i, d := range widths {
		p := Planted{AtMM: geom.SheetPoint{X: 10 + 13*float64(i), Y: 9}, Dash: dash, Kind: kind, DMM: d}
		if i > 3 {
			p.AtMM = geom.SheetPoint{X: 10, Y: 9 + 13*float64(i-3)}
		}
		if kind == ShopHead {
			p.Oval, p.OffMM = 0.012, 0.05
		}
		out = append(out, p)
	}
	return out
}

// row stands along the lower edge, the third nearer to it than the rest.
func row(third float64, widths ...float64) []Planted {
	var out []Planted
	for i, d := range widths {
		p := Planted{AtMM: geom.SheetPoint{X: 14 + 13*float64(i), Y: 9}, Dash: "4", Kind: ShopHead, DMM: d, Oval: 0.012, OffMM: 0.05}
		if i == 2 {
			p.AtMM.Y = third
		}
		out = append(out, p)
	}
	return out
}

type shot struct {
	name   string
	seed   uint64
	layout string
	sheet  Sheet
	what   []Planted
}

func hatchFrame() []shot {
	sound := six(ShopHead, "4", 4.78, 4.9, 4.85, 4.81, 4.95, 4.83)
	return []shot{
		{"aft-left", 52, "corner", overBench(Green), six(ShopHead, "4", 4.86, 4.05, 4.8, 4.91, 4.385, 4.84)},
		{"forward-left-holes", 41, "corner", corner(Bare), six(Hole, "4", 3.27, 3.29, 3.28, 3.26, 3.28, 3.27)},
		{"forward-left-a", 55, "corner", overBench(Bare), sound},
		{"forward-left-b", 57, "corner", overBench(Bare), sound},
		{"forward-right", 44, "corner", corner(Green), six(ShopHead, "4", 4.82, 4.88, 4.06, 4.79, 4.86, 4.91)},
		{"forward-right-again", 45, "corner", corner(Green), six(ShopHead, "4", 4.82, 4.88, 4.93, 4.79, 4.86, 4.91)},
		{"aft-right-holes", 47, "corner", corner(Bare), six(Hole, "4", 3.27, 3.28, 3.29, 3.27, 3.56, 3.28)},
		{"angle-left", 48, "strip", angle(Bare), row(5.4, 4.84, 4.9, 4.81, 4.87, 4.79)},
		{"hinge-doubler", 49, "corner", overBench(Green), six(ShopHead, "3", 3.58, 3.64, 3.7, 2.98, 3.61, 3.66)},
	}
}

// marked are rows that are only marked yet: a cross of pen lines and a centre punch's dimple, of every
// third the cross alone. On the angle the second stands too near its upright flange, then it is moved.
func marked() []shot {
	at := func(places ...float64) (out []Planted) {
		for i := 0; i < len(places); i += 2 {
			out = append(out, Planted{AtMM: geom.SheetPoint{X: places[i], Y: places[i+1]}, Dash: "4", Kind: Hole, DMM: 3.27})
		}
		return out
	}
	leg := angle(Bare)
	leg.ThicknessMM, leg.Leg.Y = 1.6, 59.016-1.6
	y := 59.016 - 13.4 // from the upright flange's outer face
	return []shot{
		{"gusset-marks", 61, "corner", overBench(Bare), six(Hole, "4", 3.27, 3.27, 3.27, 3.27, 3.27, 3.27)},
		{"primed-marks", 62, "corner", overBench(Green), six(Hole, "4", 3.27, 3.27, 3.27, 3.27, 3.27, 3.27)},
		{"angle-marks", 63, "strip", leg, at(28, y, 49.33, 59.016-9, 70.67, y, 92, y)},
		{"angle-marks-moved", 64, "strip", leg, at(28, y, 49.33, y, 70.67, y, 92, y)},
	}
}

// onTheAngle are the same four places when they are drilled up and when their pulled rivets are set.
func onTheAngle() []shot {
	leg := marked()[3].sheet
	var holes, set []Planted
	for i, x := range []float64{28, 49.33, 70.67, 92} {
		at := geom.SheetPoint{X: x, Y: 59.016 - 13.4}
		holes = append(holes, Planted{AtMM: at, Dash: "4", Kind: Hole, DMM: []float64{3.29, 3.31, 3.3, 3.3}[i]})
		set = append(set, Planted{AtMM: at, Dash: "4", Kind: Pulled, DMM: []float64{6.33, 6.38, 6.35, 6.36}[i], Oval: 0.004})
	}
	return []shot{{"angle-holes", 65, "strip", leg, holes}, {"angle-set", 66, "strip", leg, set}}
}

// asMarks leaves of each hole the mark that it would be drilled in.
func (s *Scene) asMarks() {
	s.Strokes, s.Chips, s.InkColour = nil, nil, [3]float64{0.05, 0.05, 0.06}
	var punched []Fastener
	for i, f := range s.Fasteners {
		for _, u := range []geom.SheetPoint{{X: 1}, {Y: 1}} {
			s.Strokes = append(s.Strokes, Stroke{From: f.AxisMM.Sub(u.Scale(4)), To: f.AxisMM.Add(u.Scale(4)), WidthMM: 0.3, Strength: 0.6, Ragged: 0.3})
		}
		if i%3 != 2 {
			f.BoreMM, f.ChamferMM = 0.06, 0.45
			punched = append(punched, f)
		}
	}
	s.Fasteners = punched
}

// BUCKTAIL_PHOTOS=$PWD/imaging/measure/testdata go test -tags training -run WriteMarks -timeout 1h ./imaging/synth
func TestWriteMarks(t *testing.T) {
	type mark struct {
		Px [2]float64 `json:"px"` // its middle on the photo
		MM [2]float64 `json:"mm"` // and on the sheet
	}
	for _, p := range append(marked(), onTheAngle()...) {
		if only := os.Getenv("BUCKTAIL_ONLY"); only != "" && only != p.name {
			continue
		}
		s := p.scene()
		var truth []mark
		for _, f := range s.Fasteners {
			at := s.Project(f.AxisMM, 0)
			truth = append(truth, mark{[2]float64{math.Round(at.U*100) / 100, math.Round(at.V*100) / 100}, [2]float64{f.AxisMM.X, f.AxisMM.Y}})
		}
		if strings.Contains(p.name, "marks") {
			s.asMarks()
		}
		img, _ := s.Render()
		var b bytes.Buffer
		if err := s.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		j, err := json.Marshal(truth)
		if err != nil {
			t.Fatal(err)
		}
		for ext, data := range map[string][]byte{".jpg": b.Bytes(), ".json": append(j, '\n')} {
			if err := os.WriteFile(filepath.Join(os.Getenv("BUCKTAIL_PHOTOS"), p.name+ext), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// scene photographs a shot, with the card that server/demo says was measured.
func (p shot) scene() *Scene {
	if other, err := strconv.ParseUint(os.Getenv("BUCKTAIL_SEED"), 10, 64); err == nil {
		p.seed = other
	}
	s := DrawPlanned(p.seed, Planned{Layout: p.layout, Card: CardPlacement{PrintScale: [2]float64{1.002, 0.999}, ThicknessMM: 0.25, InkGainMM: 0.005},
		Sheet: p.sheet, Fasteners: p.what}).Scaled(1800)
	s.Sensor.JPEGQuality = 78
	return s
}

func TestWriteHatchFrame(t *testing.T) {
	for _, p := range hatchFrame() {
		if only := os.Getenv("BUCKTAIL_ONLY"); only != "" && only != p.name {
			continue
		}
		s := p.scene()
		writePhoto(t, s, p.name)
	}
}

// Where each fastener shows on each photo, so that its tag can be told: what a person would tap.
func TestWriteHatchPlaces(t *testing.T) {
	places := map[string][][2]int{}
	for _, p := range hatchFrame() {
		s := p.scene()
		for _, f := range s.Fasteners {
			at := s.Project(f.AxisMM, 0)
			places[p.name] = append(places[p.name], [2]int{int(at.U + 0.5), int(at.V + 0.5)})
		}
	}
	b, err := json.Marshal(places)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(os.Getenv("BUCKTAIL_PHOTOS"), "places.json"), append(b, '\n'), 0o644); err != nil {
		t.Fatal(err)
	}
}

// writePhoto renders a scene and keeps it as NAME.jpg in the folder that BUCKTAIL_PHOTOS names.
func writePhoto(t *testing.T, s *Scene, name string) {
	t.Helper()
	img, _ := s.Render()
	var b bytes.Buffer
	if err := s.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(os.Getenv("BUCKTAIL_PHOTOS"), name+".jpg"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
