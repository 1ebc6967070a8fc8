// Package look makes of the sheet as it is seen square from above what a network that looks at the
// whole of it is given. In goes a view, out come planes. Start with [Planes].
package look

import (
	"math"

	"bucktail/imaging/convnet"
	"bucktail/imaging/fit"
	"bucktail/imaging/rectified"
)

// Planes gives what a network looks at: the logarithm of the light over the view's middle one,
// and the colour ratios less theirs. What the photo does not show looks like the middle.
func Planes(ws *convnet.Workspace, v *rectified.View) *convnet.Planes {
	x := ws.Flat(v.H, v.W)
	light := func(i int) float32 { return float32(math.Log2(float64(v.L[i]) + 0.004)) }
	level := middle(v, light)
	fill(x, v, 0, light, level, 0.5, -3, 3)
	if v.RG == nil {
		fill(x, v, 1, func(int) float32 { return 0 }, 0, 1, 0, 0)
		fill(x, v, 2, func(int) float32 { return 0 }, 0, 1, 0, 0)
		return x
	}
	rg := func(i int) float32 { return v.RG[i] }
	gb := func(i int) float32 { return v.GB[i] }
	fill(x, v, 1, rg, middle(v, rg), 6, -2, 2)
	fill(x, v, 2, gb, middle(v, gb), 6, -2, 2)
	return x
}

// middle gives the median of a value over what the photo shows, from every few samples.
func middle(v *rectified.View, of func(i int) float32) float32 {
	const every = 13
	w := make([]float32, 0, len(v.L)/every+1)
	for i := 0; i < len(v.L); i += every {
		if v.Seen[i] {
			w = append(w, of(i))
		}
	}
	if len(w) == 0 {
		return 0
	}
	return fit.UpperMedian(w)
}

func fill(x *convnet.Planes, v *rectified.View, c int, of func(i int) float32, level, k, lo, hi float32) {
	rows, _ := x.Size()
	for j := range rows {
		row := x.Row(c, j)
		for i := range row {
			row[i] = 0
			if p := j*v.W + i; v.Seen[p] {
				row[i] = min(max((of(p)-level)*k, lo), hi)
			}
		}
	}
}
