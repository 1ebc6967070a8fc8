//go:build !js

package together

import (
	"math"
	"math/rand/v2"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/qc"
)

// A further value never makes the best mean more uncertain, whatever it shares with the others.
func TestFurtherValueNeverHarms(t *testing.T) {
	labels := []string{"outline: clearness", "outline: pixel size and blur", "card print scale", "camera fit", "outline: looks differ"}
	r := rand.New(rand.NewPCG(990000, 1))
	variance := func(values []uncertain, w []float64) (v float64) {
		sums := map[string]float64{}
		for i := range w {
			v += w[i] * w[i] * values[i].own
			for l, c := range values[i].common {
				sums[l] += w[i] * c
			}
		}
		for _, s := range sums {
			v += s * s
		}
		return v
	}
	for range 2000 {
		var values []uncertain
		last := math.Inf(1)
		for range 1 + r.IntN(4) {
			var cs []qc.Contribution
			for _, l := range labels {
				if r.IntN(4) > 0 {
					cs = append(cs, qc.Contribution{Label: l, UMM: 0.05 * r.ExpFloat64()})
				}
			}
			values = append(values, uncertainBy(append(cs, qc.Contribution{Label: "outline: noise", UMM: 0.001})))
			w := bestWeights(values)
			sum, low := 0.0, 0.0
			for _, x := range w {
				sum, low = sum+x, min(low, x)
			}
			v := variance(values, w)
			if math.Abs(sum-1) > 1e-9 || low < 0 || !(v <= last*(1+1e-6)) {
				t.Fatalf("%d values: weights %v, variance %g, %g before the last: %+v", len(values), w, v, last, values)
			}
			last = v
		}
	}
}

// grown is by how much U may grow with a further photo: its budget is worked out at the outline that
// all photos have in common, which lies a little elsewhere; and by weights that are the best ones for
// the diameter and for the centre as a whole, not for how far it is out of round or for one direction.
const grown = 1.07

// neverGrows holds that a photo which agrees with the first makes no U larger, in whatever order.
func neverGrows(t *testing.T, name string, rs []*measure.Result, opt measure.Options) (compared int) {
	t.Helper()
	for _, of := range [][]int{{0, 1}, {0, 2}, {1, 0}, {1, 2}, {2, 0}, {2, 1}, {0, 1, 2}, {1, 2, 0}, {2, 0, 1}} {
		var some []*measure.Result
		for _, i := range of {
			some = append(some, rs[i])
		}
		res := Join(some, opt)
		if res.Photos[0].LeftOut != nil {
			continue
		}
		for k := range res.Locations {
			l := &res.Locations[k]
			if l.Px != 0 || !l.firstCounts() {
				continue // why is said in its look
			}
			for i := range l.Readings {
				r := &l.Readings[i]
				if r.Quantity == qc.Pitch && !res.Locations[r.ToIndex].firstCounts() {
					continue
				}
				for _, a := range l.Alone {
					if r.Views == 1 || r.Quantity != a.Quantity || !sameSpan(&a, r) {
						continue
					}
					compared++
					if r.UMM > grown*a.UMM {
						t.Errorf("%s, photos %v: U of %s is %.4f mm by %d, %.4f by the first", name, of, r.Quantity, r.UMM, r.Views, a.UMM)
					}
				}
			}
		}
	}
	return compared
}

func (l *Location) firstCounts() bool { return len(l.Looks) > 0 && l.Looks[0].Used }

// sameSpan tells whether two readings of one photo lead to the same edge or neighbour.
func sameSpan(a, b *measure.Reading) bool {
	near := func(p, q geom.PxPoint) bool { return math.Hypot(p.U-q.U, p.V-q.V) < 25 }
	switch {
	case a.ToPx != nil && b.ToPx != nil:
		return near(*a.ToPx, *b.ToPx)
	case a.EdgeMM != nil && b.EdgeMM != nil:
		return math.Abs(a.ValueMM-b.ValueMM) < 0.3
	}
	return a.ToPx == nil && b.ToPx == nil
}
