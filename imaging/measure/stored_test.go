package measure

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"testing"

	"bucktail/qc"
)

var update = flag.Bool("update", false, "store the readings of the bundled photos anew")

const storedFile = "testdata/readings.json"

// stored is what one version of the method read on the bundled photos.
type stored struct {
	Method string                  `json:"method"`
	Photos map[string][]storedSpot `json:"photos"` // by "dev-03 shop-head"
}

// storedSpot is one fastener: where it stands, and its readings or why it was asked about.
type storedSpot struct {
	AtMM [2]float64 `json:"at_mm"` // centre on the sheet
	Ask  string     `json:"ask,omitempty"`
	// Value and U of each, mm; of several edges and neighbours the nearest.
	Readings map[qc.Quantity][2]float64 `json:"readings,omitempty"`
}

// A record keeps the method's version with each reading, so that anyone can tell which program
// read it. A change that moves a reading, or its uncertainty, must therefore raise the version.
//
// amd64 and WebAssembly round every product alike. Where the compiler may fuse it with a sum
// (arm64, ppc64, s390x, riscv64), readings may differ in the fourth decimal.
func TestReadingsMoveOnlyWithTheMethod(t *testing.T) {
	tolMM := 1e-6
	if a := runtime.GOARCH; a != "amd64" && a != "wasm" {
		tolMM = 1e-4
	}
	now := readBundled()
	var was stored
	b, err := os.ReadFile(storedFile)
	if err == nil {
		err = json.Unmarshal(b, &was)
	}
	if err != nil && !*update {
		t.Fatal(err)
	}
	moved := was.differences(now, tolMM)
	switch {
	case *update && was.Method == Method && len(moved) > 0:
		t.Fatalf("readings have moved and the method is still %q: raise measure.Method first; %d differences, such as\n%s", Method, len(moved), moved[0])
	case *update:
		b, err := json.MarshalIndent(now, "", " ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(storedFile, append(b, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	case was.Method != Method:
		t.Errorf("the method is %q, stored are readings of %q: store them anew (-update)", Method, was.Method)
	case len(moved) > 0:
		t.Errorf("raise measure.Method and store them anew (-update): %d readings have moved, such as\n%s", len(moved), moved[0])
	}
}

// differences names what lies farther apart than the tolerance.
func (s stored) differences(now stored, tolMM float64) (out []string) {
	for what, spots := range now.Photos {
		was := s.Photos[what]
		if len(was) != len(spots) {
			out = append(out, fmt.Sprintf("%s: %d fasteners, were %d", what, len(spots), len(was)))
			continue
		}
		for i, n := range spots {
			w := was[i]
			if n.Ask != w.Ask || len(n.Readings) != len(w.Readings) || math.Hypot(n.AtMM[0]-w.AtMM[0], n.AtMM[1]-w.AtMM[1]) > tolMM {
				out = append(out, fmt.Sprintf("%s: fastener %d is %+v, was %+v", what, i+1, n, w))
				continue
			}
			for q, r := range n.Readings {
				v := w.Readings[q]
				if !(math.Abs(r[0]-v[0]) <= tolMM && math.Abs(r[1]-v[1]) <= tolMM) {
					out = append(out, fmt.Sprintf("%s: fastener %d, %s is %.7f ± %.7f mm, was %.7f ± %.7f", what, i+1, q, r[0], r[1], v[0], v[1]))
				}
			}
		}
	}
	if len(now.Photos) != len(s.Photos) {
		out = append(out, fmt.Sprintf("%d photos and kinds, were %d", len(now.Photos), len(s.Photos)))
	}
	return out
}

// readBundled measures every kind of fastener on every bundled photo, values to 1e-7 mm.
func readBundled() stored {
	round := func(mm float64) float64 { return math.Round(mm*1e7) / 1e7 }
	out := stored{Method: Method, Photos: map[string][]storedSpot{}}
	for _, c := range everyKind() {
		res := c.auto
		spots := []storedSpot{}
		for i := range res.Locations {
			l := &res.Locations[i]
			s := storedSpot{AtMM: [2]float64{round(l.Centre.X), round(l.Centre.Y)}}
			if l.Ask != nil {
				s.Ask = l.Ask.Code
			}
			for _, r := range l.Readings {
				if v, ok := s.Readings[r.Quantity]; ok && v[0] <= r.ValueMM {
					continue
				}
				if s.Readings == nil {
					s.Readings = map[qc.Quantity][2]float64{}
				}
				s.Readings[r.Quantity] = [2]float64{round(r.ValueMM), round(r.UMM)}
			}
			spots = append(spots, s)
		}
		out.Photos[c.name+" "+string(c.opt.Kind)] = spots
	}
	return out
}

// The comparison itself is held: what a planted change moves is named.
func TestStoredReadingsNoticeAChange(t *testing.T) {
	spot := func(v, u float64, ask string) stored {
		return stored{Photos: map[string][]storedSpot{"a hole": {{Ask: ask, Readings: map[qc.Quantity][2]float64{qc.HoleDMean: {v, u}}}}}}
	}
	was := spot(4.1, 0.06, "")
	for name, now := range map[string]stored{
		"value": spot(4.100002, 0.06, ""), "U": spot(4.1, 0.060002, ""), "asked": spot(4.1, 0.06, "coarse"), "NaN": spot(math.NaN(), 0.06, ""),
		"none": {Photos: map[string][]storedSpot{"a hole": {}}}, "photo": {Photos: map[string][]storedSpot{}},
	} {
		if len(was.differences(now, 1e-6)) == 0 {
			t.Errorf("%s: not noticed", name)
		}
	}
	if d := was.differences(spot(4.1000005, 0.06, ""), 1e-6); len(d) > 0 {
		t.Errorf("within the tolerance: %v", d)
	}
}
