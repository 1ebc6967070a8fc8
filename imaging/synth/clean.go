package synth

import "math"

// guide is what a pixel's first meeting was like: it tells the cleaning of a workshop scene
// which neighbours may share their light.
type guide struct{ nx, ny, rough float32 }

// clean takes out the grain that few paths leave, in three rounds of ever wider spacing:
// neighbours count by how alike their normals are, and by whether the difference of their
// light can be noise (after Schied and others, High Performance Graphics 2017, without the
// part in time). Light comes without the first thing's colour; vari is the variance of each
// pixel's brightness. Pixels that show more than one thing are not pure and stay as they are.
func clean(p *plane3, ids []uint16, pure []bool, vari []float32, guides []guide) {
	w, h := p.w, p.h
	next, nextVari := make([]float32, len(p.v)), make([]float32, len(vari))
	luma := make([]float32, w*h)
	kernel := [3]float32{3.0 / 8, 1.0 / 4, 1.0 / 16}
	for step := 1; step <= 4; step *= 2 {
		smooth := spread(vari, pure, w, h)
		for k := range luma {
			luma[k] = lumaOf3(p.v[3*k:])
		}
		copy(next, p.v)
		copy(nextVari, vari)
		for j := range h {
			for i := range w {
				k := j*w + i
				if !pure[k] {
					continue
				}
				y := luma[k]
				g := guides[k]
				tolN := 1 / (0.25*g.rough*g.rough + 2e-4)
				tolL := 1 / (float32(math.Sqrt(float64(smooth[k])))*5 + 1e-6)
				var sum [3]float32
				var total, sumVari float32
				for dj := -2; dj <= 2; dj++ {
					jj := j + dj*step
					if jj < 0 || jj >= h {
						continue
					}
					for di := -2; di <= 2; di++ {
						ii := i + di*step
						if ii < 0 || ii >= w {
							continue
						}
						q := jj*w + ii
						if !pure[q] || ids[q] != ids[k] {
							continue
						}
						e := guides[q]
						dx, dy := e.nx-g.nx, e.ny-g.ny
						dl := luma[q] - y
						if dl < 0 {
							dl = -dl
						}
						x := dl*tolL + (dx*dx+dy*dy)*tolN
						f := kernel[abs(di)] * kernel[abs(dj)] / (1 + x + 0.5*x*x + 0.17*x*x*x)
						sum[0] += f * p.v[3*q]
						sum[1] += f * p.v[3*q+1]
						sum[2] += f * p.v[3*q+2]
						sumVari += f * f * vari[q]
						total += f
					}
				}
				n := 1 / total
				next[3*k], next[3*k+1], next[3*k+2] = sum[0]*n, sum[1]*n, sum[2]*n
				nextVari[k] = sumVari * n * n
			}
		}
		p.v, next = next, p.v
		vari, nextVari = nextVari, vari
	}
}

// effort gives the number of paths for each pixel.
func (ws *workshop) effort(w *world) []uint8 {
	s := w.s
	paths := make([]uint8, s.Width*s.Height)
	for i := range paths {
		paths[i] = uint8(max(1, s.Effort.Base))
	}
	for i := range ws.rounds {
		t := &ws.rounds[i]
		c := s.project(t.at)
		size := 0.96 * meanWidth(t.outline) * s.Camera.FocalPx / math.Max(1, w.axes[2].dot(t.at.sub(w.eye)))
		for y := max(0, int(c.V-size)); y <= min(s.Height-1, int(c.V+size)); y++ {
			for x := max(0, int(c.U-size)); x <= min(s.Width-1, int(c.U+size)); x++ {
				q := y*s.Width + x
				paths[q] = max(paths[q], uint8(s.Effort.Near))
			}
		}
	}
	return paths
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

func lumaOf3(c []float32) float32 { return 0.21*c[0] + 0.72*c[1] + 0.07*c[2] }

// spread evens out variances that were told from few paths.
func spread(vari []float32, pure []bool, w, h int) []float32 {
	out := make([]float32, len(vari))
	for j := 1; j < h-1; j++ {
		for i := 1; i < w-1; i++ {
			k := j*w + i
			s, n := float32(0), float32(0)
			for dj := -w; dj <= w; dj += w {
				for di := -1; di <= 1; di++ {
					if q := k + dj + di; pure[q] {
						s, n = s+vari[q], n+1
					}
				}
			}
			if n > 0 {
				out[k] = s / n
			}
		}
	}
	return out
}
