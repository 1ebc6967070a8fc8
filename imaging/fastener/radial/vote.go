// Package radial finds where round outlines may stand: every step of light in a view of the
// sheet votes for the centres of the circles that it may lie on. In go a rectified view and
// the range of radii (mm); out come places on the sheet (mm), the strongest first.
// Start with [Places].
package radial

import (
	"math"
	"sort"
	"sync"

	"bucktail/imaging/cores"
	"bucktail/imaging/geom"
	"bucktail/imaging/rectified"
)

// A Place is a place where a round outline of the expected size may stand.
type Place struct {
	At    geom.SheetPoint
	Votes float64 // fraction of the circumference that votes for it, about 0 to 1
}

// Tuned on the rendered example photos for places to be found at all: what stands there is
// decided later, by looking. TestDrilledPlateAgainstOpenCVAndItsDrawing and the photos' tests of
// imaging/measure would notice.
const (
	leastGradient  = 0.02 // stops of light a pixel: less is noise
	markedGradient = 0.8  // a gradient that votes, of the usual one about it
	halfGradient   = 0.05 // at which a vote on an even sheet has half its full weight
	radiusStepPx   = 0.6  // of the view, from one radius to the next: votes are smoothed over two pixels
	leastVotes     = 0.05 // of the circumference
)

// Places looks for round outlines between minR and maxR on view: every pixel with a
// marked gradient votes along it, both ways, for the centres of the circles that it may
// lie on. Bright on dark and dark on bright count alike, since a head may be either on
// its two sides. It returns the best places, strongest first, at least minR/2 apart.
//
// Source: G. Loy and A. Zelinsky, Fast radial symmetry for detecting points of interest,
// IEEE PAMI 25 (2003) 959-973, without its radial-strictness power.
func Places(v *rectified.View, minRMM, maxRMM float64, skip func(geom.SheetPoint) bool, most int) []Place {
	w, h := v.W, v.H
	m := voteMemories.Get().(*voteMemory)
	defer voteMemories.Put(m)
	gradient(v, m)
	mean := newBoxMean(&m.sum, m.mag, w, h, max(2, int(2*maxRMM/v.StepMM))) // over two diameters
	r0, r1 := minRMM/v.StepMM, maxRMM/v.StepMM
	radii := make([]float32, int(math.Ceil((r1-r0)/radiusStepPx))+1)
	for s := range radii {
		radii[s] = float32(r0 + (r1-r0)*float64(s)/float64(len(radii)-1))
	}
	// The view's two halves vote apart and are added up, however many cores there are: sums
	// of float32 hang on their order.
	var acc [2][]float32
	var wg sync.WaitGroup
	for part := range acc {
		acc[part] = sized(&m.acc[part], w*h)
		wg.Go(func() {
			clear(acc[part])
			castVotes(acc[part], m, mean, 1+part*(h-2)/2, 1+(part+1)*(h-2)/2, radii)
		})
	}
	wg.Wait()
	cores.Stretches(h, 1, func(j0, j1 int) {
		to, from := acc[0][j0*w:j1*w], acc[1][j0*w:j1*w]
		for i, x := range from {
			to[i] += x
		}
	})
	return peaksOf(v, acc[0], r0, r1, skip, most)
}

// voteMemory is what votePeaks reckons in, kept from one view to the next: fresh memory of that
// size takes as long as the reckoning.
type voteMemory struct {
	gx, gy, mag, light, rg, gb []float32
	acc                        [2][]float32
	sum                        []float64
}

var voteMemories = sync.Pool{New: func() any { return new(voteMemory) }}

// castVotes adds to acc the votes of the rows from j0 up to j1.
func castVotes(acc []float32, m *voteMemory, mean *boxMean, j0, j1 int, radii []float32) {
	gx, gy, mag := m.gx, m.gy, m.mag
	w, h := mean.w, mean.h
	far := int(radii[len(radii)-1]) + 3 // this far from the border no vote falls outside
	for j := j0; j < j1; j++ {
		for i := 1; i < w-1; i++ {
			p := j*w + i
			g := mag[p]
			if g < leastGradient {
				continue
			}
			usual := mean.at(i, j)
			if g < markedGradient*usual {
				continue
			}
			// Saturating: a hard black edge may not outvote a whole faint circle.
			wt := g / (g + markedGradient*usual + halfGradient)
			ux, uy := gx[p]/g, gy[p]/g
			x, y := float32(i), float32(j)
			if i >= far && j >= far && i < w-far && j < h-far {
				for _, r := range radii {
					dx, dy := float32(r*ux), float32(r*uy)
					acc[int(y+dy+0.5)*w+int(x+dx+0.5)] += wt
					acc[int(y-dy+0.5)*w+int(x-dx+0.5)] += wt
				}
				continue
			}
			for _, r := range radii {
				for _, sg := range [2]float32{r, -r} {
					a, b := int(x+float32(sg*ux)+0.5), int(y+float32(sg*uy)+0.5)
					if a > 0 && b > 0 && a < w-1 && b < h-1 {
						acc[b*w+a] += wt
					}
				}
			}
		}
	}
}

