package qc

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func reading(value, u float64) Reading {
	return Reading{Quantity: HeadDMin, ValueMM: value, UMM: u, How: ByPhoto, Method: "test"}
}

// ISO 14253-1: conformity is proven inside the limits reduced by U, non-conformity outside the
// limits widened by U, and between them neither is.
func TestJudgeRule(t *testing.T) {
	two := Limit{MinMM: 4, MaxMM: 5}
	for _, c := range []struct {
		value, u float64
		limit    Limit
		want     Verdict
	}{
		{4.5, 0.25, two, Within},
		{4.25, 0.25, two, Within}, // the limits themselves are allowed values
		{4.75, 0.25, two, Within},
		{4.2499, 0.25, two, TooClose},
		{4.7501, 0.25, two, TooClose},
		{3.7499, 0.25, two, Out},
		{4.125, 0.25, two, TooClose},
		{4, 0.25, two, TooClose},
		{3.75, 0.25, two, TooClose}, // the very end of the interval is still allowed
		{3.625, 0.25, two, Out},
		{5.25, 0.25, two, TooClose},
		{5.375, 0.25, two, Out},
		{4.5, 0.75, two, TooClose}, // U wider than the limits: nothing is ever within
		{4.5, 5, two, TooClose},
		{9, 0.25, Limit{MinMM: 4}, Within},
		{1, 0.25, Limit{MaxMM: 5}, Within},
		{4.5, 0, two, TooClose}, // a value never comes without uncertainty
		{4.5, -1, two, TooClose},
		{math.NaN(), 0.1, two, TooClose},
		{4.5, math.NaN(), two, TooClose},
		{math.Inf(1), 0.1, two, TooClose},
		{4.5, 0.1, Limit{}, TooClose},
	} {
		if got := Judge(reading(c.value, c.u), c.limit).Verdict; got != c.want {
			t.Errorf("%v ± %v against %v to %v: %q, want %q", c.value, c.u, c.limit.MinMM, c.limit.MaxMM, got, c.want)
		}
	}
}

