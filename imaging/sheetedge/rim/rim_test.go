package rim

import (
	"math"
	"testing"

	"bucktail/imaging/sheetedge/strip"
)

// The vertical face is found in drawn profiles, whether the rim is brighter or darker than what
// lies beside it, or the side face shows, and where the line was laid askew.
func TestFaceOfDrawnProfiles(t *testing.T) {
	const pxMM, blurPx, stepMM = 0.08, 0.8, 0.06
	after := func(n float64) float64 { return 0.5 * math.Erfc(-n/(blurPx*pxMM*math.Sqrt2)) } // 1 well beyond 0
	for _, c := range []struct {
		name                       string
		sheet, rim, outside, rimMM float64
		slope, faceMM, face        float64
		atMM, askew                float64
	}{
		{name: "dark rim", sheet: 1, rim: 0.4, outside: 0.6, rimMM: 0.08, atMM: 0.07},
		{name: "bright rim on dark", sheet: 0.8, rim: 1.6, outside: 0.2, rimMM: 0.08, atMM: -0.1, askew: 0.002},
		{name: "wide rim", sheet: 1.2, rim: 0.7, outside: 0.3, rimMM: 0.13, atMM: 0.12, askew: -0.001},
		{name: "side face", sheet: 1, rim: 0.7, outside: 0.15, rimMM: 0.08, slope: -0.3, faceMM: 0.3, face: 0.5, atMM: 0.05},
	} {
		var profiles []strip.Profile
		for _, s := range []float64{-15, -9, -3, 3, 9, 15} {
			p := strip.Profile{MidMM: s, StepMM: stepMM, StdErr: 0.003}
			const half = 12 // HalfMM of them
			for i := -half; i <= half; i++ {
				n := float64(i)*stepMM - c.atMM - c.askew*s // from the vertical face, outward
				steep := -steepRim * c.rimMM                // from there on the rim mirrors what lies outside
				beside := c.outside + (c.face-c.outside)*(1-after(n-c.faceMM))
				if c.faceMM == 0 {
					beside = c.outside
				}
				l := c.sheet + (c.rim-c.sheet)*after(n+c.rimMM)
				p.Light = append(p.Light, l+(beside-c.rim)*after(n-steep))
			}
			profiles = append(profiles, p)
		}
		got := Fit(profiles, View{BlurPx: blurPx, PxMM: pxMM, Slope: c.slope, SheetMM: 1})
		for _, s := range []float64{-12, 0, 12} {
			if d := got.N + got.Slope*s - c.atMM - c.askew*s; math.Abs(d) > 2*math.Hypot(got.UMM, got.USlope*s) {
				t.Errorf("%s: at s = %g the face is off by %.3f mm, stated %.3f", c.name, s, d, 2*math.Hypot(got.UMM, got.USlope*s))
			}
		}
		if got.UMM < rimU || got.UMM > 0.06 {
			t.Errorf("%s: standard uncertainty %.3f mm", c.name, got.UMM)
		}
		// Rims are rounded over a tenth of a millimetre or so, and no two of them alike.
		sum := 0.0
		for _, p := range got.Contributions {
			sum += p.UMM * p.UMM
			if p.Label == "edge: rounding of the rim" && p.UMM < 0.01 {
				t.Errorf("%s: the form of the rim is known to %.4f mm", c.name, p.UMM)
			}
		}
		if len(got.Contributions) != 3 || math.Abs(math.Sqrt(sum)-got.UMM) > 1e-9 {
			t.Errorf("%s: %+v make %.4f mm, stated %.4f", c.name, got.Contributions, math.Sqrt(sum), got.UMM)
		}
	}
	if got := Fit(nil, View{BlurPx: blurPx, PxMM: pxMM}); got.UMM != unseenU || got.N != 0 || len(got.Contributions) != 1 {
		t.Errorf("without profiles: %+v", got)
	}
}

// Seen from outside the side face lies beside the rim, as wide as the view makes the sheet's thickness;
// from above or inside a shadow that fades.
func TestWhatLiesBesideARim(t *testing.T) {
	for _, c := range []struct {
		name       string
		view       View
		nMM        float64
		least, top float64
	}{
		{"sheet", View{Slope: -0.3, SheetMM: 1}, -0.1, 0, 0},
		{"side face", View{Slope: -0.3, SheetMM: 1}, 0.25, 1, 1},
		{"beyond it", View{Slope: -0.3, SheetMM: 1}, 0.35, 0, 0},
		{"side face of a sheet that is not known", View{Slope: -0.3}, 0.1, 1, 1},
		{"sheet, from above", View{SheetMM: 1}, -0.1, 0, 0},
		{"shadow", View{SheetMM: 1}, 0.05, 0.5, 1},
		{"where it has faded", View{SheetMM: 1}, 1.5, 0, 0.05},
		{"from inside", View{Slope: 0.3, SheetMM: 1}, 0.05, 0.5, 0.95},
	} {
		if got := c.view.besideRim()(c.nMM); got < c.least || got > c.top {
			t.Errorf("%s: %.3f, want %.2f to %.2f", c.name, got, c.least, c.top)
		}
	}
}
