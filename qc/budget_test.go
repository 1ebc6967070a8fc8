package qc

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// rectangular divides the half width of a rectangular distribution (JCGM 100:2008 4.3.7).
var rectangular = math.Sqrt(3)

// NIST TN 1297 Table B.1, the same as JCGM 100:2008 Table G.2.
func TestCoverageFactorMatchesTable(t *testing.T) {
	// One, two, three standard deviations of the normal distribution, to more digits than
	// the heads of the columns.
	levels := map[string]float64{"p68.27": 0.682689492, "p90": 0.90, "p95": 0.95, "p95.45": 0.954499736, "p99": 0.99, "p99.73": 0.997300204}
	n := 0
	for _, row := range publishedRows(t, "student-t.csv") {
		dof := 0.0
		if row["dof"] != "inf" {
			dof = atof(t, row["dof"])
		}
		for col, p := range levels {
			want := atof(t, row[col])
			tol := 0.0051 // two decimals printed
			if dof == 0 || dof == 100 {
				tol = 0.00051
			}
			if row["dof"] == "35" && col == "p90" {
				tol = 0.011 // printed 1.70, is 1.6896
			}
			near(t, row["dof"]+" "+col, CoverageFactor(p, dof), want, tol)
			n++
		}
	}
	if n != 28*6 {
		t.Errorf("compared %d values, the table has %d", n, 28*6)
	}
}

// Closed forms: Cauchy for one degree of freedom, t = (2p-1)/sqrt(2p(1-p)) for two.
func TestStudentClosedForms(t *testing.T) {
	for _, p := range []float64{0.5, 0.6, 0.9, 0.975, 0.99, 0.9999} {
		near(t, "1 dof", studentQuantile(p, 1), math.Tan(math.Pi*(p-0.5)), 1e-9*math.Tan(math.Pi*(p-0.5))+1e-12)
		want := (2*p - 1) / math.Sqrt(2*p*(1-p))
		near(t, "2 dof", studentQuantile(p, 2), want, 1e-10*want+1e-12)
	}
}

func TestCoverageFactorCutsDegrees(t *testing.T) {
	if CoverageFactor(Confidence, 0) != 2 {
		t.Errorf("k for infinitely many degrees is %v, want exactly 2", CoverageFactor(Confidence, 0))
	}
	if CoverageFactor(0.99, 16.75) != CoverageFactor(0.99, 16) {
		t.Error("degrees of freedom are not cut to the next lower whole number (JCGM 100 G.4.1)")
	}
	if CoverageFactor(0.95, 0.3) != CoverageFactor(0.95, 1) {
		t.Error("less than one degree of freedom must count as one")
	}
}

// JCGM 100:2008 H.1, an end gauge against a standard.
func TestGUMEndGauge(t *testing.T) {
	var c struct {
		Inputs struct {
			Ls struct{ Value, U, Dof float64 }
			D  struct {
				Components []struct{ U, Dof float64 }
			}
			AlphaS struct {
				Half float64 `json:"rectangular_half_width"`
			} `json:"alpha_s"`
			Dalpha struct {
				Half float64 `json:"rectangular_half_width"`
				Dof  float64
			}
			Dtheta struct {
				Half float64 `json:"rectangular_half_width"`
				Dof  float64
			}
			Theta struct {
				Value   float64
				UMean   float64 `json:"u_mean"`
				Arcsine float64 `json:"arcsine_half_width"`
			}
			AlphaSValue float64 `json:"-"`
		}
		Expected struct {
			Components map[string]float64
			UcRaw      float64 `json:"uc_unrounded"`
			DofRaw     float64 `json:"dof_eff_unrounded"`
		}
	}
	publishedCase(t, "metrology-gum.json", "GUM-H1", &c)
	in := c.Inputs
	const alphaS, dTheta, dAlpha = 11.5e-6, 0.0, 0.0 // values of H.1.3

	var comparator []Term
	for _, x := range in.D.Components {
		comparator = append(comparator, Term{U: x.U, Sensitivity: 1, DoF: x.Dof})
	}
	d, err := Combine(comparator)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u(d)", d.U, c.Expected.Components["d"], 0.001)

	theta := math.Hypot(in.Theta.UMean, in.Theta.Arcsine/math.Sqrt2)
	terms := []Term{
		{"standard", in.Ls.U, 1 - (dAlpha*in.Theta.Value + alphaS*dTheta), in.Ls.Dof},
		{"comparator", d.U, 1, d.DoF},
		{"expansion of the standard", in.AlphaS.Half / rectangular, -in.Ls.Value * dTheta, 0},
		{"temperature", theta, -in.Ls.Value * dAlpha, 0},
		{"difference of expansion", in.Dalpha.Half / rectangular, -in.Ls.Value * in.Theta.Value, in.Dalpha.Dof},
		{"difference of temperature", in.Dtheta.Half / rectangular, -in.Ls.Value * alphaS, in.Dtheta.Dof},
	}
	b, err := Combine(terms)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "difference of temperature", math.Abs(terms[5].U*terms[5].Sensitivity), c.Expected.Components["dtheta"], 0.001)
	near(t, "difference of expansion", math.Abs(terms[4].U*terms[4].Sensitivity), c.Expected.Components["dalpha"], 0.001)
	near(t, "uc", b.U, c.Expected.UcRaw, 0.001)
	near(t, "effective degrees", b.DoF, c.Expected.DofRaw, 0.05) // its inputs are rounded

	var u99 struct {
		Expected struct {
			K float64 `json:"k_t99_16dof"`
			U float64 `json:"U99_nm"`
		}
	}
	publishedCase(t, "metrology-gum.json", "GUM-H1-U99", &u99)
	k := CoverageFactor(0.99, b.DoF)
	near(t, "k99", k, u99.Expected.K, 0.005)
	near(t, "U99", k*math.Round(b.U), u99.Expected.U, 0.5)
}

