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
		f := fastener.Fastener{Probability: 0.99, Clear: 0.9, Support: 0.9, RMS: 0.8, Change: 0.05, Slope: 0.2, PxPerMM: 15}
		f.RMM = 3
		return f
	}
	for name, c := range map[string]struct {
		code   string
		worsen func(f *fastener.Fastener)
	}{
		"good":                         {"", func(*fastener.Fastener) {}},
		"as likely as not":             {"unsure", func(f *fastener.Fastener) { f.Probability = 0.5 }},
		"a quarter not on the contour": {"unclear-outline", func(f *fastener.Fastener) { f.Clear = 0.75 }},
		"four in ten disagree":         {"unclear-outline", func(f *fastener.Fastener) { f.Support = 0.6 }},
		"scatters by half more":        {"unclear-outline", func(f *fastener.Fastener) { f.RMS = 1.5 }},
		"two looks differ by 0.2 mm":   {"two-outlines", func(f *fastener.Fastener) { f.Change = 0.2 }},
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

// What would have to be asked about and is likely no fastener is left alone, unless someone pointed at
// it.
func TestUnlikelyPlacesAreLeftAlone(t *testing.T) {
	ask := &qc.Refusal{}
	for _, c := range []struct {
		name string
		f    fastener.Fastener
		ask  *qc.Refusal
		want bool
	}{
		{"nothing to ask", fastener.Fastener{Probability: 0.7}, nil, false},
		{"as likely a written 0", fastener.Fastener{Probability: 0.9}, ask, true},
		{"surely one", fastener.Fastener{Probability: 0.99}, ask, false},
		{"tapped", fastener.Fastener{Probability: 0.5, Tapped: true}, ask, false},
		{"placed", fastener.Fastener{Placed: true}, ask, false},
	} {
		if leaveAlone(&c.f, c.ask) != c.want {
			t.Errorf("%s: left alone is %v", c.name, !c.want)
		}
	}
}