// JCGM 106:2012 9.5.4: ball bearings whose fault has a gamma distribution (shape 4, rate 4),
// measured with u = 0.25 µm against a greatest value of 2 µm. The global risks are integrated
// with the program's own decision as the acceptance rule, its U being the guard band.
func TestBallBearing(t *testing.T) {
	var p struct {
		Expected struct {
			P float64 `json:"p_nonconforming"`
		}
	}
	publishedCase(t, "metrology-decision.json", "J106-9.5.4-a", &p)
	var rule struct {
		Expected struct {
			Consumer float64 `json:"global_consumer_risk"`
			Producer float64 `json:"global_producer_risk"`
		}
	}
	publishedCase(t, "metrology-decision.json", "J106-9.5.4-b", &rule)
	var guard struct {
		Expected struct {
			Accept float64 `json:"acceptance_limit_um"`
			Guard  float64 `json:"guard_band_um"`
		}
	}
	publishedCase(t, "metrology-decision.json", "J106-9.5.4-c", &guard)

	limit := Limit{MaxMM: 2} // the unit cancels
	const u = 0.25
	prior := func(x float64) float64 { return math.Pow(4, 4) / 6 * x * x * x * math.Exp(-4*x) }
	// acceptedUpTo finds the largest value that Judge accepts, by halving.
	acceptedUpTo := func(guardBand float64) float64 {
		lo, hi := 0.0, 4.0
		for range 60 {
			mid := (lo + hi) / 2
			if Judge(reading(mid, guardBand), limit).Verdict == Within {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	risks := func(guardBand float64) (nonconforming, consumer, producer float64) {
		accept := acceptedUpTo(guardBand)
		const h = 1e-4
		for x := h / 2; x < 12; x += h {
			pAccept := 0.5 * math.Erfc(-(accept-x)/(u*math.Sqrt2))
			if x > limit.MaxMM {
				nonconforming += prior(x) * h
				consumer += prior(x) * pAccept * h
			} else {
				producer += prior(x) * (1 - pAccept) * h
			}
		}
		return
	}
	non, consumer, producer := risks(1e-12) // simple acceptance: no guard band
	near(t, "nonconforming", non, p.Expected.P, 0.00001)
	near(t, "consumer's risk", consumer, rule.Expected.Consumer, 0.00001)
	near(t, "producer's risk", producer, rule.Expected.Producer, 0.00001)

	near(t, "acceptance limit", acceptedUpTo(guard.Expected.Guard), guard.Expected.Accept, 1e-9)
	_, consumer, _ = risks(guard.Expected.Guard)
	near(t, "consumer's risk with the guard band", consumer, 0.001, 0.00001)
}

// JCGM 106:2012 7.3 Table 1: the guard band in units of u for a conformance probability.
func TestConformance(t *testing.T) {
	var c struct{ Unrounded map[string]float64 }
	publishedCase(t, "metrology-decision.json", "J106-z", &c)
	if len(c.Unrounded) != 5 {
		t.Fatalf("%d factors", len(c.Unrounded))
	}
	for p, z := range c.Unrounded {
		near(t, "below "+p, Conformance(10-z*0.1, 0.1, 0, 0, 10), atof(t, p), 1e-6)
		near(t, "above "+p, Conformance(10+z*0.1, 0.1, 0, 10, 0), atof(t, p), 1e-6)
	}
	for _, id := range []string{"rivet-a", "rivet-b"} {
		var r struct {
			Expected struct {
				P float64 `json:"p_conform"`
			}
		}
		publishedCase(t, "metrology-decision.json", id, &r)
		value := map[string]float64{"rivet-a": 0.170, "rivet-b": 0.168}[id] * MMPerInch
		u := 0.004 * MMPerInch
		got := Judge(reading(value, 2*u), Limit{MinMM: 0.163 * MMPerInch})
		near(t, id, got.PConform, r.Expected.P, 0.00001)
	}
	var t4 struct{ Expected struct{ K float64 } }
	publishedCase(t, "metrology-decision.json", "risk-1pct-t4", &t4)
	near(t, "1 % with 4 degrees", Conformance(10-t4.Expected.K, 1, 4, 0, 10), 0.99, 0.0002)
	// Two limits, ± one u: the 68.27 % of the normal distribution.
	near(t, "both sides", Conformance(10, 1, 0, 9, 11), 0.682689492, 1e-8)
}

func TestJudgeAddsContributions(t *testing.T) {
	r := reading(6.6, 0.1)
	bare := Judge(r, Limit{MinMM: 6.35})
	if bare.Verdict != Within || bare.UMM != 0.1 {
		t.Errorf("without: %s, U %v", bare.Verdict, bare.UMM)
	}
	c := Judge(r, Limit{MinMM: 6.35}, ShankOff("shank"))
	want := 2 * math.Sqrt(0.05*0.05+0.25/6) // 0.5/√6 squared is 0.25/6
	near(t, "U", c.UMM, want, 1e-9)
	if c.Verdict != TooClose {
		t.Errorf("with the shank's uncertainty: %s, want too close", c.Verdict)
	}
	if c.Reading.UMM != 0.1 {
		t.Error("the reading's own U must stay as it was")
	}
	if bad := Judge(r, Limit{MinMM: 6.35}, Contribution{Label: "x", UMM: math.NaN()}); bad.Verdict != TooClose {
		t.Errorf("an unusable contribution gives %s, want too close", bad.Verdict)
	}
}

func TestJudgeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Limit{MinMM: rapid.Float64Range(1, 5).Draw(t, "min")}
		if rapid.Bool().Draw(t, "two-sided") {
			l.MaxMM = l.MinMM + rapid.Float64Range(0, 3).Draw(t, "width")
		}
		v, u := rapid.Float64Range(0, 10).Draw(t, "value"), rapid.Float64Range(1e-6, 2).Draw(t, "U")
		c := Judge(reading(v, u), l)
		if c.PConform < 0 || c.PConform > 1 {
			t.Fatalf("probability %v", c.PConform)
		}
		switch c.Verdict {
		case Within:
			if v-u < l.MinMM || l.MaxMM > 0 && v+u > l.MaxMM {
				t.Fatal("within although the interval leaves the limits")
			}
			if c.PConform < 0.954 {
				t.Fatalf("within with probability %v", c.PConform)
			}
		case Out:
			if v+u >= l.MinMM && (l.MaxMM == 0 || v-u <= l.MaxMM) {
				t.Fatal("out although the interval touches the limits")
			}
			if c.PConform > 0.023 {
				t.Fatalf("out with probability %v", c.PConform)
			}
		}
		// More uncertainty never decides more; an added contribution never takes U away.
		wider := Judge(reading(v, u*rapid.Float64Range(1, 5).Draw(t, "wider")), l)
		if wider.Verdict != TooClose && wider.Verdict != c.Verdict {
			t.Fatalf("wider U turns %s into %s", c.Verdict, wider.Verdict)
		}
		added := Judge(reading(v, u), l, Contribution{Label: "x", UMM: rapid.Float64Range(0, 1).Draw(t, "added")})
		if added.UMM < u || added.Verdict != TooClose && added.Verdict != c.Verdict {
			t.Fatalf("an added contribution turns U %v %s into %v %s", u, c.Verdict, added.UMM, added.Verdict)
		}
		// One-sided: a larger value is never judged worse against a least limit.
		one := Limit{MinMM: l.MinMM}
		larger := Judge(reading(v+rapid.Float64Range(0, 3).Draw(t, "more"), u), one).Verdict
		if larger.worse(Judge(reading(v, u), one).Verdict) {
			t.Fatal("a larger value is judged worse against a least limit")
		}
	})
}

