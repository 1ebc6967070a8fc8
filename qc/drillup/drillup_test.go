package drillup

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"bucktail/qc"
	"bucktail/qc/spec"
)

const in = 25.4

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 0.0055) {
		t.Errorf("%s: %.4f, want %.3f", what, got, want)
	}
}

// Worked example 3: from #40 to #30.
func TestWorkedDrilling(t *testing.T) {
	d, err := Plan(qc.Spec{Kind: qc.PulledHead, NominalMM: in / 8, Rivet: qc.Pulled}, qc.Millimetres)
	if err != nil || len(d.Steps) != 2 {
		t.Fatalf("%v, %d steps", err, len(d.Steps))
	}
	pilot, final := d.Steps[0], d.Steps[1]
	if pilot.Drill != "#40" || final.Drill != "#30" {
		t.Errorf("%s to %s", pilot.Drill, final.Drill)
	}
	near(t, "metal all round", d.CleanMM, 0.387)
	near(t, "calipers at the pilot hole", pilot.RimMM, 5.11)
	near(t, "calipers at the final hole", final.RimMM, 4.72)
	near(t, "band, least", final.MinMM, 3.251)
	near(t, "band, greatest", final.MaxMM, 3.353)
	near(t, "edge", d.EdgeMM, 6.35)
	near(t, "pilot, greatest", pilot.MaxMM, 2.489+0.004*in)
}

// The tolerance of drilled holes by the worked list of tools.
func TestDrilled(t *testing.T) {
	for d, want := range map[float64][2]float64{in / 8: {3.150, 3.277}, 3.2639: {3.239, 3.391}, 3.4544: {3.429, 3.581}} {
		lo, hi := spec.Drilled(d)
		near(t, "least", lo, want[0])
		near(t, "greatest", hi, want[1])
	}
}

// 5/32 in differs between pulled and solid; a metric rivet has a band and no drill's name.
func TestSizes(t *testing.T) {
	for _, c := range []struct {
		s     qc.Spec
		final string
		steps int
	}{{qc.Spec{Kind: qc.PulledHead, NominalMM: 5 * in / 32}, "#20", 2}, {qc.Spec{Kind: qc.ShopHead, NominalMM: 5 * in / 32}, "#21", 2}, {qc.Spec{Kind: qc.PulledHead, NominalMM: 3.2}, "", 1}} {
		d, err := Plan(c.s, qc.Millimetres)
		if err != nil || len(d.Steps) != c.steps || d.Steps[len(d.Steps)-1].Drill != c.final {
			t.Errorf("%+v: %v, %+v", c.s, err, d.Steps)
		}
	}
	// The recalled row of the pulled 3/16 in names a drill under its own band; no other does.
	for in32, told := range map[float64]bool{3: false, 4: false, 5: false, 6: true, 8: false} {
		d, err := Plan(qc.Spec{Kind: qc.PulledHead, NominalMM: in32 * in / 32, Rivet: qc.Pulled}, qc.Millimetres)
		if err != nil || strings.Contains(d.Notes[0], "#11 is 0.03 mm under the least hole") != told {
			t.Errorf("%g/32: %v, %q", in32, err, d.Notes[0])
		}
	}
	var r *qc.Refusal
	if _, err := Plan(qc.Spec{Kind: qc.ShopHead, NominalMM: 2.9}, qc.Millimetres); !errors.As(err, &r) || r.Code != "no-hole" {
		t.Errorf("%v", err)
	}
	if _, err := Plan(qc.Spec{}, qc.Millimetres); !errors.As(err, &r) || r.Code != "bad-spec" {
		t.Errorf("%v", err)
	}
}

func TestNext(t *testing.T) {
	if n := Next(qc.Marked); !slices.Contains(n, qc.PilotHole) {
		t.Errorf("%v", n)
	}
	if n := Next(qc.SetRivet); len(n) != 0 {
		t.Errorf("a hole where a rivet stands: %v", n)
	}
}
