package synth

import (
	"image"
	"math"
	"sort"
)

// plane3 is a picture of linear light, three values a pixel.
type plane3 struct {
	w, h  int
	v     []float32
	paper float64 // light of bare paper, 0 where there is none
}

// Render traces the scene, sends it through the sensor and tells the truth about it.
func (s *Scene) Render() (*image.RGBA, *Truth) {
	w := newWorld(s)
	if s.workshop != nil {
		return w.traceWorkshop().process(s), s.Truth()
	}
	return w.trace().develop(s), s.Truth()
}

// trace gives the linear picture.
func (w *world) trace() *plane3 {
	s := w.s
	out := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*s.Width*s.Height)}
	ids := w.things()
	paths := w.effort(ids)
	tone := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*s.Width*s.Height)}
	vari := make([]float32, s.Width*s.Height)
	for j := range s.Height {
		r := newRandom(s.Seed<<20 + uint64(j))
		for i := range s.Width {
			k := j*s.Width + i
			switch {
			case paths[k] > coarse:
				t := w.pixel(i, j, 1, int(paths[k]), r)
				t.store(k, float64(paths[k]), out, tone, vari)
			case i%2 == 0 && j%2 == 0:
				t := w.pixel(i, j, 2, s.Effort.Base, r)
				for _, q := range [4]int{k, k + 1, k + s.Width, k + s.Width + 1} {
					t.store(q, float64(s.Effort.Base), out, tone, vari)
				}
			}
		}
	}
	calm(out, ids, vari)
	var paper []float64
	for i, t := range tone.v {
		out.v[i] *= t
		if i%33 == 1 && ids[i/3] == uint16(onFace) {
			paper = append(paper, float64(out.v[i]))
		}
	}
	if len(paper) > 0 {
		sort.Float64s(paper)
		out.paper = paper[len(paper)/2]
	}
	return out
}

// store keeps what n paths brought as pixel k: the light without the first thing's colour,
// that colour, and the variance of the light's mean.
func (t *taken) store(k int, n float64, light, tone *plane3, vari []float32) {
	mean := rgb{}
	for ch := range 3 {
		c := t.tone[ch] / n
		mean[ch] = t.light[ch] / n / c
		tone.v[3*k+ch], light.v[3*k+ch] = float32(c), float32(mean[ch])
	}
	y := mean.luma()
	vari[k] = float32(max(0, t.square/n-y*y) / n)
}

// things tells for each pixel what its middle shows. Off the card every second pixel is
// looked at first, and the others where those differ.
func (w *world) things() []uint16 {
	wd, h := w.s.Width, w.s.Height
	ids := make([]uint16, wd*h)
	for j := 0; j < h; j += 2 {
		for i := 0; i < wd; i += 2 {
			ids[j*wd+i] = w.first(i, j)
		}
	}
	for j := 0; j < h; j += 2 {
		for i := 0; i < wd; i += 2 {
			a := ids[j*wd+i]
			same := a&15 != uint16(onFace)
			for _, d := range [3][2]int{{2, 0}, {0, 2}, {2, 2}} {
				x, y := i+d[0], j+d[1]
				same = same && x < wd && y < h && ids[y*wd+x] == a
			}
			for _, d := range [3][2]int{{1, 0}, {0, 1}, {1, 1}} {
				if x, y := i+d[0], j+d[1]; x < wd && y < h {
					if ids[y*wd+x] = a; !same {
						ids[y*wd+x] = w.first(x, y)
					}
				}
			}
		}
	}
	return ids
}

// coarse marks pixels that share their paths with the other three of their square: plain
// stretches far from every fastener.
const coarse = 0

