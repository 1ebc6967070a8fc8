//go:build !js

package together

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"bucktail/imaging/geom"
	"bucktail/imaging/measure"
	"bucktail/imaging/synth"
	"bucktail/qc"
)

// viewsFolder holds scenes from three sides each, with their truth.
const viewsFolder = "../../testdata/views"

// gate are the scenes that TestViews measures. Their seeds are set aside: nothing was trained on them,
// and nobody chose anything by them. From 991300 on they are the first with three of a kind: universal
// heads, driven heads twice and such that lean, and the first two with two holes large enough to be
// measured. The card of one lies elsewhere from its second view on, and a row of four does not tell
// where it went.
var gate = []struct {
	seed  uint64
	moved bool
}{{seed: 991300}, {seed: 991303}, {seed: 991306, moved: true}, {seed: 991311}, {seed: 991313}, {seed: 991336}}

// scene is a place with its truth, seen in photos: NAMEa.jpg or NAME-a.jpg and so on.
type scene struct {
	name   string
	photos [][]byte
	truths []truth
}

// truth is what a truth file says of a view.
type truth struct {
	Camera struct {
		R [3][3]float64
		T [3]float64
	}
	Card struct {
		Scale       [2]float64 `json:"print_scale"`
		ThicknessMM float64    `json:"thickness_mm"`
	}
	Fasteners []synth.FastenerTruth
	Edges     []synth.EdgeTruth
}

// readScenes reads the scenes of a folder that have at least as many views.
func readScenes(folder string, views int) (out []scene, err error) {
	files, err := filepath.Glob(filepath.Join(folder, "*.json"))
	slices.Sort(files)
	for _, f := range files {
		stem := strings.TrimSuffix(f, ".json")
		name := strings.TrimSuffix(filepath.Base(stem[:len(stem)-1]), "-")
		if len(out) == 0 || out[len(out)-1].name != name {
			out = append(out, scene{name: name})
		}
		s := &out[len(out)-1]
		photo, err := os.ReadFile(stem + ".jpg")
		if err != nil {
			return nil, err
		}
		said, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		var t truth
		if err := json.Unmarshal(said, &t); err != nil {
			return nil, err
		}
		s.photos, s.truths = append(s.photos, photo), append(s.truths, t)
	}
	return slices.DeleteFunc(out, func(s scene) bool { return len(s.photos) < views }), err
}

// readGate reads the scenes of gate; what else the folder holds was chosen by.
func readGate(views int) ([]scene, error) {
	all, err := readScenes(viewsFolder, views)
	return slices.DeleteFunc(all, func(s scene) bool {
		for _, g := range gate {
			if s.name == fmt.Sprint(g.seed) {
				return false
			}
		}
		return true
	}), err
}

var kindOf = map[synth.Kind]qc.Kind{synth.ShopHead: qc.ShopHead, synth.Universal: qc.UniversalHead, synth.Pulled: qc.PulledHead, synth.Flush: qc.FlushHead, synth.Hole: qc.Hole}

// group is what is measured at once: one kind and size.
type group struct {
	kind      qc.Kind
	nominalMM float64
}

func (s *scene) groups() (out []group) {
	for _, f := range s.truths[0].Fasteners {
		if g := (group{kindOf[f.Type], f.NominalDMM}); !slices.Contains(out, g) {
			out = append(out, g)
		}
	}
	return out
}

func (s *scene) count(g group) (n int) {
	for _, f := range s.truths[0].Fasteners {
		if (group{kindOf[f.Type], f.NominalDMM}) == g {
			n++
		}
	}
	return n
}

// measure measures every photo by itself.
func (s *scene) measure(g group) (rs []*measure.Result, opt measure.Options, err error) {
	card := s.truths[0].Card
	opt = measure.Options{Kind: g.kind, NominalMM: g.nominalMM, ScaleX: card.Scale[0], ScaleY: card.Scale[1], ThicknessMM: card.ThicknessMM}
	for _, p := range s.photos {
		r, err := measure.Photo(p, opt)
		if err != nil {
			return nil, opt, err
		}
		rs = append(rs, r)
	}
	return rs, opt, nil
}

// errorOf is a reading beside the truth.
type errorOf struct{ errorMM, uMM float64 }

// score is how scenes were measured.
type score struct {
	there, read, falseOnes int
	nearest, nearestWrong  int
	by                     map[qc.Quantity][]errorOf
}