// peaksOf gives the strongest places of the votes acc for radii from r0 to r1 pixels.
func peaksOf(v *rectified.View, acc []float32, r0, r1 float64, skip func(geom.SheetPoint) bool, most int) []Place {
	w, h := v.W, v.H
	blur3(acc, w, h)
	blur3(acc, w, h)
	norm := float32(1 / (math.Pi * (r0 + r1)))
	rad := max(1, int(r0/2))
	tops := make([][]int32, h) // per row: where its peaks are
	cores.Stretches(h, 1, func(j0, j1 int) {
		for j := max(j0, 1); j < min(j1, h-1); j++ {
			for i := 1; i < w-1; i++ {
				if acc[j*w+i]*norm >= leastVotes && isPeak(acc, w, h, i, j, rad) {
					tops[j] = append(tops[j], int32(i))
				}
			}
		}
	})
	var ps []Place
	for j, row := range tops {
		for _, i := range row {
			q := v.Sheet(float64(i), float64(j))
			if skip != nil && skip(q) {
				continue
			}
			ps = append(ps, Place{q, float64(acc[j*w+int(i)] * norm)})
		}
	}
	sort.SliceStable(ps, func(a, b int) bool { return ps[a].Votes > ps[b].Votes })
	return ps[:min(len(ps), most)]
}

// isPeak tells whether no pixel within rad of (i, j), which is not on the border, is greater,
// and none before it as great.
func isPeak(a []float32, w, h, i, j, rad int) bool {
	p := j*w + i
	c := a[p]
	if a[p-1] > c || a[p+1] > c || a[p-w] > c || a[p+w] > c { // most fall here already
		return false
	}
	for y := max(0, j-rad); y <= min(h-1, j+rad); y++ {
		for x := max(0, i-rad); x <= min(w-1, i+rad); x++ {
			if q := a[y*w+x]; q > c || (q == c && y*w+x < p) {
				return false
			}
		}
	}
	return true
}

// darkLight, level 13 of 255 in sRGB, keeps the logarithm of what is black from being all noise.
const darkLight = 0.004

// logOfLight is log2(l + darkLight) for linear light in steps of 1/4095, far finer than the
// 8 bits that the light comes from in all but the darkest shade, where darkLight levels it.
var logOfLight = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log2(float64(i)/float64(len(t)-1) + darkLight))
	}
	return t
}()

// gradient gives in m the strongest channel's gradient: of the logarithm of light, so that a
// shaded fastener counts as much as a lit one, or of a colour ratio. Where its size is 0, gx and
// gy are not filled in.
func gradient(v *rectified.View, m *voteMemory) {
	n, w := v.W*v.H, v.W
	gx, gy, mag := sized(&m.gx, n), sized(&m.gy, n), sized(&m.mag, n)
	lg := sized(&m.light, n)
	cores.Stretches(v.H, 1, func(j0, j1 int) {
		clear(mag[j0*w : j1*w])
		l, to := v.L[j0*w:j1*w], lg[j0*w:j1*w]
		for i, l := range l {
			to[i] = logOfLight[int(l*float32(len(logOfLight)-1)+0.5)]
		}
	})
	// A colour ratio moves by 0.1 where a head's metal meets primer, the light by half
	// a stop: 5 makes them equal.
	channels, ks := [][]float32{lg}, []float32{0.5, 2, 2}
	if v.RG != nil {
		channels = append(channels, sized(&m.rg, n), sized(&m.gb, n))
		copy(m.rg, v.RG)
		copy(m.gb, v.GB)
	}
	for _, c := range channels {
		blur3(c, w, v.H)
	}
	cores.Stretches(v.H, 1, func(j0, j1 int) {
		for j := max(j0, 1); j < min(j1, v.H-1); j++ {
			for i := 1; i < w-1; i++ {
				p := j*w + i
				if !v.Seen[p-1] || !v.Seen[p+1] || !v.Seen[p-w] || !v.Seen[p+w] {
					continue
				}
				var bx, by, most float32
				for c, a := range channels {
					x, y := (a[p+1]-a[p-1])*ks[c], (a[p+w]-a[p-w])*ks[c]
					if s := float32(x*x) + float32(y*y); s > most {
						bx, by, most = x, y, s
					}
				}
				gx[p], gy[p], mag[p] = bx, by, float32(math.Sqrt(float64(most)))
			}
		}
	})
}
