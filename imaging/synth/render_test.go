package synth

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"math"
	"slices"
	"testing"

	"bucktail/imaging/card"
	"bucktail/imaging/geom"
	"bucktail/imaging/photo"
)

// A small lamp lights matt paper by the inverse square of its distance and by the cosine at
// the paper (Lambert, Photometria, 1760; any handbook of lighting).
func TestLampFollowsInverseSquareAndCosine(t *testing.T) {
	s := plain(80, 60, 100, 300, 0)
	s.Ambient = [3]float64{}
	s.Lights = []Light{{AtMM: [3]float64{0, 0, 400}, UMM: [3]float64{0.5, 0, 0}, VMM: [3]float64{0, 0.5, 0}, Irradiance: [3]float64{2, 2, 2}}}
	w := newWorld(s)
	paper := surface{n: vec{0, 0, 1}, diff: rgb{0.8, 0.8, 0.8}, pd: 1}
	r := newRandom(1)
	for _, x := range []float64{0, 200, 500} {
		sum := 0.0
		for range 400 {
			sum += w.direct(vec{x, 0, 30}, paper.n, &paper, vec{0, 0, 1}, [2]float64{r.unit(), r.unit()}, r)[1]
		}
		// Lamp and paper both lie aslant by the same angle.
		h := 370.0
		cos := h / math.Hypot(h, x)
		want := 0.8 / math.Pi * 2 * math.Pow(400, 2) * cos * cos / (h*h + x*x)
		if got := sum / 400; math.Abs(got-want) > 0.002*want {
			t.Errorf("at %.0f mm: %.5f, want %.5f", x, got, want)
		}
	}
}

// A rough mirror sends back no more than it gets, and both ways of finding a lamp agree. Seen
// straight on, the facets steeper than 45 degrees lose their light: a fraction of a²/(1+a²)
// by the distribution of Walter et al. (2007, equation 35: tan² = a² u/(1-u)).
func TestMirrorKeepsEnergy(t *testing.T) {
	s := surface{n: vec{0, 0, 1}, spec: rgb{1, 1, 1}, ax: 0.2, ay: 0.3, tan: vec{1, 0, 0}}
	view := vec{0.5, 0.2, 0.8}.unit()
	r := newRandom(2)
	drawn, cast := 0.0, 0.0
	const n = 200000
	for range n {
		_, weight, _ := s.mirror(view, [2]float64{r.unit(), r.unit()})
		drawn += weight[1] / n
		// The same integral with directions spread evenly over the half space.
		z, a := r.unit(), r.span(0, 2*math.Pi)
		k := math.Sqrt(1 - z*z)
		f, _ := s.glossy(view, vec{k * math.Cos(a), k * math.Sin(a), z})
		cast += f[1] * z * 2 * math.Pi / n
	}
	if drawn > 1.0005 || drawn < 0.85 {
		t.Errorf("reflects %.3f of the light", drawn)
	}
	if math.Abs(drawn-cast) > 0.02 {
		t.Errorf("drawn %.3f, cast %.3f", drawn, cast)
	}
	s.ax, s.ay = 0.3, 0.3
	lost := 0.0
	for range n {
		if _, weight, _ := s.mirror(s.n, [2]float64{r.unit(), r.unit()}); weight[1] == 0 {
			lost += 1.0 / n
		}
	}
	if want := 0.09 / 1.09; math.Abs(lost-want) > 0.003 {
		t.Errorf("%.4f of the facets lose their light, want %.4f", lost, want)
	}
}

// The camera's filter mosaic and its interpolation leave a plain grey as it was.
func TestMosaicKeepsPlainColour(t *testing.T) {
	p := &plane3{w: 24, h: 18, v: make([]float32, 3*24*18)}
	for i := range p.w * p.h {
		p.v[3*i], p.v[3*i+1], p.v[3*i+2] = 0.3, 0.5, 0.2
	}
	p.mosaic()
	p.settleColour()
	for i := range p.w * p.h {
		for k, want := range []float32{0.3, 0.5, 0.2} {
			if math.Abs(float64(p.v[3*i+k]-want)) > 1e-5 {
				t.Fatalf("pixel %d channel %d is %.4f, want %.1f", i, k, p.v[3*i+k], want)
			}
		}
	}
}