// add scores the answer for one group. views are the photos' truths in their order.
func (s *score) add(res *Result, g group, views []truth) {
	if s.by == nil {
		s.by = map[qc.Quantity][]errorOf{}
	}
	who := make([]int, len(res.Locations)) // which fastener each location is
	for i := range who {
		who[i] = -1
	}
	for k := range views[0].Fasteners {
		f := &views[0].Fasteners[k]
		if kindOf[f.Type] != g.kind || f.NominalDMM != g.nominalMM {
			continue
		}
		s.there++
		best, near := -1, 0.75*f.NominalDMM
		for i, l := range res.Locations {
			at := view(views[l.Px].Fasteners[k].CentrePx)
			if mm := l.CentrePx.Sub(at).Norm() * res.Photos[l.Px].Scale.MMPerPx; who[i] < 0 && mm < near {
				best, near = i, mm
			}
		}
		if best >= 0 {
			who[best] = k
			if len(res.Locations[best].Readings) > 0 {
				s.read++
			}
		}
	}
	t := &views[0]
	for i := range res.Locations {
		l := &res.Locations[i]
		if who[i] < 0 {
			if len(l.Readings) > 0 {
				s.falseOnes++
			}
			continue
		}
		f := &t.Fasteners[who[i]]
		nearest := math.Inf(1)
		for k := range l.Readings {
			r := &l.Readings[k]
			want := math.NaN()
			switch r.Quantity {
			case qc.HeadDMean:
				want = f.HeadDMeanMM
			case qc.HoleDMean:
				want = holeMean(f)
			case qc.HeadHeight:
				want = f.HeadHeightMM
			case qc.Pitch:
				if to := who[r.ToIndex]; to >= 0 {
					want = shown(&t.Fasteners[to]).Sub(shown(f)).Norm()
				}
			case qc.EdgeDistance:
				nearest = min(nearest, r.ValueMM)
				want = t.edge(f, r.ValueMM)
			}
			if !math.IsNaN(want) {
				s.by[r.Quantity] = append(s.by[r.Quantity], errorOf{r.ValueMM - want, r.UMM})
			}
		}
		if mm := t.nearest(f); mm < 4*f.NominalDMM && len(l.Readings) > 0 {
			s.nearest++
			if math.Abs(nearest-mm) > 0.5 {
				s.nearestWrong++
			}
		}
	}
}

func view(p [2]float64) geom.PxPoint { return geom.PxPoint{U: p[0], V: p[1]} }

func holeMean(f *synth.FastenerTruth) float64 {
	if f.HoleDMinMM > 0 {
		return (f.HoleDMinMM + f.HoleDMaxMM) / 2
	}
	return f.HoleDMM
}

// shown is the middle that a photo shows: a head's centre, a hole's axis.
func shown(f *synth.FastenerTruth) geom.SheetPoint {
	p := f.HeadCentreMM
	if f.Type == synth.Hole {
		p = f.AxisMM
	}
	return geom.SheetPoint{X: p[0], Y: p[1]}
}

// distances gives the distances to the edges on whose stretch the foot falls.
func (t *truth) distances(f *synth.FastenerTruth) (out []float64) {
	c := shown(f)
	for _, to := range f.EdgeDistances {
		for _, e := range t.Edges {
			if e.ID != to.Edge {
				continue
			}
			a, b := geom.SheetPoint{X: e.P0MM[0], Y: e.P0MM[1]}, geom.SheetPoint{X: e.P1MM[0], Y: e.P1MM[1]}
			v := b.Sub(a)
			if k := c.Sub(a).Dot(v) / v.Dot(v); k > -0.02 && k < 1.02 {
				out = append(out, math.Abs(c.Sub(a).X*v.Y-c.Sub(a).Y*v.X)/v.Norm())
			}
		}
	}
	return out
}

func (t *truth) nearest(f *synth.FastenerTruth) float64 {
	least := math.Inf(1)
	for _, mm := range t.distances(f) {
		least = min(least, mm)
	}
	return least
}

// edge gives the true distance of the edge that was read as mm; NaN where none is within 0.6 mm.
func (t *truth) edge(f *synth.FastenerTruth, mm float64) float64 {
	best, near := math.NaN(), 0.6
	for _, d := range t.distances(f) {
		if e := math.Abs(d - mm); e < near {
			best, near = d, e
		}
	}
	return best
}

