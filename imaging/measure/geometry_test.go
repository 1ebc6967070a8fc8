package measure

import (
	"math"
	"os"
	"testing"

	"bucktail/imaging/fastener"
	"bucktail/imaging/fastener/outline"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
	"bucktail/qc"
)

// What is read is what is drawn: a diameter is twice the outline's radius, out-of-round lies evenly
// about the mean, of a hole, which is a slot then, at 0.4 and 0.6, an edge distance goes square to the edge's line, a pitch from centre to centre.
func TestReadingsAreTheGeometryThatIsShown(t *testing.T) {
	n := map[qc.Quantity]int{}
	for _, res := range []*Result{someHeads(), someHoles()} {
		for i := range res.Locations {
			l := &res.Locations[i]
			if l.Ask != nil {
				continue
			}
			is := map[qc.Quantity]float64{}
			for _, r := range l.Readings {
				n[r.Quantity]++
				switch r.Quantity {
				case qc.EdgeDistance:
					v := acrossEdge(&r)
					if want := math.Abs(l.Centre.Sub(r.EdgeMM[0]).Dot(v)) / v.Norm(); !near(r.ValueMM, want, 1e-9) {
						t.Errorf("an edge %.4f mm away is read as %.4f", want, r.ValueMM)
					}
				case qc.Pitch:
					if want := res.Locations[r.ToIndex].Centre.Sub(l.Centre).Norm(); !near(r.ValueMM, want, 1e-9) {
						t.Errorf("a pitch of %.4f mm is read as %.4f", want, r.ValueMM)
					}
				default:
					is[r.Quantity] = r.ValueMM
				}
			}
			q, above := [3]qc.Quantity{qc.HeadDMean, qc.HeadDMax, qc.HeadDMin}, 0.5
			if l.Kind == qc.Hole {
				above = 0.4
				q = [3]qc.Quantity{qc.HoleDMean, qc.HoleDMax, qc.HoleDMin}
			}
			mean, greatest, least, oval := is[q[0]], is[q[1]], is[q[2]], is[qc.OutOfRound]
			if !near(mean, 2*l.RadiusMM, 1e-9) || !near(greatest, mean+above*oval, 1e-9) || !near(least, greatest-oval, 1e-9) || oval < 0 {
				t.Errorf("radius %.4f mm: mean %.4f, greatest %.4f, least %.4f, out of round %.4f", l.RadiusMM, mean, greatest, least, oval)
			}
		}
	}
	for _, q := range []qc.Quantity{qc.HeadDMean, qc.HoleDMean, qc.EdgeDistance, qc.Pitch} {
		if n[q] < 3 {
			t.Errorf("only %d readings of %s", n[q], q)
		}
	}
}

// noLengths is a scale that is exact.
func noLengths(p, q geom.SheetPoint, zMM float64) []qc.Contribution { return nil }

// The greatest and the least diameter lie along the oval: what the fit says of that direction counts
// in both, and of a head what its height and profile may shift. Where nothing is oval either
// direction may be it.
func TestDiametersCarryTheOvalAndTheHeight(t *testing.T) {
	const uR, uA, uB = 0.003, 0.01, 0.04
	for _, c := range []struct {
		name         string
		a2, b2, uDir float64
	}{{"along", 0.1, 0, uA}, {"askew", 0, -0.1, uB}, {"between", 0.1, 0.1, math.Sqrt((uA*uA+uB*uB)/2 + 0.0003)}, {"round", 0, 0, uA}} {
		f := fastener.Fastener{Outline: outline.Outline{RMM: 3, A2: c.a2, B2: c.b2}, HeightMM: 2, PxPerMM: 20, Slope: 0.25}
		f.Cov[2][2], f.Cov[3][3], f.Cov[4][4], f.Cov[3][4], f.Cov[4][3] = uR*uR, uA*uA, uB*uB, 0.0003, 0.0003
		rs := (&sheetMap{lengths: noLengths}).diameterReadings(&f, qc.ShopHead, qc.ByPhoto, nil)
		for i, want := range []float64{2 * uR, 2 * math.Hypot(uR, c.uDir), 2 * math.Hypot(uR, c.uDir), 4 * c.uDir} {
			if got := labelled(rs[i].Contributions, "outline: noise"); !near(got, want, 1e-9) {
				t.Errorf("%s, %s: the noise is %.4f mm, want %.4f", c.name, rs[i].Quantity, got, want)
			}
		}
		for _, r := range rs[:3] {
			if got, want := labelled(r.Contributions, "head height and profile"), contourUs[qc.ShopHead].diaSlope*2*f.RMM*0.25; got == 0 || !near(got, want, 1e-9) {
				t.Errorf("%s: the head's height adds %.4f mm, want %.4f", r.Quantity, got, want)
			}
		}
		// The difference of two diameters that err alike and on their own errs √2 times as much.
		if got, each := labelled(rs[3].Contributions, "outline: form and lighting"), labelled(rs[1].Contributions, "ovality"); !near(got, math.Sqrt2*each, 0.02) {
			t.Errorf("the form of the outline adds %.4f mm to out-of-round, %.4f to each of the two", got, each)
		}
	}
}

