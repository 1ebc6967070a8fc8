package contour

import (
	"math"
	"testing"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fit"
	"bucktail/imaging/geom"
	"bucktail/qc"
)

// A row whose likelihood is a bell names the bell's middle, between columns too, and its width; of two
// bells that are equally high it holds half.
func TestBestPlaceOfBells(t *testing.T) {
	bell := func(middles ...float64) []float32 {
		row := make([]float32, 64)
		for k := range row {
			sum := 1e-12
			for _, m := range middles {
				d := (float64(k) - m) / 0.9
				sum += math.Exp(-d * d / 2)
			}
			row[k] = float32(math.Log(sum))
		}
		return row
	}
	for _, c := range []struct {
		row          []float32
		at, fraction float64
	}{{bell(20), 20, 1}, {bell(20.3), 20.3, 1}, {bell(40.5), 40.5, 1}, {bell(20.2, 45), 0, 0.5}} {
		at, sigma, fraction, _ := fit.Likeliest(c.row, 0, len(c.row)-1, 3)
		if c.at > 0 && math.Abs(at-c.at) > 0.03 || math.Abs(sigma-0.9) > 0.05 || math.Abs(fraction-c.fraction) > 0.03 {
			t.Errorf("place %.2f ± %.2f with %.2f of the likelihood, want %.2f ± 0.9 with %.1f", at, sigma, fraction, c.at, c.fraction)
		}
	}
	// Near a mark the nearer of two counts, with the half that it holds.
	for _, c := range []struct {
		first, last int
		at          float64
	}{{10, 30, 20.2}, {35, 55, 45}} {
		if at, _, fraction, _ := fit.Likeliest(bell(20.2, 45), c.first, c.last, 3); math.Abs(at-c.at) > 0.03 || math.Abs(fraction-0.5) > 0.03 {
			t.Errorf("from column %d to %d: place %.2f with %.2f of the likelihood, want %.1f with a half", c.first, c.last, at, fraction, c.at)
		}
	}
}

// Each direction gives one observation, of a driven head one of its flat too, with a U that grows as
// the likelihood is shared; what is not in the photo gives none. In a mirror the directions run round
// the other way.
func TestReadingOfTheMaps(t *testing.T) {
	ws := convnet.Borrow()
	defer ws.Return()
	maps := ws.Planes(2, convnet.Directions, polarRho)
	const shared, hidden = 5, 9
	for m := range 2 {
		for i := range convnet.Directions {
			row := maps.Row(m, i)
			for k := range row {
				row[k] = -20
			}
			row[10+i/4+20*m] = 0
			if i == shared {
				row[60] = -1e-3 // as likely, and a hair less
			}
		}
	}
	p := &patch{stepMM: 0.05, rho: polarRho}
	for i := range p.cov {
		p.cov[i] = i/2 != hidden
	}
	at := func(i int, k float64) geom.SheetPoint { return geom.SheetPoint{X: float64(i), Y: k} }
	for _, c := range []struct {
		kind   qc.Kind
		mirror bool
		flats  int
	}{{qc.ShopHead, false, convnet.Directions - 1}, {qc.ShopHead, true, convnet.Directions - 1}, {qc.UniversalHead, false, 0}, {qc.Hole, true, 0}} {
		var v Look
		v.read(maps, p, at, c.kind, c.mirror, afarReach, 0)
		flats := 0
		for _, o := range v.Observations {
			i, column := int(o.At.X), o.At.Y
			row := i
			if c.mirror {
				row = convnet.Directions - 1 - i
			}
			want := float64(10 + row/4)
			if o.Flat {
				flats++
				want += 20
			}
			if math.Abs(column-want) > 1e-6 || i == hidden {
				t.Errorf("%s, mirror %v: direction %d is read at column %.2f, want %.0f", c.kind, c.mirror, i, column, want)
			}
			u := p.stepMM * leastSigma
			if row == shared {
				u *= 2
			}
			if math.Abs(o.UMM-u) > 0.01*u {
				t.Errorf("%s, mirror %v: direction %d has a standard uncertainty of %.4f mm, want %.4f", c.kind, c.mirror, i, o.UMM, u)
			}
		}
		if n := len(v.Observations) - flats; n != convnet.Directions-1 || flats != c.flats {
			t.Errorf("%s, mirror %v: %d of the silhouette and %d of the flat", c.kind, c.mirror, n, flats)
		}
		// One direction of those in the photo is shared between two places.
		if seen := float64(convnet.Directions - 1); math.Abs(v.Clear-(seen-0.5)/seen) > 1e-3 {
			t.Errorf("%s, mirror %v: clear %.4f", c.kind, c.mirror, v.Clear)
		}
	}
}

// What is told of the view in a mirror is what would be told of the mirrored view.
func TestSettingInAMirror(t *testing.T) {
	settings := func(at geom.SheetPoint, mirror bool) []float32 {
		cam := tilted(120, 0, 1900)
		return (&patch{centre: at, stepMM: 0.05}).setting(cam, qc.Hole, mirror)
	}
	a, b := settings(geom.SheetPoint{X: 20, Y: 45}, true), settings(geom.SheetPoint{X: 20, Y: -45}, false)
	for i := range a {
		// Rows are named by the first of a pair of directions, whose mirror image is half a row off.
		if math.Abs(float64(a[i]-b[i])) > 5*0.45*2*math.Pi/polarPhi {
			t.Errorf("value %d of direction %d: %.3f in a mirror, %.3f of the mirrored view", i%convnet.Settings, i/convnet.Settings, a[i], b[i])
		}
	}
}