// figures of a group of errors.
func figures(es []errorOf) (bias, p95, medianU, covered float64) {
	if len(es) == 0 {
		return math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	var sizes, us []float64
	for _, e := range es {
		bias += e.errorMM / float64(len(es))
		sizes, us = append(sizes, math.Abs(e.errorMM)), append(us, e.uMM)
		if math.Abs(e.errorMM) <= e.uMM {
			covered += 1 / float64(len(es))
		}
	}
	return bias, quantile(sizes, 0.95), quantile(us, 0.5), covered
}

func quantile(v []float64, p float64) float64 {
	v = slices.Sorted(slices.Values(v))
	k := p * float64(len(v)-1)
	i := min(int(k), len(v)-2)
	if i < 0 {
		return v[0]
	}
	return v[i] + (k-float64(i))*(v[i+1]-v[i])
}

// row is a line of a table: how a score did.
func (s *score) row() string {
	var b strings.Builder
	fmt.Fprintf(&b, "read %d of %d, false %d, nearest edge wrong %d of %d", s.read, s.there, s.falseOnes, s.nearestWrong, s.nearest)
	for _, q := range []qc.Quantity{qc.HeadDMean, qc.HoleDMean, qc.HeadHeight, qc.EdgeDistance, qc.Pitch} {
		if es := s.by[q]; len(es) > 0 {
			bias, p95, u, covered := figures(es)
			fmt.Fprintf(&b, "\n    %-14s n %3d  bias %+.3f  p95 %.3f  median U %.3f  covered %3.0f %%", q, len(es), bias, p95, u, 100*covered)
		}
	}
	return b.String()
}

// bounds are what TestViews holds: what was found when they were set, and some room.
var bounds = map[qc.Quantity]struct{ p95MM, covered float64 }{
	qc.HeadDMean:    {0.061, 0.94}, // found 0.055, all 18
	qc.HoleDMean:    {0.053, 0.75}, // found 0.048, all 4
	qc.HeadHeight:   {0.258, 0.92}, // found 0.243, all 11
	qc.EdgeDistance: {0.210, 0.90}, // found 0.200, 19 of 21: two are new, and 0.2 and 0.4 mm too near
	qc.Pitch:        {0.066, 0.97}, // found 0.060, all 60
}

// Where the card was moved, the pattern of fasteners and edges tells how photos belong together, and
// they tell as much.
func TestMovedCard(t *testing.T) {
	scenes, err := readScenes(viewsFolder, 3)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(scenes, func(s scene) bool { return s.name == "990117" })
	var alone, three score
	for _, g := range scenes[i].groups() {
		rs, opt, err := scenes[i].measure(g)
		if err != nil {
			t.Fatal(err)
		}
		res := Join(rs, opt)
		for k, p := range res.Photos {
			if moved := k > 0 && scenes[i].count(g) > 1; p.Moved != moved || moved && p.LeftOut != nil {
				t.Errorf("photo %d, %s: moved %v, left out %v", k+1, g.kind, p.Moved, p.LeftOut)
			}
		}
		alone.add(Join(rs[:1], opt), g, scenes[i].truths)
		three.add(res, g, scenes[i].truths)
	}
	if three.read < alone.read || three.nearestWrong > 0 || three.falseOnes > 0 {
		t.Errorf("one photo: %s\nthree: %s", alone.row(), three.row())
	}
}

// nearestWrong are the fasteners whose nearest edge three photos don't show either.
const nearestWrong = 2

// Three photos of a place, from scenes that nothing was trained on, are measured as well as when the
// bounds were set, and every one is as sure as it may be; where the card went between them and nothing
// tells whereto, that is said.
func TestViews(t *testing.T) {
	scenes, err := readGate(3)
	if err != nil {
		t.Fatal(err)
	}
	if len(scenes) != len(gate) {
		t.Fatalf("%d scenes", len(scenes))
	}
	var alone, three score
	compared := 0
	for i, s := range scenes {
		if s.name != fmt.Sprint(gate[i].seed) {
			t.Errorf("%s: not the scene %d", s.name, gate[i].seed)
		}
		for _, g := range s.groups() {
			rs, opt, err := s.measure(g)
			if err != nil {
				t.Fatal(err)
			}
			for k := range rs {
				alone.add(Join(rs[k:k+1], opt), g, s.truths[k:])
			}
			compared += neverGrows(t, s.name, rs, opt)
			res := Join(rs, opt)
			for k, p := range res.Photos {
				if vague := gate[i].moved && k > 0; vague != (p.LeftOut != nil && p.LeftOut.Code == "no-match") || p.Moved {
					t.Errorf("%s, photo %d: moved %v, left out %v", s.name, k+1, p.Moved, p.LeftOut)
				}
			}
			three.add(res, g, s.truths)
		}
	}
	t.Logf("one photo: %s\nthree: %s", alone.row(), three.row())
	if compared < 300 {
		t.Errorf("only %d readings were compared with the first photo's own", compared)
	}
	if three.read*alone.there < alone.read*three.there || three.nearestWrong > nearestWrong || three.falseOnes > 0 {
		t.Errorf("three photos: %s", three.row())
	}
	for q, b := range bounds {
		_, p95, u, covered := figures(three.by[q])
		_, _, one, _ := figures(alone.by[q])
		if !(p95 <= b.p95MM) || !(covered >= b.covered) {
			t.Errorf("%s: p95 %.4f mm, not at most %.4f; U covers %.2f, not at least %.2f", q, p95, b.p95MM, covered, b.covered)
		}
		if q != qc.HeadHeight && !(u < one) {
			t.Errorf("%s: U is %.4f by three photos and %.4f by one", q, u, one)
		}
	}
}