// What the looks at an outline leave open is a part of its budget: how far each direction's likelihood
// spreads, how far the closest two differ, and those from afar.
func TestDiametersCarryWhatTheLooksLeaveOpen(t *testing.T) {
	sure := fastener.Fastener{Outline: outline.Outline{RMM: 3}, HeightMM: 2, PxPerMM: 20, Clear: 1}
	open := sure
	open.SpreadMM, open.DifferMM, open.Change = 0.05, 0.04, 0.06
	for kind, d := range contourUs {
		budget := func(f fastener.Fastener) []qc.Contribution {
			return (&sheetMap{lengths: noLengths}).diameterReadings(&f, kind, qc.ByPhoto, nil)[0].Contributions
		}
		const form, differ = "outline: form and lighting", "outline: looks differ"
		if got, was := labelled(budget(open), form), labelled(budget(sure), form); !near(got, math.Hypot(was, d.diaSpread*0.05), 1e-9) {
			t.Errorf("%s: a spread of 0.05 mm makes the form's %.4f mm %.4f", kind, was, got)
		}
		if got := labelled(budget(open), differ); got == 0 || !near(got, math.Hypot(d.diaDiffer*0.04, d.diaChange*0.06), 1e-9) {
			t.Errorf("%s: looks that differ add %.4f mm", kind, got)
		}
		if kind != qc.Hole && (d.diaSpread == 0 || d.diaDiffer == 0) {
			t.Errorf("%s: the closest looks say nothing of U", kind)
		}
	}
}

// A rule reads a check line of 150 mm to some 0.2 mm; a printer that nobody measured is off by half a
// per cent or so, along either axis; calipers read soft card to some hundredths of a millimetre.
func TestCardsCarryWhatNobodyMeasured(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	plain, measured := someHeads(), headsByMeasuredCard()
	check := func(res *Result, name, label string, from, to float64) {
		n := each(res, qc.Pitch, func(l *Location, r *Reading) {
			if u := part(r, label) / r.ValueMM; !(u >= from && u <= to) {
				t.Errorf("%s, pitch %.1f mm: %q adds %.5f of it, not within %.5f to %.5f", name, r.ValueMM, label, u, from, to)
			}
		})
		if n < 2 {
			t.Errorf("only %d pitches were read", n)
		}
	}
	check(measured, "measured card", "card print scale", 0.2/150, 0.3/150)
	check(plain, "plain card", "card print scale", 0.0025, 0.006)
	check(measured, "measured card", "card thickness", 0.01/measured.Scale.DistanceMM, 0.04/measured.Scale.DistanceMM)
}

func TestOtherCardIsRefused(t *testing.T) {
	opt := shopHeads
	opt.Card = "corner"
	if layout := someHeads().Scale.Layout; layout == opt.Card {
		opt.Card = "strip"
	}
	if res := Decoded(decoded("dev-16"), opt); len(res.Problems) != 1 || res.Problems[0].Code != "other-card" || res.Scale != nil {
		t.Errorf("%v", res.Problems)
	}
}

