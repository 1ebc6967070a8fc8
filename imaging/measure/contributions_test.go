package measure

import (
	"math"
	"strings"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// Each part of a budget has the size that follows from where it comes from. On photos the parts
// that are small beside others would not be missed.

// part gives a labelled contribution to a reading, mm; 0 where there is none.
func part(r *Reading, label string) float64 {
	for _, c := range r.Contributions {
		if c.Label == label {
			return c.UMM
		}
	}
	return 0
}

func each(res *Result, q qc.Quantity, do func(l *Location, r *Reading)) (n int) {
	for i := range res.Locations {
		l := &res.Locations[i]
		for k := range l.Readings {
			if l.Readings[k].Quantity == q {
				n++
				do(l, &l.Readings[k])
			}
		}
	}
	return n
}

func near(got, want, relative float64) bool { return math.Abs(got-want) <= relative*math.Abs(want) }

// A print that is larger by the fraction e makes every length longer by it: one instrument
// measured both check lines, so that both err together. A card that is
// thicker by d puts the sheet farther off by d, and all on it is larger by d over the distance.
// How well the camera was fitted is what package plane is tested for; it must count.
func TestLengthsCarryTheCard(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	const relU, thickU = 0.004, 0.05
	n := 0
	for name, nominalMM := range map[string]float64{"dev-08": 4.7625, "dev-16": 2.38125} {
		res := Decoded(decoded(name), Options{Kind: qc.ShopHead, NominalMM: nominalMM, ScaleX: 1, ScaleY: 1, ScaleU: relU, ThicknessMM: 0.3, ThicknessU: thickU})
		check := func(_ *Location, r *Reading) {
			want := relU * r.ValueMM
			if got := part(r, "card print scale"); !near(got, want, 0.1) {
				t.Errorf("%s, %s %.2f mm: the print scale adds %.4f mm, want %.4f", name, r.Quantity, r.ValueMM, got, want)
			}
			want = r.ValueMM * thickU / res.Scale.DistanceMM
			if got := part(r, "card thickness"); !near(got, want, 0.3) {
				t.Errorf("%s, %s %.2f mm: the card's thickness adds %.5f mm, want %.5f", name, r.Quantity, r.ValueMM, got, want)
			}
			if part(r, "camera fit") <= 0 {
				t.Errorf("%s, %s %.2f mm: the camera is taken for exact", name, r.Quantity, r.ValueMM)
			}
		}
		n += each(res, qc.Pitch, check) + each(res, qc.EdgeDistance, check) + each(res, qc.HeadDMean, check)
	}
	if n < 10 {
		t.Errorf("only %d lengths were read", n)
	}
}

// acrossEdge is a vector on the sheet square to the edge that r goes to.
func acrossEdge(r *Reading) geom.SheetPoint {
	d := r.EdgeMM[1].Sub(r.EdgeMM[0])
	return geom.SheetPoint{X: -d.Y, Y: d.X}
}

// A pitch has two ends that err independently of each other.
func TestPitchCarriesBothCentres(t *testing.T) {
	res := someHeads()
	n := each(res, qc.Pitch, func(l *Location, r *Reading) {
		to := &res.Locations[r.ToIndex]
		for k, a := range l.centreU {
			b := to.centreU[k]
			if a.AlongMM != a.AcrossMM || a.Label != b.Label {
				continue // those that depend on the direction are tried below
			}
			if got, want := part(r, a.Label), math.Hypot(a.AlongMM, b.AlongMM); !near(got, want, 1e-6) {
				t.Errorf("pitch %.2f mm: %q adds %.4f mm, want %.4f", r.ValueMM, a.Label, got, want)
			}
		}
	})
	if n < 2 {
		t.Errorf("only %d pitches were read", n)
	}
}

// A head that is higher than was thought is seen shifted along the line of sight's way over the
// sheet, and not across it.
func TestHeadHeightMovesACentreAlongTheLineOfSight(t *testing.T) {
	along := geom.SheetPoint{X: 0.3, Y: 0}
	for _, c := range []struct{ n, want geom.SheetPoint }{
		{n: geom.SheetPoint{X: 1}, want: geom.SheetPoint{X: 3}},
		{n: geom.SheetPoint{Y: -1}, want: geom.SheetPoint{X: 1}},
		{n: geom.SheetPoint{X: 0.6, Y: 0.8}, want: geom.SheetPoint{X: math.Hypot(0.6*3, 0.8*1)}},
	} {
		if got := toward([]CentreTerm{{"x", 3, 1}}, c.n, along); len(got) != 1 || !near(got[0].UMM, c.want.X, 1e-12) {
			t.Errorf("3 mm along and 1 across give %v in direction %v, want %.3f", got, c.n, c.want.X)
		}
	}
	res := someHeads()
	n := 0
	for _, q := range []qc.Quantity{qc.EdgeDistance, qc.Pitch} {
		each(res, q, func(l *Location, r *Reading) {
			v := geom.SheetPoint{}
			ends := []*Location{l}
			if q == qc.Pitch {
				ends = append(ends, &res.Locations[r.ToIndex])
				v = ends[1].Centre.Sub(l.Centre)
			} else {
				v = acrossEdge(r)
			}
			want := 0.0
			for _, e := range ends {
				slope := res.Scale.Camera.ViewSlope(e.Centre)
				want = math.Hypot(want, contourUs[qc.ShopHead].posSlope*2*e.RadiusMM*slope.Dot(v)/v.Norm())
			}
			n++
			// The view's slope is taken where the head was sought, a little off.
			if got := part(r, "centre: head height"); math.Abs(got-want) > 0.03*want+1e-4 {
				t.Errorf("%s %.2f mm: the head's height adds %.4f mm, want %.4f", q, r.ValueMM, got, want)
			}
		})
	}
	if n < 4 {
		t.Errorf("only %d lengths were read", n)
	}
}

// Of n points spread evenly round a circle, each off by s, the radius is known to s/√n and each
// coordinate of the centre to s √(2/n); so the diameter, twice the radius, is known √2 times
// as badly as the centre.
func TestNoiseOfADiameterIsTwiceThatOfItsRadius(t *testing.T) {
	res := someHoles()
	n := each(res, qc.HoleDMean, func(l *Location, r *Reading) {
		centre := 0.0
		for _, p := range l.centreU {
			if p.Label == "centre: noise" {
				centre = p.AlongMM
			}
		}
		if got := part(r, "outline: noise") / centre; !(got > 1.1 && got < 1.8) {
			t.Errorf("the noise of the diameter is %.2f times that of the centre, want about 1.41", got)
		}
	})
	if n < 2 {
		t.Errorf("only %d holes were read", n)
	}
}

// What may be wrong with the form of a contour on the whole may be wrong with its two-fold part
// as well: the greatest and the least are no better known than the mean.
func TestGreatestAndLeastCarryTheOvality(t *testing.T) {
	for _, c := range []struct {
		res             *Result
		greatest, least qc.Quantity
	}{{someHeads(), qc.HeadDMax, qc.HeadDMin}, {someHoles(), qc.HoleDMax, qc.HoleDMin}} {
		n := 0
		for _, q := range []qc.Quantity{c.greatest, c.least} {
			n += each(c.res, q, func(l *Location, r *Reading) {
				if got, mean := part(r, "ovality"), part(r, "outline: form and lighting"); !(mean > 0 && got >= 0.7*mean) {
					t.Errorf("%s: the ovality adds %.4f mm, the form on the whole %.4f", q, got, mean)
				}
			})
		}
		if n < 4 {
			t.Errorf("%s: only %d diameters were read", c.greatest, n)
		}
	}
}

// A finger's mark is good to 1.5 px. An outline has two marks, of which either may move its
// diameter by twice as much; an edge two ends, of which its middle is the mean.
func TestMarksByHandCarryTheHand(t *testing.T) {
	const finger = 1.5
	opt, auto := shopHeads, someHeads()
	var l *Location
	var r *Reading
	each(auto, qc.EdgeDistance, func(at *Location, to *Reading) { l, r = at, to })
	if l == nil {
		t.Fatal("no edge was found")
	}
	cam := auto.Scale.Camera
	opt.Only = true
	opt.Outlines = []HandOutline{{apart(l, 9)}} // no edge is as far off: the marks alone

	opt.Edges = []HandEdge{{r.EdgePx[0], r.EdgePx[1]}}
	hand := Decoded(decoded("dev-16"), opt)
	n := each(hand, qc.HeadDMean, func(l *Location, r *Reading) {
		px := part(r, "outline placed by hand") * cam.PxPerMM(l.Centre, 0.2*opt.NominalMM)
		if !(px > 0.9*finger && px < 1.1*2*math.Sqrt2*finger) {
			t.Errorf("a hand-placed diameter is good to %.2f px, a finger to %.1f", px, finger)
		}
	})
	n += each(hand, qc.EdgeDistance, func(l *Location, r *Reading) {
		mid := r.EdgeMM[0].Add(r.EdgeMM[1]).Scale(0.5)
		if got, want := part(r, "edge: placed by hand"), finger/math.Sqrt2/cam.PxPerMM(mid, 0); !near(got, want, 0.1) {
			t.Errorf("a hand-placed edge is good to %.4f mm, want %.4f", got, want)
		}
		if px := part(r, "outline placed by hand") * cam.PxPerMM(l.Centre, 0.2*opt.NominalMM); !near(px, finger, 0.1) {
			t.Errorf("a hand-placed centre is good to %.2f px, a finger to %.1f", px, finger)
		}
	})
	if n != 2 {
		t.Errorf("%d readings of a hand-placed outline and edge, want 2: %+v", n, hand.Problems)
	}

	a, b := geom.PxPoint{U: 300, V: 400}, geom.PxPoint{U: 1300, V: 400}
	m, err := mapByTwoPoints(&photo.Photo{Width: 2000, Height: 1500, Focal35MM: 26}, &TwoPoints{P0Px: a, P1Px: b, MM: 60})
	if err != nil {
		t.Fatal(err)
	}
	p, q := geom.SheetPoint{X: -5}, geom.SheetPoint{X: 5}
	want := 10 * math.Sqrt2 * finger / 1000
	if got := labelled(m.lengths(p, q, 0), "scale placed by hand"); !near(got, want, 1e-6) {
		t.Errorf("a scale of two marks 1000 px apart adds %.4f mm to 10 mm, want %.4f", got, want)
	}
}

func labelled(cs []qc.Contribution, label string) float64 {
	return part(&Reading{Reading: qc.Reading{Contributions: cs}}, label)
}

// A phone that leaned when two points gave the scale misreads a length off the middle; what the
// budget says of it is what the geometry of a pinhole makes of the tilt that it assumes.
func TestTwoPointsAllowForTheTilt(t *testing.T) {
	const distMM, focalPx, offMM, lengthMM = 150.0, 1500.0, 30.0, 6.0
	sin, cos := math.Sincos(byEyeTiltU)
	leaning := geom.Camera{FocalPx: focalPx, CxPx: 999.5, CyPx: 749.5, // about the sheet's x
		R: [3][3]float64{{1, 0, 0}, {0, -cos, -sin}, {0, sin, -cos}}, T: [3]float64{0, 0, distMM}}
	m := mapSquare(&photo.Photo{Width: 2000, Height: 1500}, distMM/focalPx, 0, byEyeTiltU, "two points")
	for _, y := range []float64{-offMM, offMM} {
		p, q := geom.SheetPoint{X: -lengthMM / 2, Y: y}, geom.SheetPoint{X: lengthMM / 2, Y: y}
		read := m.cam.ToSheet(leaning.Project(q, 0), 0).Sub(m.cam.ToSheet(leaning.Project(p, 0), 0)).Norm()
		off := math.Abs(read - lengthMM)
		if got := labelled(m.lengths(p, q, 0), "unknown camera tilt"); !near(got, off, 0.2) {
			t.Errorf("%.0f mm off the middle %.0f mm are read %.3f mm wrong under a tilt of one standard uncertainty; the budget says %.3f", y, lengthMM, off, got)
		}
	}
}

// Whatever is said of an edge's place counts in the distance to it.
func TestEdgeDistanceCarriesTheEdge(t *testing.T) {
	res := someHeads()
	n := each(res, qc.EdgeDistance, func(l *Location, r *Reading) {
		edge, rest := 0.0, 0.0
		for _, c := range r.Contributions {
			if strings.HasPrefix(c.Label, "edge") {
				edge = math.Hypot(edge, c.UMM)
			} else {
				rest = math.Hypot(rest, c.UMM)
			}
		}
		// A deburred rim is rounded by a tenth of a millimetre or so: no photo places it better
		// than to a fraction of that.
		if edge < 0.01 || !near(math.Hypot(edge, rest), r.UMM/2, 1e-6) {
			t.Errorf("edge distance %.2f mm: the edge adds %.4f mm, the rest %.4f, U is %.4f", r.ValueMM, edge, rest, r.UMM)
		}
	})
	if n < 2 {
		t.Errorf("only %d edges were found", n)
	}
}
