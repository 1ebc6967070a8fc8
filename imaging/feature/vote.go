package feature

import (
	"math"
	"sort"
	"sync"

	"bucktail/imaging/geom"
)

// A peak is a place where a round outline of the expected size may stand.
type peak struct {
	at    geom.SheetPoint
	votes float64 // share of the circumference that votes for it, about 0 to 1
}

// votePeaks looks for round outlines between minR and maxR on view: every pixel with a
// marked gradient votes along it, both ways, for the centres of the circles that it may
// lie on. Bright on dark and dark on bright count alike, since a head may be either on
// its two sides. It returns the best places, strongest first, at least minR/2 apart.
//
// Source: G. Loy and A. Zelinsky, Fast radial symmetry for detecting points of interest,
// IEEE PAMI 25 (2003) 959-973, without its radial-strictness power.
func votePeaks(v *View, minRMM, maxRMM float64, skip func(geom.SheetPoint) bool, most int) []peak {
	w, h := v.W, v.H
	gx, gy, mag := v.gradient()
	mean := boxMean(mag, w, h, max(2, int(2*maxRMM/v.StepMM)))
	r0, r1 := minRMM/v.StepMM, maxRMM/v.StepMM
	radii := make([]float32, int(math.Ceil((r1-r0)/0.6))+1)
	for s := range radii {
		radii[s] = float32(r0 + (r1-r0)*float64(s)/float64(len(radii)-1))
	}
	// The view's two halves vote apart and are added up, however many cores there are: sums
	// of float32 hang on their order.
	var acc [2][]float32
	var wg sync.WaitGroup
	for part := range acc {
		acc[part] = make([]float32, w*h)
		wg.Go(func() { castVotes(acc[part], gx, gy, mag, mean, w, h, 1+part*(h-2)/2, 1+(part+1)*(h-2)/2, radii) })
	}
	wg.Wait()
	for i, x := range acc[1] {
		acc[0][i] += x
	}
	return peaksOf(v, acc[0], r0, r1, skip, most)
}

// castVotes adds to acc the votes of the rows from j0 up to j1.
func castVotes(acc, gx, gy, mag, mean []float32, w, h, j0, j1 int, radii []float32) {
	for j := j0; j < j1; j++ {
		for i := 1; i < w-1; i++ {
			p := j*w + i
			g := mag[p]
			if g < 0.02 || g < 0.8*mean[p] {
				continue
			}
			// Saturating: a hard black edge may not outvote a whole faint circle.
			wt := g / (g + 0.8*mean[p] + 0.05)
			ux, uy := gx[p]/g, gy[p]/g
			for _, r := range radii {
				for _, sg := range [2]float32{r, -r} {
					a, b := int(float32(i)+sg*ux+0.5), int(float32(j)+sg*uy+0.5)
					if a > 0 && b > 0 && a < w-1 && b < h-1 {
						acc[b*w+a] += wt
					}
				}
			}
		}
	}
}

// peaksOf gives the strongest places of the votes acc for radii from r0 to r1 pixels.
func peaksOf(v *View, acc []float32, r0, r1 float64, skip func(geom.SheetPoint) bool, most int) []peak {
	w, h := v.W, v.H
	blur3(acc, w, h)
	blur3(acc, w, h)
	norm := float32(1 / (math.Pi * (r0 + r1)))
	var ps []peak
	rad := max(1, int(r0/2))
	for j := 1; j < h-1; j++ {
		for i := 1; i < w-1; i++ {
			a := acc[j*w+i]
			if a*norm < 0.05 || !isPeak(acc, w, h, i, j, rad) {
				continue
			}
			q := v.Sheet(float64(i), float64(j))
			if skip != nil && skip(q) {
				continue
			}
			ps = append(ps, peak{q, float64(a * norm)})
		}
	}
	sort.SliceStable(ps, func(a, b int) bool { return ps[a].votes > ps[b].votes })
	return ps[:min(len(ps), most)]
}

