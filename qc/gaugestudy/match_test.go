package gaugestudy

import (
	"errors"
	"testing"

	"bucktail/qc"
)

func TestMatch(t *testing.T) {
	row := func(dx float64, of ...float64) Photo {
		out := Photo{Camera: "A", Layout: "strip", Spots: []Spot{{XMM: 100}}} // one that is asked about
		for _, x := range of {
			out.Spots = append(out.Spots, Spot{XMM: x + dx, YMM: 20, Readings: []qc.Reading{{Quantity: qc.HeadDMax, ValueMM: 9, UMM: 9}, {Quantity: qc.HeadDMean, ValueMM: 5 + x/1000, UMM: 0.1}}})
		}
		return out
	}
	m, err := Match([]Photo{row(0, 10, 20, 40), row(0.2, 40, 30, 20, 10), row(-0.1, 10, 30)})
	if err != nil || m.Base != 1 || len(m.Objects) != 4 || m.Spots[0] != 1 {
		t.Fatalf("%+v, %v", m, err)
	}
	for i, want := range [][]float64{{5.04, 5.04, 0}, {0, 5.03, 5.03}, {5.02, 5.02, 0}, {5.01, 5.01, 5.01}} {
		for j := range want {
			near(t, "read", m.Objects[i].ReadMM[j], want[j], 1e-9)
		}
	}
	// One object was read on each: said before anybody measures by hand.
	if m.Few == nil || m.Few.Code != "few-objects" {
		t.Errorf("one object on every photo: %+v", m.Few)
	}
	if m, err = Match([]Photo{row(0, 10, 20, 30, 40), row(0, 10, 20, 30, 40), row(0, 40, 30, 20, 10)}); err != nil || m.Few != nil {
		t.Errorf("four on each of three: %+v, %v", m.Few, err)
	}
	// A row that was pushed along by less than its pitch is not read as one that stayed.
	_, err = Match([]Photo{row(0, 10, 20, 30, 40, 50), row(4, 10, 20, 30, 40, 50)})
	var r *qc.Refusal
	if !errors.As(err, &r) || r.Code != "moved" {
		t.Errorf("moved: %v", err)
	}
	// Printed circles are known by their size, wherever they lie, and bring their references.
	circles := func(dx float64, of ...float64) Photo {
		out := Photo{Camera: "A", Layout: "strip", Stretch: 1.01}
		for i, d := range of {
			out.Spots = append(out.Spots, Spot{XMM: dx + 10*float64(i), PrintedMM: d, ValueMM: d*1.01 + dx/1000, UMM: 0.02})
		}
		return out
	}
	m, err = Match([]Photo{circles(0, 10, 5.2, 7.6, 3.2), circles(3, 3.2, 10, 5.2, 7.6), circles(-7, 7.6, 5.2, 10, 3.2)})
	if err != nil || m.Few != nil || len(m.Objects) != 4 {
		t.Fatalf("circles: %+v, %v", m, err)
	}
	for i, d := range []float64{10, 5.2, 7.6, 3.2} {
		o := m.Objects[i]
		near(t, "reference", o.ReferenceMM, 1.01*d, 1e-12)
		near(t, "second photo", o.ReadMM[1], 1.01*d+0.003, 1e-12)
		near(t, "third photo", o.ReadMM[2], 1.01*d-0.007, 1e-12)
	}
	other := row(0, 10, 20)
	other.Camera = ""
	if _, err = Match([]Photo{row(0, 10, 20), other}); !errors.As(err, &r) || r.Code != "mixed" {
		t.Errorf("two cameras: %v", err)
	}
	if _, err = Match([]Photo{row(0), {}}); !errors.As(err, &r) || r.Code != "no-object" {
		t.Errorf("nothing: %v", err)
	}
}
