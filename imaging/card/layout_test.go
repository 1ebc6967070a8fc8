package card

import (
	"math"
	"math/cmplx"
	"testing"

	"bucktail/imaging/geom"
)

func TestLayoutsAreWhole(t *testing.T) {
	if len(Layouts) != 3 {
		t.Fatalf("%d layouts", len(Layouts))
	}
	if RingOuterRadiusMM != 2.5 || RingInnerRadiusMM != 1.6 || DotRadiusMM != 0.75 {
		t.Errorf("ring radii %g %g %g", RingOuterRadiusMM, RingInnerRadiusMM, DotRadiusMM)
	}
	for _, l := range Layouts {
		if ByName(l.Name) != l {
			t.Errorf("%s is not found by its name", l.Name)
		}
		for i, a := range l.Targets {
			// White paper all round the ring, as the search for it takes for granted.
			if d := l.DepthMM(a.At); d < RingOuterRadiusMM+1.9 {
				t.Errorf("%s: target %d lies %.1f mm from the paper's edge", l.Name, i, d)
			}
			for _, b := range l.Targets[:i] {
				if math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y) < 9 {
					t.Errorf("%s: target %d is too near another", l.Name, i)
				}
			}
		}
	}
	if ByName("no such card") != nil {
		t.Error("a card of no name")
	}
}

func TestDepthLeavesTheWindowOut(t *testing.T) {
	w, c := ByName("window"), ByName("corner")
	for _, x := range []struct {
		l    *Layout
		p    geom.CardPoint
		want float64
	}{
		{w, geom.CardPoint{X: 8, Y: 33}, 8},
		{w, geom.CardPoint{X: 43, Y: 33}, -17}, // in the window, 17 from its upper and lower side
		{w, geom.CardPoint{X: -3, Y: 20}, -3},
		{c, geom.CardPoint{X: 40, Y: 40}, -24}, // in the angle of the L
		{c, geom.CardPoint{X: 8, Y: 60}, 8},
	} {
		if d := x.l.DepthMM(x.p); math.Abs(d-x.want) > 1e-12 {
			t.Errorf("%s at %v: %g, want %g", x.l.Name, x.p, d, x.want)
		}
	}
}

// Two placements of cards that share six or more rings of the same kind must contradict
// each other at one ring at least, or six rings could be misread. Rings count as shared
// within 1.5 mm, more than any error of the finder.
func TestSixRingsNameOnePlacement(t *testing.T) {
	at := func(p geom.CardPoint) complex128 { return complex(p.X, p.Y) }
	checked := 0
	for _, a := range Layouts {
		for _, b := range Layouts {
			for i, p := range a.Targets {
				for j, q := range a.Targets {
					for k, r := range b.Targets {
						for l, s := range b.Targets {
							va, vb := at(q.At)-at(p.At), at(s.At)-at(r.At)
							if i == j || k == l || math.Abs(cmplx.Abs(va)-cmplx.Abs(vb)) > 0.1*cmplx.Abs(va) {
								continue
							}
							turn := vb / va
							turn /= complex(cmplx.Abs(turn), 0)
							same, other, moved := 0, 0, a != b
							for m, x := range a.Targets {
								z := (at(x.At)-at(p.At))*turn + at(r.At)
								for n, y := range b.Targets {
									if cmplx.Abs(z-at(y.At)) > 1.5 {
										continue
									}
									moved = moved || m != n
									if x.Full == y.Full {
										same++
									} else {
										other++
									}
								}
							}
							checked++
							if moved && same >= minSeen && other == 0 {
								t.Errorf("%s laid on %s shares %d rings and contradicts none", a.Name, b.Name, same)
							}
						}
					}
				}
			}
		}
	}
	if checked < 1000 {
		t.Errorf("only %d placements compared", checked)
	}
}
