package qc

import (
	"errors"
	"math"
	"strings"
	"testing"

	"bucktail/qc/spec"
)

// A drill names the rivet whose hole it makes, and the hole is judged by that rivet. The sizes
// are those of FAA-H-8083-31 (solid: #40, #30, #21, #11, F, each the pilot of the next) and of
// TM 10-5410-221-14 and IFI-114 (pulled: #41, #30, #20, #11, F).
func TestDrillNamesItsRivet(t *testing.T) {
	const dash3, dash4, dash5, dash6, dash8 = 2.38125, 3.175, 3.96875, 4.7625, 6.35
	solid, pulled, pilot, final := Use{Rivet: Solid}, Use{Rivet: Pulled}, Use{Hole: PilotHole}, Use{Hole: FinalHole}
	both := func(r Rivet, h Stage) Use { return Use{Kind: Hole, Rivet: r, Hole: h} }
	for _, c := range []struct {
		drill string
		said  Use
		mm    float64 // 0: asked
		rivet Rivet
		hole  Stage
	}{
		{"#41", Use{}, dash3, Pulled, FinalHole}, {"#20", Use{}, dash5, Pulled, FinalHole},
		{"#40", Use{}, 0, "", ""}, {"#40", final, dash3, Solid, FinalHole}, {"#40", pilot, dash4, Solid, PilotHole},
		{"#30", Use{}, 0, "", ""}, {"#30", solid, 0, "", ""}, {"#30", final, 0, "", ""},
		{"#30", pulled, dash4, Pulled, FinalHole}, {"#30", pilot, dash5, Solid, PilotHole},
		{"#30", both(Solid, FinalHole), dash4, Solid, FinalHole}, {"#30", both(Solid, PilotHole), dash5, Solid, PilotHole},
		{"#21", Use{}, 0, "", ""}, {"#21", final, dash5, Solid, FinalHole}, {"#21", pilot, dash6, Solid, PilotHole},
		{"#11", solid, 0, "", ""}, {"#11", both(Solid, FinalHole), dash6, Solid, FinalHole}, {"#11", pulled, dash6, Pulled, FinalHole}, {"#11", pilot, dash8, Solid, PilotHole},
		{"f", Use{}, 0, "", ""}, {"F", solid, dash8, Solid, FinalHole}, {"F", pulled, dash8, Pulled, FinalHole},
		// A head says what its hole was.
		{"#30", Use{Kind: ShopHead}, dash4, Solid, FinalHole}, {"#30", Use{Kind: PulledHead}, dash4, Pulled, FinalHole},
		{"#21", Use{Kind: FlushHead, Rivet: Pulled, Hole: PilotHole}, dash5, Solid, FinalHole},
	} {
		s, err := ParseSize(c.drill, c.said)
		if c.mm == 0 {
			if !errors.Is(err, ErrWhichHole) {
				t.Errorf("%s, %+v: %+v, %v; it makes several holes", c.drill, c.said, s, err)
			}
			continue
		}
		if err != nil || math.Abs(s.NominalMM-c.mm) > 1e-9 || s.Rivet != c.rivet || s.Hole != c.hole || !strings.EqualFold(s.Drill, c.drill) {
			t.Errorf("%s, %+v: %+v, %v; want the %s of a %s rivet of %v mm", c.drill, c.said, s, err, c.hole, c.rivet, c.mm)
		}
	}
	for want, c := range map[string]struct {
		drill string
		said  Use
	}{
		"makes the final hole of a solid -4 (1/8 in), the pilot hole of a solid -5 (5/32 in) and the final hole of a pulled 1/8 in: say which": {"#30", Use{}},
		"makes the final hole of a pulled 5/32 in, which is not what was said: write":                                                          {"#20", solid},
		"drill #35 makes no rivet's hole in the tables: write the rivet's dash number":                                                         {"#35", Use{}},
	} {
		if s, err := ParseSize(c.drill, c.said); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %+v, %v; want %q", c.drill, s, err, want)
		}
	}
}

// Every drill that a table names for a hole is found, and the drill fits the hole's limits.
func TestDrilledHolesFitTheirDrill(t *testing.T) {
	for _, d := range spec.Drills {
		for _, h := range drilledBy(d.Name) {
			s := Spec{Kind: Hole, NominalMM: h.nominalMM, Rivet: h.rivet, Pilot: h.stage == PilotHole}
			ls, err := s.Limits()
			if err != nil {
				t.Fatal(err)
			}
			// IFI-114 names #11, 0.191 in, for holes of 0.192 to 0.196 in.
			const hair = 0.001*MMPerInch + 1e-9
			for _, l := range ls {
				if l.Quantity == HoleDMin && d.DiameterMM < l.MinMM-hair || l.Quantity == HoleDMax && d.DiameterMM > l.MaxMM+hair {
					t.Errorf("%s for %s: %.3f mm, limit %s", d.Name, h, d.DiameterMM, l.Text(Millimetres))
				}
			}
		}
	}
	named := map[string]bool{}
	for _, f := range spec.FinalDrills {
		named[f.Drill] = true
	}
	for _, rows := range [][]spec.HoleLimit{spec.SolidHoles, spec.PulledHoles} {
		for _, r := range rows {
			if r.Drill != "" {
				named[r.Drill] = true
			}
		}
	}
	for n := range named {
		if len(drilledBy(n)) == 0 {
			t.Errorf("%s makes no hole", n)
		}
	}
}

// An own limit whose size is a drill is for every rivet whose hole that drill makes, and for
// holes of the drill's own diameter, as older records hold them.
func TestOwnLimitBySizeOfDrill(t *testing.T) {
	l := OwnLimit{Quantity: "hole_d", Size: "#30", MaxMM: 3.4}
	if err := l.valid(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s    Spec
		want bool
	}{
		{Spec{Kind: Hole, NominalMM: 3.175, Rivet: Solid}, true},
		{Spec{Kind: Hole, NominalMM: 3.175, Rivet: Pulled}, true},
		{Spec{Kind: Hole, NominalMM: 3.96875, Rivet: Solid, Pilot: true}, true},
		{Spec{Kind: Hole, NominalMM: 3.2639}, true},
		{Spec{Kind: Hole, NominalMM: 3.96875, Rivet: Solid}, false},
		{Spec{Kind: Hole, NominalMM: 3.175, Rivet: Solid, Pilot: true}, false},
		{Spec{Kind: Hole, NominalMM: 3.96875, Rivet: Pulled}, false},
		{Spec{Kind: ShopHead, NominalMM: 3.175}, true},
	} {
		if _, ok := l.applies(c.s); ok != c.want {
			t.Errorf("%+v: %v", c.s, ok)
		}
	}
	l.MinD, l.MaxMM = 1.05, 3.4 // above 3.4 mm for the larger rivet whose pilot #30 is
	if err := l.valid(); err == nil {
		t.Error("bounds that contradict each other for one of the rivets were taken")
	}
}
