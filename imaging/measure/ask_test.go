package measure

import (
	"math"
	"testing"

	"bucktail/imaging/fastener"
	"bucktail/qc"
)

// A head that is seen well is measured; as soon as one sign says that its contour may be the
// wrong one, or the photo too poor, it is asked about.
func TestUncertainOutlinesAreAskedAbout(t *testing.T) {
	opt := Options{Kind: qc.ShopHead, NominalMM: 4}
	good := func() fastener.Fastener {
		f := fastener.Fastener{HeightMM: 1.5, Probability: 0.99, Clear: 0.9, Support: 0.9, RMS: 0.8, Change: 0.05, Slope: 0.2, PxPerMM: 15}
		f.RMM = 3
		return f
	}
	for name, c := range map[string]struct {
		code   string
		worsen func(f *fastener.Fastener)
	}{
		"good":                         {"", func(*fastener.Fastener) {}},
		"as likely as not":             {"unsure", func(f *fastener.Fastener) { f.Probability = 0.45 }},
		"unlikely but tapped":          {"", func(f *fastener.Fastener) { f.Probability, f.Tapped = 0.1, true }},
		"a quarter not on the contour": {"unclear-outline", func(f *fastener.Fastener) { f.Clear = 0.75 }},
		"four in ten disagree":         {"unclear-outline", func(f *fastener.Fastener) { f.Support = 0.6 }},
		"scatters by half more":        {"unclear-outline", func(f *fastener.Fastener) { f.RMS = 1.5 }},
		"two looks differ by 0.2 mm":   {"two-outlines", func(f *fastener.Fastener) { f.Change = 0.2 }},
		"an eighth outside of it":      {"may-be-oblong", func(f *fastener.Fastener) { f.Outside = 0.125 }},
		"no rim over 34 degrees":       {"may-be-oblong", func(f *fastener.Fastener) { f.OnwardDeg = 33.75 }},
		"18 pixels across":             {"coarse", func(f *fastener.Fastener) { f.PxPerMM = 3 }},
		"from 35 degrees":              {"steep", func(f *fastener.Fastener) { f.Slope = math.Tan(35 * math.Pi / 180) }},
		"placed by hand":               {"", func(f *fastener.Fastener) { f.Probability, f.Clear, f.Placed = 0, 0, true }},
	} {
		f := good()
		c.worsen(&f)
		code := ""
		if r := whyAsk(&f, &opt); r != nil {
			code = r.Code
		}
		if code != c.code {
			t.Errorf("%s: %q, want %q", name, code, c.code)
		}
	}
}

// What the card's fit, scale and thickness add may be as much as a good outline's own.
func TestFarFromTheCardIsAskedAbout(t *testing.T) {
	by := func(uMM ...float64) (cs []qc.Contribution) {
		for _, u := range uMM {
			cs = append(cs, qc.Contribution{UMM: u})
		}
		return cs
	}
	if r := tooFar(by(0.03, 0.03, 0.01)); r != nil { // 0.087 mm at k = 2
		t.Errorf("asked: %v", r)
	}
	if r := tooFar(by(0.04, 0.04)); r == nil || r.Code != "far" { // 0.113 mm
		t.Errorf("not asked: %v", r)
	}
}