func isPeak(a []float32, w, h, i, j, rad int) bool {
	c := a[j*w+i]
	for y := max(0, j-rad); y <= min(h-1, j+rad); y++ {
		for x := max(0, i-rad); x <= min(w-1, i+rad); x++ {
			if q := a[y*w+x]; q > c || (q == c && y*w+x < j*w+i) {
				return false
			}
		}
	}
	return true
}

// logOfLight is log2(l + 0.004) for linear light in steps of 1/4095, far finer than the
// 8 bits that the light comes from in all but the darkest shade, where 0.004 levels it.
var logOfLight = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log2(float64(i)/float64(len(t)-1) + 0.004))
	}
	return t
}()

// gradient gives the strongest channel's gradient: of the logarithm of light, so that a
// shaded fastener counts as much as a lit one, or of a colour ratio.
func (v *View) gradient() (gx, gy, mag []float32) {
	n := v.W * v.H
	gx, gy, mag = make([]float32, n), make([]float32, n), make([]float32, n)
	lg := make([]float32, n)
	for i, l := range v.L {
		lg[i] = logOfLight[int(l*float32(len(logOfLight)-1)+0.5)]
	}
	blur3(lg, v.W, v.H)
	add := func(c []float32, k float32) {
		shareOut(v.H, func(j0, j1 int) {
			for j := max(j0, 1); j < min(j1, v.H-1); j++ {
				for i := 1; i < v.W-1; i++ {
					p := j*v.W + i
					if !v.Seen[p-1] || !v.Seen[p+1] || !v.Seen[p-v.W] || !v.Seen[p+v.W] {
						continue
					}
					x, y := (c[p+1]-c[p-1])*k, (c[p+v.W]-c[p-v.W])*k
					if m := x*x + y*y; m > mag[p] { // the square, until all channels are in
						gx[p], gy[p], mag[p] = x, y, m
					}
				}
			}
		})
	}
	add(lg, 0.5)
	if v.RG != nil {
		// A colour ratio moves by 0.1 where a head's metal meets primer, the light by half
		// a stop: 5 makes them equal.
		rg, gb := append([]float32(nil), v.RG...), append([]float32(nil), v.GB...)
		blur3(rg, v.W, v.H)
		blur3(gb, v.W, v.H)
		add(rg, 2)
		add(gb, 2)
	}
	for i, m := range mag {
		if m > 0 {
			mag[i] = float32(math.Sqrt(float64(m)))
		}
	}
	return gx, gy, mag
}

// blur3 smooths a in place with 1 2 1 across and down.
func blur3(a []float32, w, h int) {
	row := make([]float32, max(w, h))
	for j := range h {
		r := a[j*w : (j+1)*w]
		copy(row, r)
		for i := 1; i < w-1; i++ {
			r[i] = (row[i-1] + 2*row[i] + row[i+1]) / 4
		}
	}
	prev, cur := make([]float32, w), make([]float32, w)
	copy(prev, a[:w])
	for j := 1; j < h-1; j++ {
		r := a[j*w : (j+1)*w]
		next := a[(j+1)*w : (j+2)*w]
		copy(cur, r)
		for i := range r {
			r[i] = (prev[i] + 2*cur[i] + next[i]) / 4
		}
		prev, cur = cur, prev
	}
}

// boxMean gives the mean of a over a square of 2 rad + 1 about each pixel.
func boxMean(a []float32, w, h, rad int) []float32 {
	sum := make([]float64, (w+1)*(h+1))
	for j := range h {
		t := 0.0
		for i := range w {
			t += float64(a[j*w+i])
			sum[(j+1)*(w+1)+i+1] = sum[j*(w+1)+i+1] + t
		}
	}
	out := make([]float32, w*h)
	for j := range h {
		y0, y1 := max(0, j-rad), min(h, j+rad+1)
		for i := range w {
			x0, x1 := max(0, i-rad), min(w, i+rad+1)
			s := sum[y1*(w+1)+x1] - sum[y0*(w+1)+x1] - sum[y1*(w+1)+x0] + sum[y0*(w+1)+x0]
			out[j*w+i] = float32(s / float64((y1-y0)*(x1-x0)))
		}
	}
	return out
}
