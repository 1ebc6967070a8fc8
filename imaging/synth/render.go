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
	lin := w.trace()
	return lin.develop(s), s.Truth()
}

// trace gives the linear picture.
func (w *world) trace() *plane3 {
	s := w.s
	out := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*s.Width*s.Height)}
	ids := make([]uint16, s.Width*s.Height)
	for j := range s.Height {
		for i := range s.Width {
			ids[j*s.Width+i] = w.first(i, j)
		}
	}
	paths := w.effort(ids)
	tone := &plane3{w: s.Width, h: s.Height, v: make([]float32, 3*s.Width*s.Height)}
	vari := make([]float32, s.Width*s.Height)
	for j := range s.Height {
		r := newRandom(s.Seed<<20 + uint64(j))
		for i := range s.Width {
			k := j*s.Width + i
			n := float64(paths[k])
			c := w.pixel(i, j, int(n), r)
			mean := 0.0
			for ch := range 3 {
				t := c.tone[ch] / n
				tone.v[3*k+ch] = float32(t)
				out.v[3*k+ch] = float32(c.light[ch] / n / t)
			}
			mean = rgb{float64(out.v[3*k]), float64(out.v[3*k+1]), float64(out.v[3*k+2])}.luma()
			vari[k] = float32(math.Max(0, c.square/n-mean*mean) / n)
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

// effort gives the number of paths for each pixel.
func (w *world) effort(ids []uint16) []uint8 {
	s := w.s
	paths := make([]uint8, len(ids))
	for i := range paths {
		paths[i] = uint8(s.Effort.Base)
	}
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
		reach = 1 + int(math.Min(6, blur))
	}
	for j := reach; j < s.Height-reach; j++ {
		for i := reach; i < s.Width-reach; i++ {
			k := j*s.Width + i
			a := ids[k]
			if ids[k+reach] != a || ids[k+reach*s.Width] != a || ids[k-reach] != a || ids[k-reach*s.Width] != a {
				raise(k, (2*s.Effort.Base+s.Effort.Edge)/3)
			}
		}
	}
	for n := range s.Fasteners {
		f := &s.Fasteners[n]
		c := s.Project(f.AxisMM, 0)
		size := math.Max(f.MaxDMM, f.BoreMM+f.LongMM) / 2 * s.Camera.PxPerMM(f.AxisMM, 0)
		far, near := 3.2*size, 1.45*size+float64(reach)
		for j := max(0, int(c.V-far)); j <= min(s.Height-1, int(c.V+far)); j++ {
			for i := max(0, int(c.U-far)); i <= min(s.Width-1, int(c.U+far)); i++ {
				d := math.Hypot(float64(i)-c.U, float64(j)-c.V)
				if d < near {
					raise(j*s.Width+i, s.Effort.Edge)
				} else if d < far {
					raise(j*s.Width+i, s.Effort.Near)
				}
			}
		}
	}
	return paths
}
