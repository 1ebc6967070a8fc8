package answer

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"testing"

	"bucktail/imaging/measure"
	"bucktail/qc"
)

func photo16(t *testing.T) []byte {
	t.Helper()
	b, err := os.ReadFile("../../testdata/photos/dev-16.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The document stands by itself after a trip through JSON: every reading has its places,
// its U and its photo, every check its limit with a source, and the verdict is the worst.
func TestDocumentCarriesWhatItClaims(t *testing.T) {
	study := qc.Proof{Study: "a study", Factor: 1.5, Setup: qc.Setup{Device: "phone", Camera: "Synthetic Render", Sheet: "2", Layout: "window", Kind: qc.ShopHead}}
	d, err := Measure(photo16(t), Options{Spec: qc.Spec{Kind: qc.ShopHead, NominalMM: 2.38125}, Size: "3", Photo: "dev-16.jpg",
		Proofs: []qc.Proof{study}, Device: "phone", Sheet: "2",
		Measure: measure.Options{ScaleX: 0.99853, ScaleY: 1.00192, ThicknessMM: 0.29}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var back Document
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	if back.Scale == nil || back.Scale.Layout != "window" || back.SHA256 == "" || back.Method != measure.Method || back.Photo != "dev-16.jpg" {
		t.Fatalf("head of the document: %+v", back)
	}
	if back.Proven == nil || *back.Proven != (qc.Proven{Proof: study}) {
		t.Fatalf("the gauge study in force: %+v", back.Proven)
	}
	readings, checks := 0, 0
	for i, l := range back.Locations {
		// The places are the document's own camera's: the centre on the sheet is seen at centre_px.
		cam := back.Scale.Camera.Geom()
		p := cam.Project(struct{ X, Y float64 }{l.SheetMM[0], l.SheetMM[1]}, 0)
		if math.Hypot(p.U-l.CentrePx[0], p.V-l.CentrePx[1]) > 0.05 {
			t.Errorf("location %d: centre_px %v, by the camera %v", i, l.CentrePx, p)
		}
		if l.Ask != nil {
			if len(l.Readings) > 0 || l.Ask.Do == "" {
				t.Errorf("location %d asks %q and has %d readings", i, l.Ask, len(l.Readings))
			}
			continue
		}
		var vs []qc.Verdict
		for _, r := range l.Readings {
			readings++
			if r.Grown == nil || math.Abs(r.UMM-1.5*r.Grown.UMM) > 1e-12 {
				t.Errorf("location %d: U of %s is %v, grown from %+v", i, r.Quantity, r.UMM, r.Grown)
			}
			if r.UMM <= 0 || r.Photo != back.SHA256 {
				t.Errorf("location %d: %+v", i, r.Reading)
			}
			if (r.Quantity == qc.EdgeDistance) != (r.EdgePx != nil) || (r.Quantity == qc.Pitch) != (r.ToPx != nil && r.To != nil) {
				t.Errorf("location %d: %s without its places", i, r.Quantity)
			}
		}
		for _, c := range l.Checks {
			checks++
			vs = append(vs, c.Verdict)
			if c.Limit.Source == "" {
				t.Errorf("location %d: a limit without a source: %+v", i, c.Limit)
			}
		}
		if l.Verdict != qc.Worst(vs...) {
			t.Errorf("location %d: %q of %v", i, l.Verdict, vs)
		}
	}
	if readings < 10 || checks < 4 {
		t.Errorf("%d readings, %d checks", readings, checks)
	}
}

func TestWhatIsWrongIsSaid(t *testing.T) {
	d, err := Measure([]byte("not a picture"), Options{Spec: qc.Spec{Kind: qc.Hole, NominalMM: 4}})
	if err != nil || len(d.Problems) != 1 || d.Problems[0].Do == "" || d.Measured() {
		t.Errorf("no picture: %+v, %v", d, err)
	}
	for _, s := range []qc.Spec{{Kind: "nail", NominalMM: 4}, {Kind: qc.Hole}, {Kind: qc.Hole, NominalMM: 4, LimitSet: "none such"}} {
		var r *qc.Refusal
		if _, err := Measure(nil, Options{Spec: s}); !errors.As(err, &r) || r.Code == "" {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

// A head beside one that is asked about has no pitch to it: its location says why, and the one that
// is asked about is not measured.
func TestNeighbourThatIsAskedAbout(t *testing.T) {
	const note = "a neighbour was seen but not measured, so its pitch was not read"
	head := measure.Location{Kind: qc.ShopHead, Readings: []measure.Reading{
		{Reading: qc.Reading{Quantity: qc.HeadDMean, ValueMM: 7, UMM: 0.1, How: qc.ByPhoto}, ToIndex: -1}}}
	asked := measure.Location{Kind: qc.ShopHead, Ask: &qc.Refusal{Code: "coarse", Text: "only 15 pixels across", Do: "move closer"}}
	opt := Options{Spec: qc.Spec{Kind: qc.ShopHead, NominalMM: 4.7625}}
	for name, c := range map[string]struct {
		there    []measure.Location
		told     bool
		measured bool
	}{"alone": {[]measure.Location{head}, false, true}, "beside one": {[]measure.Location{head, asked}, true, false}} {
		var d Document
		if err := d.fill(&measure.Result{Locations: c.there}, &opt); err != nil {
			t.Fatal(err)
		}
		if got := slices.Contains(d.Locations[0].Notes, note); got != c.told {
			t.Errorf("%s: told %v, want %v: %q", name, got, c.told, d.Locations[0].Notes)
		}
		if d.Measured() != c.measured {
			t.Errorf("%s: measured is %v", name, d.Measured())
		}
	}
}