// JCGM 100:2008 H.2, resistance, reactance and impedance from three correlated readings.
func TestGUMCorrelated(t *testing.T) {
	var c struct {
		Inputs struct {
			V, I, Phi float64
			UV        float64 `json:"u_V"`
			UI        float64 `json:"u_I"`
			UPhi      float64 `json:"u_phi"`
			VI        float64 `json:"r_VI"`
			Vphi      float64 `json:"r_Vphi"`
			Iphi      float64 `json:"r_Iphi"`
		}
		Expected map[string]float64
	}
	publishedCase(t, "metrology-gum.json", "GUM-H2", &c)
	in := c.Inputs
	cos, sin, z := math.Cos(in.Phi), math.Sin(in.Phi), in.V/in.I
	corr := []Correlation{{0, 1, in.VI}, {0, 2, in.Vphi}, {1, 2, in.Iphi}}
	u := func(dV, dI, dPhi float64) float64 {
		b, err := Combine([]Term{{"V", in.UV, dV, 4}, {"I", in.UI, dI, 4}, {"phi", in.UPhi, dPhi, 4}}, corr...)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "degrees of correlated terms", b.DoF, 4, 1e-9) // five readings of all at once
		return b.U
	}
	// Inputs are rounded to two digits, the published results have two.
	near(t, "u(R)", u(cos/in.I, -z*cos/in.I, -z*sin), c.Expected["u_R"], 0.006)
	near(t, "u(X)", u(sin/in.I, -z*sin/in.I, z*cos), c.Expected["u_X"], 0.006)
	near(t, "u(Z)", u(1/in.I, -z/in.I, 0), c.Expected["u_Z"], 0.006)
}

// JCGM 100:2008 H.3, a calibration line; intercept and slope are strongly correlated.
func TestGUMCalibrationLine(t *testing.T) {
	var c struct {
		Inputs   struct{ T, B []float64 }
		Expected map[string]float64
	}
	publishedCase(t, "metrology-gum.json", "GUM-H3", &c)
	var n, st, stt, sb, stb float64
	for i, ti := range c.Inputs.T {
		x, y := ti-20, c.Inputs.B[i]
		n, st, stt, sb, stb = n+1, st+x, stt+x*x, sb+y, stb+x*y
	}
	det := n*stt - st*st
	y1, y2 := (sb*stt-stb*st)/det, (n*stb-st*sb)/det
	ssr := 0.0
	for i, ti := range c.Inputs.T {
		r := c.Inputs.B[i] - y1 - y2*(ti-20)
		ssr += r * r
	}
	s2 := ssr / (n - 2)
	u1, u2, r := math.Sqrt(s2*stt/det), math.Sqrt(s2*n/det), -st/math.Sqrt(n*stt)
	near(t, "u(y1)", u1, c.Expected["u_y1"], 0.00005)
	near(t, "u(y2)", u2, c.Expected["u_y2"], 0.000005)
	near(t, "r", r, c.Expected["r"], 0.005)
	near(t, "b(30)", y1+10*y2, c.Expected["b_at_30"], 0.0002)

	b, err := Combine([]Term{{"y1", u1, 1, n - 2}, {"y2", u2, 10, n - 2}}, Correlation{0, 1, r})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u(b(30))", b.U, c.Expected["u_b_at_30"], 0.00005)
	near(t, "degrees", b.DoF, 9, 1e-9)
}

