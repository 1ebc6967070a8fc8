package radial

import (
	"slices"

	"bucktail/imaging/cores"
)

// blur3 smooths a in place with 1 2 1 across and down, but for its border. The rows, then the
// columns are shared out among the cores.
func blur3(a []float32, w, h int) {
	cores.Stretches(h, 1, func(j0, j1 int) {
		for j := j0; j < j1; j++ {
			r := a[j*w : (j+1)*w]
			before := r[0]
			for i := 1; i < len(r)-1; i++ {
				here := r[i]
				r[i] = (before + 2*here + r[i+1]) / 4
				before = here
			}
		}
	})
	cores.Stretches(w, 1, func(i0, i1 int) {
		if i0 == i1 {
			return
		}
		prev, cur := make([]float32, i1-i0), make([]float32, i1-i0)
		copy(prev, a[i0:i1])
		for j := 1; j < h-1; j++ {
			r := a[j*w+i0 : j*w+i1]
			next := a[(j+1)*w+i0:][:len(r)]
			p, c := prev[:len(r)], cur[:len(r)]
			for i, here := range r {
				c[i] = here
				r[i] = (p[i] + 2*here + next[i]) / 4
			}
			prev, cur = cur, prev
		}
	})
}

// boxMean gives means over squares of 2 rad + 1 pixels from the sums of all that lies above
// and before a pixel.
type boxMean struct {
	w, h, rad int
	sum       []float64 // w + 1 a row, the first row and column 0
}

// newBoxMean sums up a in the memory given.
func newBoxMean(memory *[]float64, a []float32, w, h, rad int) *boxMean {
	m := &boxMean{w, h, rad, sized(memory, (w+1)*(h+1))}
	clear(m.sum[:w+1])
	cores.Stretches(h, 1, func(j0, j1 int) {
		for j := j0; j < j1; j++ {
			t := 0.0
			m.sum[(j+1)*(w+1)] = 0
			to := m.sum[(j+1)*(w+1)+1:][:w]
			for i, x := range a[j*w:][:len(to)] {
				t += float64(x)
				to[i] = t
			}
		}
	})
	cores.Stretches(w+1, 1, func(i0, i1 int) {
		for j := range h {
			above, to := m.sum[j*(w+1)+i0:j*(w+1)+i1], m.sum[(j+1)*(w+1)+i0:][:i1-i0]
			for i, x := range above {
				to[i] += x
			}
		}
	})
	return m
}

// at gives the mean about the pixel (i, j), of what of the square lies in the picture.
func (m *boxMean) at(i, j int) float32 {
	y0, y1 := max(0, j-m.rad), min(m.h, j+m.rad+1)
	x0, x1 := max(0, i-m.rad), min(m.w, i+m.rad+1)
	top, low := m.sum[y0*(m.w+1):][:m.w+1], m.sum[y1*(m.w+1):][:m.w+1]
	s := low[x1] - top[x1] - low[x0] + top[x0]
	return float32(s / float64((y1-y0)*(x1-x0)))
}

// sized gives s with n elements, whatever they hold.
func sized[T any](s *[]T, n int) []T {
	*s = slices.Grow((*s)[:0], n)[:n]
	return *s
}