// An encoded rendering comes back upright, with its camera facts, whatever way the phone
// was held; the same seed gives the same picture.
func TestEncodedPhotoComesBackUpright(t *testing.T) {
	for _, o := range []int{1, 6, 8} {
		s := plain(96, 64, 90, 120, 5)
		if o != 1 {
			s.Width, s.Height = 64, 96
		}
		s.Orientation, s.Effort = o, Effort{1, 1, 1}
		s.Camera.CxPx, s.Camera.CyPx = float64(s.Width)/2, float64(s.Height)/2
		img, _ := s.Render()
		again, _ := s.Render()
		if !bytes.Equal(img.Pix, again.Pix) {
			t.Fatal("two renderings of one seed differ")
		}
		// A mark in the corner shows the way up.
		for y := range 16 {
			for x := range 16 {
				img.Set(x, y, color.RGBA{255, 0, 0, 255})
			}
		}
		var b bytes.Buffer
		if err := s.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		p, err := photo.Decode(b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if p.Orientation != o || p.Focal35MM != 26 || math.Abs(p.FocalMM-5.4) > 1e-9 || p.Width != s.Width || p.Height != s.Height {
			t.Errorf("orientation %d: read back %d, %dx%d, 35 mm %g, %g mm", o, p.Orientation, p.Width, p.Height, p.Focal35MM, p.FocalMM)
		}
		full := photo.Preview(p.Picture, s.Width+s.Height).(*image.NRGBA)
		if c := full.NRGBAAt(7, 7); c.R < 200 || c.G > 80 {
			t.Errorf("orientation %d: the marked corner is %v", o, c)
		}
	}
}

// Every drawn scene holds what its truth says: fasteners in the frame and clear of the
// card, at least six targets to be seen, distances that fit the outlines.
func TestDrawnScenesHoldTogether(t *testing.T) {
	for seed := range uint64(12) {
		s := Draw(seed)
		tr := s.Truth()
		seen := 0
		for _, v := range tr.Card["targets_px"].([][3]float64) {
			seen += int(v[2])
		}
		if seen < 6 {
			t.Errorf("seed %d: only %d targets to be seen", seed, seen)
		}
		for _, f := range tr.Fasteners {
			if len(f.OutlinePx) != 32 || f.Visible < 0.7 {
				t.Errorf("seed %d %s: %d points, %.2f visible", seed, f.ID, len(f.OutlinePx), f.Visible)
			}
			if f.Type != Hole && (f.HeadDMinMM > f.HeadDMeanMM || f.HeadDMeanMM > f.HeadDMaxMM) {
				t.Errorf("seed %d %s: diameters out of order", seed, f.ID)
			}
			if s.Card.Covers(geom.SheetPoint{X: f.AxisMM[0], Y: f.AxisMM[1]}) {
				t.Errorf("seed %d %s: under the card", seed, f.ID)
			}
		}
		if _, err := json.Marshal(tr); err != nil {
			t.Error(err)
		}
	}
}

// A sheet may run on beyond the camera: what is said of such an edge still makes a file.
func TestTruthOfAnEdgeThatRunsBehindTheCamera(t *testing.T) {
	tr := Draw(990022).Truth()
	if _, err := json.Marshal(tr); err != nil {
		t.Error(err)
	}
	if n := slices.IndexFunc(tr.Edges, func(e EdgeTruth) bool { return e.P0Px == nil || e.P1Px == nil }); n < 0 {
		t.Error("no edge of this scene runs behind the camera: choose another seed")
	}
}

func BenchmarkTrace(b *testing.B) {
	s := plain(160, 120, 200, 120, 10)
	s.Card = &CardPlacement{Layout: card.ByName("strip"), OriginMM: geom.SheetPoint{X: -30, Y: 12}, PrintScale: [2]float64{1, 1}, ThicknessMM: 0.3}
	s.Fasteners = []Fastener{{ID: "r1", Kind: ShopHead, NominalMM: 3.969, Finish: Bare, MaxDMM: 6, MinDMM: 6, HeightMM: 1.9, WidestMM: 0.8, RimRatio: 0.885}}
	w := newWorld(s)
	for b.Loop() {
		w.trace()
	}
}
