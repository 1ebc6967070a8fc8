package measure

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// markTruth is where a rendered mark is: on the photo, px, and on its sheet, mm.
type markTruth struct {
	Px [2]float64 `json:"px"`
	MM [2]float64 `json:"mm"`
}

func marked(t *testing.T, name string) ([]byte, []markTruth) {
	t.Helper()
	photo, err := os.ReadFile("testdata/" + name + ".jpg")
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile("testdata/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var truth []markTruth
	if err := json.Unmarshal(b, &truth); err != nil {
		t.Fatal(err)
	}
	return photo, truth
}

// markOptions are those of the printed card on the rendered photos.
var markOptions = Options{Kind: qc.Hole, NominalMM: 3.175, Mark: true, Only: true, ScaleX: 1.002, ScaleY: 0.999, ThicknessMM: 0.25}

// offBy is how far a mark that was read lies off the truth, px.
func offBy(l *Location, m markTruth) float64 {
	return math.Hypot(l.CentrePx.U-m.Px[0], l.CentrePx.V-m.Px[1])
}

// A tap up to a millimetre off a mark is drawn to its middle: crosses with a dimple and without one, on
// bare and on primed sheet; where none stands out clearly the program asks, and takes the hand's. Pitches
// and the distances to free edges hold the truth within U.
func TestMarksAreReadWhereTheyAre(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var asked, readings, outside int
	for _, name := range []string{"gusset-marks", "primed-marks", "angle-marks", "angle-marks-moved"} {
		photo, truth := marked(t, name)
		opt := markOptions
		near := func(i int, px float64) geom.PxPoint {
			a, d := 2*math.Pi*r.Float64(), px*r.Float64()
			return geom.PxPoint{U: truth[i].Px[0] + d*math.Cos(a), V: truth[i].Px[1] + d*math.Sin(a)}
		}
		for i := range truth {
			opt.Taps = append(opt.Taps, near(i, 11))
		}
		res, err := Photo(photo, opt)
		if err != nil || len(res.Locations) != len(truth) {
			t.Fatalf("%s: %v, %d of %d marks", name, err, len(res.Locations), len(truth))
		}
		taps := opt.Taps
		opt.Taps = nil
		for i := range res.Locations {
			l := &res.Locations[i]
			if l.Ask == nil {
				opt.Taps = append(opt.Taps, taps[i])
				if off := offBy(l, truth[i]); off > 0.6 {
					t.Errorf("%s: mark %d is read %.1f px off", name, i+1, off)
				}
				continue
			}
			asked++
			if l.Ask.Code != "no-mark" || len(l.Readings) > 0 {
				t.Errorf("%s: mark %d: %v, %d readings", name, i+1, l.Ask, len(l.Readings))
			}
			by := near(i, 2*handPx).Sub(l.CentrePx) // the hand moves it all
			h := HandOutline{l.SidesPx}
			for k := range h.SidesPx {
				h.SidesPx[k] = h.SidesPx[k].Add(by)
			}
			opt.Outlines = append(opt.Outlines, h)
		}
		if res, err = Photo(photo, opt); err != nil {
			t.Fatal(err)
		}
		of := func(l *Location) (m markTruth) {
			for i := range truth {
				if offBy(l, truth[i]) < 10 {
					m = truth[i]
				}
			}
			return m
		}
		for i := range res.Locations {
			l := &res.Locations[i]
			at := of(l).MM
			for _, x := range l.Readings {
				if x.Quantity.Diameter() {
					t.Errorf("%s: mark %d has a diameter", name, i+1)
				}
				var want float64
				switch {
				case x.ToIndex >= 0:
					b := of(&res.Locations[x.ToIndex]).MM
					want = math.Hypot(b[0]-at[0], b[1]-at[1])
				case name == "gusset-marks" || name == "primed-marks": // free edges along both axes
					want = at[1]
					if math.Abs(x.ValueMM-at[0]) < math.Abs(x.ValueMM-want) {
						want = at[0]
					}
				default: // the upright flange shows more lines than one
					continue
				}
				readings++
				if math.Abs(x.ValueMM-want) > x.UMM {
					outside++
				}
			}
		}
	}
	if asked > 4 || readings < 90 || outside > readings/20 {
		t.Errorf("%d of 20 marks are asked about; %d of %d readings are off by more than their U", asked, outside, readings)
	}
}

// On one line, on bare metal and beside the sheet's edge no place stands out: the program asks.
func TestNoMarkIsMadeUp(t *testing.T) {
	for _, name := range []string{"gusset-marks", "primed-marks"} {
		photo, truth := marked(t, name)
		opt := markOptions
		a, b := truth[0], truth[1] // along the sheet's x
		at := func(x, y float64) {
			u, v := (b.Px[0]-a.Px[0])/(b.MM[0]-a.MM[0]), (b.Px[1]-a.Px[1])/(b.MM[0]-a.MM[0])
			opt.Taps = append(opt.Taps, geom.PxPoint{U: a.Px[0] + u*x + v*y, V: a.Px[1] + v*x - u*y})
		}
		at(6.5, 0)
		at(3.2, 0)
		at(16, 6)
		at(30, 6)
		at(20, -8)
		res, err := Photo(photo, opt)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range res.Locations {
			if l.Ask == nil {
				t.Errorf("%s: tap %d is read as a mark", name, i+1)
			}
		}
	}
}

// Without a tap a photo of marks says what to do with it.
func TestMarksAreNotFound(t *testing.T) {
	photo, _ := marked(t, "primed-marks")
	opt := markOptions
	opt.Only = false
	res, err := Photo(photo, opt)
	if err != nil || len(res.Problems) != 1 || !strings.Contains(res.Problems[0].Do, "point at each mark") {
		t.Errorf("%v, %+v", err, res.Problems)
	}
}

// A cross is read at its middle; a short stroke has a middle too, and is no mark.
func TestStrokeIsNoMark(t *testing.T) {
	const side = 400
	cam := geom.Camera{FocalPx: 2800, CxPx: side / 2, CyPx: side / 2, R: [3][3]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, -1}}, T: [3]float64{0, 0, 200}}
	for name, c := range map[string]struct {
		longMM, acrossMM float64 // two strokes, square to each other
		ok               bool
	}{
		"cross":  {3, 3, true},
		"stroke": {2.4, 0.4, false},
	} {
		r := rand.New(rand.NewPCG(1, 2))
		pic := &raster.Picture{Y: raster.NewGrey(side, side)}
		for y := range side {
			for x := range side {
				p := cam.ToSheet(geom.PxPoint{U: float64(x), V: float64(y)}, 0)
				light := 150 + 3*r.NormFloat64()
				if u, v := math.Abs(p.X-0.5), math.Abs(p.Y+0.3); u < c.longMM/2 && v < 0.2 || u < 0.2 && v < c.acrossMM/2 {
					light = 60
				}
				pic.Y.Pix[y*side+x] = uint8(light)
			}
		}
		m := &sheetMap{cam: cam}
		at, ok := m.markNear(pic, geom.SheetPoint{X: 0.1, Y: 0})
		if ok != c.ok || ok && at.Sub(geom.SheetPoint{X: 0.5, Y: -0.3}).Norm() > 0.05 {
			t.Errorf("%s: %v at %.2f", name, ok, at)
		}
	}
}
