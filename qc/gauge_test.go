package qc

import "testing"

// Two readings of one thing differ by no more than the root of the sum of their squared U
// (JCGM 100:2008 5.1.2: the uncertainty of a difference of independent values). A hand gauge
// settles what a photo left open only where they agree so; else both stand.
func TestGaugeSettlesOnlyWhatItAgreesWith(t *testing.T) {
	// The least head diameter of a -4 rivet is 4.37 mm. U of 0.3 and 0.4 make 0.5 together.
	photo := rd(HeadDMin, 4.35, 0.3)
	for _, c := range []struct {
		gauge float64
		want  Verdict
	}{{4.80, Within}, {4.84, Within}, {4.86, TooClose}, {4.95, TooClose}, {5.04, TooClose}, {5.3, TooClose}} {
		res := judge(t, shop4, []Reading{photo, gauge(HeadDMin, c.gauge, 0.4)}, nil)
		if res.Verdict != c.want {
			t.Errorf("photo %.2f, gauge %.2f: %s, want %s", photo.ValueMM, c.gauge, res.Verdict, c.want)
		}
	}
}
