package card

import (
	"encoding/json"
	"math"
	"math/rand"
	"os"
	"testing"

	"bucktail/imaging/fit"
	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
)

// devPhotos are the photos of testdata/photos, one or more of each layout.
var devPhotos = []string{"dev-03", "dev-08", "dev-13", "dev-16"}

type truth struct {
	Card struct {
		Layout  string
		Targets [][3]float64 `json:"targets_px"` // u, v, visible
	}
}

// loaded keeps decoded photos; tests only read them.
var loaded = map[string]*raster.Picture{}

func loadPhoto(t testing.TB, name string) (*raster.Picture, truth) {
	t.Helper()
	var tr truth
	b, err := os.ReadFile("../../testdata/photos/" + name + ".json")
	if err == nil {
		err = json.Unmarshal(b, &tr)
	}
	if err != nil {
		t.Fatal(err)
	}
	if loaded[name] == nil {
		loaded[name] = decode(t, "../../testdata/photos/"+name+".jpg")
	}
	return loaded[name], tr
}

func decode(t testing.TB, path string) *raster.Picture {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	return p.Picture
}

// scene is a photo brought into another one, with the targets' places carried along.
type scene struct {
	g      *raster.Grey
	layout *Layout
	at     []fit.Point // targets' centres, px
	shown  []bool      // in the frame and not covered
	mm     float64     // px per mm, about
}

// pose brings a photo into a frame of w × h by the map m (old px to new px).
func pose(pic *raster.Picture, tr *truth, m fit.H, w, h int) *scene {
	inv, _ := m.Inverse()
	s := &scene{g: raster.NewGrey(w, h), layout: ByName(tr.Card.Layout)}
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			p := inv.Apply(fit.Point{X: float64(x), Y: float64(y)})
			v := 70.0
			if pic.Inside(p.X, p.Y, 0) {
				v = pic.Y.Sample(p.X, p.Y)
			}
			s.g.Pix[y*w+x] = uint8(v + 0.5)
		}
	}
	for _, q := range tr.Card.Targets {
		s.at = append(s.at, m.Apply(fit.Point{X: q[0], Y: q[1]}))
	}
	a, b := s.layout.Targets[0].At, s.layout.Targets[1].At
	s.mm = math.Hypot(s.at[0].X-s.at[1].X, s.at[0].Y-s.at[1].Y) / math.Hypot(a.X-b.X, a.Y-b.Y)
	for _, q := range s.at {
		r := 3.6 * s.mm
		s.shown = append(s.shown, q.X > r && q.Y > r && q.X < float64(w)-r && q.Y < float64(h)-r)
	}
	return s
}

// turned gives the photo turned by angle and scaled by k about its middle, in a frame that
// holds all of it.
func turned(pic *raster.Picture, tr *truth, angle, k float64) *scene {
	w, h := pic.Bounds()
	side := math.Hypot(float64(w), float64(h)) * k
	c, s := k*math.Cos(angle), k*math.Sin(angle)
	x, y := float64(w)/2, float64(h)/2
	m := fit.H{c, -s, side/2 - c*x + s*y, s, c, side/2 - s*x - c*y, 0, 0, 1}
	return pose(pic, tr, m, int(side), int(side))
}

// each calls f for every pixel with its grey level, and keeps what f gives, clipped.
func (s *scene) each(f func(x, y int, v float64) float64) {
	s.eachNear(0, 0, float64(s.g.W+s.g.H), f)
}

// eachNear is each within r of (cx, cy) along both axes.
func (s *scene) eachNear(cx, cy, r float64, f func(x, y int, v float64) float64) {
	for y := max(0, int(cy-r)); y < min(s.g.H, int(cy+r)+2); y++ {
		for x := max(0, int(cx-r)); x < min(s.g.W, int(cx+r)+2); x++ {
			i := y*s.g.W + x
			s.g.Pix[i] = uint8(math.Max(0, math.Min(255, f(x, y, float64(s.g.Pix[i]))+0.5)))
		}
	}
}

// blot covers discs over some targets with a plain or grainy grey.
func (s *scene) blot(rng *rand.Rand, n int) {
	for ; n > 0; n-- {
		t := s.at[rng.Intn(len(s.at))]
		r := s.mm * (2 + 5*rng.Float64())
		cx, cy := t.X+2*s.mm*rng.NormFloat64(), t.Y+2*s.mm*rng.NormFloat64()
		level, grain := 20+180*rng.Float64(), 25*rng.Float64()
		s.eachNear(cx, cy, r, func(x, y int, v float64) float64 {
			if math.Hypot(float64(x)-cx, float64(y)-cy) < r {
				return level + grain*(rng.Float64()-0.5)
			}
			return v
		})
		for i, q := range s.at {
			if math.Hypot(q.X-cx, q.Y-cy) < r+2.8*s.mm {
				s.shown[i] = false
			}
		}
	}
}