// JCGM 101:2008 9.2.3: four rectangular inputs of standard deviation 1.
func TestSumOfRectangulars(t *testing.T) {
	var c struct{ Expected struct{ U float64 } }
	publishedCase(t, "metrology-gum.json", "S1-9.2.3", &c)
	half := math.Sqrt(3)
	var terms []Term
	for range 4 {
		terms = append(terms, Term{U: half / rectangular, Sensitivity: 1})
	}
	b, _ := Combine(terms)
	near(t, "u", b.U, c.Expected.U, 1e-12)
	near(t, "U", b.Expanded, 4, 1e-12)
}

func TestCombineRefusesNonsense(t *testing.T) {
	ok := []Term{{"a", 1, 1, 0}, {"b", 1, 1, 0}}
	for _, c := range []struct {
		terms []Term
		corr  []Correlation
		want  string
	}{
		{[]Term{{"edge", math.NaN(), 1, 0}}, nil, "edge"},
		{[]Term{{"edge", -1, 1, 0}}, nil, "u -1"},
		{[]Term{{"edge", 1, math.Inf(1), 0}}, nil, "+Inf"},
		{[]Term{{"edge", 1, 1, -2}}, nil, "degrees of freedom -2"},
		{ok, []Correlation{{0, 2, 0.5}}, "2 terms"},
		{ok, []Correlation{{1, 1, 0.5}}, "1 and 1"},
		{ok, []Correlation{{0, 1, 1.5}}, "between -1 and 1"},
		{ok, []Correlation{{0, 1, 0.5}, {1, 0, 0.5}}, "twice"},
	} {
		if _, err := Combine(c.terms, c.corr...); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v %v: error %v, want one with %q", c.terms, c.corr, err, c.want)
		}
	}
}

// Correlated terms count with the fewest degrees of freedom among them, independent ones apart.
func TestCombineDegreesOfCorrelatedTerms(t *testing.T) {
	terms := []Term{{"a", 3, 1, 20}, {"b", 4, 1, 5}, {"c", 7, 1, 9}}
	b, err := Combine(terms, Correlation{0, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	// a and b make one input of 7 with 5 degrees, c is another: 98²/(49²/5 + 49²/9).
	near(t, "degrees", b.DoF, 4/(1.0/5+1.0/9), 1e-9)
}

// Fully correlated terms add up or cancel; a zero budget is zero, not NaN.
func TestCombineFullCorrelation(t *testing.T) {
	add, _ := Combine([]Term{{"a", 3, 1, 0}, {"b", 4, 1, 0}}, Correlation{0, 1, 1})
	near(t, "sum", add.U, 7, 1e-12)
	off, _ := Combine([]Term{{"a", 3, 1, 0}, {"b", 3, 1, 0}}, Correlation{0, 1, -1})
	near(t, "difference", off.U, 0, 1e-12)
	none, err := Combine(nil)
	if err != nil || none.U != 0 || none.K != 2 {
		t.Errorf("empty budget: %+v, %v", none, err)
	}
}

// Properties of an independent budget: at least the largest part, at most the sum; degrees of
// freedom between the least and the sum of them (JCGM 100 G.4.1 note); order does not matter.
func TestCombineProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		terms := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Term {
			return Term{"x", rapid.Float64Range(1e-3, 1).Draw(t, "u"), rapid.Float64Range(-3, 3).Draw(t, "c"), rapid.Float64Range(1, 50).Draw(t, "dof")}
		}), 1, 8).Draw(t, "terms")
		b, err := Combine(terms)
		if err != nil {
			t.Fatal(err)
		}
		largest, sum, least, total := 0.0, 0.0, math.Inf(1), 0.0
		for _, x := range terms {
			v := math.Abs(x.U * x.Sensitivity)
			largest, sum = math.Max(largest, v), sum+v
			least, total = math.Min(least, x.DoF), total+x.DoF
		}
		if b.U < largest-1e-12 || b.U > sum+1e-12 {
			t.Fatalf("u %v outside %v to %v", b.U, largest, sum)
		}
		if b.U > 0 && (b.DoF < least-1e-6 || b.DoF > total+1e-6) {
			t.Fatalf("degrees %v outside %v to %v", b.DoF, least, total)
		}
		turned := make([]Term, len(terms))
		for i, x := range terms {
			turned[len(terms)-1-i] = x
		}
		r, _ := Combine(turned)
		if math.Abs(r.U-b.U) > 1e-12 || math.Abs(r.DoF-b.DoF) > 1e-6*b.DoF {
			t.Fatalf("order matters: %v %v", b, r)
		}
	})
}