// Two points beside a card give the millimetres, the card the tilt: readings grow with the stated
// distance, and carry both marks. A distance that no printer explains is refused.
func TestTwoPointsBesideACard(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds in a browser's machine, and can come out no other way there")
	}
	const larger, finger = 1.1, 1.5 // times; px
	ph, card := decoded("dev-16"), someHeads()
	a, b := &card.Locations[0], &card.Locations[1]
	opt := shopHeads
	by := func(times float64) *Result {
		opt.TwoPoints = &TwoPoints{P0Px: a.CentrePx, P1Px: b.CentrePx, MM: times * b.Centre.Sub(a.Centre).Norm()}
		opt.NominalMM = times * shopHeads.NominalMM // so that all is as before but for the unit
		return Decoded(ph, opt)
	}
	two := by(larger)
	if two.Scale == nil || two.Scale.From != "card and two points" || !near(two.Scale.MMPerPx, larger*card.Scale.MMPerPx, 1e-9) {
		t.Fatalf("scale %+v, problems %v", two.Scale, two.Problems)
	}
	apartPx := b.CentrePx.Sub(a.CentrePx).Norm()
	n := each(two, qc.Pitch, func(l *Location, r *Reading) {
		if want := r.ValueMM * math.Sqrt2 * finger / apartPx; !near(part(r, "scale placed by hand"), want, 1e-6) {
			t.Errorf("pitch %.2f mm: the two points add %.4f mm, want %.4f", r.ValueMM, part(r, "scale placed by hand"), want)
		}
		if r.ToIndex >= len(card.Locations) || r.How != qc.ByPhotoHand {
			t.Errorf("pitch %+v", r)
		}
	})
	if n < 2 || len(two.Locations) != len(card.Locations) {
		t.Errorf("%d pitches, %d heads", n, len(two.Locations))
	}
	for i := range min(len(two.Locations), len(card.Locations)) {
		got, want := find(&two.Locations[i], qc.HeadDMean), find(&card.Locations[i], qc.HeadDMean)
		if got == nil || want == nil || !near(got.ValueMM, larger*want.ValueMM, 0.02) {
			t.Errorf("head %d: %+v by a scale of %.1f times %+v", i+1, got, larger, want)
		}
	}
	for _, times := range []float64{0.75, 1.3} {
		if res := by(times); len(res.Problems) != 1 || res.Problems[0].Code != "scales-disagree" {
			t.Errorf("two points %.2f times as far apart as by the card: %v", times, res.Problems)
		}
	}
}