// shade darkens one side of a line through the card.
func (s *scene) shade(rng *rand.Rand) {
	t := s.at[rng.Intn(len(s.at))]
	sn, cs := math.Sincos(2 * math.Pi * rng.Float64())
	dark, soft := 0.25+0.5*rng.Float64(), s.mm*(0.2+3*rng.Float64())
	s.each(func(x, y int, v float64) float64 {
		d := ((float64(x)-t.X)*cs + (float64(y)-t.Y)*sn) / soft
		return v * (dark + (1-dark)/(1+math.Exp(-d)))
	})
}

// glare lays a bright spot over the card; a target under its middle counts as covered.
func (s *scene) glare(rng *rand.Rand) {
	t := s.at[rng.Intn(len(s.at))]
	r := s.mm * (3 + 10*rng.Float64())
	cx, cy := t.X+5*s.mm*rng.NormFloat64(), t.Y+5*s.mm*rng.NormFloat64()
	bright := 60 + 190*rng.Float64()
	at := func(x, y float64) float64 {
		d := math.Hypot(x-cx, y-cy) / r
		return bright * math.Exp(-d*d)
	}
	s.eachNear(cx, cy, 3*r, func(x, y int, v float64) float64 { return v + at(float64(x), float64(y)) })
	for i, q := range s.at {
		if at(q.X, q.Y) > 90 {
			s.shown[i] = false
		}
	}
}

// strokes draws dark and bright strokes, as of swarf and a marker, over card and sheet.
func (s *scene) strokes(rng *rand.Rand, n int) {
	for ; n > 0; n-- {
		t := s.at[rng.Intn(len(s.at))]
		x, y := t.X+10*s.mm*rng.NormFloat64(), t.Y+10*s.mm*rng.NormFloat64()
		sn, cs := math.Sincos(2 * math.Pi * rng.Float64())
		length, half := s.mm*(1+9*rng.Float64()), s.mm*(0.1+0.4*rng.Float64())
		level := uint8(rng.Intn(256))
		for d := 0.0; d < length; d += 0.5 {
			px, py := x+d*cs, y+d*sn
			for v := int(py - half); v <= int(py+half); v++ {
				for u := int(px - half); u <= int(px+half); u++ {
					if u >= 0 && v >= 0 && u < s.g.W && v < s.g.H {
						s.g.Pix[v*s.g.W+u] = level
					}
				}
			}
			for i, q := range s.at {
				if math.Hypot(q.X-px, q.Y-py) < 2.9*s.mm+half {
					s.shown[i] = false
				}
			}
		}
	}
}

// smear blurs along one direction, as a moved camera does.
func (s *scene) smear(length, angle float64) {
	a, b := s.at[0], s.at[len(s.at)-1]
	cx, cy := (a.X+b.X)/2, (a.Y+b.Y)/2
	src := &raster.Grey{W: s.g.W, H: s.g.H, Pix: append([]uint8(nil), s.g.Pix...)}
	n := int(length) + 2
	sn, cs := math.Sincos(angle)
	s.eachNear(cx, cy, 60*s.mm, func(x, y int, _ float64) float64 {
		sum := 0.0
		for k := 0; k < n; k++ {
			d := length * (float64(k)/float64(n-1) - 0.5)
			sum += src.Sample(float64(x)+d*cs, float64(y)+d*sn)
		}
		return sum / float64(n)
	})
}

// enough tells whether what is shown of the card must suffice: six targets that span it,
// with some room over the finder's own rule.
func (s *scene) enough() bool {
	var all, shown moments2
	for i, t := range s.layout.Targets {
		all.add(t.At.X, t.At.Y)
		if s.shown[i] {
			shown.add(t.At.X, t.At.Y)
		}
	}
	long, _ := all.extents()
	l, sh := shown.extents()
	return shown.n >= minSeen && sh > 3.4 && l > 0.55*long
}

// right tells whether the match is the card where it is.
func (s *scene) right(m *Match) bool {
	if m.Layout != s.layout {
		return false
	}
	for i, t := range m.Targets {
		if t.Sight == Seen && math.Hypot(t.CentrePx.U-s.at[i].X, t.CentrePx.V-s.at[i].Y) > 0.5*s.mm {
			return false
		}
	}
	return true
}