// effort gives the number of paths for each pixel.
func (w *world) effort(ids []uint16) []uint8 {
	s := w.s
	paths := make([]uint8, len(ids))
	raise := func(i, n int) {
		if int(paths[i]) < n {
			paths[i] = uint8(n)
		}
	}
	// Blur by focus or motion carries an edge's noise outward: widen the border with it.
	reach := 1
	if s.Lens.ApertureMM > 0 {
		_, _, z := s.Camera.Centre()
		blur := s.Lens.ApertureMM * s.Camera.FocalPx * math.Abs(1/s.Lens.FocusMM-1/z)
		reach = 1 + int(min(6, blur))
	}
	for j := reach; j < s.Height-reach; j++ {
		for i := reach; i < s.Width-reach; i++ {
			k := j*s.Width + i
			a := ids[k]
			if ids[k+reach] != a || ids[k+reach*s.Width] != a || ids[k-reach] != a || ids[k-reach*s.Width] != a {
				raise(k, (2*s.Effort.Base+s.Effort.Edge)/3)
			} else if a&15 == uint16(onFace) || a&15 == uint16(onHead) {
				raise(k, s.Effort.Base)
			}
		}
	}
	for n := range s.Fasteners {
		f := &s.Fasteners[n]
		c := s.Project(f.AxisMM, 0)
		size := max(f.MaxDMM, f.BoreMM+f.LongMM) / 2 * s.Camera.PxPerMM(f.AxisMM, 0)
		far, near := 3.2*size, 1.45*size+float64(reach)
		fine := 4.5*size + 60
		for j := max(0, int(c.V-fine)); j <= min(s.Height-1, int(c.V+fine)); j++ {
			for i := max(0, int(c.U-fine)); i <= min(s.Width-1, int(c.U+fine)); i++ {
				d := math.Hypot(float64(i)-c.U, float64(j)-c.V)
				if d < near {
					raise(j*s.Width+i, s.Effort.Edge)
				} else if d < far {
					raise(j*s.Width+i, s.Effort.Near)
				} else {
					raise(j*s.Width+i, s.Effort.Base)
				}
			}
		}
	}
	// A square is coarse as a whole or not at all, and so is the frame's odd rim.
	for j := 0; j < s.Height; j += 2 {
		for i := 0; i < s.Width; i += 2 {
			square := []int{j*s.Width + i}
			for _, d := range [3][2]int{{1, 0}, {0, 1}, {1, 1}} {
				if i+d[0] < s.Width && j+d[1] < s.Height {
					square = append(square, (j+d[1])*s.Width+i+d[0])
				}
			}
			most := uint8(0)
			for _, k := range square {
				most = max(most, paths[k])
			}
			if most > coarse || len(square) < 4 {
				for _, k := range square {
					raise(k, s.Effort.Base)
				}
			}
		}
	}
	return paths
}

// Scaled gives the scene as a smaller (or larger) picture of the same view, width pixels
// wide: what is measured in pixels follows, noise stays. It is the quick way to whole sheets
// for whoever looks for things rather than measures them.
func (s *Scene) Scaled(width int) *Scene {
	k := float64(width) / float64(s.Width)
	t := *s
	t.Width, t.Height = width, max(1, int(float64(s.Height)*k+0.5))
	t.Camera.FocalPx *= k
	// Pixel centres are whole numbers: the frame begins half a pixel before the first.
	t.Camera.CxPx, t.Camera.CyPx = (s.Camera.CxPx+0.5)*k-0.5, (s.Camera.CyPx+0.5)*k-0.5
	t.Sensor.MotionPx *= k
	if k < 1 {
		t.Processing.Shrunk /= k
		t.Processing.HaloPx = math.Max(0.5, t.Processing.HaloPx*k)
	}
	return &t
}

// Window gives the scene as the part of its picture that begins at pixel (u, v).
func (s *Scene) Window(u, v, width, height int) *Scene {
	t := *s
	t.Width, t.Height, t.Orientation = width, height, 1
	t.Camera.CxPx -= float64(u)
	t.Camera.CyPx -= float64(v)
	return &t
}

// quantile gives the value below which a fraction of the values lies; it sorts them.
func quantile(values []float64, fraction float64) float64 {
	sort.Float64s(values)
	return values[int(fraction*float64(len(values)-1)+0.5)]
}