// A coin seen askew is an ellipse: its long axis is the diameter, its short one tells the tilt. Which
// side is the nearer it does not tell, so that a length far from it is uncertain by that.
func TestRoundReferenceGivesScaleAndTilt(t *testing.T) {
	const w, h, longPx, shortPx, diameterMM = 1200, 900, 120.0, 108.0, 24.0
	turn := 30 * math.Pi / 180
	sin, cos := math.Sincos(turn)
	mid := geom.PxPoint{U: 500, V: 420}
	g := raster.NewGrey(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)-mid.U, float64(y)-mid.V
			l, s := (u*cos+v*sin)/longPx, (v*cos-u*sin)/shortPx
			in := 0.5 + (1-math.Hypot(l, s))*shortPx // about a pixel of blur
			g.Pix[y*w+x] = uint8(200 - 140*min(max(in, 0), 1))
		}
	}
	m, err := mapByRound(&photo.Photo{Picture: &raster.Picture{Y: g}, Width: w, Height: h, Focal35MM: 26}, &RoundRef{AtPx: geom.PxPoint{U: mid.U + 8, V: mid.V - 5}, DiameterMM: diameterMM})
	if err != nil {
		t.Fatal(err)
	}
	at := func(l, s float64) geom.SheetPoint {
		return m.cam.ToSheet(geom.PxPoint{U: mid.U + l*cos - s*sin, V: mid.V + l*sin + s*cos}, 0)
	}
	for name, ends := range map[string][2]geom.SheetPoint{"long": {at(-longPx, 0), at(longPx, 0)}, "short": {at(0, -shortPx), at(0, shortPx)}} {
		if got := ends[1].Sub(ends[0]).Norm(); !near(got, diameterMM, 0.01) {
			t.Errorf("the %s axis is %.2f mm, the coin %.0f", name, got, diameterMM)
		}
	}
	if want := math.Acos(shortPx/longPx) * 180 / math.Pi; math.Abs(m.scale.TiltDeg-want) > 1 {
		t.Errorf("tilt %.1f°, want %.1f°", m.scale.TiltDeg, want)
	}
	// Over a length of 10 mm that lies 20 mm from the coin's middle.
	p, q := geom.SheetPoint{X: 20, Y: -5}, geom.SheetPoint{X: 20, Y: 5}
	cs := m.lengths(p, q, 2)
	tilt := m.scale.TiltDeg * math.Pi / 180
	for label, c := range map[string]struct{ from, to float64 }{
		"round reference: outline":                {10 / longPx, 10 * math.Hypot(1/longPx, 0.008)}, // a pixel at the rim, a coin's thickness
		"tilt from the ellipse":                   {10 / longPx, 10 * 3 / longPx},
		"unknown direction of tilt":               {0.9 * 10 * math.Sin(tilt) * 20 / m.scale.DistanceMM, 1.1 * 10 * math.Sin(tilt) * 20 / m.scale.DistanceMM},
		"height, at an unknown direction of tilt": {0.9 * 10 * 2 / m.scale.DistanceMM, 1.1 * 10 * 2 / m.scale.DistanceMM},
	} {
		if u := labelled(cs, label); !(u >= c.from && u <= c.to) {
			t.Errorf("%q adds %.4f mm to 10, not within %.4f to %.4f", label, u, c.from, c.to)
		}
	}
}

// A mandrel's end stands on a dome of which the height is assumed: seen askew, that shifts it.
func TestMandrelCarriesTheDome(t *testing.T) {
	const name, nominalMM = "../../testdata/accuracy/991274.jpg", 3.96875
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	res, err := Photo(data, Options{Kind: qc.PulledHead, NominalMM: nominalMM})
	if err != nil {
		t.Fatal(err)
	}
	n := each(res, qc.MandrelOff, func(l *Location, r *Reading) {
		want := uDomeTopD * nominalMM * res.Scale.Camera.ViewSlope(l.Centre).Norm()
		if got := part(r, "height of the dome"); !(got > 0 && near(got, want, 1e-6)) {
			t.Errorf("the dome's height adds %.4f mm, want %.4f", got, want)
		}
		// These are drawn in the middle: read where it is seen and not dropped onto the sheet, one
		// would lie 0.4 mm off. One of them lies off by a little more than its U.
		if r.ValueMM > 1.1*r.UMM || r.ValueMM > 0.25 {
			t.Errorf("a mandrel in the middle is read %.3f ± %.3f mm off it", r.ValueMM, r.UMM)
		}
	})
	if n < 1 {
		t.Errorf("no mandrel was read: %v", res.Problems)
	}
}

// A line that may be a nearer edge is told with the edge's distance; an edge that is read has its
// own.
func TestNearerLineIsToldUnlessItIsRead(t *testing.T) {
	lines, second := 0, 0
	for _, res := range []*Result{someHeads(), someHoles()} {
		for i := range res.Locations {
			var read []float64
			for _, r := range res.Locations[i].Readings {
				if r.Quantity == qc.EdgeDistance {
					read = append(read, r.ValueMM)
				}
			}
			second += max(0, len(read)-1)
			for _, r := range res.Locations[i].Readings {
				if r.Quantity != qc.EdgeDistance || r.LessMM == 0 {
					continue
				}
				lines++
				for _, mm := range read {
					if math.Abs(r.LessMM-mm) < 0.5 {
						t.Errorf("edges at %.2f mm are read, and one at %.2f is told as a line too faint to be", read, r.LessMM)
					}
				}
			}
		}
	}
	if lines == 0 || second == 0 {
		t.Errorf("%d readings with a nearer line, %d second edges", lines, second)
	}
}