func TestWorst(t *testing.T) {
	for _, c := range []struct {
		in   []Verdict
		want Verdict
	}{
		{nil, ""}, {[]Verdict{Within}, Within}, {[]Verdict{Within, TooClose, Within}, TooClose},
		{[]Verdict{TooClose, Out, Within}, Out}, {[]Verdict{"", Within}, Within},
	} {
		if got := Worst(c.in...); got != c.want {
			t.Errorf("worst of %q is %q, want %q", c.in, got, c.want)
		}
	}
}

// A reading of few observations states U with Student's k; its standard uncertainty, and the
// probability, must go back by that k and not by 2.
func TestStandardOfFewObservations(t *testing.T) {
	r := reading(4.5, 0)
	r.Contributions = []Contribution{{Label: "five settings of the caliper", UMM: 0.03, DoF: 4}}
	b, err := CombineReading(r.Contributions)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "k of four degrees (JCGM 100 Table G.2)", b.K, 2.87, 0.005)
	r.UMM = b.Expanded
	u, dof := r.Standard()
	near(t, "u", u, 0.03, 1e-12)
	near(t, "degrees", dof, 4, 1e-9)
	c := Judge(r, Limit{MinMM: 4.5 - 3.746947*0.03}) // t of 4 degrees for 99 %
	near(t, "probability", c.PConform, 0.99, 1e-6)
}

// One observation has a k of 14; adding what is well known would shrink k more than it adds to
// u. Knowing of one more uncertainty must not make a reading better.
func TestAddedContributionNeverShrinksU(t *testing.T) {
	r := reading(4.5, 0)
	r.Contributions = []Contribution{{Label: "two settings", UMM: 0.03, DoF: 1}}
	b, _ := CombineReading(r.Contributions)
	r.UMM = b.Expanded
	if c := Judge(r, Limit{MinMM: 4}, Contribution{Label: "known", UMM: 0.05}); c.UMM < r.UMM {
		t.Errorf("U %v went down to %v", r.UMM, c.UMM)
	}
}

// A farther edge proves nothing while a faint line may be the nearer one; that line alone
// makes no rivet out.
func TestAFaintNearerLineKeepsFromWithin(t *testing.T) {
	limit := Limit{Quantity: EdgeDistance, MinMM: 4.76}
	far := Reading{Quantity: EdgeDistance, ValueMM: 6.1, UMM: 0.2, How: ByPhoto}
	if v := Judge(far, limit).Verdict; v != Within {
		t.Fatalf("without the line: %q", v)
	}
	for less, want := range map[float64]Verdict{3.4: TooClose, 4.9: TooClose, 5.2: Within} {
		far.LessMM = less
		if c := Judge(far, limit); c.Verdict != want || (want == TooClose) != (len(c.Notes) > 0) {
			t.Errorf("line at %.1f mm: %q, notes %v; want %q", less, c.Verdict, c.Notes, want)
		}
	}
	far.ValueMM, far.LessMM = 4.0, 3.4
	if v := Judge(far, limit).Verdict; v != Out {
		t.Errorf("out stays out, not %q", v)
	}
	if v := Judge(Reading{Quantity: EdgeDistance, ValueMM: 6.1, UMM: 0.2, LessMM: 3.4}, Limit{Quantity: EdgeDistance, MaxMM: 12}).Verdict; v != Within {
		t.Errorf("a greatest value has nothing to fear from it: %q", v)
	}
}

// Of the worst checks the one farthest beyond its limit governs, of those within the nearest.
func TestGoverning(t *testing.T) {
	c := func(v Verdict, mm, min float64) Check {
		return Check{Verdict: v, UMM: 0.1, Reading: Reading{ValueMM: mm}, Limit: Limit{MinMM: min}}
	}
	for _, x := range []struct {
		checks []Check
		want   int
	}{
		{nil, -1},
		{[]Check{c(Within, 9, 7), c(Within, 8, 7)}, 1},
		{[]Check{c(Out, 6, 7), c(Within, 8, 7), c(Out, 5, 7), c(TooClose, 7, 7)}, 2},
		{[]Check{c(TooClose, 7, 7), c(Within, 7.2, 7)}, 0},
	} {
		if i := Governing(x.checks); i != x.want {
			t.Errorf("%v decides, want %d", i, x.want)
		}
	}
}
